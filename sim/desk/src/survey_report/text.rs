//! The report for people: a section for each kind of value, each value with its unit.

use std::io::{self, Write};

use holdpoint_shared::header::HeaderOutcome;
use holdpoint_shared::survey::{Bounds, NameTally, Reading, Tally, UnreadKind};
use unicode_width::UnicodeWidthStr;

use super::{Surveyed, matter, run};
use crate::amounts::mm;
use crate::stated::Row;

/// Columns that a value's name fills.
const NAME_COLUMNS: usize = 26;

/// Where a report's lines go.
pub(super) struct Page<'o> {
    out: &'o mut dyn Write,
}

impl Page<'_> {
    pub(super) fn section(&mut self, title: &str) -> io::Result<()> {
        writeln!(self.out, "\n{title}")
    }

    pub(super) fn row(&mut self, name: &str, value: &str) -> io::Result<()> {
        let gap = NAME_COLUMNS.saturating_sub(name.width());
        writeln!(self.out, "  {name}{:gap$}  {value}", "")
    }

    /// Says how often and where first; nothing when never.
    pub(super) fn tally(&mut self, name: &str, met: Tally) -> io::Result<()> {
        if met.any() { self.row(name, &times(met)) } else { Ok(()) }
    }
}

/// How often, and where first.
pub(super) fn times(met: Tally) -> String {
    match met.count {
        1 => format!("once, line {}", met.first_line),
        count => format!("{count} times, first on line {}", met.first_line),
    }
}

/// A box along the axes.
pub(super) fn bounds(bounds: &Bounds) -> String {
    if bounds.is_empty() {
        return "nowhere".to_owned();
    }
    let sides = ["X", "Y", "Z"].iter().zip(bounds.min_nm.iter().zip(bounds.max_nm));
    let sides: Vec<_> =
        sides.map(|(axis, (min, max))| format!("{axis} {} to {}", mm(*min), mm(max))).collect();
    sides.join(", ")
}

/// Prints all that a survey yields.
///
/// # Errors
/// When `out` cannot be written.
pub fn write_text(out: &mut impl Write, surveyed: &Surveyed<'_>) -> io::Result<()> {
    let page = &mut Page { out };
    writeln!(page.out, "{}", surveyed.path)?;
    writeln!(page.out, "surveyed for {}", surveyed.machine_words)?;
    if let Some(why) = surveyed.job.prints_nothing() {
        writeln!(page.out, "This file {why}. It gets NO VERDICT.")?;
    }
    file(page, surveyed)?;
    stated(page, surveyed.rows)?;
    matter::write(page, surveyed)?;
    run::write(page, &surveyed.job.survey)?;
    words(page, &surveyed.job.survey.reading)?;
    not_read(page, &surveyed.job.survey.reading)
}

fn file(page: &mut Page<'_>, surveyed: &Surveyed<'_>) -> io::Result<()> {
    let reading = &surveyed.job.survey.reading;
    page.section("File")?;
    page.row("size", &format!("{} bytes, {} lines", reading.bytes, reading.lines))?;
    page.row("lines that move", &reading.moves.to_string())?;
    page.row(
        "job header",
        &match &surveyed.job.header {
            HeaderOutcome::Absent => "none; `holdpoint stamp` writes one".to_owned(),
            HeaderOutcome::Read { body_at, .. } => format!("read, ends at byte {body_at}"),
            HeaderOutcome::Broken(error) => format!("cannot be read: {error}"),
        },
    )?;
    let what = if reading.header_ended { "after the header" } else { "whole file" };
    page.row(what, &format!("{} bytes, CRC-32 {:08x}", reading.body_bytes, reading.body_crc32))?;
    if reading.byte_order_mark {
        page.row("begins with", "a UTF-8 byte-order mark, which some machines take for a word")?;
    }
    if surveyed.job.hints.conflicts > 0 {
        let count = surveyed.job.hints.conflicts;
        page.row("comments", &format!("{count} state another value than one before; the first counts"))?;
    }
    Ok(())
}

