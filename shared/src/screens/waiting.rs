//! No card: what the machine holds, when the room shuts, whether the plate is hot.

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;

use core::fmt::Write;

use super::figures::Figure;
use super::format::{self, Round, UNKNOWN};
use super::layout::{ALWAYS, Align, Cell, CellRow, Sheet, row};
use super::model::{Action, Closing, LoadedSpool, Outcome, Waiting};
use super::text::{Face, Line};
use crate::words::Words;

const HEAT_TOP: i32 = 44;

pub(super) fn draw<D: DrawTarget<Color = BinaryColor>>(
    screen: &Waiting<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    sheet.title(words.waiting, screen.machine)?;
    match &screen.spool {
        Some(spool) => draw_spool(spool, sheet)?,
        None => sheet.line(23, words.no_spool_ticket)?,
    }
    sheet.row(41, closing_and_last(screen, words))?;
    sheet.plate(HEAT_TOP, screen.plate)?;
    sheet.action(Action::PutCardIn)
}

fn draw_spool<D: DrawTarget<Color = BinaryColor>>(
    spool: &LoadedSpool<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    let left = format::mass_or_unknown(spool.left.map(Figure::known), Round::Down, words);
    sheet.row(
        23,
        row([
            Cell::left(Face::Large, &format::mark(spool.mark)),
            Cell::right(Face::Large, &left),
            Cell::right(Face::Small, words.left),
        ]),
    )?;
    let mut tag = Line::new();
    // Long colours are cut by the row.
    let _ = write!(tag, "{} {}", spool.id, spool.colour.unwrap_or(UNKNOWN));
    sheet.row(
        32,
        row([
            Cell::left(Face::Small, &tag),
            Cell::right(Face::Small, &format::give_or_take(spool.left_error, words)),
        ]),
    )
}

fn closing_and_last(screen: &Waiting<'_>, words: &Words) -> CellRow {
    let mut clock = Line::new();
    let mut day = Line::new();
    let label = match &screen.closing {
        Closing::At(at) => {
            format::short_day_unless_today(&mut day, at, words);
            format::time(&mut clock, &at.at);
            words.shuts
        }
        Closing::ShutToday => words.shut_today,
        Closing::NoHours => words.no_hours,
        Closing::ClockNotSet => words.clock_not_set,
    };
    let last = match screen.last {
        Some(Outcome::Good) => words.last_good,
        Some(Outcome::Flawed) => words.last_flawed,
        Some(Outcome::Failed) => words.last_failed,
        None => words.last_unknown,
    };
    row([
        Cell::left(Face::Small, label),
        Cell::left(Face::Small, &day),
        Cell::left(Face::Text, &clock),
        Cell::new(Align::Right, Face::Small, ALWAYS - 1, last),
    ])
}
