//! The slips: one in the hand, the next behind it.

use core::fmt::Write;

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;

use embedded_graphics::Drawable;
use embedded_graphics::prelude::{Point, Size};
use embedded_graphics::primitives::{Primitive, PrimitiveStyle, Rectangle};

use super::format::{self, UNKNOWN};
use super::layout::{ALWAYS, Align, Cell, Sheet, WIDTH, row};
use super::model::{Action, JobRow, Jobs};
use super::text::{self, Face, Line};
use crate::words::Words;

/// The frame of the chosen row: first and last row.
const SLIP: (i32, i32) = (9, 45);
/// Columns between which the row is written.
const INSIDE: (i32, i32) = (3, WIDTH - 3);

pub(super) fn draw<D: DrawTarget<Color = BinaryColor>>(
    screen: &Jobs<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    let mut place = Line::new();
    // Two numbers of five digits fit any line.
    let _ = write!(place, "{}/{}", screen.number, screen.count);
    sheet.row(7, row([Cell::left(Face::Text, words.work_on_card), Cell::right(Face::Text, &place)]))?;
    draw_row(&screen.row, sheet)?;
    match &screen.next {
        Some(next) => {
            let name = Cell::left(Face::Small, next.name);
            let time = Cell::right(Face::Small, &format::figure(next.time, format::seconds));
            sheet.row_in(52, INSIDE, BinaryColor::On, row([name, time]))?;
        }
        None if screen.not_listed > 0 => {
            let mut left_out = Line::new();
            format::counted(&mut left_out, u32::from(screen.not_listed), &words.not_listed, "");
            sheet.row_in(52, INSIDE, BinaryColor::On, row([Cell::left(Face::Small, &left_out)]))?;
        }
        None => sheet.row_in(52, INSIDE, BinaryColor::On, row([Cell::left(Face::Small, words.no_more)]))?,
    }
    sheet.action(Action::Pick)
}

fn draw_row<D: DrawTarget<Color = BinaryColor>>(
    job: &JobRow<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    let (top, bottom) = SLIP;
    let size = Size::new(WIDTH.unsigned_abs(), (bottom - top + 1).unsigned_abs());
    Rectangle::new(Point::new(0, top), size)
        .into_styled(PrimitiveStyle::with_stroke(BinaryColor::On, 1))
        .draw(sheet.target)?;
    let name = text::line(job.name);
    let fits = text::width(Face::Large, &name) <= INSIDE.1 - INSIDE.0;
    let face = if fits { Face::Large } else { Face::Text };
    sheet.row_in(21, INSIDE, BinaryColor::On, row([Cell::left(face, &name)]))?;
    let time = Cell::right(Face::Text, &format::figure(job.time, format::seconds));
    let saved = Cell::new(Align::Left, Face::Text, ALWAYS - 1, &saved(job, words));
    sheet.row_in(30, INSIDE, BinaryColor::On, row([saved, time]))?;
    let verdict = match job.verdict {
        Some(verdict) => Cell::right(Face::Large, words.verdict(verdict)),
        None => Cell::right(Face::Small, words.not_vetted),
    };
    sheet.row_in(
        42,
        INSIDE,
        BinaryColor::On,
        row([Cell::left(Face::Large, &format::mark(job.mark)), verdict]),
    )
}

fn saved(job: &JobRow<'_>, words: &Words) -> Line {
    let mut out = Line::new();
    match &job.saved {
        Some(clock) => format::saved(&mut out, clock, words),
        None => {
            // One sign fits any line.
            let _ = out.push_str(UNKNOWN);
        }
    }
    out
}
