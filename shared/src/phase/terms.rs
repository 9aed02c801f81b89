//! On which terms a job may be released, and how far its walk-round is.

use super::answers::LeadReason;
use super::person::{CODES, InCharge};
use super::plan::Plan;
use crate::checks::Verdict;
use crate::records::OwnerCode;
use crate::time::Instant;

/// LOOK points that must be read before the walk-round, at most: never more than three are shown unasked (job
/// catalogue, S3).
pub const MUST_READ: u8 = 3;

/// What the app says of the vetted job.
#[derive(Clone, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Offer {
    /// What does not change any more with the card in.
    pub terms: Terms,
    /// The CRC of the vetted file.
    pub body_crc: u32,
    /// What the run is expected to be.
    pub plan: Plan,
}

/// On which terms the job may be released.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Terms {
    /// The verdict; `None` = the vetting is still on. The walk-round may begin, the release waits.
    pub verdict: Option<Verdict>,
    /// Points of level LOOK and above. They are the first of the list.
    pub looks: u8,
    /// The room lead's code, 0 to 9999, where a key may open this HOLD; `None` = it may not (a point that is never
    /// silenced, heat above a limit), or the room has none.
    pub code: Option<u16>,
    /// Grades in the list for the sticker.
    pub grades: u8,
    /// The grade that the job wants, by its place in that list; `None` = the file names none, and any sticker passes
    /// here (the temperatures are checked against the answer).
    pub wanted: Option<u8>,
    /// The room wants to know whose job it is.
    pub asks_owner: bool,
    /// Codes used here last, the newest first.
    pub codes: [Option<OwnerCode>; CODES],
    /// The job may end after the room has closed, and is let through: who is in charge then is asked.
    pub past_closing: bool,
    /// By the room's rule it must be somebody.
    pub attended: bool,
    /// The HOLD comes from what was seen in the walk-round alone: the next answer ends it, and no key is needed.
    pub answers_hold: bool,
    /// Which points stand first in the list, by check and wording: one that was read stays read when others come before it.
    pub first_points: [Option<(u8, u8)>; MUST_READ as usize],
}

/// How far the walk-round is.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Walk {
    /// Hand checks that were answered right.
    pub(super) done: u16,
    /// Points that were read, of the first eight.
    pub(super) read: u8,
    /// When the last hand check was answered.
    pub(super) at: Instant,
    pub(super) lead: Option<LeadReason>,
    /// Whose job it is.
    pub(super) owner: Option<OwnerCode>,
    /// Who is in charge when it ends after closing.
    pub(super) in_charge: Option<InCharge>,
    /// When the plan was offered.
    pub(super) offered: Instant,
    /// The plate is asked about once more after a break.
    pub(super) last_chance: bool,
    /// When a card that went out is no longer waited for.
    pub(super) away_until: Instant,
    /// Shifts the lists of the killers; see [`Question::answer`](super::Question::answer).
    pub(super) order: u8,
}
