//! The drivers on board one, for the tests on the emulator alone: card, display and buttons, with the core's media room
//! between them. No job is vetted here.
//!
//! The screen has six lines: how many jobs the card has, then the chosen one's name, folder, size, and after a press the
//! CRC-32 of all its bytes. A turn chooses another. A press reads the job and appends a line to `HOLDPT/READ.TXT`.

#![no_std]
#![no_main]

use core::cell::RefCell;
use core::fmt::Write as _;

use cortex_m::singleton;
use cortex_m_rt::entry;
use crc::{CRC_32_ISO_HDLC, Crc, NoTable};
use heapless::String;
use holdpoint_firmware::boards::lm3s6965evb::{Clock, Input, OnLine, Output, Parts, sleep};
use holdpoint_firmware::card::CardFiles;
use holdpoint_firmware::drivers::buttons::Buttons;
use holdpoint_firmware::drivers::grey_oled::GreyOled;
use holdpoint_firmware::drivers::sd_card::{Change, Slot};
use holdpoint_firmware::fault::page;
use holdpoint_shared::app::Event;
use holdpoint_shared::media::{Entry, JobFiles, MediaError, MountToken, Page, PageFrom};

/// Between two looks at the slot.
const SLOT_MS: u64 = 250;

/// Columns of the screen.
const COLUMNS: usize = 21;

/// The file that a line is appended to for each job that was read.
const READ_FILE: &str = "READ.TXT";

type EvbSlot = RefCell<Slot<OnLine, Clock>>;

type Line = String<COLUMNS>;

/// What happened.
enum Happened {
    Slot(Change),
    Knob(Event),
}

struct Bench {
    clock: Clock,
    display: GreyOled<OnLine, Output>,
    buttons: Buttons<Input>,
    /// When to look at the slot again, ms.
    look_at: u64,
}

impl Bench {
    /// Waits until something happens. Woken by the tick every 10 ms, as often as the buttons are to be read.
    fn next(&mut self, slot: &EvbSlot) -> Happened {
        loop {
            let mut knob = None;
            self.buttons.sample(|event| {
                defmt::info!("knob {}", event);
                knob = Some(event);
            });
            if let Some(event) = knob {
                return Happened::Knob(event);
            }
            let now = self.clock.milliseconds();
            if self.look_at <= now {
                self.look_at = now + SLOT_MS;
                if let Some(change) = slot.borrow_mut().look() {
                    defmt::info!("card {}", change);
                    return Happened::Slot(change);
                }
            }
            sleep();
        }
    }

    fn show(&mut self, lines: [&str; 6]) {
        if let Err(error) = self.display.show(&page(lines)) {
            defmt::panic!("display: {}", error);
        }
        defmt::info!("screen shown");
    }

    fn show_job(&mut self, jobs: u16, entry: Option<&Entry>, crc: Option<u32>) {
        let (mut count, mut size, mut sum) = (Line::new(), Line::new(), Line::new());
        let mut fits = write!(count, "jobs: {jobs}").is_ok();
        let (mut name, mut folder) = ("", "");
        if let Some(entry) = entry {
            (name, folder) = (columns(&entry.name), columns(&entry.folder));
            fits &= write!(size, "{} bytes", entry.size_bytes).is_ok();
        }
        if let Some(crc) = crc {
            fits &= write!(sum, "crc {crc:08x}").is_ok();
        }
        defmt::assert!(fits, "a line is too long");
        self.show([&count, name, folder, &size, &sum, ""]);
    }

    /// Stays with a card until it is gone.
    fn with_card(&mut self, slot: &EvbSlot, files: &mut CardFiles<'_, Slot<OnLine, Clock>>) {
        let mut jobs = Page::default();
        files.start_listing(PageFrom::Newest);
        if let Err(error) = nb::block!(files.poll_listing(&mut jobs)) {
            defmt::info!("listing failed: {}", error);
        }
        let mut chosen = 0_usize;
        let mut crc = None;
        loop {
            self.show_job(jobs.census.jobs, jobs.entries.get(chosen), crc);
            match self.next(slot) {
                Happened::Slot(Change::Removed) => return,
                Happened::Slot(Change::Inserted) => {}
                Happened::Knob(Event::Turn(detents)) => {
                    let last = jobs.entries.len().saturating_sub(1);
                    chosen = chosen.saturating_add_signed(detents.into()).min(last);
                    crc = None;
                }
                Happened::Knob(Event::Press) => {
                    crc = jobs.entries.get(chosen).and_then(|entry| match read(files, entry) {
                        Ok(crc) => Some(crc),
                        Err(error) => {
                            defmt::info!("reading failed: {}", error);
                            None
                        }
                    });
                }
                Happened::Knob(_) => {}
            }
        }
    }
}

/// As much of a text as fits on a line.
fn columns(text: &str) -> &str {
    text.get(..COLUMNS).unwrap_or(text)
}

/// Reads a job to its end, and appends a line that says so; gives the CRC-32 of its bytes.
fn read(files: &mut impl JobFiles, entry: &Entry) -> Result<u32, MediaError> {
    defmt::info!("reading");
    let sum = Crc::<u32, NoTable>::new(&CRC_32_ISO_HDLC);
    let mut digest = sum.digest();
    let mut buffer = [0; 1024];
    files.open(entry.place)?;
    loop {
        match nb::block!(files.poll_read(&mut buffer))? {
            0 => break,
            count => digest.update(buffer.get(..count).unwrap_or_default()),
        }
    }
    let crc = digest.finalize();
    let mut row = String::<32>::new();
    // Eight and ten figures.
    let _ = write!(row, "{crc:08x},{}\r\n", entry.size_bytes);
    files.append_record(READ_FILE, &[], row.as_bytes())?;
    defmt::info!("read to its end");
    Ok(crc)
}

// The slot's block buffer is a static and made apart from `main`, whose stack is never given back.
#[inline(never)]
fn slot(line: OnLine, clock: Clock) -> Option<&'static mut EvbSlot> {
    singleton!(: EvbSlot = RefCell::new(Slot::new(line, clock)))
}

#[entry]
fn main() -> ! {
    let Some(Ok(Parts { clock, card_line, display, buttons })) = Parts::take() else {
        defmt::panic!("the board cannot be set up")
    };
    let Some(slot) = slot(card_line, clock) else { defmt::panic!("set up twice") };
    let mut bench = Bench { clock, display, buttons, look_at: 0 };
    let mut token = MountToken::new();
    loop {
        bench.show(["no card", "", "", "", "", ""]);
        while !matches!(bench.next(slot), Happened::Slot(Change::Inserted)) {}
        match CardFiles::mount(slot, &mut token) {
            Ok(mut files) => bench.with_card(slot, &mut files),
            Err(error) => {
                defmt::info!("mounting failed: {}", error);
                bench.show(["card cannot be read", "", "", "", "", ""]);
                while !matches!(bench.next(slot), Happened::Slot(Change::Removed)) {}
            }
        }
    }
}
