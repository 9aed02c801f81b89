//! The survey runs: how far it is, what it found up to now.

use core::fmt::Write;

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;

use super::figures::Figure;
use super::format;
use super::layout::{Align, Cell, Sheet, row};
use super::model::VettingScreen;
use super::signs::{BLANK_PUNCH, PUNCHED};
use super::text::{Face, Line};

/// Places of the ticket that are punched one after the other.
const PUNCHES: u8 = 16;

pub(super) fn draw<D: DrawTarget<Color = BinaryColor>>(
    screen: &VettingScreen<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    let percent = screen.percent.min(100);
    sheet.title(words.vetting, screen.name)?;
    let mut done = Line::new();
    // Three digits fit any line.
    let _ = write!(done, "{percent} %");
    let left = format::figure(screen.left.map(Figure::estimated), format::seconds);
    sheet.row(
        26,
        row([
            Cell::left(Face::Large, &done),
            Cell::new(Align::Left, Face::Text, 1, words.read),
            Cell::right(Face::Small, words.still),
            Cell::right(Face::Text, &left),
            Cell::right(Face::Small, words.to_go),
        ]),
    )?;
    let punched = u16::from(percent) * u16::from(PUNCHES) / 100;
    for place in 0..PUNCHES {
        let sign = if u16::from(place) < punched { &PUNCHED } else { &BLANK_PUNCH };
        sheet.sign(sign, 1 + i32::from(place) * 8, 32)?;
    }
    if screen.points == 0 {
        sheet.line(49, words.no_points_so_far)?;
    } else {
        let mut points = Line::new();
        format::counted(&mut points, u32::from(screen.points), &words.points, "");
        // A count and two words of ours fit any line.
        let _ = write!(points, " {}", words.so_far);
        sheet.line(49, &points)?;
    }
    sheet.action(screen.action)
}
