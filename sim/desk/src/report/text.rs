//! `vet`'s text: a table within 80 columns, points with what to do, a total.

use std::io::{self, Write};
use std::path::Path;

use chrono::Datelike;
use holdpoint_shared::checks::{CATALOGUE, Verdict};
use holdpoint_shared::limits::FOLDER_DEPTH;
use holdpoint_shared::records::Language;
use holdpoint_shared::words::words as core_words;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use super::words::{counted, words};
use super::{CardReport, JobReport, ROOM_RULES};
use crate::listing::Listing;
use crate::shown::Shown;
use crate::verdict;

/// Columns of a line at most: a terminal's of old, and half of a page's.
pub const WIDTH: usize = 80;

/// Columns of a verdict, and of the blank after it.
const VERDICT: usize = 11;

/// Columns of need, time and end, each with its blanks before it.
const NEED: usize = 7;
const TIME: usize = 8;
const END: usize = 17;

/// Columns of a material's mark at least.
const MARK: usize = 8;

/// Where points begin, and where their second lines do.
const POINT: usize = 4;
const REMEDY: usize = 12;

/// The table of the jobs of one card after the other.
#[derive(Debug)]
pub struct Table {
    several: bool,
    /// Columns of the names, and of the marks, in the last heading.
    columns: Option<(usize, usize)>,
    /// The spool of the last heading.
    spool: Option<Option<String>>,
}

impl Table {
    /// A table of one card, or of several that are named.
    #[must_use]
    pub const fn new(several: bool) -> Self {
        Self { several, columns: None, spool: None }
    }

    /// Writes the lines above the jobs of a card: its name, the spool, and the columns' heads, as far as the lines above
    /// do not say it already. Single files of the command line, which are as many cards, stand in one table, as wide as
    /// `names`.
    ///
    /// # Errors
    /// When `out` cannot be written.
    pub fn write_heading(
        &mut self,
        out: &mut impl Write,
        card: &CardReport,
        names: Option<usize>,
    ) -> io::Result<()> {
        let Some(first) = card.jobs.first() else { return Ok(()) };
        let words = words(first.language);
        let mark =
            card.jobs.iter().map(|job| moulded(job.job_mark.as_deref()).width()).fold(MARK, usize::max);
        let widest = WIDTH.saturating_sub(VERDICT + 1 + mark + NEED + TIME + END);
        let name = card.jobs.iter().map(|job| job.path().width()).max().unwrap_or(0);
        let columns = (names.unwrap_or(name).clamp(3, widest.max(3)), mark);
        let new_card = self.several && names.is_none();
        if new_card {
            if self.columns.is_some() {
                writeln!(out)?;
            }
            write_folded(out, &format!("{}:", card.path), 0, 0)?;
        }
        let new_spool = self.spool.as_ref() != Some(&first.spool_mark);
        if new_card || new_spool {
            let spool = first
                .spool_mark
                .as_deref()
                .map_or(words.unknown_spool.to_owned(), |spool| moulded(Some(spool)));
            writeln!(out, "{}: {spool}", words.spool)?;
        }
        if new_card || new_spool || self.columns != Some(columns) {
            let [verdict, job, material, needs, takes, ends] = words.heads;
            let (name, mark) = columns;
            let line = format!(
                "{verdict:<VERDICT$}{job:<name$} {material:<mark$}{needs:>NEED$}{takes:>TIME$}  {ends}"
            );
            writeln!(out, "{}", line.trim_end())?;
        }
        self.columns = Some(columns);
        self.spool = Some(first.spool_mark.clone());
        Ok(())
    }

    /// Writes a job under this name: verdict, name, mark of its material, need, time and end. A name too long for its column has a line
    /// of its own.
    ///
    /// # Errors
    /// When `out` cannot be written.
    pub fn write_job(&self, out: &mut impl Write, named: &str, job: &JobReport) -> io::Result<()> {
        let (name, mark_width) = self.columns.unwrap_or((3, MARK));
        let style = verdict::style(job.verdict);
        let need = job.mass_mg.map_or("?".to_owned(), grams);
        let time = job.duration_s.map_or("?".to_owned(), duration);
        let material = moulded(job.job_mark.as_deref());
        let blank = mark_width.saturating_sub(material.width());
        let values = format!("{material}{:blank$}{need:>NEED$}{time:>TIME$}  {}", "", end(job));
        let values = values.trim_end();
        let lines = pieces(named, WIDTH - VERDICT);
        let room = WIDTH.saturating_sub(VERDICT + 1 + values.width()).min(name);
        for (number, line) in lines.iter().enumerate() {
            match number {
                0 => write!(
                    out,
                    "{style}{:<width$}{style:#}{line}",
                    verdict::word(job.verdict),
                    width = VERDICT
                )?,
                _ => write!(out, "\n{:VERDICT$}{line}", "")?,
            }
        }
        match lines.as_slice() {
            [line] if line.width() <= room => {
                writeln!(
                    out,
                    "{:gap$} {values}",
                    "",
                    gap = name.saturating_sub(line.width()).min(room - line.width())
                )
            }
            _ => writeln!(
                out,
                "\n{:gap$}{values}",
                "",
                gap = (VERDICT + name + 1).min(WIDTH.saturating_sub(values.width()))
            ),
        }
    }

