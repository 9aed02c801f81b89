//! The command line: what can be asked for, and how it is explained.

use std::io::Read;
use std::path::{Path, PathBuf};

use anyhow::{Result, anyhow};
use chrono::{NaiveDate, NaiveDateTime};
use clap::error::ErrorKind;
use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};
use holdpoint_desk::setup::{Overrides, Text, option};
use holdpoint_desk::shown::Shown;
use holdpoint_shared::limits::RECORD_BYTES;
use holdpoint_shared::records::{Language, RecordName};

use crate::commands::card::CardArgs;
use crate::commands::checks::ChecksArgs;
use crate::commands::ledger::LedgerArgs;
use crate::commands::settle::SettleArgs;
use crate::commands::show::{Pace, ShowArgs};
use crate::commands::snap::SnapArgs;
use crate::commands::stamp::StampArgs;
use crate::commands::survey::SurveyArgs;
use crate::commands::vet::VetArgs;
use crate::commands::words::WordsArgs;
use crate::source::open_file;

/// Vets print jobs on a memory card before any of them runs.
#[derive(Debug, Parser)]
#[command(
    name = "holdpoint",
    version,
    about,
    max_term_width = 100,
    long_about = "Vets print jobs on a memory card before any of them runs: is it the right spool, is there enough \
of it, do the heat targets fit, does it end while the room is open.\n\n\
Without a command it opens the demo card. On a terminal the device's screen is drawn live, with the arrow keys \
and Enter as its knob; elsewhere the newest job's verdict is printed and its screen is written as a PNG.\n\n\
All of this is read from files. It looks at no machine and says nothing about the state of one: heat can \
hurt, so follow your room's rules and the makers' manuals.",
    after_help = EXAMPLES
)]
pub struct Cli {
    /// Where the demo's screen goes.
    #[command(flatten)]
    pub picture: Picture,
    /// How fast the demo runs.
    #[command(flatten)]
    pub pace: Pace,
    /// Settings that every command takes.
    #[command(flatten)]
    pub settings: Settings,
    /// What to do; nothing = the demo.
    #[command(subcommand)]
    pub command: Option<Command>,
}

const EXAMPLES: &str = "\
Exit codes:
  0  done; of vet: every job is CLEAR
  1  of vet: at least one job is on LOOK, none worse
  2  of vet: at least one job is on HOLD, none worse
  3  NO VERDICT, or an input that could not be read, or not whole
  64 the command line was not understood

Examples:
  holdpoint                                  the demo card
  holdpoint vet card.img                     a line for each job of a card image
  holdpoint vet --explain jobs/              every point with its remedy
  holdpoint show card.img                    the live device on a card
  holdpoint snap --out pictures/             every screen of a scripted night
  holdpoint survey part.gcode                what a job's moves add up to
  holdpoint stamp part.gcode --material PLA  a header from the moves
  holdpoint card jobs/ card.img              a card image from a folder
  holdpoint settle card.img --list           what a lead has settled
  holdpoint ledger card.img                  what the day book of a card adds up to
  holdpoint checks                           what is checked
  holdpoint words                            which G and M words are known";

impl Cli {
    /// Reads the command line.
    ///
    /// # Errors
    /// What clap found wrong with it, or that help was asked for.
    pub fn read() -> Result<Self, clap::Error> {
        let cli = Self::try_parse()?;
        if cli.picture.png.is_some() && cli.command.is_some() {
            let text = "--png without a command is the demo's; write it after `show` for a card's";
            return Err(Self::command().error(ErrorKind::ArgumentConflict, text));
        }
        Ok(cli)
    }
}

