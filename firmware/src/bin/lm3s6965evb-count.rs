//! Counts instructions on the emulated board and prints them; `.ci/counts` runs it. Means nothing on a real one.
//!
//! The card holds the text of a job from its first block on, with no file system, for at least the blocks read here.

#![no_std]
#![no_main]

use core::sync::atomic::{AtomicU32, Ordering};

use cortex_m::singleton;
use cortex_m_rt::entry;
use cortex_m_semihosting::debug::EXIT_SUCCESS;
use embedded_hal::spi::{ErrorType, Operation, SpiDevice};
use holdpoint_firmware::boards::lm3s6965evb::{self, Clock, OnLine, Parts};
use holdpoint_firmware::drivers::sd_card::{BLOCK_BYTES, CardSpeed, Slot};
use holdpoint_shared::media::{BlockDevice as _, BlockIndex};
use holdpoint_shared::records::Machine;
use holdpoint_shared::survey::Surveyor;

/// At `-icount shift=2` an instruction takes 4 ns, and a tick of the 50 MHz clock 20.
const INSTRUCTIONS_PER_TICK: u64 = 5;

/// Blocks read to count the reading: 2 MiB.
const READ_BLOCKS: u64 = 4096;

/// Blocks surveyed from RAM, so that the reading does not count: 5 KiB, beside the survey's own state all
/// that this board's memory has room for.
const RAM_BLOCKS: usize = 10;

static SPI_BYTES: AtomicU32 = AtomicU32::new(0);

/// The line to the card, with its bytes counted.
struct Counted(OnLine);

impl ErrorType for Counted {
    type Error = <OnLine as ErrorType>::Error;
}

impl CardSpeed for Counted {
    fn start_slowly(&mut self) {
        self.0.start_slowly();
    }

    fn run_fast(&mut self) {
        self.0.run_fast();
    }
}

impl SpiDevice for Counted {
    fn transaction(&mut self, operations: &mut [Operation<'_, u8>]) -> Result<(), Self::Error> {
        let bytes: usize = operations
            .iter()
            .map(|operation| match operation {
                Operation::Read(words) | Operation::TransferInPlace(words) => words.len(),
                Operation::Write(words) => words.len(),
                Operation::Transfer(read, write) => read.len().max(write.len()),
                Operation::DelayNs(_) => 0,
            })
            .sum();
        SPI_BYTES.store(SPI_BYTES.load(Ordering::Relaxed) + bytes as u32, Ordering::Relaxed);
        self.0.transaction(operations)
    }
}

/// Instructions that `work` takes.
fn instructions(clock: Clock, work: impl FnOnce()) -> u64 {
    let start = clock.ticks();
    work();
    (clock.ticks() - start) * INSTRUCTIONS_PER_TICK
}

fn count_reading(clock: Clock, slot: &mut CountedSlot) {
    let mut buffer = [0; BLOCK_BYTES];
    let spi_before = SPI_BYTES.load(Ordering::Relaxed);
    let count = instructions(clock, || {
        for block in 0..READ_BLOCKS {
            if let Err(fault) = slot.read(BlockIndex(block), &mut buffer) {
                defmt::panic!("block {=u64}: {}", block, fault);
            }
            // Whoever reads a card looks at the bytes.
            core::hint::black_box(&buffer);
        }
    });
    let bytes = READ_BLOCKS * BLOCK_BYTES as u64;
    let spi = SPI_BYTES.load(Ordering::Relaxed) - spi_before;
    defmt::info!("count card_read bytes={=u64} instructions={=u64} spi_bytes={=u32}", bytes, count, spi);
}

/// Counts the survey alone, of a job's first blocks in RAM. They lie there only now: the surveyor is made before, on a stack
/// that has no room for both.
#[inline(never)]
fn count_survey(clock: Clock, surveyor: &mut Surveyor, slot: &mut CountedSlot) {
    let mut job = [0; RAM_BLOCKS * BLOCK_BYTES];
    if let Err(fault) = slot.read(BlockIndex(0), &mut job) {
        defmt::panic!("the job's first blocks: {}", fault);
    }
    surveyor.restart(&Machine::default());
    let count = instructions(clock, || {
        for chunk in job.chunks_exact(BLOCK_BYTES) {
            surveyor.feed(chunk);
        }
    });
    core::hint::black_box(surveyor.close());
    defmt::info!("count survey bytes={=usize} instructions={=u64}", job.len(), count);
    defmt::info!("count surveyor bytes={=usize}", size_of::<Surveyor>());
}

/// Counts the survey with the reading.
#[inline(never)]
fn count_card_survey(clock: Clock, surveyor: &mut Surveyor, slot: &mut CountedSlot) {
    surveyor.restart(&Machine::default());
    let mut chunk = [0; BLOCK_BYTES];
    let count = instructions(clock, || {
        for block in 0..READ_BLOCKS {
            if let Err(fault) = slot.read(BlockIndex(block), &mut chunk) {
                defmt::panic!("block {=u64}: {}", block, fault);
            }
            surveyor.feed(&chunk);
        }
    });
    core::hint::black_box(surveyor.close());
    let bytes = READ_BLOCKS * BLOCK_BYTES as u64;
    defmt::info!("count card_survey bytes={=u64} instructions={=u64}", bytes, count);
}

type CountedSlot = Slot<Counted, Clock>;

// The slot's block buffer is a static and made apart from `main`, whose stack is never given back.

#[inline(never)]
fn slot(line: OnLine, clock: Clock) -> Option<&'static mut CountedSlot> {
    singleton!(: CountedSlot = Slot::new(Counted(line), clock))
}

#[entry]
fn main() -> ! {
    let Some(Ok(parts)) = Parts::take() else { defmt::panic!("the board cannot be set up") };
    let slot = slot(parts.card_line, parts.clock);
    let Some(slot) = slot else { defmt::panic!("set up twice") };
    let mut surveyor = Surveyor::idle();
    if slot.look().is_none() {
        defmt::panic!("no card");
    }
    count_reading(parts.clock, slot);
    count_survey(parts.clock, &mut surveyor, slot);
    count_card_survey(parts.clock, &mut surveyor, slot);
    lm3s6965evb::exit(EXIT_SUCCESS)
}