    /// Writes the worst point of a job that weighs.
    ///
    /// # Errors
    /// When `out` cannot be written.
    pub fn write_worst(&self, out: &mut impl Write, job: &JobReport) -> io::Result<()> {
        let worst = job.points.iter().find(|point| point.settled.is_none());
        worst.map_or(Ok(()), |point| write_folded(out, &point.what, VERDICT, VERDICT))
    }

    /// Writes how many points are settled, and what the header alone had promised.
    ///
    /// # Errors
    /// When `out` cannot be written.
    pub fn write_notes(&self, out: &mut impl Write, job: &JobReport) -> io::Result<()> {
        let words = words(job.language);
        let settled = job.points.iter().filter(|point| point.settled.is_some()).count();
        let settled = (settled > 0).then(|| counted(settled, words.settled));
        let first =
            job.first_verdict.map(|first| format!("{}: {}", words.by_header_alone, verdict::word(first)));
        let notes: Vec<String> = settled.into_iter().chain(first).collect();
        if notes.is_empty() {
            return Ok(());
        }
        write_folded(out, &format!("({})", notes.join("; ")), VERDICT, VERDICT)
    }
}

/// `>PLA<`, as it is moulded on plastics.
fn moulded(symbol: Option<&str>) -> String {
    symbol.map_or("?".to_owned(), |symbol| format!(">{symbol}<"))
}

/// The day and the span in which it ends.
fn end(job: &JobReport) -> String {
    let (Some(from), Some(to)) = (job.ends_from, job.ends_to) else { return "?".to_owned() };
    let day = core_words(job.language).weekdays.get(from.weekday().num_days_from_monday() as usize);
    format!("{} {}-{}", day.unwrap_or(&""), from.format("%H:%M"), to.format("%H:%M"))
}

/// Every point of a job with its remedy, and what is wrong with its header; with `only`, the points of that check, each
/// with its rule and the rule's source.
///
/// # Errors
/// When `out` cannot be written.
pub fn write_points(out: &mut impl Write, job: &JobReport, only: Option<u8>) -> io::Result<()> {
    let words = words(job.language);
    if let (Some(problem), None) = (&job.header_error, only) {
        write_folded(out, &problem.said, POINT, REMEDY)?;
    }
    if let (Some(seconds), Some(from), false, None) =
        (job.duration_s, job.duration_from, job.other_durations.is_empty(), only)
    {
        let by = |source: &str| {
            let place = ["moves", "header", "comment"].iter().position(|known| *known == source);
            place.and_then(|place| words.by.get(place)).copied().unwrap_or_default()
        };
        let all = std::iter::once((from, seconds));
        let all = all.chain(job.other_durations.iter().map(|other| (other.from, other.duration_s)));
        let all: Vec<_> = all.map(|(from, seconds)| format!("{} {}", duration(seconds), by(from))).collect();
        write_folded(out, &format!("{}: {}", words.time, all.join(", ")), POINT, REMEDY)?;
    }
    if job.material_row == Some(ROOM_RULES) && only.is_none() {
        write_folded(out, words.own_material, POINT, REMEDY)?;
    }
    for point in job.points.iter().filter(|point| only.is_none_or(|check| check == point.check)) {
        let settled = point.settled.map(|day| format!(" {} {day}:", words.settled_on)).unwrap_or_default();
        let signal = match core_words(job.language).signal(point.signal) {
            "" => String::new(),
            word => format!(" {word}:"),
        };
        let what = format!("{} {:>2}{settled}{signal} {}", point.level, point.check, point.what);
        write_folded(out, &what, POINT, REMEDY)?;
        write_folded(out, &point.remedy, REMEDY, REMEDY)?;
        for row in CATALOGUE.iter().filter(|row| only == Some(row.number)) {
            write_folded(out, &format!("{}: {}", words.rule, row.rule), REMEDY, REMEDY)?;
            write_folded(out, &format!("{}: {}", words.source, row.source), REMEDY, REMEDY)?;
        }
    }
    Ok(())
}

/// The last line: how many jobs got which verdict, and what they need together.
///
/// # Errors
/// When `out` cannot be written.
pub fn write_total(out: &mut impl Write, cards: &[CardReport], language: Language) -> io::Result<()> {
    let words = words(language);
    let jobs: Vec<&JobReport> = cards.iter().flat_map(|card| &card.jobs).collect();
    let verdicts = [Verdict::Clear, Verdict::Look, Verdict::Hold, Verdict::NoVerdict].map(|verdict| {
        let count = jobs.iter().filter(|job| job.verdict == verdict).count();
        (count > 0).then(|| format!("{count} {}", verdict::word(verdict)))
    });
    let verdicts: Vec<String> = verdicts.into_iter().flatten().collect();
    let mut text = counted(jobs.len(), words.jobs);
    if !verdicts.is_empty() {
        text = format!("{text}: {}", verdicts.join(", "));
    }
    text.push('.');
    let known: Vec<(i64, u32)> = jobs.iter().filter_map(|job| job.mass_mg.zip(job.duration_s)).collect();
    if known.len() > 1 {
        let need = known.iter().fold(0_i64, |sum, (need, _)| sum.saturating_add(*need));
        let time = known.iter().fold(0_u32, |sum, (_, time)| sum.saturating_add(*time));
        text = format!("{text} {}: {}, {}", words.together, grams(need), duration(time));
        match jobs.len() - known.len() {
            0 => {}
            1 => text = format!("{text}, {}", words.unknown[0]),
            _ => text = format!("{text}, {}", words.unknown[1]),
        }
        text.push('.');
    }
    let unread = cards.iter().filter(|card| card.error.is_some() || card.left_out.is_some()).count();
    if unread > 0 {
        text = format!("{text} {}.", counted(unread, words.unread));
    }
    write_folded(out, &text, 0, 0)
}

