//! A frame of the display: 128x64 pixels, one bit each.

use embedded_graphics::Pixel;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, OriginDimensions, Size};

/// The frame's bytes: 64 rows of 16 bytes, most significant bit left.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Frame {
    bytes: [u8; Self::BYTES],
}

impl Frame {
    /// Pixels in a row.
    pub const WIDTH: usize = 128;
    /// Rows.
    pub const HEIGHT: usize = 64;
    /// Bytes of the whole frame.
    pub const BYTES: usize = Self::WIDTH / 8 * Self::HEIGHT;

    /// A dark frame.
    #[must_use]
    pub const fn new() -> Self {
        Self { bytes: [0; Self::BYTES] }
    }

    /// Whether the pixel is lit; outside the frame nothing is.
    #[must_use]
    pub fn is_lit(&self, x: usize, y: usize) -> bool {
        x < Self::WIDTH
            && y < Self::HEIGHT
            && self.bytes.get(y * Self::WIDTH / 8 + x / 8).is_some_and(|byte| byte & (0x80 >> (x % 8)) != 0)
    }

    /// The bytes, row by row, most significant bit left.
    #[must_use]
    pub const fn as_bytes(&self) -> &[u8; Self::BYTES] {
        &self.bytes
    }
}

impl Default for Frame {
    fn default() -> Self {
        Self::new()
    }
}

impl OriginDimensions for Frame {
    fn size(&self) -> Size {
        Size::new(Self::WIDTH as u32, Self::HEIGHT as u32)
    }
}

impl DrawTarget for Frame {
    type Color = BinaryColor;
    type Error = core::convert::Infallible;

    fn draw_iter<I: IntoIterator<Item = Pixel<BinaryColor>>>(
        &mut self,
        pixels: I,
    ) -> Result<(), Self::Error> {
        for Pixel(point, color) in pixels {
            let (Ok(x), Ok(y)) = (usize::try_from(point.x), usize::try_from(point.y)) else { continue };
            if x >= Self::WIDTH {
                continue;
            }
            if let Some(byte) = self.bytes.get_mut(y * Self::WIDTH / 8 + x / 8) {
                let bit = 0x80 >> (x % 8);
                if color.is_on() { *byte |= bit } else { *byte &= !bit }
            }
        }
        Ok(())
    }
}
