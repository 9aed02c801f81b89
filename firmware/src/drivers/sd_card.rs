//! The SD card: embedded-sdmmc's protocol, read ahead, and whether a card is there at all.

use embedded_hal::delay::DelayNs;
use embedded_hal::spi::SpiDevice;
use embedded_sdmmc::sdcard::spi::AcquireOpts;
use embedded_sdmmc::{Block, BlockDevice as _, BlockIdx, SdCard};
use holdpoint_shared::media::{BlockDevice, BlockErrorKind, BlockIndex};

use super::card_line::CardLine;

/// Bytes of a block.
pub const BLOCK_BYTES: usize = Block::LEN;

/// Blocks fetched by one command once reading goes straight on: 4 KiB, so that a card's search time (about a
/// millisecond on common cards, from memory) is paid once in eight blocks.
pub const AHEAD_BLOCKS: usize = 8;

/// How often the protocol asks a card to wake before it gives up. Its own 50 would keep the display waiting for six
/// seconds; a card that answered the look needs one or two.
const WAKE_TRIES: u32 = 2;

/// Bytes within which a card begins its answer (N_CR, at most 8: SD Physical Layer Specification, 7.5.1.1), and the
/// two of an answer to CMD13.
const ANSWER_BYTES: usize = 10;

/// CMD0 with its checksum: go to the idle state (the same, 7.2.1).
const GO_IDLE: [u8; 6] = [0x40, 0, 0, 0, 0, 0x95];
/// CMD13 with its checksum: send status.
const SEND_STATUS: [u8; 6] = [0x4D, 0, 0, 0, 0, 0x0D];
/// CMD12 with its checksum: stop sending blocks.
const STOP: [u8; 6] = [0x4C, 0, 0, 0, 0, 0x61];
/// Nothing answers: the line is pulled up.
const QUIET: u8 = 0xFF;
/// R1's first bit is always 0 (the same, 7.3.2.1).
const NOT_R1: u8 = 0x80;
/// R1: in the idle state, as after power-up, or (0x04) the command is illegal in this state. A card that says so to
/// CMD13 has been started anew, so it is another one, or the same put in again.
const R1_STARTED_ANEW: u8 = 0x05;

/// What a look at the slot found new.
#[derive(Clone, Copy, Debug, PartialEq, Eq, defmt::Format)]
pub enum Change {
    /// A card was put in and answers.
    Inserted,
    /// The card was taken out, or stopped answering.
    Removed,
}

/// A line whose clock can follow the card: slow while it starts, fast from then on.
pub trait CardSpeed {
    /// At most 400 kHz from now on.
    fn start_slowly(&mut self);
    /// As fast as the wiring allows, at most 25 MHz.
    fn run_fast(&mut self);
}

/// The slot and the card in it.
pub struct Slot<S: SpiDevice, D: DelayNs> {
    card: SdCard<CardLine<S>, D>,
    /// Blocks of the card in the slot; `None` while there is none.
    blocks: Option<u32>,
    /// Blocks read ahead.
    ahead: [Block; AHEAD_BLOCKS],
    /// The first of them, and how many hold.
    held: (u32, usize),
    /// The block that follows the last one read.
    next: u32,
    /// The card stopped answering a read or a write; the next look tells.
    lost: bool,
}

impl<S: SpiDevice + CardSpeed, D: DelayNs> Slot<S, D> {
    /// The slot at the end of this line. The line must have given an unselected card its 74 clocks.
    pub fn new(spi: S, delay: D) -> Self {
        let options = AcquireOpts { use_crc: true, acquire_retries: WAKE_TRIES };
        Self {
            card: SdCard::new_with_options(CardLine::new(spi), delay, options),
            blocks: None,
            ahead: core::array::from_fn(|_| Block::new()),
            held: (0, 0),
            next: 0,
            lost: false,
        }
    }

    /// Looks whether a card came or went, by one short command: microseconds while nothing changes. To be called a
    /// few times a second. A card that was changed between two looks is reported as removed first, then as inserted.
    pub fn look(&mut self) -> Option<Change> {
        if self.lost {
            self.lost = false;
            return Some(Change::Removed);
        }
        if self.blocks.is_some() {
            if self.answers() {
                return None;
            }
            self.forget();
            return Some(Change::Removed);
        }
        self.first_answer(GO_IDLE)?;
        self.card.mark_card_uninit();
        self.blocks = self.card.num_blocks().ok().map(|blocks| blocks.0);
        if self.blocks.is_some() {
            self.card.spi(|line| line.device().run_fast());
        }
        self.blocks.map(|_| Change::Inserted)
    }

