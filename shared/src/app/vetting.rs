//! One job's way from its place on a card to its verdict.

use heapless::String;

use crate::checks::{
    CheckInput, FileFacts, Findings, JobFacts, Level, Outlook, Unread, Verdict, check, outlook,
};
use crate::header::{HeaderOutcome, HintReader, Hints, read_header};
use crate::limits::{HEADER_WINDOW_BYTES, HINT_WINDOW_BYTES, NAME_BYTES, READ_BYTES};
use crate::media::{Census, Entry, JobFiles, MediaError, MediaFault};
use crate::survey::{Survey, Surveyor};
use crate::time::Instant;
use crate::units::Seconds;

use super::reread::Reread;
use super::siblings::Siblings;
use super::{Now, Setup};

/// How much of the file a vetting reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Depth {
    /// The header and the comments at both ends: a first verdict, at most 32 KiB read.
    Ends,
    /// Every move, and the other jobs' names.
    Whole,
}

/// What is known of a job.
#[derive(Clone, Debug)]
pub struct Report {
    /// What the header says.
    pub header: HeaderOutcome,
    /// What the comments say.
    pub hints: Hints,
    /// All of it, each value from its best source.
    pub facts: JobFacts,
    /// The points, worst first.
    pub findings: Findings,
    /// The verdict.
    pub verdict: Verdict,
    /// Need, balance, end and heat, as the checks judged them.
    pub outlook: Outlook,
    /// Why the job's bytes could not be read.
    pub fault: Option<MediaError>,
    /// A newer job of the same stem.
    pub newer: Option<String<NAME_BYTES>>,
    /// Another job that a machine's own list shows under the same name.
    pub twin: Option<String<NAME_BYTES>>,
}

impl Report {
    fn new() -> Self {
        Self {
            header: HeaderOutcome::Absent,
            hints: Hints::default(),
            facts: JobFacts::default(),
            findings: Findings::default(),
            verdict: Verdict::NoVerdict,
            outlook: Outlook::default(),
            fault: None,
            newer: None,
            twin: None,
        }
    }

    /// How many of the findings are points for the person at the machine: LOOK and HOLD, settled ones not counted.
    /// They stand first in the list.
    #[must_use]
    pub fn points(&self) -> u8 {
        let points = self.findings.count(Level::Look).saturating_add(self.findings.count(Level::Hold));
        u8::try_from(points).unwrap_or(u8::MAX)
    }
}

/// Where a vetting stands. The stages share their memory: the head's window and the surveyor never live together.
#[derive(Debug)]
#[allow(clippy::large_enum_variant, reason = "there is no heap; the largest stage sets the size on purpose")]
enum Stage {
    Siblings(Siblings),
    Open,
    Head {
        window: [u8; HEADER_WINDOW_BYTES],
        filled: usize,
        hints: HintReader,
    },
    Comments {
        left: usize,
        hints: HintReader,
        tail: bool,
    },
    /// The survey stays in its surveyor, so that a small board needs no second copy of it.
    Survey {
        surveyor: Surveyor,
        closed: bool,
    },
    Done,
}

/// The vetting of one job, a bounded piece a call.
///
/// Call [`Vetting::poll`] until it answers `Ok`. The report may be looked at all the while: a first verdict stands
/// as soon as both ends of the file were read.
#[derive(Debug)]
pub struct Vetting {
    entry: Entry,
    depth: Depth,
    stage: Stage,
    report: Report,
    reread: Reread,
    /// What the card's listing says of the card as a whole, once it was walked for this job.
    census: Option<Census>,
    surveyed_bytes: u64,
    /// When the survey began, for the time that is left.
    survey_began: Option<Instant>,
}

impl Vetting {
    /// The vetting of a job that stands in a card's listing.
    #[must_use]
    pub fn new(entry: Entry, depth: Depth) -> Self {
        let stage = match depth {
            Depth::Ends => Stage::Open,
            Depth::Whole => Stage::Siblings(Siblings::new()),
        };
        // The ends are read for their comments: the first window, and the last where the file is longer.
        let window = HINT_WINDOW_BYTES as u64;
        let tail_from = entry.size_bytes.saturating_sub(window).max(window);
        Self {
            depth,
            stage,
            report: Report::new(),
            reread: Reread::new(window, tail_from),
            census: None,
            surveyed_bytes: 0,
            survey_began: None,
            entry,
        }
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
        matches!(self.stage, Stage::Done | Stage::Survey { closed: true, .. })
    }

