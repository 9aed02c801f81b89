//! Signs that the faces lack, as bitmaps of our own.

use embedded_graphics::Pixel;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, Point};

use super::letters::{ABOUT, CUT, DIFFERS};

/// A sign: rows from top to bottom, the lowest `width` bits of each, most significant left.
#[derive(Debug)]
pub(super) struct DrawnSign {
    /// Pixels across.
    pub(super) width: u8,
    rows: &'static [u32],
}

impl DrawnSign {
    /// Pixels down.
    pub(super) const fn height(&self) -> i32 {
        self.rows.len() as i32
    }

    /// Draws the sign with its top left pixel at (`x`, `top`).
    pub(super) fn draw<D: DrawTarget<Color = BinaryColor>>(
        &self,
        target: &mut D,
        (x, top): (i32, i32),
        color: BinaryColor,
    ) -> Result<(), D::Error> {
        let width = i32::from(self.width);
        let pixels = (top..).zip(self.rows).flat_map(move |(y, &bits)| {
            (0..width)
                .filter(move |column| bits >> (width - 1 - column) & 1 == 1)
                .map(move |column| Pixel(Point::new(x + column, y), color))
        });
        target.draw_iter(pixels)
    }
}

/// The sign drawn for a character that the faces lack, standing on the foot of the capitals; `large` for the
/// large face.
pub(super) const fn of(c: char, large: bool) -> Option<&'static DrawnSign> {
    match (c, large) {
        (CUT, _) => Some(&DrawnSign { width: 5, rows: &[0b10101] }),
        (ABOUT, _) => Some(&DrawnSign { width: 5, rows: &[0b01001, 0b10110, 0, 0b01001, 0b10110, 0] }),
        (DIFFERS, false) => Some(&DrawnSign {
            width: 5,
            rows: &[0b00001, 0b00010, 0b11111, 0b00100, 0b11111, 0b01000, 0b10000],
        }),
        (DIFFERS, true) => Some(&DrawnSign {
            width: 7,
            rows: &[
                0b0000011, 0b0000110, 0b1111111, 0b1111111, 0b0011000, 0b0011000, 0b1111111, 0b1111111,
                0b0110000, 0b1100000,
            ],
        }),
        _ => None,
    }
}

/// Hot surface, after ISO 7010 W017: a triangle with three wavy lines that rise from a horizontal line.
pub(super) const HOT_SURFACE: DrawnSign = DrawnSign {
    width: 19,
    rows: &[
        0b0000000001000000000,
        0b0000000010100000000,
        0b0000000100010000000,
        0b0000001001001000000,
        0b0000010000100100000,
        0b0000101001001010000,
        0b0001000100100101000,
        0b0001000000000001000,
        0b0010011111111100100,
        0b0100000000000000010,
        0b1111111111111111111,
    ],
};

/// Injury, after ISO 7010 W001: a triangle with an exclamation mark. Stands before CAUTION and WARNING, as
/// ANSI Z535.4 asks, and before nothing else.
pub(super) const ALERT: DrawnSign = DrawnSign {
    width: 13,
    rows: &[
        0b0000001000000,
        0b0000010100000,
        0b0000010100000,
        0b0000101010000,
        0b0000101010000,
        0b0001001001000,
        0b0001001001000,
        0b0010000000100,
        0b0010001000100,
        0b0100000000010,
        0b1111111111111,
    ],
};

/// More text below.
pub(super) const MORE_BELOW: DrawnSign =
    DrawnSign { width: 7, rows: &[0b1111111, 0b0111110, 0b0011100, 0b0001000] };
/// More text above.
pub(super) const MORE_ABOVE: DrawnSign =
    DrawnSign { width: 7, rows: &[0b0001000, 0b0011100, 0b0111110, 0b1111111] };

/// Stands before the one action.
pub(super) const ACT: DrawnSign =
    DrawnSign { width: 4, rows: &[0b1000, 0b1100, 0b1110, 0b1111, 0b1110, 0b1100, 0b1000] };

/// Barrier tape, beside the word of a closed gate.
pub(super) const BARRIER: DrawnSign = DrawnSign {
    width: 9,
    rows: &[
        0b001110011,
        0b011100111,
        0b111001110,
        0b110011100,
        0b100111001,
        0b001110011,
        0b011100111,
        0b111001110,
        0b110011100,
        0b100111001,
    ],
};

/// A place on the ticket that is not punched yet.
pub(super) const BLANK_PUNCH: DrawnSign =
    DrawnSign { width: 5, rows: &[0b01110, 0b10001, 0b10001, 0b10001, 0b01110] };
/// A punched place.
pub(super) const PUNCHED: DrawnSign =
    DrawnSign { width: 5, rows: &[0b01110, 0b11111, 0b11111, 0b11111, 0b01110] };
