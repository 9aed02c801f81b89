//! Whether a file is a print job at all.

use crate::survey::Survey;

/// Why a file is no job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum NotAJob {
    /// It may move and heat, but it lays nothing.
    LaysNothing,
    /// A letter, a table, a model or a picture as text.
    OtherText,
}

/// Why a file that was read to its end is no job. An empty one is row 5's.
#[must_use]
pub fn not_a_job(survey: &Survey) -> Option<NotAJob> {
    let reading = &survey.reading;
    // A damaged job is mostly moves (judgement).
    if reading.malformed.count.saturating_add(reading.unknown.count) > reading.moves {
        return Some(NotAJob::OtherText);
    }
    (reading.bytes > 0 && survey.tail.last_bead_line == 0).then_some(NotAJob::LaysNothing)
}
