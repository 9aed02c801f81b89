//! One job's way from its place on a card to its verdict.

mod judging;
mod recall;
mod report;
mod reread;
mod siblings;

pub use report::Report;

use crate::header::{HintReader, read_header};
use crate::limits::{HEADER_WINDOW_BYTES, HINT_WINDOW_BYTES};
use crate::media::{Census, Entry, JobFiles, MediaError, MediaFault};
use crate::survey::{Footprint, Survey, Surveyor};
use crate::time::{Instant, WallClock};
use crate::units::Seconds;

use crate::app::setup::{Now, Setup};

use recall::{Fingerprint, Recall};
use reread::Reread;
use siblings::Siblings;

/// How much of the file a vetting reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Depth {
    /// The header and the comments at both ends: a first verdict, at most 32 KiB read.
    Ends,
    /// Every move, and the other jobs' names.
    Whole,
}

/// Where a vetting stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum VettingStage {
    /// No job was given yet.
    Idle,
    /// The card's other names are looked through.
    Siblings,
    /// The file is to be opened.
    Open,
    /// The window is being filled with the file's head.
    Head { filled: usize },
    /// The rest of a hint window is read.
    Comments { left: usize, tail: bool },
    /// It may be the file whose survey stands: samples of it are compared.
    Compare,
    /// The moves are read.
    Survey,
    /// All was read that there is to read.
    Done {
        /// Whether the survey is complete.
        surveyed: bool,
    },
}

/// The vetting of one job, a bounded piece a call.
///
/// Call [`Vetting::poll`] until it answers `Ok`. The report may be looked at all the while: a first verdict stands
/// as soon as both ends of the file were read.
///
/// Everything lives in place for good, because a small board has no stack to build a survey on: one value serves
/// all jobs, one after the other.
#[derive(Debug)]
pub struct Vetting {
    entry: Entry,
    depth: Depth,
    stage: VettingStage,
    /// The file's head while its header is looked for, then the buffer that moves are read into.
    window: [u8; HEADER_WINDOW_BYTES],
    hints: HintReader,
    siblings: Siblings,
    surveyor: Surveyor,
    /// No job was vetted since power-up, but the surveyor holds the picture of one that was before.
    picture_kept: bool,
    report: Report,
    reread: Reread,
    recall: Recall,
    /// The survey stood, and was not made anew.
    recalled: bool,
    /// What the card's listing says of the card as a whole, once it was walked for this job.
    census: Option<Census>,
    surveyed_bytes: u64,
    /// When the survey began, for the time that is left.
    survey_began: Option<Instant>,
}

impl Default for Vetting {
    fn default() -> Self {
        Self::new()
    }
}

impl Vetting {
    /// With no job yet.
    #[inline(never)]
    #[must_use]
    pub fn new() -> Self {
        Self {
            entry: Entry::default(),
            depth: Depth::Ends,
            stage: VettingStage::Idle,
            window: [0; HEADER_WINDOW_BYTES],
            hints: HintReader::new(&[]),
            siblings: Siblings::new(),
            surveyor: Surveyor::idle(),
            picture_kept: false,
            report: Report::new(),
            reread: Reread::new(0, 0),
            recall: Recall::new(),
            recalled: false,
            census: None,
            surveyed_bytes: 0,
            survey_began: None,
        }
    }

    /// Begins the vetting of a job that stands in a card's listing; what was known of another is forgotten.
    pub fn start(&mut self, entry: &Entry, depth: Depth) {
        self.entry.clone_from(entry);
        self.depth = depth;
        self.picture_kept = false;
        self.stage = match depth {
            Depth::Ends => VettingStage::Open,
            Depth::Whole => VettingStage::Siblings,
        };
        self.siblings = Siblings::new();
        self.report.clear();
        // The ends are read for their comments: the first window, and the last where the file is longer.
        let window = HINT_WINDOW_BYTES as u64;
        self.reread = Reread::new(window, entry.size_bytes.saturating_sub(window).max(window));
        self.recalled = false;
        self.census = None;
        self.surveyed_bytes = 0;
        self.survey_began = None;
    }

    /// Reads the job that was vetted once more, every byte of it.
    pub(in crate::app) fn again(&mut self) {
        if self.is_idle() {
            return;
        }
        let entry = core::mem::take(&mut self.entry);
        self.start(&entry, Depth::Whole);
        // Nobody asks about the card's other jobs now.
        self.stage = VettingStage::Open;
        self.recall.forget();
    }

    /// Forgets the job.
    pub fn stop(&mut self) {
        self.stage = VettingStage::Idle;
        self.picture_kept = false;
    }

    /// Whether no job was given.
    #[must_use]
    pub fn is_idle(&self) -> bool {
        self.stage == VettingStage::Idle
    }

    /// The job.
    #[must_use]
    pub fn entry(&self) -> &Entry {
        &self.entry
    }

    /// What is known up to now.
    #[must_use]
    pub fn report(&self) -> &Report {
        &self.report
    }