fn stated(page: &mut Page<'_>, rows: &[Row]) -> io::Result<()> {
    page.section("Stated, by source")?;
    for row in rows {
        let sources = [("header", &row.header), ("comment", &row.comment), ("moves", &row.moves)];
        let said =
            sources.iter().filter_map(|(source, amount)| Some(format!("{source} {}", amount.as_ref()?)));
        let said: Vec<_> = said.collect();
        let mark = if row.differs { "  <- differs" } else { "" };
        page.row(row.words, &format!("{}{mark}", said.join(", ")))?;
    }
    if rows.is_empty() {
        page.row("nothing", "no header, no comment, no move")?;
    }
    Ok(())
}

fn words(page: &mut Page<'_>, reading: &Reading) -> io::Result<()> {
    let firsts = [
        ("change settings", &reading.stores),
        ("reach elsewhere", &reading.reaches),
        ("shift the work", &reading.shifts),
    ];
    if !reading.unknown.any() && !reading.baby_steps.any() && !firsts.iter().any(|(_, first)| first.met.any())
    {
        return Ok(());
    }
    page.section("Words that move nothing")?;
    page.tally("words to look at", reading.unknown)?;
    named(page, &reading.unknown_names, reading.unknown)?;
    for (what, first) in firsts.into_iter().filter(|(_, first)| first.met.any()) {
        page.tally(what, first.met)?;
        page.row("  first", &first.name)?;
    }
    page.tally("baby steps", reading.baby_steps)
}

fn named(page: &mut Page<'_>, names: &[NameTally], all: Tally) -> io::Result<()> {
    for name in names {
        page.row(&format!("  {}", name.name), &times(name.met))?;
    }
    let listed: u32 = names.iter().map(|name| name.met.count).sum();
    if listed < all.count {
        page.row("  others", &format!("{} times", all.count - listed))?;
    }
    Ok(())
}

fn not_read(page: &mut Page<'_>, reading: &Reading) -> io::Result<()> {
    page.section("Not read, and why")?;
    let odd = [
        ("lines over 256 characters", reading.long_lines),
        ("cannot be read as words", reading.malformed),
        ("rounded to 0.000001", reading.rounded),
        ("letter twice on a line", reading.repeated),
        ("lines begun with /", reading.block_deleted),
        ("may move or heat, unclear", reading.doubtful),
        ("control characters", reading.controls.met),
    ];
    for (name, met) in odd {
        page.tally(name, met)?;
    }
    if reading.unread.met.any() {
        let why = reading.unread.first.map_or("reason not kept", unread_words);
        page.row("words with no move", &format!("{}: {why}", times(reading.unread.met)))?;
    }
    let checksums = &reading.checksums;
    if checksums.checked > 0 {
        page.row("lines with a check", &checksums.checked.to_string())?;
        page.tally("line checks that fail", checksums.failed)?;
    }
    if let Some(at) = reading.non_text_at {
        page.row("bytes that are no text", &format!("{}, first at byte {at}", reading.non_text_bytes))?;
    }
    let blank = &reading.blank;
    if blank.bytes > 0 {
        page.row(
            "longest blank run",
            &format!("{} bytes of 0x{:02X} at byte {}", blank.bytes, blank.value, blank.at_byte),
        )?;
    }
    let all_read = !odd.iter().any(|(_, met)| met.any())
        && !reading.unread.met.any()
        && checksums.checked == 0
        && reading.non_text_at.is_none()
        && blank.bytes == 0;
    if all_read { page.row("nothing", "every line was read") } else { Ok(()) }
}

/// Why a line gave nothing, in words.
pub(super) const fn unread_words(kind: UnreadKind) -> &'static str {
    match kind {
        UnreadKind::ArcPlane => "an arc in another plane than XY",
        UnreadKind::ArcIncomplete => "an arc with neither centre nor radius",
        UnreadKind::ArcRadius => "an arc whose radius does not reach its end",
        UnreadKind::TwoCommands => "two words that want the same axis words",
        UnreadKind::FeedForm => "feed per revolution or in inverse time",
        UnreadKind::Volumetric => "filament measured by volume",
        UnreadKind::TooLarge => "an arc too large to be reckoned with",
        UnreadKind::ManyWords => "several commands on one line",
    }
}
