//! A 128x64 OLED with four bits of grey a pixel (SSD0323 and its like) on SPI.

use embedded_hal::digital::{OutputPin, PinState};
use embedded_hal::spi::SpiDevice;
use holdpoint_shared::screens::Frame;

/// Bytes of one row: two pixels a byte, the left one in the high half.
const ROW_BYTES: usize = Frame::WIDTH / 2;

/// Commands (SSD0323 data sheet, command table): the window is the whole memory, and the write pointer goes home.
const WHOLE_WINDOW: [u8; 6] = [0x15, 0x00, 0x3F, 0x75, 0x00, 0x3F];

/// Command: display on (the same table).
const DISPLAY_ON: [u8; 1] = [0xAF];

/// The display, on a SPI device and the pin that tells commands (low) from data (high).
#[derive(Debug)]
pub struct GreyOled<S, D> {
    spi: S,
    is_data: D,
}

/// The display did not take what was sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, defmt::Format)]
pub struct NotShown;

impl<S: SpiDevice, D: OutputPin> GreyOled<S, D> {
    /// The display, dark and switched on.
    ///
    /// # Errors
    /// When bus or pin fail.
    pub fn new(spi: S, is_data: D) -> Result<Self, NotShown> {
        let mut display = Self { spi, is_data };
        display.show(&Frame::new())?;
        display.command(&DISPLAY_ON)?;
        Ok(display)
    }

    /// Shows the frame: lit pixels at the highest of the 16 levels, the rest dark. Sends 4,096 bytes.
    ///
    /// # Errors
    /// When bus or pin fail; part of the frame may be on the glass then.
    pub fn show(&mut self, frame: &Frame) -> Result<(), NotShown> {
        self.command(&WHOLE_WINDOW)?;
        self.is_data.set_state(PinState::High).map_err(|_| NotShown)?;
        for row in frame.as_bytes().chunks_exact(Frame::WIDTH / 8) {
            let mut levels = [0; ROW_BYTES];
            for (levels, byte) in levels.chunks_exact_mut(4).zip(row) {
                for (pair, level) in levels.iter_mut().enumerate() {
                    const LEVELS: [u8; 4] = [0x00, 0x0F, 0xF0, 0xFF];
                    *level = LEVELS[usize::from(byte >> (6 - 2 * pair)) & 3];
                }
            }
            self.spi.write(&levels).map_err(|_| NotShown)?;
        }
        // Low while idle: other traffic on the line must never look like pixels.
        self.is_data.set_state(PinState::Low).map_err(|_| NotShown)
    }

    fn command(&mut self, bytes: &[u8]) -> Result<(), NotShown> {
        self.is_data.set_state(PinState::Low).map_err(|_| NotShown)?;
        self.spi.write(bytes).map_err(|_| NotShown)
    }
}
