//! The confirmation screen: the verdict and what it rests on.

use core::fmt::Write;

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;

use super::figures::{ClockTime, Day, Figure};
use super::format::{self, Round};
use super::layout::{ALWAYS, Align, Cell, CellRow, Sheet, row};
use super::letters::DIFFERS;
use super::model::{Agreement, Confirmation};
use super::run_model::End;
use super::text::{Face, Line};
use crate::checks::Verdict;
use crate::words::Words;

pub(super) fn draw<D: DrawTarget<Color = BinaryColor>>(
    screen: &Confirmation<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    let verdict = words.verdict(screen.verdict);
    let mut title = Line::new();
    if let Some(read) = &screen.read {
        as_read(&mut title, read, words);
    } else if let Some(was) = screen.was {
        let _ = write!(title, "{} {} ", words.was, words.verdict(was));
    }
    // What finds no room is the name's end, as it is without what stands before it.
    for letter in screen.name.chars() {
        if title.push(letter).is_err() {
            break;
        }
    }
    match screen.verdict {
        Verdict::Hold => sheet.held_title(verdict, &title)?,
        Verdict::Clear | Verdict::Look | Verdict::NoVerdict => sheet.title(verdict, &title)?,
    }
    sheet.row(23, marks(screen, words))?;
    sheet.row(31, filament(screen, words))?;
    sheet.heat(34, heat(screen, words))?;
    sheet.row(53, end(screen, words))?;
    sheet.action(screen.action)
}

/// When the moves were read: `as 10:42`. It leaves no room for the verdict that the header alone had given.
fn as_read(title: &mut Line, read: &ClockTime, words: &Words) {
    let _ = write!(title, "{} ", words.as_read);
    match read.day {
        Day::NotKept => {
            let _ = title.push_str(words.before);
        }
        Day::Today => format::time(title, &read.at),
        // Yesterday is shorter by its weekday.
        Day::Yesterday => format::day(title, &ClockTime { day: Day::Weekday, ..*read }, words),
        Day::Tomorrow | Day::Weekday | Day::Date | Day::OtherYear => format::day(title, read, words),
    }
    let _ = title.push(' ');
}

fn marks(screen: &Confirmation<'_>, words: &Words) -> CellRow {
    let mut buffer = [0; 4];
    let sign = match screen.agreement {
        Agreement::Same => "=",
        Agreement::Differ => DIFFERS.encode_utf8(&mut buffer),
        Agreement::Unknown => "?",
    };
    row([
        Cell::left(Face::Large, &format::mark(screen.job_mark)),
        Cell::left(Face::Large, sign),
        Cell::left(Face::Large, &format::mark(screen.spool_mark)),
        Cell::new(Align::Left, Face::Small, 1, words.spool),
    ])
}

fn filament(screen: &Confirmation<'_>, words: &Words) -> CellRow {
    let length = screen.length.map(|length| format::metres_figure(length, words)).unwrap_or_default();
    let left = format::mass_or_unknown(screen.left.map(Figure::known), Round::Down, words);
    row([
        Cell::new(Align::Left, Face::Small, 1, &length),
        Cell::left(Face::Text, &format::mass_or_unknown(screen.mass, Round::Up, words)),
        Cell::new(Align::Right, Face::Small, 2, words.left),
        Cell::right(Face::Text, &left),
    ])
}

fn heat(screen: &Confirmation<'_>, words: &Words) -> CellRow {
    row([
        Cell::left(Face::Small, words.nozzle),
        Cell::left(Face::Text, &format::celsius_or_unknown(screen.nozzle)),
        Cell::right(Face::Small, words.bed),
        Cell::right(Face::Text, &format::celsius_or_unknown(screen.bed)),
    ])
}

fn end(screen: &Confirmation<'_>, words: &Words) -> CellRow {
    let time = format::figure(screen.time, format::seconds);
    let mut window = Line::new();
    let mut day = Line::new();
    let label = match &screen.end {
        End::Window { from, to } => {
            format::short_day_unless_today(&mut day, from, words);
            format::time(&mut window, &from.at);
            if from.at != *to {
                // Two times fit any line.
                let _ = window.push('-');
                format::time(&mut window, to);
            }
            words.ends
        }
        End::ClockNotSet => words.clock_not_set,
        End::Unknown => words.end_unknown,
    };
    row([
        Cell::new(Align::Left, Face::Text, if window.is_empty() { ALWAYS } else { 2 }, &time),
        Cell::new(Align::Right, Face::Small, if window.is_empty() { ALWAYS } else { 1 }, label),
        Cell::new(Align::Right, Face::Small, ALWAYS, &day),
        Cell::right(Face::Large, &window),
    ])
}
