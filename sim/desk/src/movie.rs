//! The screens of a run as one moving picture: a PNG with several frames (PNG, third edition, 11.3.6: `acTL`, `fcTL`,
//! `fdAT`), which a reader that knows none of these shows as its first frame.

use std::io::Write;

use ::png::{BitDepth, ColorType, Compression, Encoder};
use anyhow::Result;
use holdpoint_shared::screens::Frame;

use crate::script::Snap;

/// How long a screen stays, ms: a person reads its six lines in that time (judgement). The last stays twice as long.
const SCREEN_MS: u16 = 1_800;

/// Picture pixels for each pixel of the screen.
const SCALE: usize = 4;

/// Dark pixels of the screen round it.
const MARGIN: usize = 3;

const WIDTH: usize = (Frame::WIDTH + 2 * MARGIN) * SCALE;
const HEIGHT: usize = (Frame::HEIGHT + 2 * MARGIN) * SCALE;

/// Writes these screens one after the other, again and again.
///
/// # Errors
/// When there is none, or it cannot be written.
pub fn write(snaps: &[Snap], out: impl Write) -> Result<()> {
    let mut encoder = Encoder::new(out, u32::try_from(WIDTH)?, u32::try_from(HEIGHT)?);
    encoder.set_color(ColorType::Grayscale);
    encoder.set_depth(BitDepth::One);
    encoder.set_compression(Compression::High);
    encoder.set_animated(u32::try_from(snaps.len())?, 0)?;
    let mut writer = encoder.write_header()?;
    for (number, snap) in (1..).zip(snaps) {
        let times = if number == snaps.len() { 2 } else { 1 };
        writer.set_frame_delay(SCREEN_MS * times, 1_000)?;
        writer.write_image_data(&bits(&snap.frame))?;
    }
    Ok(writer.finish()?)
}

/// Rows of eight pixels a byte, the left one highest.
fn bits(frame: &Frame) -> Vec<u8> {
    let is_lit = |x: usize, y: usize| {
        let inside = |at: usize, size| (at / SCALE).checked_sub(MARGIN).filter(|at| *at < size);
        inside(x, Frame::WIDTH).zip(inside(y, Frame::HEIGHT)).is_some_and(|(x, y)| frame.is_lit(x, y))
    };
    let byte = |y: usize, byte: usize| {
        (0..8).filter(|bit| is_lit(byte * 8 + bit, y)).fold(0, |bits, bit| bits | 0x80 >> bit)
    };
    (0..HEIGHT).flat_map(|y| (0..WIDTH.div_ceil(8)).map(move |at| byte(y, at))).collect()
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;

    #[test]
    fn another_reader_finds_every_screen() {
        let snap = |name: &str| Snap {
            name: name.to_owned(),
            frame: Frame::new(),
            text: String::new(),
            clock: String::new(),
        };
        let mut bytes = Vec::new();
        write(&[snap("a"), snap("b"), snap("c")], &mut bytes).unwrap();
        let mut reader = ::png::Decoder::new(Cursor::new(&bytes)).read_info().unwrap();
        assert_eq!(reader.info().animation_control().map(|control| control.num_frames), Some(3));
        assert_eq!((reader.info().width, reader.info().height), (536, 280));
        let mut picture = vec![0; reader.output_buffer_size().unwrap()];
        for _ in 0..3 {
            reader.next_frame(&mut picture).unwrap();
        }
        assert!(write(&[], Vec::new()).is_err());
    }
}
