//! A text that is ours to read was refused: a job header or a record, with the place.

use core::fmt::Write;

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;

use super::layout::{Cell, Sheet, row};
use super::model::{Action, HeaderBroken, RecordRefused};
use super::text::{Face, Line};

pub(super) fn draw_header<D: DrawTarget<Color = BinaryColor>>(
    screen: &HeaderBroken<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    let what = words.header_error(screen.kind);
    sheet.title(words.header_broken, screen.name)?;
    let mut text = Line::new();
    // A key of the header has at most 14 characters.
    let _ = write!(text, "{what} {}", screen.key);
    draw(
        sheet,
        (screen.line, screen.column, 0),
        text.trim_end_matches(' '),
        words.header_remedy,
        screen.action,
    )
}

pub(super) fn draw_record<D: DrawTarget<Color = BinaryColor>>(
    screen: &RecordRefused<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    sheet.title(words.record_refused, screen.file)?;
    draw(sheet, (screen.line, screen.column, screen.more), screen.what, words.record_remedy, screen.action)
}

fn draw<D: DrawTarget<Color = BinaryColor>>(
    sheet: &mut Sheet<'_, D>,
    (line, column, more): (u32, u32, u16),
    what: &str,
    remedy: &str,
    action: Action,
) -> Result<(), D::Error> {
    let words = sheet.words;
    let mut place = Line::new();
    // Two words of ours and two numbers fit any line; of the first of several faults, how many more there are.
    let _ = write!(place, "{} {line}, {} {column}", words.line, words.column);
    let _ = if more == 0 { write!(place, ":") } else { write!(place, " (+{more})") };
    sheet.row(20, row([Cell::left(Face::Text, &place)]))?;
    sheet.row(29, row([Cell::left(Face::Text, what)]))?;
    sheet.paragraph(41, 2, remedy)?;
    sheet.action(action)
}
