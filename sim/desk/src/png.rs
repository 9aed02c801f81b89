//! A screen as a PNG, with no window and no display server.

use std::io::{Seek, Write};

use anyhow::Result;
use embedded_graphics::Pixel;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, Point, Size};
use embedded_graphics_simulator::{BinaryColorTheme, OutputSettingsBuilder, SimulatorDisplay};
use holdpoint_shared::screens::Frame;
use image::ImageFormat;

/// Picture pixels for each pixel of the screen.
pub const SCALE: u32 = 4;

/// Writes the frame, each pixel [`SCALE`] by [`SCALE`].
///
/// # Errors
/// When it cannot be written.
pub fn write(frame: &Frame, out: &mut (impl Write + Seek)) -> Result<()> {
    let mut display =
        SimulatorDisplay::<BinaryColor>::new(Size::new(Frame::WIDTH as u32, Frame::HEIGHT as u32));
    let all = (0..Frame::HEIGHT).flat_map(|y| (0..Frame::WIDTH).map(move |x| (x, y)));
    let lit = all
        .filter(|&(x, y)| frame.is_lit(x, y))
        .map(|(x, y)| Pixel(Point::new(x as i32, y as i32), BinaryColor::On));
    let Ok(()) = display.draw_iter(lit);
    let settings =
        OutputSettingsBuilder::new().theme(BinaryColorTheme::OledWhite).scale(SCALE).pixel_spacing(0).build();
    let picture = display.to_grayscale_output_image(&settings);
    Ok(picture.as_image_buffer().write_to(out, ImageFormat::Png)?)
}
