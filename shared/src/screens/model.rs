//! What a screen shows: plain data, borrowed from whoever holds it, ready to print.
//!
//! Every number that may be missing is an `Option` and is shown as `-`; none is replaced by a guess.

use super::figures::{ClockTime, Figure};
use super::run_model::{End, PlateHeat, QuestionScreen, RunScreen, WatchScreen};
use crate::checks::{Level, Signal, Value, Verdict};
use crate::header::HeaderErrorKind;
use crate::media::MediaFault;
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};

/// One screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum ScreenModel<'a> {
    /// No card: what the machine holds.
    Waiting(Waiting<'a>),
    /// The card is being listed.
    Reading(ReadingScreen),
    /// The card holds no job.
    NoJobs(NoJobs),
    /// The card's jobs, one of them chosen.
    Jobs(Jobs<'a>),
    /// The survey runs.
    Vetting(VettingScreen<'a>),
    /// The confirmation screen.
    Confirmation(Confirmation<'a>),
    /// One point.
    Point(PointScreen<'a>),
    /// The card can not be used.
    CardFault(CardFault),
    /// A job header was refused.
    HeaderBroken(HeaderBroken<'a>),
    /// A record was refused.
    RecordRefused(RecordRefused<'a>),
    /// A screen of a run that is not a question.
    Run(RunScreen<'a>),
    /// A question of a run.
    Asked(QuestionScreen<'a>),
    /// The watch over the first layer.
    Watch(WatchScreen<'a>),
}

/// What a press, a turn or the card does next: the only thing on line 6.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Action {
    /// Waiting for a card.
    PutCardIn,
    /// Nothing to do but leave the card.
    LeaveCardIn,
    /// Nothing more can be done with this card.
    TakeCardOut,
    /// Turn chooses, press takes.
    Pick,
    /// Press opens this many points.
    ReadPoints(u8),
    /// Press opens the walk-round.
    WalkRound,
    /// Press goes back to the slips.
    OtherJob,
    /// Press shows the remedy of this point.
    Remedy,
    /// Press goes back.
    Back,
    /// Press says that the points were read.
    HaveRead,
    /// Press vets the job without what could not be read.
    VetAnyway,
    /// Press reads the card again.
    ReadAgain,
}

/// How the last job on this machine ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Outcome {
    /// Good.
    Good,
    /// Usable, with flaws.
    Flawed,
    /// Failed.
    Failed,
}

/// When the room shuts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Closing {
    /// At this time.
    At(ClockTime),
    /// It is not open this day.
    ShutToday,
    /// The rules state no hours.
    NoHours,
    /// The clock is not set.
    ClockNotSet,
}

/// The spool ticket, as far as screens show it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct LoadedSpool<'a> {
    /// The room's number for it.
    pub id: &'a str,
    /// Symbol as moulded on plastics, without `>` and `<`; `None` = not known.
    pub mark: Option<&'a str>,
    /// Colour as on the sticker.
    pub colour: Option<&'a str>,
    /// Filament left.
    pub left: Option<Milligrams>,
    /// Give or take.
    pub left_error: Option<Milligrams>,
}

/// No card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Waiting<'a> {
    /// The machine's tag.
    pub machine: &'a str,
    /// The spool ticket; `None` = there is none.
    pub spool: Option<LoadedSpool<'a>>,
    /// How the last job ended; `None` = not known.
    pub last: Option<Outcome>,
    /// When the room shuts.
    pub closing: Closing,
    /// Whether the plate is still hot.
    pub plate: PlateHeat,
}

/// The card is being listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct ReadingScreen {
    /// Jobs found up to now.
    pub jobs: u16,
    /// Files looked at up to now, jobs among them.
    pub files: u16,
    /// When the newest job was saved.
    pub newest: Option<ClockTime>,
}

/// The card holds no job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct NoJobs {
    /// Models on it.
    pub models: u16,
    /// Other files on it.
    pub others: u16,
    /// Hidden jobs, and folders that cannot be entered.
    pub not_listed: u16,
}

/// One entry of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct JobRow<'a> {
    /// The file's name.
    pub name: &'a str,
    /// When it was saved.
    pub saved: Option<ClockTime>,
    /// Printing time.
    pub time: Option<Figure<Seconds>>,
    /// The job's material, as moulded on plastics, without `>` and `<`.
    pub mark: Option<&'a str>,
    /// First verdict, from header and comments; `None` = not yet.
    pub verdict: Option<Verdict>,
}

/// The slips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Jobs<'a> {
    /// Place of the chosen job, from 1.
    pub number: u16,
    /// How many slips there are.
    pub count: u16,
    /// The chosen job.
    pub row: JobRow<'a>,
    /// The job that a clockwise turn brings; `None` = the last is chosen.
    pub next: Option<JobRow<'a>>,
    /// Hidden jobs, and folders that cannot be entered; said at the list's end.
    pub not_listed: u16,
}

