//! Faults of a card, put between a device and the core: always the same for the same settings.

use holdpoint_shared::limits::BLOCK_BYTES;
use holdpoint_shared::media::{BlockDevice, BlockError, BlockErrorKind, BlockIndex};

/// What goes wrong.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Fault {
    /// Nothing.
    #[default]
    None,
    /// This block can never be read or written.
    BadBlock(u64),
    /// Bit `bit` (0 to 4095) of this block reads wrong.
    FlippedBit {
        /// The block.
        block: u64,
        /// The bit, counted from the first byte's lowest.
        bit: u16,
    },
    /// About `per_million` of all blocks read with one bit wrong; which ones follows from the seed alone.
    RandomFlips {
        /// The seed.
        seed: u64,
        /// Blocks in a million that are wrong.
        per_million: u32,
    },
    /// The card has only this many blocks, whatever its volume says.
    Short(u64),
    /// The read call after so many others fails once; the card then goes on.
    FailedRead {
        /// Read calls that succeed before it.
        after: u64,
    },
    /// The card is pulled out after so many read calls.
    VanishAfterReads(u64),
    /// The write of a block after so many others fails once; the card then goes on.
    FailedWrite {
        /// Blocks that are written before it.
        after: u64,
    },
    /// The power goes after so many blocks were written: these stay, and nothing answers any more.
    PowerCutAfterWrites(u64),
}

/// A device with a fault.
#[derive(Debug)]
pub struct Faulty<D> {
    device: D,
    fault: Fault,
    reads: u64,
    blocks_written: u64,
    gone: bool,
}

impl<D: BlockDevice> Faulty<D> {
    /// Puts a fault before a device.
    pub const fn new(device: D, fault: Fault) -> Self {
        Self { device, fault, reads: 0, blocks_written: 0, gone: false }
    }

    /// The device as the fault left it.
    pub fn into_inner(self) -> D {
        self.device
    }

    /// Read calls so far.
    pub const fn reads(&self) -> u64 {
        self.reads
    }

    /// Blocks that reached the device so far.
    pub const fn blocks_written(&self) -> u64 {
        self.blocks_written
    }

    /// The bit that reads wrong in a block, if one does.
    fn flipped_bit(&self, block: u64) -> Option<u16> {
        match self.fault {
            Fault::FlippedBit { block: wrong, bit } => (wrong == block).then_some(bit),
            Fault::RandomFlips { seed, per_million } => {
                let drawn = mixed(seed ^ mixed(block));
                let wrong = drawn % 1_000_000 < u64::from(per_million);
                wrong.then_some((drawn >> 40) as u16)
            }
            _ => None,
        }
    }
}

