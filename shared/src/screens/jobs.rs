//! The slips: one in the hand, the next behind it.

use core::fmt::Write;

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;

use embedded_graphics::Drawable;
use embedded_graphics::prelude::{Point, Size};
use embedded_graphics::primitives::{Primitive, PrimitiveStyle, Rectangle};

use super::format::{self, UNKNOWN};
use super::layout::{ALWAYS, Align, Cell, Sheet, WIDTH, row};
use super::model::{Action, Jobs, Slip};
use super::text::{self, Face, Line};
use crate::words::Words;

/// The frame of the slip in the hand: first and last row.
const SLIP: (i32, i32) = (9, 45);
/// Columns between which the slip is written.
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
    draw_slip(&screen.slip, sheet)?;
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

fn draw_slip<D: DrawTarget<Color = BinaryColor>>(
    slip: &Slip<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    let (top, bottom) = SLIP;
    let size = Size::new(WIDTH.unsigned_abs(), (bottom - top + 1).unsigned_abs());
    Rectangle::new(Point::new(0, top), size)
        .into_styled(PrimitiveStyle::with_stroke(BinaryColor::On, 1))
        .draw(sheet.target)?;
    let name = text::line(slip.name);
    let fits = text::width(Face::Large, &name) <= INSIDE.1 - INSIDE.0;
    let face = if fits { Face::Large } else { Face::Text };
    sheet.row_in(21, INSIDE, BinaryColor::On, row([Cell::left(face, &name)]))?;
    let time = Cell::right(Face::Text, &format::figure(slip.time, format::seconds));
    let saved = Cell::new(Align::Left, Face::Text, ALWAYS - 1, &saved(slip, words));
    sheet.row_in(30, INSIDE, BinaryColor::On, row([saved, time]))?;
    let verdict = match slip.verdict {
        Some(verdict) => Cell::right(Face::Large, words.verdict(verdict)),
        None => Cell::right(Face::Small, words.not_vetted),
    };
    sheet.row_in(
        42,
        INSIDE,
        BinaryColor::On,
        row([Cell::left(Face::Large, &format::mark(slip.mark)), verdict]),
    )
}

fn saved(slip: &Slip<'_>, words: &Words) -> Line {
    let mut out = Line::new();
    match &slip.saved {
        Some(clock) => format::saved(&mut out, clock, words),
        None => {
            // One sign fits any line.
            let _ = out.push_str(UNKNOWN);
        }
    }
    out
}
