//! Many screens on one picture, each with its number, clock and name below it in the device's own small face.

use std::io::{Seek, Write};

use anyhow::Result;
use embedded_graphics::Drawable;
use embedded_graphics::Pixel;
use embedded_graphics::mono_font::MonoTextStyle;
use embedded_graphics::mono_font::iso_8859_1::FONT_5X8;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, Point, Size};
use embedded_graphics::text::{Baseline, Text};
use embedded_graphics_simulator::{BinaryColorTheme, OutputSettingsBuilder, SimulatorDisplay};
use holdpoint_shared::screens::Frame;
use image::ImageFormat;

use crate::script::Snap;

/// Screens in a row.
const COLUMNS: usize = 5;

/// Blank round each screen, and the height of the label's two rows below it, pixels of the screen.
const GAP: usize = 6;
const LABEL: usize = 20;
/// Height of a row of the label.
const ROW: i32 = 9;

/// Picture pixels for each pixel of a screen.
const SCALE: u32 = 2;

const PITCH_X: usize = Frame::WIDTH + 2 * GAP;
const PITCH_Y: usize = Frame::HEIGHT + LABEL + 2 * GAP;

/// Writes the sheet of these pictures.
///
/// # Errors
/// When it cannot be written.
pub fn write(snaps: &[Snap], out: &mut (impl Write + Seek)) -> Result<()> {
    let rows = snaps.len().div_ceil(COLUMNS).max(1);
    let size = Size::new((COLUMNS * PITCH_X) as u32, (rows * PITCH_Y) as u32);
    let mut display = SimulatorDisplay::<BinaryColor>::new(size);
    for (number, snap) in snaps.iter().enumerate() {
        let (x, y) = (number % COLUMNS * PITCH_X + GAP, number / COLUMNS * PITCH_Y + GAP);
        draw(&mut display, snap, number + 1, (x, y));
    }
    let settings =
        OutputSettingsBuilder::new().theme(BinaryColorTheme::OledWhite).scale(SCALE).pixel_spacing(0).build();
    let picture = display.to_grayscale_output_image(&settings);
    Ok(picture.as_image_buffer().write_to(out, ImageFormat::Png)?)
}

fn draw(
    display: &mut SimulatorDisplay<BinaryColor>,
    snap: &Snap,
    number: usize,
    (left, top): (usize, usize),
) {
    let at = |x: usize, y: usize| Point::new((left + x) as i32 - 1, (top + y) as i32 - 1);
    let (wide, high) = (Frame::WIDTH + 2, Frame::HEIGHT + 2);
    let edge = |x: usize, y: usize| x == 0 || y == 0 || x + 1 == wide || y + 1 == high;
    let pixels = (0..high).flat_map(|y| (0..wide).map(move |x| (x, y))).filter(|&(x, y)| {
        // The frame is dotted, so that nobody takes it for a part of the screen.
        if edge(x, y) { (x + y) % 3 == 0 } else { snap.frame.is_lit(x - 1, y - 1) }
    });
    let Ok(()) = display.draw_iter(pixels.map(|(x, y)| Pixel(at(x, y), BinaryColor::On)));
    let columns = Frame::WIDTH / 5;
    let name: String = snap.name.chars().take(columns).collect();
    let style = MonoTextStyle::new(&FONT_5X8, BinaryColor::On);
    let below = at(1, high + 2);
    let Ok(_) = Text::with_baseline(&number.to_string(), below, style, Baseline::Top).draw(display);
    let second = below + Point::new(0, ROW);
    let Ok(_) = Text::with_baseline(&name, second, style, Baseline::Top).draw(display);
    let right = below + Point::new(((columns - snap.clock.len()) * 5) as i32, 0);
    let Ok(_) = Text::with_baseline(&snap.clock, right, style, Baseline::Top).draw(display);
}
