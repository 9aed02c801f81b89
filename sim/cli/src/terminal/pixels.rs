//! The device's screen in characters.
//!
//! Ours, since a canvas widget paints half blocks with a foreground and a background colour, so that without
//! colour (`NO_COLOR`, a plain console) the picture would be lost; here the characters alone carry it.

use holdpoint_shared::screens::Frame;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::widgets::Widget;

/// How pixels become characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    /// Pixels of so many columns and half as many rows, two halves of a row to a character: 128 columns and 32 rows at 1,
    /// 256 and 64 at 2.
    HalfBlocks(u16),
    /// Two by four pixels a character: 64 columns, 16 rows.
    Braille,
}

/// Columns of a pixel at most: a terminal of 1,026 columns.
const LARGEST: u16 = 8;

impl Grain {
    /// Columns and rows of the whole screen.
    #[must_use]
    pub const fn size(self) -> (u16, u16) {
        let (wide, high) = (Frame::WIDTH as u16, Frame::HEIGHT as u16);
        match self {
            Self::HalfBlocks(times) => (wide * times, high * times / 2),
            Self::Braille => (wide / 2, high / 4),
        }
    }

    /// The largest that fits with `rows` of text below and a frame round it; `None` = the terminal is too small.
    #[must_use]
    pub fn fitting(area: Rect, rows: u16) -> Option<Self> {
        (1..=LARGEST).rev().map(Self::HalfBlocks).chain([Self::Braille]).find(|grain| {
            let (columns, lines) = grain.size();
            area.width >= columns + 2 && area.height >= lines + 2 + rows
        })
    }

    /// The character at a column and row.
    fn character(self, frame: &Frame, column: usize, row: usize) -> char {
        match self {
            Self::HalfBlocks(times) => {
                let times = usize::from(times);
                let half = |half: usize| frame.is_lit(column / times, (row * 2 + half) / times);
                match (half(0), half(1)) {
                    (false, false) => ' ',
                    (true, false) => '▀',
                    (false, true) => '▄',
                    (true, true) => '█',
                }
            }
            Self::Braille => {
                // Unicode chapter 21, Braille Patterns: U+2800 and a bit a dot, dots 1-3 down the left, 4-6 down the
                // right, 7 and 8 below them.
                const DOTS: [[u32; 2]; 4] = [[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]];
                let bits = DOTS
                    .iter()
                    .enumerate()
                    .flat_map(|(y, dots)| dots.iter().enumerate().map(move |(x, bit)| (x, y, bit)))
                    .filter(|(x, y, _)| frame.is_lit(column * 2 + x, row * 4 + y))
                    .fold(0, |bits, (_, _, bit)| bits | bit);
                char::from_u32(0x2800 + bits).unwrap_or(' ')
            }
        }
    }
}

/// A frame to be drawn at the upper left of its area.
#[derive(Clone, Copy, Debug)]
pub struct Pixels<'f> {
    /// The frame.
    pub frame: &'f Frame,
    /// How.
    pub grain: Grain,
    /// Colours of lit on dark.
    pub style: Style,
}

impl Widget for Pixels<'_> {
    fn render(self, area: Rect, buffer: &mut Buffer) {
        let (columns, rows) = self.grain.size();
        for row in 0..rows.min(area.height) {
            for column in 0..columns.min(area.width) {
                let character = self.grain.character(self.frame, usize::from(column), usize::from(row));
                if let Some(cell) = buffer.cell_mut((area.x + column, area.y + row)) {
                    cell.set_char(character).set_style(self.style);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use embedded_graphics::Pixel;
    use embedded_graphics::pixelcolor::BinaryColor;
    use embedded_graphics::prelude::{DrawTarget, Point};
    use holdpoint_shared::screens::Frame;
    use ratatui::layout::Rect;

    use super::Grain;

    fn lit(points: &[(i32, i32)]) -> Frame {
        let mut frame = Frame::new();
        let Ok(()) = frame.draw_iter(points.iter().map(|&(x, y)| Pixel(Point::new(x, y), BinaryColor::On)));
        frame
    }

    #[test]
    fn every_pixel_of_a_half_block_is_told_apart() {
        assert_eq!(Grain::HalfBlocks(1).character(&lit(&[(3, 4)]), 3, 2), '▀');
        assert_eq!(Grain::HalfBlocks(1).character(&lit(&[(3, 5)]), 3, 2), '▄');
        assert_eq!(Grain::HalfBlocks(1).character(&lit(&[(3, 4), (3, 5)]), 3, 2), '█');
        assert_eq!(Grain::HalfBlocks(1).character(&lit(&[(4, 4)]), 3, 2), ' ');
    }

    /// The names of the Unicode characters say which dots are raised.
    #[test]
    fn braille_dots_stand_where_their_names_say() {
        // U+2801 DOTS-1, U+2808 DOTS-4, U+2840 DOTS-7, U+2880 DOTS-8, U+28FF all eight.
        assert_eq!(Grain::Braille.character(&lit(&[(2, 4)]), 1, 1), '⠁');
        assert_eq!(Grain::Braille.character(&lit(&[(3, 4)]), 1, 1), '⠈');
        assert_eq!(Grain::Braille.character(&lit(&[(2, 7)]), 1, 1), '⡀');
        assert_eq!(Grain::Braille.character(&lit(&[(3, 7)]), 1, 1), '⢀');
        let all: Vec<_> = (4..8).flat_map(|y| [(2, y), (3, y)]).collect();
        assert_eq!(Grain::Braille.character(&lit(&all), 1, 1), '⣿');
    }

    #[test]
    fn a_large_terminal_gets_larger_pixels() {
        assert_eq!(Grain::fitting(Rect::new(0, 0, 257, 80), 3), Some(Grain::HalfBlocks(1)));
        assert_eq!(Grain::fitting(Rect::new(0, 0, 258, 69), 3), Some(Grain::HalfBlocks(2)));
        assert_eq!(Grain::fitting(Rect::new(0, 0, 400, 101), 3), Some(Grain::HalfBlocks(3)));
        let frame = lit(&[(3, 4)]);
        // Pixel 3, 4 at twice its size: columns 6 and 7 of row 4; at three times: columns 9 to 11, rows 6 and half of 7.
        let at = |times, column, row| Grain::HalfBlocks(times).character(&frame, column, row);
        assert_eq!(
            (at(2, 6, 4), at(2, 7, 4), at(2, 8, 4), at(2, 6, 3), at(2, 6, 5)),
            ('█', '█', ' ', ' ', ' ')
        );
        assert_eq!((at(3, 9, 6), at(3, 11, 7), at(3, 12, 6)), ('█', '▀', ' '));
    }

    #[test]
    fn a_small_terminal_gets_braille_and_a_tiny_one_nothing() {
        assert_eq!(Grain::fitting(Rect::new(0, 0, 140, 40), 3), Some(Grain::HalfBlocks(1)));
        assert_eq!(Grain::fitting(Rect::new(0, 0, 80, 24), 3), Some(Grain::Braille));
        assert_eq!(Grain::fitting(Rect::new(0, 0, 66, 21), 3), Some(Grain::Braille));
        assert_eq!(Grain::fitting(Rect::new(0, 0, 65, 21), 3), None);
        assert_eq!(Grain::fitting(Rect::new(0, 0, 66, 20), 3), None);
    }
}
