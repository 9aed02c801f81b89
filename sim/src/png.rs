//! A screen as a PNG, with no window and no display server.

use std::path::Path;

use anyhow::{Context, Result};
use embedded_graphics::Pixel;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, Point, Size};
use embedded_graphics_simulator::{BinaryColorTheme, OutputSettingsBuilder, SimulatorDisplay};
use holdpoint_shared::screens::Frame;

/// Picture pixels for each pixel of the screen.
pub const SCALE: u32 = 4;

/// Writes the frame to `path`, each pixel [`SCALE`] by [`SCALE`]; a file that stood there is replaced.
///
/// # Errors
/// When the file cannot be written: the message names it and the way out.
pub fn write(frame: &Frame, path: &Path) -> Result<()> {
    let mut display =
        SimulatorDisplay::<BinaryColor>::new(Size::new(Frame::WIDTH as u32, Frame::HEIGHT as u32));
    let all = (0..Frame::HEIGHT).flat_map(|y| (0..Frame::WIDTH).map(move |x| (x, y)));
    let lit = all
        .filter(|&(x, y)| frame.is_lit(x, y))
        .map(|(x, y)| Pixel(Point::new(x as i32, y as i32), BinaryColor::On));
    let Ok(()) = display.draw_iter(lit);
    let settings =
        OutputSettingsBuilder::new().theme(BinaryColorTheme::OledWhite).scale(SCALE).pixel_spacing(0).build();
    display.to_grayscale_output_image(&settings).save_png(path).with_context(|| {
        format!("{}: the picture cannot be written; name another place with --png FILE", path.display())
    })
}