    /// The block, from what was read ahead or from the card.
    fn fetch(&mut self, block: u32) -> Result<&[u8; BLOCK_BYTES], BlockErrorKind> {
        let end = self.blocks.ok_or(BlockErrorKind::NoCard)?;
        if block >= end {
            return Err(BlockErrorKind::Failed);
        }
        let (first, held) = self.held;
        let at = block.wrapping_sub(first) as usize;
        let at = if at < held {
            at
        } else {
            let straight_on = block == self.next;
            let count = if straight_on { AHEAD_BLOCKS.min((end - block) as usize) } else { 1 };
            self.held = (block, 0);
            let count = self.fill(block, count)?;
            self.held = (block, count);
            0
        };
        self.next = block + 1;
        Ok(&self.ahead[at].contents)
    }

    /// Reads `count` blocks ahead, or the first alone when a later one does not read. Gives how many hold.
    fn fill(&mut self, block: u32, count: usize) -> Result<usize, BlockErrorKind> {
        if self.card.read(&mut self.ahead[..count], BlockIdx(block)).is_ok() {
            return Ok(count);
        }
        // The card may still be sending: the protocol leaves a failed read as it stands.
        self.first_answer(STOP);
        if self.is_lost() {
            return Err(BlockErrorKind::Gone);
        }
        match self.card.read(&mut self.ahead[..1], BlockIdx(block)) {
            Ok(()) => Ok(1),
            Err(_) => Err(BlockErrorKind::Failed),
        }
    }

    /// Whether the card that was started still answers.
    fn answers(&mut self) -> bool {
        self.first_answer(SEND_STATUS).is_some_and(|r1| r1 & R1_STARTED_ANEW == 0)
    }

    /// After a failed read or write: whether the card went, which the next look then tells.
    fn is_lost(&mut self) -> bool {
        self.lost = !self.answers();
        if self.lost {
            self.forget();
        }
        self.lost
    }

    fn forget(&mut self) {
        self.card.mark_card_uninit();
        self.card.spi(|line| line.device().start_slowly());
        self.blocks = None;
        self.held.1 = 0;
        self.next = 0;
    }

    /// Sends a command outside the protocol and gives the first byte of the answer, if one comes.
    fn first_answer(&mut self, command: [u8; 6]) -> Option<u8> {
        let mut answer = [QUIET; ANSWER_BYTES];
        // One byte of clocks first lets a card finish what it was about (N_RC, the same, 7.5.1.1).
        let sent = self.card.spi(|line| {
            let device = line.device();
            device.write(&[QUIET])?;
            device.write(&command)?;
            device.transfer_in_place(&mut answer)
        });
        sent.ok()?;
        answer.into_iter().find(|byte| byte & NOT_R1 == 0)
    }
}

/// 3 MB: 3 s at 1 MB/s, 6 s at half of that. The shortest watchdog of a board waits for 8 s, and the row itself takes two
/// at most.
const CHECKED_BLOCKS: u32 = 6_000;

impl<S: SpiDevice + CardSpeed, D: DelayNs> BlockDevice for Slot<S, D> {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        self.blocks.map_or(0, u64::from)
    }

    fn writable(&self) -> bool {
        true
    }

    fn blocks_to_check(&self) -> u32 {
        CHECKED_BLOCKS
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        for (block, part) in (first.0..).zip(blocks.chunks_exact_mut(BLOCK_BYTES)) {
            part.copy_from_slice(self.fetch(number(block)?)?);
        }
        Ok(())
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), BlockErrorKind> {
        let end = self.blocks.ok_or(BlockErrorKind::NoCard)?;
        // What was read ahead may be overwritten, and its first block carries each block to the card.
        self.held.1 = 0;
        for (block, part) in (first.0..).zip(blocks.chunks_exact(BLOCK_BYTES)) {
            let block = number(block)?;
            if block >= end {
                return Err(BlockErrorKind::Failed);
            }
            let [carrier, ..] = &mut self.ahead;
            carrier.contents.copy_from_slice(part);
            if self.card.write(core::slice::from_ref(carrier), BlockIdx(block)).is_err() {
                return Err(if self.is_lost() { BlockErrorKind::Gone } else { BlockErrorKind::Failed });
            }
        }
        Ok(())
    }
}

/// A block's number as the card takes it: 32 bits, so up to 2 TiB.
fn number(block: u64) -> Result<u32, BlockErrorKind> {
    u32::try_from(block).map_err(|_| BlockErrorKind::Failed)
}

impl<S: SpiDevice, D: DelayNs> core::fmt::Debug for Slot<S, D> {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("Slot").field("blocks", &self.blocks).finish_non_exhaustive()
    }
}