/// What to do next about jobs without any record.
///
/// # Errors
/// When `out` cannot be written.
pub fn no_records(out: &mut impl Write, language: Language) -> io::Result<()> {
    write_folded(out, words(language).no_records, 0, 0)
}

/// What a listing of the card at `path` left out, and where the first of it lies; `None` = nothing.
#[must_use]
pub fn left_out(listing: &Listing, path: &Path, language: Language) -> Option<String> {
    let census = &listing.census;
    let [begin, deep, unreadable, circular, hidden, first, remedy] = words(language).left_out;
    let deep = deep.replace("{}", &FOLDER_DEPTH.to_string());
    let parts = [
        (census.too_deep, deep.as_str()),
        (census.unreadable, unreadable),
        (census.circular, circular),
        (census.hidden, hidden),
    ];
    let parts = parts.iter().filter(|(count, _)| *count > 0);
    let parts: Vec<String> = parts.map(|(count, what)| format!("{count} {what}")).collect();
    (census.left_out() > 0).then(|| {
        let place = listing.first_left_out.shown();
        format!("{}: {begin}: {}; {first} {place}; {remedy}", path.shown(), parts.join(", "))
    })
}

/// Writes a text within [`WIDTH`], its first line from column `first` on and the others from column `rest`.
fn write_folded(out: &mut impl Write, text: &str, first: usize, rest: usize) -> io::Result<()> {
    for (number, line) in fold(text, WIDTH - first, WIDTH - rest).iter().enumerate() {
        writeln!(out, "{:indent$}{line}", "", indent = if number == 0 { first } else { rest })?;
    }
    Ok(())
}

/// A text in lines, the first and the others of so many columns at most.
fn fold(text: &str, first: usize, rest: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let width = if lines.len() < 2 { first } else { rest };
        match lines.last_mut() {
            Some(line) if line.width() + 1 + word.width() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.extend(pieces(word, first.min(rest))),
        }
    }
    lines
}

/// A text in pieces of so many columns at most, wherever that cuts it.
fn pieces(text: &str, width: usize) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for letter in text.chars() {
        match pieces.last_mut() {
            Some(piece) if piece.width() + letter.width().unwrap_or(0) <= width => piece.push(letter),
            _ => pieces.push(letter.to_string()),
        }
    }
    pieces
}

/// Milligrams as grams, below ten grams to the tenth; rounded up like the device's, so that the two never differ and a
/// need never looks smaller than it is.
fn grams(mg: i64) -> String {
    let up = |step: i64| mg.saturating_add(step - 1).div_euclid(step);
    let tenths = up(100);
    if tenths < 100 { format!("{}.{} g", tenths / 10, tenths % 10) } else { format!("{} g", up(1000)) }
}

/// A span in hours and minutes, rounded up to the minute.
fn duration(seconds: u32) -> String {
    let minutes = seconds.div_ceil(60);
    if minutes < 60 { format!("{minutes} min") } else { format!("{} h {:02}", minutes / 60, minutes % 60) }
}

#[cfg(test)]
mod tests {
    use super::{duration, fold, grams};

    #[test]
    fn needs_are_rounded_up() {
        assert_eq!(grams(0), "0.0 g");
        assert_eq!(grams(900), "0.9 g");
        assert_eq!(grams(901), "1.0 g");
        assert_eq!(grams(4_943), "5.0 g");
        assert_eq!(grams(9_900), "9.9 g");
        assert_eq!(grams(9_901), "10 g");
        assert_eq!(grams(62_000), "62 g");
        assert_eq!(grams(62_001), "63 g");
        assert_eq!(grams(i64::MAX), "9223372036854775 g");
        assert_eq!(duration(0), "0 min");
        assert_eq!(duration(3_540), "59 min");
        assert_eq!(duration(3_541), "1 h 00");
        assert_eq!(duration(9_600), "2 h 40");
    }

    #[test]
    fn a_text_is_folded_at_its_blanks_and_a_long_word_where_the_line_ends() {
        assert_eq!(fold("one two  three", 7, 7), ["one two", "three"]);
        assert_eq!(fold("  ", 7, 7), [""; 0]);
        assert_eq!(fold("ab üüüüü cd", 5, 3), ["ab", "üüü", "üü", "cd"]);
    }
}
