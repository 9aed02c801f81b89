//! What a vetting yields.

use heapless::String;

use crate::checks::{Finding, Findings, JobFacts, Level, Outlook, Verdict};
use crate::header::{HeaderOutcome, Hints};
use crate::limits::NAME_BYTES;
use crate::media::MediaError;

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
    /// What it would be without what was seen in the walk-round; `None` = nothing was, it is the same.
    pub(super) unseen: Option<Verdict>,
    /// The verdict from header and comments alone, as the list of jobs shows it.
    pub first: Option<Verdict>,
    /// Need, balance, end and heat, as the checks judged them.
    pub outlook: Outlook,
    /// Why the job's bytes could not be read.
    pub fault: Option<MediaError>,
    /// Bytes that were read before the job's chain on the card broke off.
    pub chain_bytes: Option<u64>,
    /// A newer job of the same stem.
    pub newer: Option<String<NAME_BYTES>>,
    /// Another job that a machine's own list shows under the same name.
    pub twin: Option<String<NAME_BYTES>>,
}

impl Report {
    #[inline(never)]
    pub(super) fn new() -> Self {
        Self {
            header: HeaderOutcome::Absent,
            hints: Hints::default(),
            facts: JobFacts::default(),
            findings: Findings::default(),
            verdict: Verdict::NoVerdict,
            unseen: None,
            first: None,
            outlook: Outlook::default(),
            fault: None,
            chain_bytes: None,
            newer: None,
            twin: None,
        }
    }

    /// The first verdict, where what was read since made it worse.
    #[must_use]
    pub fn was(&self) -> Option<Verdict> {
        self.first.filter(|first| *first < self.verdict)
    }

    /// Whether the HOLD comes from what was seen in the walk-round alone, the sticker apart.
    pub(in crate::app) fn answers_hold(&self) -> bool {
        self.verdict == Verdict::Hold && matches!(self.unseen, Some(Verdict::Clear | Verdict::Look))
    }

    /// As [`new`](Self::new), part by part: no second whole stands on the stack.
    pub(super) fn clear(&mut self) {
        // Every part by name, so that none is forgotten.
        let Self {
            header,
            hints,
            facts,
            findings,
            verdict,
            unseen,
            first,
            outlook,
            fault,
            chain_bytes,
            newer,
            twin,
        } = self;
        *header = HeaderOutcome::Absent;
        *hints = Hints::default();
        facts.renew(None, None, None);
        *findings = Findings::default();
        (*verdict, *unseen) = (Verdict::NoVerdict, None);
        *outlook = Outlook::default();
        (*first, *fault, *chain_bytes, *newer, *twin) = (None, None, None, None, None);
    }

    /// How many of the findings are points for the person at the machine: LOOK and HOLD, settled ones not counted.
    /// They stand first in the list.
    #[must_use]
    pub fn points(&self) -> u8 {
        let points = self.findings.count(Level::Look).saturating_add(self.findings.count(Level::Hold));
        u8::try_from(points).unwrap_or(u8::MAX)
    }

    /// How many can be turned through: the points, and behind them those that were settled.
    #[must_use]
    pub fn shown(&self) -> u8 {
        u8::try_from(self.turned_through().count()).unwrap_or(u8::MAX)
    }

    /// One of them, from 0.
    #[must_use]
    pub fn point(&self, place: u8) -> Option<&Finding> {
        self.turned_through().nth(place.into())
    }

    /// The settled ones stand last in the list, behind the notes.
    fn turned_through(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|finding| finding.level > Level::Note)
    }
}
