//! One point: level, signal word, what is wrong with its numbers, and on the other side what helps.

use core::fmt::Write;

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;

use super::format;
use super::layout::{Cell, FACT_BASELINE, FACT_LINES, FACT_PITCH, HELD_X, RULE_Y, Sheet, WIDTH, row};
use super::model::{PointScreen, Side};
use super::signs::{MORE_ABOVE, MORE_BELOW};
use super::text::{self, COLUMNS, Face, Line, TextBody};
use crate::checks::{Level, Signal, Value};
use crate::records::Language;
use crate::words::checks::number;
use crate::words::{Words, words};

/// The highest [`PointScreen::scroll`] that still shows a full page; 0 where all lines fit.
#[must_use]
pub fn point_scroll_end(point: &PointScreen<'_>, language: Language) -> u8 {
    let lines = text::wrap(&wording(point, words(language)), COLUMNS).count();
    u8::try_from(lines.saturating_sub(PointPage::of(point.signal).lines)).unwrap_or(u8::MAX)
}

/// Where the wording stands.
struct PointPage {
    baseline: i32,
    lines: usize,
}

impl PointPage {
    /// A word for injury takes a line of its own.
    const fn of(signal: Signal) -> Self {
        match signal {
            Signal::None | Signal::Notice => Self { baseline: FACT_BASELINE, lines: FACT_LINES },
            Signal::Caution | Signal::Warning => Self { baseline: 32, lines: FACT_LINES - 1 },
        }
    }
}

fn wording(point: &PointScreen<'_>, words: &Words) -> TextBody {
    let wording = match point.side {
        Side::What => point.what,
        Side::Remedy => point.remedy,
    };
    text::body(&format::fill(wording, &|place, out| {
        let value = point.values.get(place)?;
        // A line holds every number in full.
        let _ = number::value(out, value, words.decimal);
        Some(!matches!(value, Value::Text(_)))
    }))
}

pub(super) fn draw<D: DrawTarget<Color = BinaryColor>>(
    screen: &PointScreen<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    let mut place = Line::new();
    // Two numbers of three digits fit any line.
    let _ = write!(place, "{}/{}", screen.number, screen.count);
    let level = if screen.settled.is_some() { words.settled } else { words.level(screen.level) };
    let word_x = if screen.level == Level::Hold {
        sheet.held_title(level, &place)?;
        HELD_X
    } else {
        sheet.title(level, &place)?;
        0
    };
    // Beside the level: since when it is settled, else the word for property.
    let mut beside = Line::new();
    match (&screen.settled, screen.signal) {
        (Some(since), _) => format::day(&mut beside, since, words),
        // The word fits any line.
        (None, Signal::Notice) => drop(beside.push_str(words.notice)),
        (None, _) => {}
    }
    if !beside.is_empty() {
        let from = word_x + text::width(Face::Large, level) + 5;
        let to = WIDTH - 1 - text::width(Face::Text, &place) - 3;
        sheet.row_in(9, (from, to), BinaryColor::On, row([Cell::left(Face::Text, &beside)]))?;
    }
    // A word for injury stands in any case.
    if matches!(screen.signal, Signal::Caution | Signal::Warning) {
        sheet.signal(RULE_Y + 1, screen.signal, "")?;
    }

    let page = PointPage::of(screen.signal);
    let ready = wording(screen, words);
    let end = text::wrap(&ready, COLUMNS).count().saturating_sub(page.lines);
    let skipped = usize::from(screen.scroll).min(end);
    let mut baseline = page.baseline;
    for piece in text::wrap(&ready, COLUMNS).skip(skipped).take(page.lines) {
        sheet.line(baseline, piece)?;
        baseline += FACT_PITCH;
    }
    let arrow_x = WIDTH - i32::from(MORE_ABOVE.width);
    if skipped > 0 {
        sheet.sign(&MORE_ABOVE, arrow_x, 55)?;
    }
    if skipped < end {
        sheet.sign(&MORE_BELOW, arrow_x, 60)?;
    }
    sheet.action_to(arrow_x - 1, screen.action)
}
