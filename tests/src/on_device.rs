//! A job of the corpus through the whole device: the blocks of a card, a clock, and a hand on the knob.

use chrono::NaiveDateTime;
use holdpoint_desk::image::Image;
use holdpoint_shared::app::{App, Event, Now, Progress};
use holdpoint_shared::checks::Finding;
use holdpoint_shared::ledger::{Ledger, NoFlash};
use holdpoint_shared::limits::BLOCK_BYTES;
use holdpoint_shared::media::{BlockDevice, BlockError, BlockErrorKind, BlockIndex, MountToken, Volume};
use holdpoint_shared::phase::Phase;
use holdpoint_shared::screens::ScreenModel;
use holdpoint_shared::time::Instant;

use crate::corpus::{CardFaults, Job, wednesday};
use crate::images::{FatShape, FileSpec, Kind, fat_volume, small_fat};

/// More steps than any job of the corpus takes.
const STEPS: usize = 200_000;

/// What the device finds in the job, once a hand has chosen it and all of it was read.
///
/// # Panics
/// When the card does not list it, or the device does not come to a verdict.
#[must_use]
pub fn found(job: &Job) -> Vec<Finding> {
    let base = job.now.unwrap_or_else(|| wednesday(10, 0));
    let files: Vec<FileSpec> = job
        .files
        .iter()
        .map(|(name, bytes, minutes)| {
            let mut file = FileSpec::new(name, bytes.as_slice(), 0, 0);
            file.saved = base - chrono::TimeDelta::minutes(*minutes);
            file
        })
        .collect();
    let small = small_fat(Kind::Fat16);
    // Room for every file, whole blocks.
    let needed = files.iter().map(|file| file.bytes.len()).sum::<usize>().next_multiple_of(512) + (2 << 20);
    let mut bytes = fat_volume(FatShape { bytes: small.bytes.max(needed), ..small }, &files);
    if job.card.dirty {
        mark_dirty(&mut bytes);
    }
    let mut token = MountToken::new();
    let mut volume =
        Volume::mount(Worn::new(bytes, &job.files[0].1, job.card), &mut token).expect("a volume");
    let mut device =
        Device { app: Box::new(App::new(job.setup.clone())), now_ms: 0, wall: job.now, volume: &mut volume };
    device.handle(Event::CardInserted);
    for _ in 0..job.files.len() {
        if device.chosen().as_deref() == Some(&job.files[0].0) {
            break;
        }
        device.handle(Event::Turn(1));
    }
    assert_eq!(device.chosen().as_deref(), Some(job.files[0].0.as_str()), "{}: not in the list", job.what);
    device.handle(Event::Press);
    let phase = device.app.phase();
    assert!(matches!(phase, Phase::Verdict { .. }), "{}: {phase:?}", job.what);
    let vetting = device.app.chosen().expect("a vetted job");
    assert!(vetting.is_done(), "{}: not read to its end", job.what);
    vetting.report().findings.iter().cloned().collect()
}

struct Device<'v, 't> {
    app: Box<App>,
    now_ms: u64,
    wall: Option<NaiveDateTime>,
    volume: &'v mut Volume<'t, Worn>,
}

impl Device<'_, '_> {
    fn now(&self) -> Now {
        let passed = chrono::TimeDelta::milliseconds(self.now_ms.try_into().unwrap_or(0));
        Now { instant: Instant(self.now_ms), wall: self.wall.map(|wall| wall + passed) }
    }

    /// Something happens, and the device works until it has nothing more to do.
    fn handle(&mut self, event: Event) {
        self.now_ms += 500;
        self.app.handle(self.now(), event);
        for _ in 0..STEPS {
            // No longer than a card takes: what ends or closes within a job's minutes stays so.
            self.now_ms += 1;
            let now = self.now();
            let ledger = None::<&mut Ledger<NoFlash>>;
            if self.app.step(now, Some(&mut *self.volume), ledger) == Progress::Idle {
                return;
            }
        }
        panic!("it never comes to rest");
    }

    /// The name on the list that the next press chooses.
    fn chosen(&self) -> Option<String> {
        self.app.with_model(self.now(), |model| match model {
            ScreenModel::Jobs(jobs) => Some(jobs.row.name.to_owned()),
            _ => None,
        })
    }
}

/// FAT's own mark of a volume that was not cleanly taken out: the top bit of its second entry is 0.
fn mark_dirty(bytes: &mut [u8]) {
    let reserved = usize::from(u16::from_le_bytes([bytes[14], bytes[15]]));
    bytes[reserved * BLOCK_BYTES + 3] &= 0x7F;
}

/// A card of which one byte reads otherwise every other time.
struct Worn {
    image: Image,
    /// The block and the place of the byte.
    at: Option<(u64, usize)>,
    reads: u32,
}

/// The byte of a job that wears out: within what is read twice.
const WORN_BYTE: usize = 700;

impl Worn {
    fn new(bytes: Vec<u8>, job: &[u8], faults: CardFaults) -> Self {
        let at = faults.worn.then(|| {
            let begins = bytes.windows(BLOCK_BYTES).step_by(BLOCK_BYTES).position(|it| job.starts_with(it));
            let byte = begins.expect("the job is on its card") * BLOCK_BYTES + WORN_BYTE;
            ((byte / BLOCK_BYTES) as u64, byte % BLOCK_BYTES)
        });
        Self { image: Image::from_bytes(bytes), at, reads: 0 }
    }
}

impl BlockDevice for Worn {
    type Error = BlockErrorKind;

    fn block_count(&self) -> u64 {
        self.image.block_count()
    }

    fn writable(&self) -> bool {
        true
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), BlockErrorKind> {
        self.image.read(first, blocks).map_err(|error| error.kind())?;
        for (number, block) in (first.0..).zip(blocks.chunks_mut(BLOCK_BYTES)) {
            if let Some((worn, place)) = self.at
                && worn == number
            {
                self.reads += 1;
                // A digit into another.
                block[place] ^= u8::from(self.reads.is_multiple_of(2));
            }
        }
        Ok(())
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), BlockErrorKind> {
        self.image.write(first, blocks).map_err(|error| error.kind())
    }

    fn flush(&mut self) -> Result<(), BlockErrorKind> {
        Ok(())
    }
}