    /// What the moves say; `None` until all of them were read.
    #[must_use]
    pub fn survey(&self) -> Option<&Survey> {
        closed_survey(&self.stage)
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
                self.stage = Stage::Done;
                self.judge(setup, now);
                Ok(())
            }
            other => other,
        }
    }

    fn advance<F: JobFiles>(&mut self, card: &mut F, setup: &Setup, now: Now) -> nb::Result<(), MediaError> {
        match &mut self.stage {
            Stage::Siblings(siblings) => {
                let found = siblings.poll(card, &self.entry, &setup.machine)?;
                self.report.newer = found.newer;
                self.report.twin = found.twin;
                self.census = Some(found.census);
                self.stage = Stage::Open;
            }
            Stage::Open => {
                card.open(self.entry.place)?;
                self.stage = Stage::Head {
                    window: [0; HEADER_WINDOW_BYTES],
                    filled: 0,
                    hints: HintReader::new(&setup.room.hint_words),
                };
            }
            Stage::Head { window, filled, hints } => {
                let Some(free) = window.get_mut(*filled..).filter(|free| !free.is_empty()) else {
                    return self.read_head(false);
                };
                let read = card.poll_read(free)?;
                if read == 0 {
                    return self.read_head(true);
                }
                let bytes = free.get(..read).unwrap_or_default();
                hints.feed(bytes);
                self.reread.feed_first(bytes);
                *filled += read;
            }
            Stage::Comments { left, hints, tail } => {
                let mut buffer = [0; READ_BYTES];
                let want = READ_BYTES.min(*left);
                let read = match buffer.get_mut(..want) {
                    Some(part) if want > 0 => card.poll_read(part)?,
                    _ => 0,
                };
                let bytes = buffer.get(..read).unwrap_or_default();
                hints.feed(bytes);
                self.reread.feed_first(bytes);
                *left = left.saturating_sub(read);
                if read == 0 || *left == 0 {
                    let after_head = !*tail && self.entry.size_bytes > HINT_WINDOW_BYTES as u64;
                    return self.leave_hints(card, setup, now, after_head);
                }
            }
            Stage::Survey { closed: true, .. } | Stage::Done => return Ok(()),
            Stage::Survey { surveyor, closed } => {
                let mut buffer = [0; READ_BYTES];
                let read = card.poll_read(&mut buffer)?;
                if read == 0 {
                    surveyor.close();
                    *closed = true;
                    self.judge(setup, now);
                    return Ok(());
                }
                let bytes = buffer.get(..read).unwrap_or_default();
                surveyor.feed(bytes);
                self.reread.feed_second(self.surveyed_bytes, bytes);
                self.surveyed_bytes = self.surveyed_bytes.saturating_add(read as u64);
            }
        }
        Err(nb::Error::WouldBlock)
    }

    /// Reads the header from the filled window and goes on with the rest of the head's hint window.
    fn read_head(&mut self, file_ends: bool) -> nb::Result<(), MediaError> {
        let Stage::Head { window, filled, hints } = &mut self.stage else {
            return Err(nb::Error::WouldBlock);
        };
        self.report.header = read_header(window.get(..*filled).unwrap_or_default(), file_ends);
        let left = if file_ends { 0 } else { HINT_WINDOW_BYTES - HEADER_WINDOW_BYTES };
        self.stage =
            Stage::Comments { left, hints: core::mem::replace(hints, HintReader::new(&[])), tail: false };
        Err(nb::Error::WouldBlock)
    }

    /// From the head's comments to the tail's, or on to the first verdict.
    fn leave_hints<F: JobFiles>(
        &mut self,
        card: &mut F,
        setup: &Setup,
        now: Now,
        to_tail: bool,
    ) -> nb::Result<(), MediaError> {
        let Stage::Comments { left, hints, tail } = &mut self.stage else {
            return Err(nb::Error::WouldBlock);
        };
        if to_tail {
            let from = self.entry.size_bytes.saturating_sub(HINT_WINDOW_BYTES as u64);
            // A file of less than two windows goes on where the first one ended, in the middle of a line perhaps.
            if from > HINT_WINDOW_BYTES as u64 {
                card.seek(from)?;
                hints.start_tail();
            }
            *left = HINT_WINDOW_BYTES;
            *tail = true;
            return Err(nb::Error::WouldBlock);
        }
        self.report.hints = core::mem::replace(hints, HintReader::new(&[])).finish();
        if self.depth == Depth::Ends {
            self.stage = Stage::Done;
            self.judge(setup, now);
            return Ok(());
        }
        card.seek(0)?;
        self.stage = Stage::Survey { surveyor: Surveyor::new(&setup.machine), closed: false };
        self.survey_began = Some(now.instant);
        self.judge(setup, now);
        Err(nb::Error::WouldBlock)
    }

    /// Checks what is known.
    fn judge(&mut self, setup: &Setup, now: Now) {
        let survey = closed_survey(&self.stage);
        let report = &mut self.report;
        let (header, header_error) = match &report.header {
            HeaderOutcome::Read { header, .. } => (Some(header), None),
            HeaderOutcome::Broken(error) => (None, Some(error)),
            HeaderOutcome::Absent => (None, None),
        };
        report.facts = JobFacts::merge(header, Some(&report.hints), survey);
        let mut input = CheckInput::new(&report.facts, &setup.machine, setup.spool.as_ref(), &setup.room);
        input.header = header;
        input.header_error = header_error;
        input.survey = survey;
        input.file = FileFacts {
            name: &self.entry.name,
            short_name: &self.entry.short_name,
            size_bytes: self.entry.size_bytes,
            saved: self.entry.saved,
            newer: report.newer.as_deref(),
            twin: report.twin.as_deref(),
            reads_differ: survey.is_some() && self.reread.differs(),
            ..FileFacts::default()
        };
        if let Some(census) = self.census {
            input.card.dirty = census.dirty;
        }
        input.now = now.wall;
        input.unread = report.fault.map(|_| Unread::Job);
        report.findings = check(&input);
        report.outlook = outlook(&input);
        report.verdict = report.findings.verdict();
    }
}

/// The survey, once its last byte was read.
fn closed_survey(stage: &Stage) -> Option<&Survey> {
    match stage {
        Stage::Survey { surveyor, closed: true } => Some(surveyor.so_far()),
        Stage::Survey { closed: false, .. }
        | Stage::Siblings(_)
        | Stage::Open
        | Stage::Head { .. }
        | Stage::Comments { .. }
        | Stage::Done => None,
    }
}