/// SplitMix64's step (Steele, Lea and Flood 2014): enough to scatter faults, and no state to carry.
const fn mixed(seed: u64) -> u64 {
    let seed = seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let seed = (seed ^ (seed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let seed = (seed ^ (seed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    seed ^ (seed >> 31)
}

impl<D: BlockDevice> BlockDevice for Faulty<D> {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        match self.fault {
            Fault::Short(blocks) => blocks.min(self.device.block_count()),
            _ => self.device.block_count(),
        }
    }

    fn writable(&self) -> bool {
        self.device.writable()
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        let count = (blocks.len() / BLOCK_BYTES) as u64;
        let before = self.reads;
        self.reads += 1;
        match self.fault {
            _ if self.gone => return Err(BlockErrorKind::Gone),
            Fault::VanishAfterReads(after) if before >= after => {
                self.gone = true;
                return Err(BlockErrorKind::Gone);
            }
            Fault::FailedRead { after } if before == after => return Err(BlockErrorKind::Failed),
            Fault::BadBlock(bad) if (first.0..first.0 + count).contains(&bad) => {
                return Err(BlockErrorKind::Failed);
            }
            _ => {}
        }
        self.device.read(first, blocks).map_err(|error| error.kind())?;
        for (number, block) in (first.0..).zip(blocks.chunks_mut(BLOCK_BYTES)) {
            if let Some(bit) = self.flipped_bit(number) {
                let bit = usize::from(bit) % (BLOCK_BYTES * 8);
                block[bit / 8] ^= 1 << (bit % 8);
            }
        }
        Ok(())
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), BlockErrorKind> {
        for (number, block) in (first.0..).zip(blocks.chunks(BLOCK_BYTES)) {
            match self.fault {
                _ if self.gone => return Err(BlockErrorKind::Gone),
                Fault::PowerCutAfterWrites(after) if self.blocks_written >= after => {
                    self.gone = true;
                    return Err(BlockErrorKind::Gone);
                }
                Fault::FailedWrite { after } if self.blocks_written == after => {
                    self.fault = Fault::None;
                    return Err(BlockErrorKind::Failed);
                }
                Fault::BadBlock(bad) if bad == number => return Err(BlockErrorKind::Failed),
                _ => {}
            }
            self.device.write(BlockIndex(number), block).map_err(|error| error.kind())?;
            self.blocks_written += 1;
        }
        Ok(())
    }

    fn flush(&mut self) -> Result<(), BlockErrorKind> {
        if self.gone {
            return Err(BlockErrorKind::Gone);
        }
        self.device.flush().map_err(|error| error.kind())
    }
}

#[cfg(test)]
mod tests {
    use holdpoint_desk::image::Image;

    use super::*;

    fn faulty(fault: Fault) -> Faulty<Image> {
        Faulty::new(Image::from_bytes(vec![0; 100 * BLOCK_BYTES]), fault)
    }

    fn wrong_blocks(fault: Fault) -> Vec<u64> {
        let mut card = faulty(fault);
        let mut block = [0; BLOCK_BYTES];
        (0..100)
            .filter(|number| {
                card.read(BlockIndex(*number), &mut block).unwrap();
                block.iter().any(|byte| *byte != 0)
            })
            .collect()
    }

    #[test]
    fn flips_are_the_same_for_the_same_seed() {
        assert_eq!(wrong_blocks(Fault::FlippedBit { block: 3, bit: 4_095 }), [3]);
        let some = wrong_blocks(Fault::RandomFlips { seed: 1, per_million: 300_000 });
        assert!(some.len() > 10 && some.len() < 60, "about 30 of 100: {some:?}");
        assert_eq!(some, wrong_blocks(Fault::RandomFlips { seed: 1, per_million: 300_000 }));
        assert_ne!(some, wrong_blocks(Fault::RandomFlips { seed: 2, per_million: 300_000 }));
    }

    #[test]
    fn a_power_cut_keeps_what_was_written_and_nothing_after() {
        let mut card = faulty(Fault::PowerCutAfterWrites(2));
        assert_eq!(card.write(BlockIndex(5), &[1; 3 * BLOCK_BYTES]), Err(BlockErrorKind::Gone));
        assert_eq!(card.read(BlockIndex(0), &mut [0; BLOCK_BYTES]), Err(BlockErrorKind::Gone));
        let bytes = card.into_inner().into_bytes();
        let written: Vec<usize> = (0..100)
            .filter(|block| bytes[block * BLOCK_BYTES..][..BLOCK_BYTES] == [1; BLOCK_BYTES])
            .collect();
        assert_eq!(written, [5, 6]);
    }

    #[test]
    fn failures_come_when_told() {
        let mut card = faulty(Fault::FailedRead { after: 1 });
        let mut block = [0; BLOCK_BYTES];
        let answers: Vec<bool> = (0..3).map(|_| card.read(BlockIndex(0), &mut block).is_ok()).collect();
        assert_eq!(answers, [true, false, true]);
        let mut card = faulty(Fault::VanishAfterReads(1));
        let answers: Vec<bool> = (0..3).map(|_| card.read(BlockIndex(0), &mut block).is_ok()).collect();
        assert_eq!(answers, [true, false, false]);
        let mut card = faulty(Fault::BadBlock(4));
        assert!(card.read(BlockIndex(3), &mut [0; 2 * BLOCK_BYTES]).is_err());
        assert_eq!(faulty(Fault::Short(7)).block_count(), 7);
    }
}