/// Settings that every command takes.
#[derive(Clone, Debug, Default, Args)]
#[command(next_help_heading = "Settings for every command")]
pub struct Settings {
    /// Machine sheet to check against [default: HOLDPT/MACHINE.JSN of the card, or nearest above the file]
    #[arg(long, global = true, value_name = "FILE")]
    pub machine: Option<PathBuf>,
    /// Spool ticket to check against [default: HOLDPT/SPOOL.JSN of the card, or nearest above the file]
    #[arg(long, global = true, value_name = "FILE")]
    pub spool: Option<PathBuf>,
    /// Room rules to check against [default: HOLDPT/ROOM.JSN of the card, or nearest above the file]
    #[arg(long, global = true, value_name = "FILE")]
    pub room: Option<PathBuf>,
    /// Local time to start from, ISO 8601, such as 2026-11-25T10:40 [default: the computer's clock]
    #[arg(long, global = true, value_name = "TIME", value_parser = parse_time)]
    pub now: Option<NaiveDateTime>,
    /// Language of the verdicts and the screens [default: the room rules']
    #[arg(long, global = true, value_name = "LANG")]
    pub lang: Option<Lang>,
}

impl Settings {
    /// What holds instead of the card's records: the language, and the records that are named, read.
    ///
    /// # Errors
    /// When one of them cannot be read.
    pub fn overrides(&self) -> Result<Overrides> {
        Ok(Overrides {
            language: self.lang.map(Into::into),
            machine: named(self.machine.as_deref(), RecordName::Machine)?,
            spool: named(self.spool.as_deref(), RecordName::Spool)?,
            room: named(self.room.as_deref(), RecordName::Room)?,
        })
    }
}

/// A record that the command line names.
fn named(path: Option<&Path>, record: RecordName) -> Result<Option<Text>> {
    let Some(path) = path else { return Ok(None) };
    let (option, name) = (option(record), record.file());
    let mut bytes = Vec::new();
    let file = open_file(path).map_err(|error| anyhow!("{error}; {option} needs a file such as {name}"))?;
    // One byte more than any record may have: whatever the file's size, it is read no further.
    file.take(RECORD_BYTES as u64 + 1).read_to_end(&mut bytes).map_err(|error| {
        anyhow!("{}: cannot be read: {error}; {option} needs a file such as {name}", path.shown())
    })?;
    Ok(Some(Text { path: path.to_owned(), bytes }))
}

/// Where a screen is written when there is no terminal to draw on.
#[derive(Clone, Debug, Default, Args)]
pub struct Picture {
    /// Write the screen of the newest job here instead of drawing on the terminal [default without a terminal:
    /// holdpoint-verdict.png]
    #[arg(long, value_name = "FILE")]
    pub png: Option<PathBuf>,
}

/// The languages, as they are asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Lang {
    /// English.
    En,
    /// German.
    De,
}

impl From<Lang> for Language {
    fn from(lang: Lang) -> Self {
        match lang {
            Lang::En => Self::English,
            Lang::De => Self::German,
        }
    }
}

/// What can be asked for.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Vet the jobs of a card image, a folder or single files: a line each
    #[command(long_about = VET)]
    Vet(VetArgs),
    /// Show the live device with a card in it
    #[command(long_about = SHOW)]
    Show(ShowArgs),
    /// Play a scripted run and write its screens as pictures
    #[command(long_about = SNAP)]
    Snap(SnapArgs),
    /// Report what a job's moves add up to: filament, time, layers, heat, limits
    #[command(long_about = SURVEY)]
    Survey(SurveyArgs),
    /// Write or renew the header of a job from its moves
    #[command(long_about = STAMP)]
    Stamp(Box<StampArgs>),
    /// Make a card image from a folder
    #[command(long_about = CARD)]
    Card(CardArgs),
    /// Settle a check's NOTE or LOOK for one spool or machine, list what is settled, undo it
    Settle(SettleArgs),
    /// Add up the day books of many cards
    #[command(long_about = LEDGER)]
    Ledger(LedgerArgs),
    /// List everything that is checked
    Checks(ChecksArgs),
    /// List the G and M words, and how a job with each is vetted
    Words(WordsArgs),
}

