//! One point: level, signal word, what is wrong with its numbers, and on the other side what helps.

use core::fmt::Write;

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;

use super::format;
use super::layout::{COLUMNS, Cell, FACT_BASELINE, FACT_LINES, FACT_PITCH, Sheet, WIDTH, row};
use super::model::{Point, Side};
use super::signs::{ALERT, MORE_ABOVE, MORE_BELOW};
use super::text::{self, Body, Face, Line};
use crate::checks::Signal;
use crate::records::Language;
use crate::words::{Words, words};

/// The highest [`Point::scroll`] that still shows a full page; 0 where all lines fit.
#[must_use]
pub fn point_scroll_end(point: &Point<'_>, language: Language) -> u8 {
    let lines = text::wrap(&wording(point, words(language)), COLUMNS).count();
    u8::try_from(lines.saturating_sub(FACT_LINES)).unwrap_or(u8::MAX)
}

fn wording(point: &Point<'_>, words: &Words) -> Body {
    let wording = match point.side {
        Side::What => point.what,
        Side::Remedy => point.remedy,
    };
    text::body(&format::fill(wording, point.values, words))
}

pub(super) fn draw<D: DrawTarget<Color = BinaryColor>>(
    screen: &Point<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    let mut place = Line::new();
    // Two numbers of three digits fit any line.
    let _ = write!(place, "{}/{}", screen.number, screen.count);
    sheet.title(words.level(screen.level), &place)?;
    draw_signal(screen, sheet, &place)?;

    let ready = wording(screen, words);
    let lines = text::wrap(&ready, COLUMNS).count();
    let end = lines.saturating_sub(FACT_LINES);
    let skipped = usize::from(screen.scroll).min(end);
    let baselines = (FACT_BASELINE..).step_by(FACT_PITCH as usize).take(FACT_LINES);
    for (baseline, piece) in baselines.zip(text::wrap(&ready, COLUMNS).skip(skipped)) {
        sheet.line(baseline, piece)?;
    }
    let arrow_x = WIDTH - i32::from(MORE_ABOVE.width);
    if skipped > 0 {
        sheet.sign(&MORE_ABOVE, arrow_x, 55)?;
    }
    if skipped < end {
        sheet.sign(&MORE_BELOW, arrow_x, 60)?;
    }
    sheet.action(screen.action)
}

/// The signal word between level and place, with the alert sign where a person may be hurt.
fn draw_signal<D: DrawTarget<Color = BinaryColor>>(
    screen: &Point<'_>,
    sheet: &mut Sheet<'_, D>,
    place: &str,
) -> Result<(), D::Error> {
    let mut from = text::width(Face::Large, sheet.words.level(screen.level)) + 4;
    let to = WIDTH - text::width(Face::Text, place) - 3;
    let injury = matches!(screen.signal, Signal::Caution | Signal::Warning);
    if injury {
        sheet.sign(&ALERT, from, 1)?;
        from += i32::from(ALERT.width) + 2;
    }
    let word = Cell::left(if injury { Face::Large } else { Face::Text }, sheet.words.signal(screen.signal));
    sheet.row_in(11, (from, to), BinaryColor::On, row([word]))
}
