//! What the list of jobs shows of a job once both its ends were read.

use heapless::String;

use crate::checks::Verdict;
use crate::header::Source;
use crate::records::MARK_BYTES;
use crate::screens::Figure;
use crate::units::Seconds;

use super::vetting::Vetting;

/// A job's first verdict, from its header and comments alone.
#[derive(Clone, Debug)]
pub(super) struct FirstVerdict {
    pub(super) verdict: Verdict,
    pub(super) mark: Option<String<MARK_BYTES>>,
    pub(super) time: Option<Figure<Seconds>>,
}

impl FirstVerdict {
    pub(super) fn of(vetting: &Vetting) -> Self {
        let report = vetting.report();
        Self {
            verdict: report.verdict,
            mark: report.facts.grade.map(|grade| grade.mark()),
            time: report.facts.time.map(|stated| figure(stated.value, stated.source)),
        }
    }
}

/// A value as it is shown: what the moves prove is known, what was only said is an estimate.
pub(super) const fn figure<T>(value: T, source: Source) -> Figure<T>
where
    T: Copy,
{
    Figure { value, estimated: !matches!(source, Source::Moves) }
}
