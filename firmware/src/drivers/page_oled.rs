//! A 128x64 OLED of one bit a pixel (SSD1306 or SH1106) on I2C.
//!
//! Ours, because the kept driver of the SSD1306 fills the whole memory in one run, which the SH1106 cannot: both take
//! it page by page.

use embedded_hal::i2c::I2c;
use holdpoint_shared::screens::Frame;

use super::grey_oled::NotShown;

/// The display's address: its select pin low, as modules come (both data sheets, "Slave address").
const ADDRESS: u8 = 0x3C;
/// Rows of a page, one bit of each byte.
const PAGE_ROWS: usize = 8;
const PAGES: usize = Frame::HEIGHT / PAGE_ROWS;
/// First byte of a transfer of commands, and of one of pixels (both data sheets, "control byte").
const COMMANDS: u8 = 0x00;
const PIXELS: u8 = 0x40;

/// How a common 128x64 module is wired and run (SSD1306 data sheet, command table and application note; from memory
/// where the SH1106's numbers are the same). The addressing is left as the power-up has it: by pages, on both.
const SET_UP: [u8; 23] = [
    COMMANDS, 0xAE, // off
    0xD5, 0x80, // clock: divided by one, the usual frequency
    0xA8, 0x3F, // 64 rows
    0xD3, 0x00, 0x40, // not shifted
    0x8D,
    0x14, // charge pump on; the SH1106's own is on from power-up, and it takes this for two idle commands
    0xA1, 0xC8, // left to right, top to bottom, the connector above
    0xDA, 0x12, // rows' pins alternate
    0x81, 0x8F, // contrast: just over half, for the glass to last
    0xD9, 0xF1, // pre-charge
    0xDB, 0x40, // level of an unlit pixel
    0xA4, 0xA6, // shows its memory, lit where 1
];
const ON: [u8; 2] = [COMMANDS, 0xAF];

/// Which controller the module has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Panel {
    /// 128 columns of memory.
    Ssd1306,
    /// 132 columns of memory, of which the glass shows the middle ones.
    Sh1106,
}

/// The display.
#[derive(Debug)]
pub struct PageOled<I> {
    i2c: I,
    first_column: u8,
    /// What stands in each page of the display's memory; `None` = not known.
    pages: [Option<[u8; Frame::WIDTH]>; PAGES],
}

impl<I: I2c> PageOled<I> {
    /// A display that is set up by its first frame.
    pub const fn new(i2c: I, panel: Panel) -> Self {
        let first_column = match panel {
            Panel::Ssd1306 => 0,
            Panel::Sh1106 => 2,
        };
        Self { i2c, first_column, pages: [None; PAGES] }
    }

    /// Shows the frame; sends only the pages that changed, 132 bytes each. A display that was not there, or lost a
    /// page, is set up anew by the next frame.
    ///
    /// # Errors
    /// When the display does not answer; part of the frame may be on the glass then.
    pub fn show(&mut self, frame: &Frame) -> Result<(), NotShown> {
        let shown = self.send(frame);
        if shown.is_err() {
            self.pages = [None; PAGES];
        }
        shown.map_err(|_| NotShown)
    }

    fn send(&mut self, frame: &Frame) -> Result<(), I::Error> {
        let begins = self.pages.iter().all(Option::is_none);
        if begins {
            self.i2c.write(ADDRESS, &SET_UP)?;
        }
        for (number, page) in self.pages.iter_mut().enumerate() {
            let new = columns(frame, number);
            if *page == Some(new) {
                continue;
            }
            let start =
                [COMMANDS, 0xB0 | number as u8, self.first_column & 0x0F, 0x10 | self.first_column >> 4];
            self.i2c.write(ADDRESS, &start)?;
            let mut bytes = [PIXELS; 1 + Frame::WIDTH];
            bytes[1..].copy_from_slice(&new);
            self.i2c.write(ADDRESS, &bytes)?;
            *page = Some(new);
        }
        // Only now: what its memory held at power-up is noise.
        if begins { self.i2c.write(ADDRESS, &ON) } else { Ok(()) }
    }
}

/// A page of the frame as the display wants it: a byte a column, the top row in its lowest bit.
fn columns(frame: &Frame, page: usize) -> [u8; Frame::WIDTH] {
    core::array::from_fn(|x| {
        (0..PAGE_ROWS).fold(0, |byte, row| byte | u8::from(frame.is_lit(x, page * PAGE_ROWS + row)) << row)
    })
}

#[cfg(test)]
mod tests {
    use embedded_graphics::Pixel;
    use embedded_graphics::pixelcolor::BinaryColor;
    use embedded_graphics::prelude::{DrawTarget as _, Point};
    use embedded_hal::i2c::ErrorKind;
    use embedded_hal_mock::eh1::i2c::{Mock, Transaction};

    use super::*;

    fn lit(pixels: &[(i32, i32)]) -> Frame {
        let mut frame = Frame::new();
        let pixels = pixels.iter().map(|&(x, y)| Pixel(Point::new(x, y), BinaryColor::On));
        let Ok(()) = frame.draw_iter(pixels);
        frame
    }

    /// A page as it must go out: where it starts, then its columns.
    fn page(number: u8, low: u8, columns: &[(usize, u8)]) -> [Transaction; 2] {
        let mut bytes = vec![0x40; 129];
        bytes[1..].fill(0);
        for &(column, byte) in columns {
            bytes[1 + column] = byte;
        }
        [Transaction::write(0x3C, vec![0x00, 0xB0 + number, low, 0x10]), Transaction::write(0x3C, bytes)]
    }

    fn whole(low: u8) -> Vec<Transaction> {
        let mut expected = vec![Transaction::write(0x3C, SET_UP.to_vec())];
        expected.extend((0..8).flat_map(|number| page(number, low, &[])));
        expected.push(Transaction::write(0x3C, vec![0x00, 0xAF]));
        expected
    }

    #[test]
    fn the_first_frame_sets_up_and_later_ones_send_what_changed() {
        let mut expected = whole(0);
        // Row 0 is the lowest bit of page 0, row 63 the highest of page 7.
        expected.extend(page(0, 0, &[(0, 0x01)]));
        expected.extend(page(7, 0, &[(127, 0x80)]));
        let mut bus = Mock::new(&expected);
        let mut display = PageOled::new(bus.clone(), Panel::Ssd1306);
        display.show(&Frame::new()).unwrap();
        display.show(&Frame::new()).unwrap();
        display.show(&lit(&[(0, 0), (127, 63)])).unwrap();
        bus.done();
    }

    #[test]
    fn the_wider_memory_is_written_from_its_third_column() {
        let mut bus = Mock::new(&whole(2));
        PageOled::new(bus.clone(), Panel::Sh1106).show(&Frame::new()).unwrap();
        bus.done();
    }

    #[test]
    fn a_display_that_was_away_is_set_up_anew() {
        let away = Transaction::write(0x3C, SET_UP.to_vec()).with_error(ErrorKind::Other);
        let mut expected = vec![away];
        expected.extend(whole(0));
        let mut bus = Mock::new(&expected);
        let mut display = PageOled::new(bus.clone(), Panel::Ssd1306);
        assert_eq!(display.show(&Frame::new()), Err(NotShown));
        assert_eq!(display.show(&Frame::new()), Ok(()));
        bus.done();
    }
}