    /// Whether nothing is left to be read.
    #[must_use]
    pub fn is_done(&self) -> bool {
        matches!(self.stage, VettingStage::Done { .. })
    }

    /// What the moves say; `None` until all of them were read.
    #[must_use]
    pub fn survey(&self) -> Option<&Survey> {
        (self.stage == VettingStage::Done { surveyed: true }).then(|| self.surveyor.so_far())
    }

    /// Whether the survey is that of an earlier insertion: the file was known again by its ends and by samples.
    #[must_use]
    pub fn is_recalled(&self) -> bool {
        self.recalled
    }

    /// When the surveyed bytes were read to their end; `None` without a clock.
    #[must_use]
    pub fn read_at(&self) -> Option<WallClock> {
        self.recall.read_at()
    }

    /// The first layer's picture: of the job that was surveyed, or of one that was before a power cut.
    pub(in crate::app) fn picture(&self) -> Option<&Footprint> {
        let survey = self.surveyor.so_far();
        (self.picture_kept || self.survey().is_some()).then_some(&survey.footprint)
    }

    /// The picture and the window, to keep it or to recall it with; both are idle then.
    pub(in crate::app) fn picture_and_window(&mut self) -> (&mut Footprint, &mut [u8]) {
        (self.surveyor.picture(), &mut self.window)
    }

    /// The picture was recalled.
    pub(in crate::app) fn has_recalled(&mut self) {
        self.picture_kept = self.is_idle();
    }

    /// How much of the file was surveyed, percent.
    #[must_use]
    pub fn percent(&self) -> u8 {
        if self.is_done() {
            return 100;
        }
        let percent = self.surveyed_bytes.saturating_mul(100).checked_div(self.entry.size_bytes).unwrap_or(0);
        u8::try_from(percent.min(99)).unwrap_or(99)
    }

    /// Time left of the survey at the rate so far, whole seconds up; `None` until a tenth of it is read.
    #[must_use]
    pub fn left(&self, now: Instant) -> Option<Seconds> {
        let began = self.survey_began?;
        let read = self.surveyed_bytes;
        if read == 0 || read < self.entry.size_bytes / 10 {
            return None;
        }
        let left = self.entry.size_bytes.saturating_sub(read);
        let left_ms = now.since_ms(began).saturating_mul(left).checked_div(read)?;
        Some(Seconds(u32::try_from(left_ms.div_ceil(1000)).unwrap_or(u32::MAX)))
    }

    /// Goes on, by at most one buffer or a few directory blocks.
    ///
    /// A job whose own bytes cannot be read gets NO VERDICT and its fault in the report.
    ///
    /// # Errors
    /// `WouldBlock` while there is more to do; [`MediaFault::NoCard`] and [`MediaFault::Gone`] when the card went.
    pub fn poll<F: JobFiles>(&mut self, card: &mut F, setup: &Setup, now: Now) -> nb::Result<(), MediaError> {
        match self.advance(card, setup, now) {
            Err(nb::Error::Other(error)) => {
                if matches!(error.fault, MediaFault::NoCard | MediaFault::Gone) {
                    return Err(nb::Error::Other(error));
                }
                self.report.fault = Some(error);
                match self.stage {
                    _ if error.fault != MediaFault::ChainBroken || self.depth == Depth::Ends => {}
                    VettingStage::Survey => self.report.chain_bytes = Some(self.surveyed_bytes),
                    // How much of it can be read tells where it was cut. A fault has closed the file.
                    VettingStage::Head { .. } | VettingStage::Comments { .. } | VettingStage::Compare => {
                        self.report.hints = self.hints.finish();
                        if card.open(self.entry.place).is_ok() && self.begin_survey(card, setup, now).is_ok()
                        {
                            return Err(nb::Error::WouldBlock);
                        }
                    }
                    VettingStage::Idle
                    | VettingStage::Siblings
                    | VettingStage::Open
                    | VettingStage::Done { .. } => {}
                }
                self.stage = VettingStage::Done { surveyed: false };
                self.judge(setup, now);
                Ok(())
            }
            other => other,
        }
    }

    fn advance<F: JobFiles>(&mut self, card: &mut F, setup: &Setup, now: Now) -> nb::Result<(), MediaError> {
        match self.stage {
            VettingStage::Siblings => {
                let found = self.siblings.poll(card, &self.entry, &setup.machine)?;
                self.report.newer = found.newer;
                self.report.twin = found.twin;
                self.census = Some(found.census);
                self.stage = VettingStage::Open;
            }
            VettingStage::Open => {
                card.open(self.entry.place)?;
                self.hints = HintReader::new(&setup.room.hint_words);
                self.stage = VettingStage::Head { filled: 0 };
            }
            VettingStage::Head { filled } => self.fill_head(card, filled)?,
            VettingStage::Comments { left, tail } => return self.read_comments(card, setup, now, left, tail),
            VettingStage::Compare => return self.compare(card, setup, now),
            VettingStage::Survey => {
                let read = card.poll_read(&mut self.window)?;
                if read == 0 {
                    self.surveyor.close();
                    // A card that reads differently is surveyed each time, to be told of each time.
                    let of = self.fingerprint(setup).filter(|_| !self.reread.differs());
                    self.recall.complete(of, now.wall);
                    self.stage = VettingStage::Done { surveyed: true };
                    self.judge(setup, now);
                    return Ok(());
                }
                let bytes = self.window.get(..read).unwrap_or_default();
                self.surveyor.feed(bytes);
                self.reread.feed_second(self.surveyed_bytes, bytes);
                self.recall.feed(self.surveyed_bytes, bytes);
                self.surveyed_bytes = self.surveyed_bytes.saturating_add(read as u64);
            }
            VettingStage::Idle | VettingStage::Done { .. } => return Ok(()),
        }
        Err(nb::Error::WouldBlock)
    }