const VET: &str = "Vets every job of each card image, folder or job file: newest first, a line each with its \
worst point below, and a total. The kind of input is recognised by its content.\n\n\
The exit code is the worst over all: 0 CLEAR, 1 LOOK, 2 HOLD, 3 NO VERDICT or an input that could not be read.";

const SHOW: &str = "Shows the device's screen on the terminal, with a card in its slot: the arrow keys turn its knob, Enter \
presses it, h holds it down and lets it go, i takes the card out or inserts it, p starts or stops the printer, s runs time \
60 times as fast, o cuts the power, q quits. A card that you name is only read. Without a terminal, or with --png, the command \
prints the newest job's verdict and writes its screen as a picture.";

const SNAP: &str = "Plays a script on a simulated machine: device, card, printer, heaters, probes and clock. Every screen that \
the script asks for is written as a PNG, all of them together as one sheet, and their words as screens.txt.";

const SURVEY: &str = "Reads every line of a job file and reports what its moves add up to: filament, extents, layers, \
time, heat, flow, how it ends, and what could not be read. The values of its header and comments are listed next to them, and \
differences are marked.\n\n\
Times and the plate are those of a machine sheet: the one named with --machine, else MACHINE.JSN in the nearest HOLDPT \
folder at or above the file, else a common desktop machine's motion limits; the report says which.";

const STAMP: &str = "Writes or renews the job header, so that a device knows at once what the job needs. Filament, \
mass, time, heat, layers, and the length and CRC-32 of everything that follows come from the moves; what only people \
know is kept from the old header, taken from a comment, or given here. Every byte below the header stays as it is. The \
file is replaced in one step: if anything fails, the old one is still whole.\n\n\
The time is that of a machine sheet: the one named with --machine, else MACHINE.JSN in the nearest HOLDPT folder at or \
above the file, else a common desktop machine's limits. The mass is by the spool ticket's density where the ticket is of \
the same material, else by the material's.";

const CARD: &str = "Makes the image of a memory card from a folder: its files, its folders, their long names and times. \
Names that begin with a dot are left out. Write the image to a card with any disk tool, or vet it as it is.";

const LEDGER: &str = "Adds up the day books of cards, card images, folders or DAYBOOK.CSV files: by grade, by reason, by \
machine, by finding; spools that are low, the month's commonest reasons, machines that fail far more often than the room. \
A start that several cards list counts once. Every line that cannot be added up is named with its file, its number \
and what to do.\n\n\
Sums are exact: whole milligrams, seconds and hundredths of the currency.";

/// Reads a local time of ISO 8601, to the minute or the second.
fn parse_time(text: &str) -> Result<NaiveDateTime, String> {
    ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"]
        .iter()
        .find_map(|format| NaiveDateTime::parse_from_str(text, format).ok())
        .ok_or_else(|| "write a local date and time, such as 2026-11-25T10:40".to_owned())
}

/// Reads a day of ISO 8601.
///
/// # Errors
/// The form that it must have.
pub fn parse_day(text: &str) -> Result<NaiveDate, String> {
    text.parse().map_err(|_| "write a day, such as 2026-11-25".to_owned())
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::{Cli, parse_time};

    #[test]
    fn the_command_line_contradicts_itself_nowhere() {
        Cli::command().debug_assert();
    }

    #[test]
    fn a_time_needs_its_date_and_its_t() {
        assert_eq!(parse_time("2026-11-25T10:40").unwrap().to_string(), "2026-11-25 10:40:00");
        assert_eq!(parse_time("2026-11-25T10:40:30").unwrap().to_string(), "2026-11-25 10:40:30");
        for wrong in ["10:40", "2026-11-25", "2026-11-25 10:40", "2026-13-01T00:00", "2026-11-25T24:00", ""] {
            assert!(parse_time(wrong).is_err(), "{wrong}");
        }
    }
}