/// The survey runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct VettingScreen<'a> {
    /// The job's name.
    pub name: &'a str,
    /// How much of the file was read, percent.
    pub percent: u8,
    /// Time left; `None` = not known yet.
    pub left: Option<Seconds>,
    /// Points found up to now.
    pub points: u8,
    /// What a press does: [`Action::LeaveCardIn`] or [`Action::ReadPoints`].
    pub action: Action,
}

/// Whether job and spool are of one material.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Agreement {
    /// One material.
    Same,
    /// Two.
    Differ,
    /// Can not be told.
    Unknown,
}

/// The confirmation screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Confirmation<'a> {
    /// The verdict.
    pub verdict: Verdict,
    /// What the header alone had promised, where all the moves made it worse.
    pub was: Option<Verdict>,
    /// When the moves were read, where that was before this insertion ([`Day::NotKept`](super::Day::NotKept): no clock tells).
    pub read: Option<ClockTime>,
    /// The job's name.
    pub name: &'a str,
    /// The job's material, as moulded on plastics, without `>` and `<`.
    pub job_mark: Option<&'a str>,
    /// The spool's.
    pub spool_mark: Option<&'a str>,
    /// Whether they are one.
    pub agreement: Agreement,
    /// Highest target of the hot end.
    pub nozzle: Option<Celsius>,
    /// Highest target of the bed.
    pub bed: Option<Celsius>,
    /// Filament needed; `None` is left out, as the mass says it too.
    pub length: Option<Figure<Micrometres>>,
    /// Its mass.
    pub mass: Option<Figure<Milligrams>>,
    /// Filament left on the spool.
    pub left: Option<Milligrams>,
    /// Printing time.
    pub time: Option<Figure<Seconds>>,
    /// When it ends.
    pub end: End,
    /// What a press does; the points are counted by [`Action::ReadPoints`].
    pub action: Action,
}

/// Which side of a point is up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Side {
    /// What is wrong.
    What,
    /// What helps.
    Remedy,
}

/// One point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct PointScreen<'a> {
    /// Its place, from 1, worst first.
    pub number: u8,
    /// How many there are.
    pub count: u8,
    /// Level.
    pub level: Level,
    /// The day on which the point was settled for this machine or spool: it is shown, but no longer weighs.
    pub settled: Option<ClockTime>,
    /// Signal word.
    pub signal: Signal,
    /// What is wrong, `{0}` to `{3}` standing for the values.
    pub what: &'a str,
    /// What helps, likewise.
    pub remedy: &'a str,
    /// The numbers on both sides.
    pub values: &'a [Value; 4],
    /// Which side is up.
    pub side: Side,
    /// Lines that were turned away at the top; more than there are counts as the last page.
    pub scroll: u8,
    /// What a press does.
    pub action: Action,
}

/// The card can not be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct CardFault {
    /// What is wrong.
    pub fault: MediaFault,
    /// What a press does.
    pub action: Action,
}

/// A job header was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct HeaderBroken<'a> {
    /// The job's name.
    pub name: &'a str,
    /// What was expected.
    pub kind: &'a HeaderErrorKind,
    /// The key concerned, empty where none is.
    pub key: &'a str,
    /// Line of the file, from 1.
    pub line: u32,
    /// Column in bytes, from 1.
    pub column: u32,
    /// What a press does.
    pub action: Action,
}

/// A record was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct RecordRefused<'a> {
    /// The record's file, such as `SPOOL.JSN`.
    pub file: &'a str,
    /// What was expected, as the record's reader says it.
    pub what: &'a str,
    /// Line of the file, from 1.
    pub line: u32,
    /// Column in bytes, from 1.
    pub column: u32,
    /// How many faults there are besides this one.
    pub more: u16,
    /// What a press does.
    pub action: Action,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// It is built for every frame, on the stack.
    #[test]
    fn a_model_is_small() {
        assert!(size_of::<ScreenModel<'_>>() <= 200, "{} bytes", size_of::<ScreenModel<'_>>());
    }
}