    /// Fills the window with the file's head; the full one is read for the header, and the search for comments goes
    /// on behind it.
    fn fill_head<F: JobFiles>(&mut self, card: &mut F, filled: usize) -> nb::Result<(), MediaError> {
        let free = self.window.get_mut(filled..).unwrap_or_default();
        let read = if free.is_empty() { 0 } else { card.poll_read(free)? };
        let bytes = free.get(..read).unwrap_or_default();
        self.hints.feed(bytes);
        self.reread.feed_first(bytes);
        self.stage = VettingStage::Head { filled: filled.saturating_add(read) };
        if read == 0 {
            let file_ends = filled < HEADER_WINDOW_BYTES;
            self.report.header = read_header(self.window.get(..filled).unwrap_or_default(), file_ends);
            let left = if file_ends { 0 } else { HINT_WINDOW_BYTES - HEADER_WINDOW_BYTES };
            self.stage = VettingStage::Comments { left, tail: false };
        }
        Ok(())
    }

    /// Reads on in a hint window; from the head's to the tail's, and then on to the first verdict.
    fn read_comments<F: JobFiles>(
        &mut self,
        card: &mut F,
        setup: &Setup,
        now: Now,
        left: usize,
        tail: bool,
    ) -> nb::Result<(), MediaError> {
        let part = self.window.get_mut(..left.min(HEADER_WINDOW_BYTES)).unwrap_or_default();
        let read = if part.is_empty() { 0 } else { card.poll_read(part)? };
        let bytes = part.get(..read).unwrap_or_default();
        self.hints.feed(bytes);
        self.reread.feed_first(bytes);
        let left = left.saturating_sub(read);
        self.stage = VettingStage::Comments { left, tail };
        if read > 0 && left > 0 {
            return Err(nb::Error::WouldBlock);
        }
        let window = HINT_WINDOW_BYTES as u64;
        if !tail && self.entry.size_bytes > window {
            // A file of less than two windows goes on where the first one ended, in the middle of a line perhaps.
            let from = self.entry.size_bytes.saturating_sub(window);
            if from > window {
                card.seek(from)?;
                self.hints.start_tail();
            }
            self.stage = VettingStage::Comments { left: HINT_WINDOW_BYTES, tail: true };
            return Err(nb::Error::WouldBlock);
        }
        self.report.hints = self.hints.finish();
        if self.depth == Depth::Ends {
            self.stage = VettingStage::Done { surveyed: false };
            self.judge(setup, now);
            return Ok(());
        }
        if self.recall.may_be(self.fingerprint(setup)) {
            self.stage = VettingStage::Compare;
        } else {
            self.begin_survey(card, setup, now)?;
        }
        self.judge(setup, now);
        Err(nb::Error::WouldBlock)
    }

    fn begin_survey<F: JobFiles>(&mut self, card: &mut F, setup: &Setup, now: Now) -> Result<(), MediaError> {
        card.seek(0)?;
        self.surveyor.restart(&setup.machine);
        self.recall.begin(self.entry.size_bytes);
        self.stage = VettingStage::Survey;
        self.survey_began = Some(now.instant);
        Ok(())
    }

    /// By what this file on this machine is known again, once its ends were read.
    fn fingerprint(&self, setup: &Setup) -> Option<Fingerprint> {
        Fingerprint::of(&self.entry, self.reread.first_sum(), &setup.machine)
    }

    /// Reads one sample more; after the last one the survey stands, or begins anew.
    fn compare<F: JobFiles>(&mut self, card: &mut F, setup: &Setup, now: Now) -> nb::Result<(), MediaError> {
        if let Some((at, length)) = self.recall.wanted() {
            let part = self.window.get_mut(..length).unwrap_or_default();
            card.seek(at)?;
            let read = card.poll_read(part)?;
            if read > 0 {
                self.recall.feed(at, part.get(..read).unwrap_or_default());
                return Err(nb::Error::WouldBlock);
            }
        } else if self.recall.is_same() {
            self.recalled = true;
            self.stage = VettingStage::Done { surveyed: true };
            self.judge(setup, now);
            return Ok(());
        }
        self.begin_survey(card, setup, now)?;
        Err(nb::Error::WouldBlock)
    }
}
