//! A job that comes back unchanged, on its card or on another one, is not surveyed again as long as its survey stands.
//!
//! The device's one survey stays in place until another job is surveyed. A file counts as the one that it was made of
//! when all of this agrees: its length; its saved time, to the two seconds that FAT keeps, and it has one (a copy that
//! was given a new time is surveyed: that costs a minute, a wrong guess a job); the CRC-32 of both ends, 16 KiB each; the
//! CRC-32 of up to [`SAMPLES`] blocks between them, each read from this card; the machine sheet.
//!
//! What it sees, with `b` blocks of 512 bytes between the ends: whatever changes the length or an end, as every byte put
//! in or taken out does. A stretch of `n` changed blocks in place is seen for certain from `b / 32 + 1` blocks on, below
//! that in `32 n / b` of the cases; two stretches that differ have one sum in one case of 2³². A single byte changed in
//! place between the ends of a job of 3,000,000 bytes, its length and its time kept, is seen in one case of 181 only:
//! who edits a file gives it another time, but a card that decays does not. The sum of every byte is taken and compared
//! where the card was out of sight of a verdict that still counts: when it comes back into a walk-round, a release or a
//! start ([`Vetting::again`](super::Vetting)). Nothing else re-reads a job before its release.

use core::hash::{Hash, Hasher};

use crate::limits::{BLOCK_BYTES, HINT_WINDOW_BYTES};
use crate::media::Entry;
use crate::records::Machine;
use crate::survey::Crc32;
use crate::time::WallClock;

/// Blocks sampled between a file's ends (judgement: read in the time that the ends take).
pub(super) const SAMPLES: u64 = 32;

const BLOCK: u64 = BLOCK_BYTES as u64;

/// What tells a job and its machine from others, before a sample was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Fingerprint {
    size_bytes: u64,
    saved: WallClock,
    /// CRC-32 of both ends.
    ends: u32,
    /// CRC-32 of the machine sheet.
    machine: u32,
}

impl Fingerprint {
    /// `None` for a file without a saved time: too little would tell it from another.
    pub(super) fn of(entry: &Entry, ends: u32, machine: &Machine) -> Option<Self> {
        let mut sheet = RecalledSheet(Crc32::new());
        machine.hash(&mut sheet);
        Some(Self { size_bytes: entry.size_bytes, saved: entry.saved?, ends, machine: sheet.0.value() })
    }
}

/// A sheet's values, summed.
struct RecalledSheet(Crc32);

impl Hasher for RecalledSheet {
    fn write(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    fn finish(&self) -> u64 {
        self.0.value().into()
    }
}

/// What the survey in place was made of.
#[derive(Debug)]
pub(super) struct Recall {
    /// `None` = of nothing that could be known again.
    of: Option<Fingerprint>,
    /// Sum of its sampled bytes.
    sampled: u32,
    /// When its last byte was read.
    read_at: Option<WallClock>,
    /// Of the file that is read now.
    samples: Samples,
}

impl Recall {
    pub(super) fn new() -> Self {
        Self { of: None, sampled: 0, read_at: None, samples: Samples::new(0) }
    }

    /// From now on nothing is known again.
    pub(super) fn forget(&mut self) {
        self.of = None;
    }

    /// Whether the file may be the surveyed one; its samples are read next.
    pub(super) fn may_be(&mut self, file: Option<Fingerprint>) -> bool {
        let same = file.is_some() && file == self.of;
        if let Some(file) = file.filter(|_| same) {
            self.samples = Samples::new(file.size_bytes);
        }
        same
    }

    /// Another survey begins; it is known by nothing until [`complete`](Self::complete).
    pub(super) fn begin(&mut self, size_bytes: u64) {
        self.of = None;
        self.samples = Samples::new(size_bytes);
    }

    /// The survey is complete, and stands.
    pub(super) fn complete(&mut self, of: Option<Fingerprint>, read_at: Option<WallClock>) {
        self.of = of.filter(|_| self.samples.wanted().is_none());
        self.sampled = self.samples.sum.value();
        self.read_at = read_at;
    }

    /// Place and length of the bytes that are to be read next; `None` = all were.
    pub(super) fn wanted(&self) -> Option<(u64, usize)> {
        self.samples.wanted()
    }

    /// Bytes of the file, in their order: these stand at `offset`.
    pub(super) fn feed(&mut self, offset: u64, bytes: &[u8]) {
        self.samples.feed(offset, bytes);
    }

    /// Whether the samples are those of the surveyed file.
    pub(super) fn is_same(&self) -> bool {
        self.samples.sum.value() == self.sampled
    }

    /// When the surveyed file was read.
    pub(super) fn read_at(&self) -> Option<WallClock> {
        self.read_at
    }
}

/// Blocks spread evenly between a file's ends: each in the middle of its share.
struct Samples {
    /// Whole and begun blocks between the ends.
    blocks: u64,
    /// Where the last of them ends.
    to: u64,
    /// How many samples were taken.
    taken: u64,
    /// The next byte of the sample at hand.
    at: u64,
    sum: Crc32,
}

impl core::fmt::Debug for Samples {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        // A running sum has no form to be shown in.
        f.debug_struct("Samples").field("taken", &self.taken).field("at", &self.at).finish_non_exhaustive()
    }
}

impl Samples {
    fn new(size_bytes: u64) -> Self {
        let end = HINT_WINDOW_BYTES as u64;
        let to = size_bytes.saturating_sub(end).max(end);
        let blocks = (to - end).div_ceil(BLOCK);
        let mut samples = Self { blocks, to, taken: 0, at: 0, sum: Crc32::new() };
        samples.at = samples.begins();
        samples
    }

    /// Where the sample at hand begins: at a block of the card.
    fn begins(&self) -> u64 {
        let count = self.blocks.min(SAMPLES);
        let middle = self.blocks.saturating_mul(2 * self.taken + 1).checked_div(2 * count).unwrap_or(0);
        (HINT_WINDOW_BYTES as u64).saturating_add(middle.saturating_mul(BLOCK))
    }

    fn wanted(&self) -> Option<(u64, usize)> {
        if self.taken >= self.blocks.min(SAMPLES) {
            return None;
        }
        let ends = self.begins().saturating_add(BLOCK).min(self.to);
        Some((self.at, usize::try_from(ends.saturating_sub(self.at)).unwrap_or(0)))
    }

    fn feed(&mut self, offset: u64, bytes: &[u8]) {
        while let Some((at, wanted)) = self.wanted() {
            let Some(from) = at.checked_sub(offset).and_then(|from| usize::try_from(from).ok()) else {
                return;
            };
            let part = bytes.get(from..).unwrap_or_default();
            let part = part.get(..wanted).unwrap_or(part);
            if part.is_empty() {
                return;
            }
            self.sum.update(part);
            self.at = at.saturating_add(part.len() as u64);
            if part.len() == wanted {
                self.taken += 1;
                self.at = self.begins();
            }
        }
    }
}
