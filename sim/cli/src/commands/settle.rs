//! `holdpoint settle`: a lead settles a check's NOTE or LOOK for one spool or machine, lists and undoes it.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, Result, bail};
use chrono::NaiveDateTime;
use clap::{Args, ValueEnum};
use holdpoint_desk::settled::{self, Entry, For, SettledFile};
use holdpoint_desk::setup::Records;
use holdpoint_desk::shown::{Shown, has_hidden};
use holdpoint_shared::checks::find;
use holdpoint_shared::records::OwnerCode;

use crate::args::Settings;
use crate::clock::local_time;
use crate::commands::checks::check_number;
use crate::say::say;
use crate::source::Source;

/// What `settle` takes.
#[derive(Debug, Args)]
#[command(after_help = "\
A settled check still shows its point, marked as settled, but the point no longer raises the verdict. A HOLD cannot be
settled, nor the checks that `holdpoint checks` marks as never silenced.

Examples:
  holdpoint settle card.img --check 63 --for spool --why \"kept in a dry box\" --by K7
  holdpoint settle jobs/ --check 10 --for machine      the machine of jobs/HOLDPT/MACHINE.JSN
  holdpoint settle card.img --list                     what is settled, by whom and why
  holdpoint settle card.img --check 63 --for spool --undo")]
pub struct SettleArgs {
    /// Card image or folder whose HOLDPT folder keeps it
    #[arg(value_name = "CARD|FOLDER")]
    pub path: PathBuf,
    /// Number of the check
    #[arg(long, value_name = "CHECK", value_parser = check_number, required_unless_present = "list", requires = "scope")]
    pub check: Option<u8>,
    /// Settle it for the card's machine (MACHINE.JSN, or --machine) or its spool (SPOOL.JSN, or --spool)
    #[arg(long = "for", value_name = "WHAT", required_unless_present = "list")]
    pub scope: Option<Kind>,
    /// Why it is no fault here
    #[arg(long, value_name = "TEXT", value_parser = short::<200>)]
    pub why: Option<String>,
    /// Code of the lead who settles it: two to four letters or digits, never a name
    #[arg(long, value_name = "CODE", value_parser = code)]
    pub by: Option<String>,
    /// Undo it: the point weighs again
    #[arg(long)]
    pub undo: bool,
    /// List what is settled on this card
    #[arg(long, conflicts_with_all = ["check", "scope", "why", "by", "undo"])]
    pub list: bool,
}

/// For what, as it is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Kind {
    /// The machine.
    Machine,
    /// The spool.
    Spool,
}

/// A person's code, as the device takes one.
fn code(text: &str) -> Result<String, String> {
    OwnerCode::new(text)
        .map(|code| code.as_str().to_owned())
        .ok_or_else(|| "write a code of two to four letters or digits, such as K7; no names".to_owned())
}

/// A text of one line, at most `N` bytes.
fn short<const N: usize>(text: &str) -> Result<String, String> {
    if text.is_empty() || text.len() > N || has_hidden(text) {
        return Err(format!("write one line of 1 to {N} bytes"));
    }
    Ok(text.to_owned())
}

/// Settles, undoes or lists.
///
/// # Errors
/// When the card cannot be read or written, or the check cannot be settled.
pub fn run(args: &SettleArgs, settings: &Settings) -> Result<ExitCode> {
    let now = settings.now.unwrap_or_else(local_time);
    let mut source = Source::at(&args.path, now)?;
    let mut files = if args.list { source.open()? } else { source.open_writable()? };
    let mut file = SettledFile::load(&mut files, &args.path)?;
    file.left_out.iter().for_each(|what| say(what));
    let mut out = std::io::stdout().lock();
    let (Some(check), Some(kind)) = (args.check, args.scope) else {
        return list(&mut out, &file).map(|()| ExitCode::SUCCESS);
    };
    let setup = Records::load(&settings.overrides()?, Some(&mut files), &args.path)?.whole()?.setup;
    let (scope, of) = match kind {
        Kind::Machine => (For::Machine, setup.machine.tag.as_str()),
        Kind::Spool => (For::Spool, setup.spool.as_ref().map_or("", |spool| spool.id.as_str())),
    };
    if of.is_empty() {
        let word = scope.word();
        let record = word.to_uppercase();
        bail!(
            "{}: no {word} is known there; put {record}.JSN into HOLDPT, or name one with --{word}",
            args.path.shown()
        );
    }
    let entry = entry(args, now, (check, scope, of));
    if args.undo
        && !file.settled.iter().any(|held| (held.check, held.scope, &*held.of) == (check, scope.scope(), of))
    {
        bail!(
            "{}: check {check} is not settled for {} {of}; --list shows what is",
            args.path.shown(),
            scope.word()
        );
    }
    file.take(entry.clone()).with_context(|| args.path.shown().to_string())?;
    let written = settled::append(&mut files, &entry);
    written.map_err(|fault| files.describe(&args.path, fault))?;
    let (done, id) =
        (if args.undo { "no longer settled" } else { "settled" }, find(check).map_or("", |row| row.id));
    writeln!(out, "check {check} ({id}) is {done} for {} {of}", scope.word())?;
    Ok(ExitCode::SUCCESS)
}

fn entry(args: &SettleArgs, now: NaiveDateTime, (check, scope, of): (u8, For, &str)) -> Entry {
    Entry {
        check,
        scope,
        of: of.to_owned(),
        day: now.date(),
        undone: args.undo,
        by: args.by.clone(),
        why: args.why.clone(),
    }
}

fn list(out: &mut impl Write, file: &SettledFile) -> Result<()> {
    if file.settled.iter().next().is_none() {
        writeln!(out, "nothing is settled")?;
    }
    for held in &file.settled {
        let id = find(held.check).map_or("", |row| row.id);
        write!(
            out,
            "{:>3}  {:<7} {:<16}  {}  {id}",
            held.check,
            For::from(held.scope).word(),
            held.of,
            held.day.map(|day| day.to_string()).unwrap_or_default()
        )?;
        let entry = file.entry(held);
        if let Some(by) = entry.and_then(|entry| entry.by.as_ref()) {
            write!(out, "  by {by}")?;
        }
        if let Some(why) = entry.and_then(|entry| entry.why.as_ref()) {
            write!(out, "  ({why})")?;
        }
        writeln!(out)?;
    }
    Ok(())
}
