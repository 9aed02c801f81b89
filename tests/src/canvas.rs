//! A strict draw target of 128x64 pixels: it panics on a pixel outside, and counts pixels that two texts or signs
//! both claim.

use std::convert::Infallible;

use embedded_graphics::Pixel;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, OriginDimensions, Point, Size};
use embedded_graphics::primitives::Rectangle;

/// Pixels across.
pub const WIDTH: usize = 128;
/// Pixels down.
pub const HEIGHT: usize = 64;

/// A filled area of at least so many rows holds text, below a margin of one row.
const BAR_ROWS: u32 = 9;

/// The canvas.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Canvas {
    lit: [[bool; WIDTH]; HEIGHT],
    /// Whether the pixel belongs to a filled area, on which dark text may be drawn.
    filled: [[bool; WIDTH]; HEIGHT],
    clashes: Vec<(usize, usize)>,
}

impl Canvas {
    /// A dark canvas.
    #[must_use]
    pub fn new() -> Self {
        Self { lit: [[false; WIDTH]; HEIGHT], filled: [[false; WIDTH]; HEIGHT], clashes: Vec::new() }
    }

    /// Pixels (column, row) drawn a second time in the colour that they already had: something lies on something.
    #[must_use]
    pub fn clashes(&self) -> &[(usize, usize)] {
        &self.clashes
    }

    /// Whether the pixel is lit.
    #[must_use]
    pub const fn is_lit(&self, x: usize, y: usize) -> bool {
        self.lit[y][x]
    }

    /// The picture as text, two rows of pixels a line: `▀`, `▄`, `█` and blank, ends of lines trimmed.
    #[must_use]
    pub fn rows(&self) -> String {
        let mut out = String::new();
        for pair in self.lit.chunks(2) {
            let line: String = (0..WIDTH)
                .map(|x| match (pair[0][x], pair[1][x]) {
                    (false, false) => ' ',
                    (true, false) => '▀',
                    (false, true) => '▄',
                    (true, true) => '█',
                })
                .collect();
            out.push_str(line.trim_end());
            out.push('\n');
        }
        out
    }
}

impl Default for Canvas {
    fn default() -> Self {
        Self::new()
    }
}

impl OriginDimensions for Canvas {
    fn size(&self) -> Size {
        Size::new(WIDTH as u32, HEIGHT as u32)
    }
}

fn place(Point { x, y }: Point) -> (usize, usize) {
    match (usize::try_from(x), usize::try_from(y)) {
        (Ok(x), Ok(y)) if x < WIDTH && y < HEIGHT => (x, y),
        _ => panic!("pixel ({x}, {y}) lies outside {WIDTH}x{HEIGHT}"),
    }
}

impl DrawTarget for Canvas {
    type Color = BinaryColor;
    type Error = Infallible;

    fn draw_iter<I: IntoIterator<Item = Pixel<BinaryColor>>>(&mut self, pixels: I) -> Result<(), Infallible> {
        for Pixel(point, color) in pixels {
            let (x, y) = place(point);
            let was = self.lit[y][x];
            // Light on light always clashes; dark on dark only where dark text stands on a filled area.
            if was == color.is_on() && (was || self.filled[y][x]) {
                self.clashes.push((x, y));
            }
            self.lit[y][x] = color.is_on();
        }
        Ok(())
    }

    fn fill_solid(&mut self, area: &Rectangle, color: BinaryColor) -> Result<(), Infallible> {
        // The tails of the letters above may reach into a bar's upper margin: both stay readable.
        let margin = if area.size.height >= BAR_ROWS { usize::try_from(area.top_left.y).ok() } else { None };
        for y in area.rows() {
            for x in area.columns() {
                let (x, y) = place(Point::new(x, y));
                if self.lit[y][x] && Some(y) != margin {
                    self.clashes.push((x, y));
                }
                self.lit[y][x] = color.is_on();
                self.filled[y][x] = color.is_on();
            }
        }
        Ok(())
    }

    fn clear(&mut self, color: BinaryColor) -> Result<(), Infallible> {
        *self = Self::new();
        if color.is_on() {
            self.lit = [[true; WIDTH]; HEIGHT];
        }
        Ok(())
    }
}
