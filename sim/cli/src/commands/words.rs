//! `holdpoint words`: the table of G and M words, each with its class.

use std::io::Write;
use std::process::ExitCode;

use anyhow::Result;
use clap::Args;
use holdpoint_shared::motion::{When, WordClass, WordRow, WordSource, rows};

/// What `words` takes.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  holdpoint words              every word that is known, with what it does and how it is vetted
  holdpoint words M84 G10      these words alone")]
pub struct WordsArgs {
    /// Words to list [default: all]
    #[arg(value_name = "WORD")]
    pub words: Vec<String>,
}

/// Lists the table.
///
/// # Errors
/// When the output cannot be written.
pub fn run(args: &WordsArgs) -> Result<ExitCode> {
    let mut out = std::io::stdout().lock();
    for row in rows() {
        let name = name(row);
        if !args.words.is_empty() && !args.words.iter().any(|word| word.eq_ignore_ascii_case(&name)) {
            continue;
        }
        let source = match row.source {
            WordSource::Ngc(section) => format!("RS274/NGC, section from memory: {section}"),
            WordSource::Practice => "common practice".to_owned(),
        };
        let word = format!("{name}{}", condition(row.when));
        writeln!(out, "{word:<22} {:<28} {} ({source})", class(row.known.class()), row.what)?;
    }
    if args.words.is_empty() {
        writeln!(out, "any other word         {}", class(WordClass::Unknown))?;
    }
    Ok(ExitCode::SUCCESS)
}

fn name(row: &WordRow) -> String {
    let (letter, tenths) = (char::from(row.letter()), row.tenths());
    if tenths % 10 == 0 {
        format!("{letter}{}", tenths / 10)
    } else {
        format!("{letter}{}.{}", tenths / 10, tenths % 10)
    }
}

/// What a line must have for the row to count.
fn condition(when: When) -> String {
    match when {
        When::Always => String::new(),
        When::Any => " with letters".to_owned(),
        When::Has(bits) => {
            let letters: Vec<_> = (b'A'..=b'Z').filter(|letter| bits >> (letter & 31) & 1 == 1).collect();
            format!(" with {}", String::from_utf8_lossy(&letters))
        }
        When::Zero(letter) => format!(" {}0", char::from(letter)),
        When::NonZero(letter) => format!(" {} not 0", char::from(letter)),
        When::DryRun(letter) => format!(" {} with 8", char::from(letter)),
        When::Text => " with a name".to_owned(),
        When::Action => " with //".to_owned(),
    }
}

/// A class with what a job gets for it.
const fn class(class: WordClass) -> &'static str {
    match class {
        WordClass::Modelled => "followed",
        WordClass::Tuning => "tuning: silent",
        WordClass::Report => "report: silent",
        WordClass::Stores => "alters machine: HOLD, 15",
        WordClass::Adjusts => "alters machine: LOOK, 15",
        WordClass::Reaches => "reaches elsewhere: HOLD, 96",
        WordClass::Touches => "reaches elsewhere: LOOK, 96",
        WordClass::Shifts => "shifts the work: HOLD, 97",
        WordClass::Unfollowed => "not followed: HOLD, 14",
        WordClass::Unknown => "unknown: LOOK, 14",
    }
}
