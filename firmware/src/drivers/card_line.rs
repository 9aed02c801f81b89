//! The line to the SD card, with three details of the SPI mode put right.
//!
//! embedded-sdmmc's protocol and the emulated card disagree in two places, and in a third the protocol waits longer
//! than any card needs. All three mends are harmless for a real card:
//!
//! - **The idle bit of CMD58's answer.** The emulated card always answers CMD58 (read OCR) with "idle", even after
//!   ACMD41 has said that it is ready; the protocol takes any answer but 0 for an error. The bit is cleared: the
//!   protocol sends CMD58 only once ACMD41 has answered "ready".
//! - **The gap before a data token.** After the answer to CMD24 or CMD25 the card is due one byte of clocks before
//!   the data token (N_WR in the SD Physical Layer Specification, from memory); the protocol sends none, and the
//!   emulated card swallows the token. One 0xFF goes out first.
//! - **The wait for the next block.** The protocol asks for one byte, and when the card is quiet it waits 10 µs before
//!   the next. In a run of blocks the token comes a few bytes later, so a few more are asked for at once.

use embedded_hal::spi::{ErrorType, Operation, SpiDevice};

/// First byte of a command frame: 0, 1, then the command's number (SD Physical Layer Specification, 7.3.1.1).
const COMMAND: u8 = 0x40;
const COMMAND_FRAME_BYTES: usize = 6;
const READ_OCR: u8 = COMMAND | 58;
const READ_BLOCK: u8 = COMMAND | 17;
const READ_BLOCKS: u8 = COMMAND | 18;
const WRITE_BLOCK: u8 = COMMAND | 24;
const WRITE_BLOCKS: u8 = COMMAND | 25;

/// Data tokens of single and multiple writes (the same, 7.3.3.2).
const TOKENS: [u8; 2] = [0xFE, 0xFC];

/// Bytes of the checksum after each block.
const CHECKSUM_BYTES: usize = 2;

/// Bytes asked for before the protocol gets to wait for the next block.
const ASKED_AT_ONCE: usize = 8;

/// What the line shows while the card has nothing to say.
const QUIET: u8 = 0xFF;
/// R1: the card is still starting (the same, 7.3.2.1).
const R1_IDLE: u8 = 0x01;

/// The command whose answer or data is awaited, of those that need a mend.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Pending {
    Nothing,
    ReadOcr,
    Block,
    Blocks,
    Write,
}

/// A SPI device that mends the two.
#[derive(Debug)]
pub struct CardLine<S> {
    spi: S,
    pending: Pending,
}

impl<S> CardLine<S> {
    /// The line through this device.
    pub const fn new(spi: S) -> Self {
        Self { spi, pending: Pending::Nothing }
    }

    /// The device itself, for what is not the protocol's: its speed, clocks to an unselected card.
    pub const fn device(&mut self) -> &mut S {
        &mut self.spi
    }

    fn note_command(&mut self, sent: &[u8]) {
        if sent.len() == COMMAND_FRAME_BYTES {
            self.pending = match sent.first() {
                Some(&READ_OCR) => Pending::ReadOcr,
                Some(&READ_BLOCK) => Pending::Block,
                Some(&READ_BLOCKS) => Pending::Blocks,
                Some(&(WRITE_BLOCK | WRITE_BLOCKS)) => Pending::Write,
                _ => Pending::Nothing,
            };
        }
    }

    fn mend_answer(&mut self, answer: &mut [u8]) {
        if self.pending == Pending::ReadOcr
            && let Some(r1) = answer.iter_mut().find(|byte| **byte != QUIET)
        {
            *r1 &= !R1_IDLE;
            self.pending = Pending::Nothing;
        }
    }
}

impl<S: ErrorType> ErrorType for CardLine<S> {
    type Error = S::Error;
}

impl<S: SpiDevice> SpiDevice for CardLine<S> {
    fn transaction(&mut self, operations: &mut [Operation<'_, u8>]) -> Result<(), S::Error> {
        if let [Operation::Transfer([answer], [QUIET])] = operations
            && matches!(self.pending, Pending::Block | Pending::Blocks)
        {
            for _ in 0..ASKED_AT_ONCE {
                self.spi.transfer(core::slice::from_mut(answer), &[QUIET])?;
                if *answer != QUIET {
                    break;
                }
            }
            return Ok(());
        }
        for operation in operations.iter() {
            match operation {
                Operation::Write(sent) => self.note_command(sent),
                Operation::Transfer(_, [token])
                    if self.pending == Pending::Write && TOKENS.contains(token) =>
                {
                    self.pending = Pending::Nothing;
                    self.spi.write(&[QUIET])?;
                }
                Operation::TransferInPlace(checksum)
                    if self.pending == Pending::Block && checksum.len() == CHECKSUM_BYTES =>
                {
                    self.pending = Pending::Nothing;
                }
                _ => {}
            }
        }
        self.spi.transaction(operations)?;
        if self.pending == Pending::ReadOcr {
            for operation in operations {
                match operation {
                    Operation::Read(answer) | Operation::Transfer(answer, _) => self.mend_answer(answer),
                    Operation::TransferInPlace(answer) => self.mend_answer(answer),
                    Operation::Write(_) | Operation::DelayNs(_) => {}
                }
            }
        }
        Ok(())
    }
}
