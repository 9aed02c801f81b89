//! `holdpoint ledger`: the day books of many cards, added up.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Result;
use chrono::NaiveDate;
use clap::Args;
use holdpoint_desk::verdict::EXIT_INPUT;

use crate::args::{Settings, parse_day};
use crate::clock::local_time;
use crate::day_book::gather::Books;
use crate::day_book::report::tables;
use crate::day_book::show;
use crate::day_book::sums::{Span, Sums};
use crate::progress::Progress;
use crate::say::say;
use crate::usage::usage;

/// What `ledger` takes.
#[derive(Debug, Args)]
#[command(after_help = "\
What is counted:
  A start is a row of the day book; its close-out takes the place of its first row. Refusals are no starts.
  flawed  usable, with flaws          open       not closed out yet
  failed in 100                       failures in 100 starts
  between failures                    time run, all starts, by failures
  time by survey                      time of the jobs that ended, warm-up included, by the time surveyed
  overridden, right, wrong            of EVENTS.JSL: opened by a lead; found true or false by who looked

The JSON document (--json):
  ledger      version of this shape, now 1
  from, to    days that were asked for, or null
  books       each with path, error, rows, left_out [{file, line, what}],
              losses of devices' memory [{machine, at, what}], the first hundred, and more_left_out
  repeats     starts that stand in more than one book, counted once
  clashes     numbers that one machine gave to several starts, all counted: [{machine, rec}]
  undated     starts without a time, left out because of --from or --to
  total, grades, reasons, machines, findings, low_spools, month_reasons, failing
              lists of objects; units stand in the keys, what there is none of is null
The CSV (--csv) has a line a number: report, name, measure, value.

Exit codes: 0 all lines were added up, 3 a book or a line could not be.

Examples:
  holdpoint ledger card.img                                one card
  holdpoint ledger /media/*/ archive/DAYBOOK.CSV           many, and a copy of a book
  holdpoint ledger cards/*.img --from 2026-11-01 --to 2026-11-30
  holdpoint ledger card.img --json > november.json         for another program
  holdpoint ledger card.img --csv > november.csv           for a spreadsheet")]
pub struct LedgerArgs {
    /// Cards: images, folders with HOLDPT in them, or DAYBOOK.CSV files with EVENTS.JSL beside them
    #[arg(required = true, value_name = "CARD|FOLDER|FILE")]
    pub paths: Vec<PathBuf>,
    /// Print one JSON document
    #[arg(long, conflicts_with = "csv")]
    pub json: bool,
    /// Print CSV after RFC 4180
    #[arg(long)]
    pub csv: bool,
    /// First day, by the start [default: the first there is]
    #[arg(long, value_name = "DAY", value_parser = parse_day)]
    pub from: Option<NaiveDate>,
    /// Last day [default: the last there is]
    #[arg(long, value_name = "DAY", value_parser = parse_day)]
    pub to: Option<NaiveDate>,
}

/// Adds up.
///
/// # Errors
/// When the days contradict each other, or the output cannot be written. A book or a line that cannot be read is named
/// on standard error, the others are added up all the same, and the exit code says it.
pub fn run(args: &LedgerArgs, settings: &Settings) -> Result<ExitCode> {
    if let (Some(from), Some(to)) = (args.from, args.to)
        && from > to
    {
        usage!("--from {from} is later than --to {to}; change them round");
    }
    let now = settings.now.unwrap_or_else(local_time);
    let progress = Progress::new("reading book");
    let books = Books::read(&args.paths, now, &progress)?;
    drop(progress);
    for book in &books.books {
        if let Some(error) = &book.error {
            say(error);
        }
        for line in &book.left_out {
            say(&format!("{}, line {} {}", line.file, line.line, line.what));
        }
        if book.more_left_out > 0 {
            say(&format!("{}: {} more lines could not be added up", book.path, book.more_left_out));
        }
    }
    for (book, loss) in books.books.iter().flat_map(|book| book.losses.iter().map(move |loss| (book, loss))) {
        say(&format!("{}: {}", book.path, loss.sentence()));
    }
    let incomplete = books.incomplete();
    let read = books.books.clone();
    let span = Span { from: args.from, to: args.to };
    let sums = Sums::of(books, span, now.date())?;
    for (machine, rec) in &sums.clashes {
        say(&format!(
            "{machine} gave the number {rec} to several starts, and each is counted; did it lose its memory?"
        ));
    }
    if sums.more_clashes > 0 {
        say(&format!("{} more numbers were given to several starts", sums.more_clashes));
    }
    let tables = tables(&sums);
    let mut out = std::io::stdout().lock();
    if args.json {
        let document = show::document(&read, &sums, span, &tables);
        serde_json::to_writer_pretty(&mut out, &document).map_err(std::io::Error::from)?;
        writeln!(out)?;
    } else if args.csv {
        show::write_csv(out, &tables)?;
    } else if read.iter().any(|book| book.error.is_none()) {
        show::write_text(&mut out, &read, &sums, &tables)?;
    }
    Ok(if incomplete { ExitCode::from(EXIT_INPUT) } else { ExitCode::SUCCESS })
}
