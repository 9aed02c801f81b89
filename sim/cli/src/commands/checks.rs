//! `holdpoint checks`: the catalogue of everything that is checked.

use std::io::Write;
use std::process::ExitCode;

use anyhow::Result;
use clap::Args;
use holdpoint_shared::checks::{CATALOGUE, write_markdown};
use holdpoint_shared::records::Language;
use holdpoint_shared::words::checks::{kinds, more, wording};

use crate::args::Settings;

/// What `checks` takes.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  holdpoint checks              what each check looks for, its limits and their source
  holdpoint checks 58           one of them in full: what it says, and what helps
  holdpoint checks --markdown   the same as a table for a page")]
pub struct ChecksArgs {
    /// Numbers of the checks to be told in full [without them: a list of all]
    #[arg(value_name = "CHECK", value_parser = check_number, conflicts_with = "markdown")]
    pub numbers: Vec<u8>,
    /// Print a table in Markdown
    #[arg(long)]
    pub markdown: bool,
}

/// Lists the catalogue.
///
/// # Errors
/// When the output cannot be written.
pub fn run(args: &ChecksArgs, settings: &Settings) -> Result<ExitCode> {
    let mut out = std::io::stdout().lock();
    if args.markdown {
        let mut table = String::new();
        write_markdown(&mut table)?;
        out.write_all(table.as_bytes())?;
        return Ok(ExitCode::SUCCESS);
    }
    let mut rows: Vec<_> = CATALOGUE.iter().collect();
    rows.sort_by_key(|row| row.number);
    rows.retain(|row| args.numbers.is_empty() || args.numbers.contains(&row.number));
    for row in rows {
        let levels: Vec<_> = row.levels.iter().map(|level| level.word()).collect();
        writeln!(out, "{:>3}  {}  [{}]", row.number, row.id, levels.join(", "))?;
        writeln!(out, "     {}", row.rule)?;
        writeln!(out, "     source: {}", row.source)?;
        let silence = if row.never_silenced { "; never silenced" } else { "" };
        writeln!(out, "     {}{silence}", row.live.word())?;
        if !args.numbers.is_empty() {
            write_wordings(
                &mut out,
                row.number,
                settings.lang.map_or_else(Language::default, Language::from),
            )?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// All that a check may say, with what its numbers are in their places.
fn write_wordings(out: &mut impl Write, check: u8, language: Language) -> Result<()> {
    for number in 0.. {
        let (Some(row), Some(kinds)) = (wording(check, number, language), kinds(check, number)) else {
            break;
        };
        let text = |text: &str| {
            kinds.iter().enumerate().fold(text.to_owned(), |text, (place, kind)| {
                text.replace(&format!("{{{place}}}"), &format!("<{}>", format!("{kind:?}").to_lowercase()))
            })
        };
        writeln!(out, "     says: {}", text(&row.what))?;
        for (label, part) in [("and", more(check, number, language)), ("remedy", row.remedy.as_str())]
            .into_iter()
            .filter(|(_, part)| !part.is_empty())
        {
            writeln!(out, "       {label}: {}", text(part))?;
        }
    }
    Ok(())
}

/// The number of a check on the command line.
///
/// # Errors
/// When there is no such check.
pub fn check_number(text: &str) -> Result<u8, String> {
    let number = text.parse().ok().filter(|number| CATALOGUE.iter().any(|row| row.number == *number));
    number.ok_or_else(|| "no check has this number; `holdpoint checks` lists them".to_owned())
}
