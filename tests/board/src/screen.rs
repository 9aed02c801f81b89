//! The emulated display, as the emulator dumps it, beside the frames of the core.

use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use anyhow::{Context as _, Result, ensure};
use holdpoint_shared::screens::Frame;

/// Dumped pixels a pixel of the panel, each way.
const SCALE: usize = 4;
/// Grey of a lit pixel: the highest of 16 levels, at 17 a level.
const LIT: u8 = 15 * 17;

/// What the emulated panel showed: grey values, row by row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shot {
    grey: Vec<u8>,
}

impl Shot {
    /// Reads a dump of 512x256 pixels.
    ///
    /// # Errors
    /// When it is no such PNG, or holds a colour that the panel cannot show.
    pub fn read(path: &Path) -> Result<Self> {
        let mut decoder = png::Decoder::new(BufReader::new(File::open(path)?));
        decoder.set_transformations(png::Transformations::EXPAND | png::Transformations::STRIP_16);
        let mut reader = decoder.read_info()?;
        let mut pixels = vec![0; reader.output_buffer_size().context("the dump is too large")?];
        let info = reader.next_frame(&mut pixels)?;
        let size = (info.width as usize, info.height as usize);
        ensure!(size == (Frame::WIDTH * SCALE, Frame::HEIGHT * SCALE), "the dump has {size:?} pixels");
        let samples = info.color_type.samples();
        let grey = pixels.chunks_exact(samples).map(|pixel| {
            ensure!(
                pixel[..3.min(samples)].iter().all(|part| *part == pixel[0]),
                "the dump has a colour: {pixel:?}"
            );
            Ok(pixel[0])
        });
        Ok(Self { grey: grey.collect::<Result<_>>()? })
    }

    /// What the panel must show for a frame.
    #[must_use]
    pub fn of(frame: &Frame) -> Self {
        let width = Frame::WIDTH * SCALE;
        let lit = |at: usize| frame.is_lit(at % width / SCALE, at / width / SCALE);
        Self { grey: (0..width * Frame::HEIGHT * SCALE).map(|at| if lit(at) { LIT } else { 0 }).collect() }
    }

    /// Writes it as a PNG, for a look at what went wrong.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn write(&self, path: &Path) -> Result<()> {
        let mut encoder = png::Encoder::new(
            File::create(path)?,
            (Frame::WIDTH * SCALE) as u32,
            (Frame::HEIGHT * SCALE) as u32,
        );
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.write_header()?.write_image_data(&self.grey)?;
        Ok(())
    }

    /// Half-block text of the screen, for a test's message.
    #[must_use]
    pub fn text(&self) -> String {
        let width = Frame::WIDTH * SCALE;
        let lit = |x: usize, y: usize| self.grey[y * SCALE * width + x * SCALE] != 0;
        let mut text = String::new();
        for y in (0..Frame::HEIGHT).step_by(2) {
            text.extend((0..Frame::WIDTH).map(|x| match (lit(x, y), lit(x, y + 1)) {
                (true, true) => '█',
                (true, false) => '▀',
                (false, true) => '▄',
                (false, false) => ' ',
            }));
            text.push('\n');
        }
        text
    }
}

/// The first pixel of the panel in which two shots differ, and how many pixels of the dump do.
#[must_use]
pub(crate) fn difference(got: &Shot, wanted: &Shot) -> Option<String> {
    let width = Frame::WIDTH * SCALE;
    let mut differing =
        got.grey.iter().zip(&wanted.grey).enumerate().filter(|(_, (got, wanted))| got != wanted);
    let (at, (first_got, first_wanted)) = differing.next()?;
    let (x, y) = (at % width / SCALE, at / width / SCALE);
    let more = differing.count();
    Some(format!(
        "first at x {x}, y {y}: grey {first_got}, not {first_wanted}; and {more} more dumped pixels"
    ))
}
