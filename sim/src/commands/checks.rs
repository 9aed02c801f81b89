//! `holdpoint checks`: the catalogue of everything that is checked.

use std::io::Write;
use std::process::ExitCode;

use anyhow::Result;
use clap::Args;
use holdpoint_shared::checks::{CATALOGUE, write_markdown};

/// What `checks` takes.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  holdpoint checks              what each check looks for, its limits and their source
  holdpoint checks --markdown   the same as a table for a page")]
pub struct ChecksArgs {
    /// Print a table in Markdown
    #[arg(long)]
    pub markdown: bool,
}

/// Lists the catalogue.
///
/// # Errors
/// When the output cannot be written.
pub fn run(args: &ChecksArgs) -> Result<ExitCode> {
    let mut out = std::io::stdout().lock();
    if args.markdown {
        let mut table = String::new();
        write_markdown(&mut table)?;
        out.write_all(table.as_bytes())?;
        return Ok(ExitCode::SUCCESS);
    }
    let mut rows: Vec<_> = CATALOGUE.iter().collect();
    rows.sort_by_key(|row| row.number);
    for row in rows {
        let levels: Vec<_> = row.levels.iter().map(|level| level.word()).collect();
        writeln!(out, "{:>3}  {}  [{}]", row.number, row.id, levels.join(", "))?;
        writeln!(out, "     {}", row.rule)?;
        writeln!(out, "     source: {}", row.source)?;
        let silence = if row.never_silenced { "; never silenced" } else { "" };
        writeln!(out, "     {}{silence}", row.live.word())?;
    }
    Ok(ExitCode::SUCCESS)
}
