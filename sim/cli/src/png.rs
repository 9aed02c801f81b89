//! A screen as a PNG, with no window and no display server.

use std::path::Path;

use anyhow::Result;
use embedded_graphics::Pixel;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, Point, Size};
use embedded_graphics_simulator::{BinaryColorTheme, OutputSettingsBuilder, SimulatorDisplay};
use holdpoint_shared::screens::Frame;
use image::ImageFormat;

use crate::output::{Form, Inputs};

/// Picture pixels for each pixel of the screen.
pub const SCALE: u32 = 4;

/// Writes the frame to `path`, each pixel [`SCALE`] by [`SCALE`]; an older picture there is replaced.
///
/// # Errors
/// When it cannot be written, or would overwrite anything else.
pub fn write(frame: &Frame, path: &Path, inputs: &Inputs) -> Result<()> {
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
    inputs.write(path, Form::Png, |file| Ok(picture.as_image_buffer().write_to(file, ImageFormat::Png)?))
}
