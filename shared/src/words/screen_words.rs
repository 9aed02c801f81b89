//! The words of the screens, by where they stand.

use crate::checks::{Level, Signal, Verdict};
use crate::header::HeaderErrorKind;
use crate::json::JsonFault;
use crate::media::MediaFault;

use super::run;

/// How a day without a name is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DateForm {
    /// `24 Nov`.
    DayThenName,
    /// `24.11.`
    DayDotMonth,
}

/// A word that changes with its number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Counted {
    /// For exactly one.
    pub one: &'static str,
    /// For none and for more.
    pub many: &'static str,
}

impl Counted {
    /// The word for `count` of them.
    #[must_use]
    pub const fn of(&self, count: u32) -> &'static str {
        if count == 1 { self.one } else { self.many }
    }
}

/// What is wrong, and what helps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trouble {
    /// Title, beside the signal word: at most 12 characters.
    pub title: &'static str,
    /// What is wrong: at most two lines.
    pub what: &'static str,
    /// What helps: at most two lines.
    pub remedy: &'static str,
}

/// The words of the verdicts, titles; at most 11 characters.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs, reason = "named as the values of `Verdict`")]
pub struct VerdictWords {
    pub clear: &'static str,
    pub look: &'static str,
    pub hold: &'static str,
    pub none: &'static str,
}

/// What the knob or the card does next: line 6, at most 20 characters, verb first.
#[derive(Clone, Copy, Debug)]
pub struct ActionWords {
    /// Waiting for a card.
    pub put_card_in: &'static str,
    /// Nothing to do but leave the card.
    pub leave_card_in: &'static str,
    /// Nothing more can be done with this card.
    pub take_card_out: &'static str,
    /// Turn chooses a job, press takes it.
    pub pick: &'static str,
    /// Before the number of points.
    pub press: &'static str,
    /// Press opens the walk-round.
    pub walk_round: &'static str,
    /// Press goes back to the slips.
    pub other_job: &'static str,
    /// Press shows the point's remedy.
    pub remedy: &'static str,
    /// Press goes back to where the user came from.
    pub back: &'static str,
    /// Press says that the points were read.
    pub have_read: &'static str,
    /// Press vets the job without what could not be read.
    pub vet_anyway: &'static str,
    /// Press reads the card again.
    pub read_again: &'static str,
}

/// One word each for the faults of a card.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs, reason = "named as the values of `MediaFault`")]
pub struct CardTroubles {
    pub no_card: Trouble,
    pub gone: Trouble,
    pub read_failed: Trouble,
    pub write_failed: Trouble,
    pub read_only: Trouble,
    pub only_read: Trouble,
    pub blank: Trouble,
    pub foreign: Trouble,
    pub damaged: Trouble,
    pub chain_broken: Trouble,
    pub not_found: Trouble,
    pub full: Trouble,
    pub unchecked: Trouble,
    pub truncated: Trouble,
    pub too_many_files: Trouble,
    pub in_the_way: Trouble,
}

/// What a broken job header lacks: one line each, before the key where there is one.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs, reason = "named as the values of `HeaderErrorKind`")]
pub struct HeaderWords {
    pub version: &'static str,
    pub no_end: &'static str,
    pub not_a_comment: &'static str,
    pub too_long: &'static str,
    pub not_utf8: &'static str,
    pub syntax: &'static str,
    pub missing: &'static str,
    pub twice: &'static str,
    pub value: &'static str,
    pub trailing: &'static str,
}

/// Every word of every screen in one language.
#[derive(Clone, Copy, Debug)]
pub struct Words {
    /// Decimal mark.
    pub decimal: char,
    /// How days are written.
    pub date_form: DateForm,
    /// Small: the day before this one.
    pub yesterday: &'static str,
    /// Small: this day.
    pub today: &'static str,
    /// Small: the day after this one.
    pub tomorrow: &'static str,
    /// Small: Monday first, at most 3 characters.
    pub weekdays: [&'static str; 7],
    /// Small: January first, at most 3 characters; used by [`DateForm::DayThenName`] only.
    pub months: [&'static str; 12],

    /// Verdicts.
    pub verdicts: VerdictWords,
    /// Title of a point at level NOTE (LOOK and HOLD are worded as the verdicts).
    pub note: &'static str,
    /// Title of a point that was settled, beside the day; at most 8 characters.
    pub settled: &'static str,
    /// Small: before the verdict that the header alone had given, where the moves made it worse.
    pub was: &'static str,
    /// Small: before the time at which an unchanged job was read; the screen then says what was read at that time.
    pub as_read: &'static str,
    /// Small: in that time's place, where no clock tells it.
    pub before: &'static str,
    /// Signal word for property.
    pub notice: &'static str,
    /// Signal word for minor or moderate injury.
    pub caution: &'static str,
    /// Signal word for death or serious injury.
    pub warning: &'static str,
    /// Line 6.
    pub actions: ActionWords,
    /// Counts of points.
    pub points: Counted,

    /// Title of the waiting screen.
    pub waiting: &'static str,
    /// Line: there is no spool ticket.
    pub no_spool_ticket: &'static str,
    /// Small: before or after the grams that a spool still holds.
    pub left: &'static str,
    /// Small: before the closing time.
    pub shuts: &'static str,
    /// Small: the room is closed this day.
    pub shut_today: &'static str,
    /// Small: the rules state no hours.
    pub no_hours: &'static str,
    /// Small: no time of day is known.
    pub clock_not_set: &'static str,
    /// Small: the last job's outcome was good.
    pub last_good: &'static str,
    /// Small: it was usable, with flaws.
    pub last_flawed: &'static str,
    /// Small: it failed.
    pub last_failed: &'static str,
    /// Small: nothing is known of it.
    pub last_unknown: &'static str,
    /// Heat line: the plate was not measured.
    pub may_be_hot: &'static str,
    /// Heat line: before the plate's measured temperature.
    pub hot_plate: &'static str,
    /// Line: before the plate's measured temperature, below the burn limit.
    pub plate: &'static str,
    /// Heat line: the nozzle was not measured, or long ago.
    pub nozzle_may_be_hot: &'static str,
    /// Heat line: before the nozzle's temperature.
    pub hot_nozzle: &'static str,
    /// Line: before the nozzle's measured temperature, below the burn limit.
    pub cool_nozzle: &'static str,

    /// Title while the card is read.
    pub reading_card: &'static str,
    /// Counts of jobs.
    pub jobs: Counted,
    /// Counts of files that were looked at.
    pub files_seen: Counted,
    /// Small: before the time of the newest job.
    pub newest: &'static str,
    /// Title: the card holds no job.
    pub no_jobs: &'static str,
    /// Line: the card is empty.
    pub card_empty: &'static str,
    /// Counts of models found.
    pub models: Counted,
    /// Counts of other files found.
    pub other_files: Counted,
    /// What to do with a model: at most two lines.
    pub slice_first: &'static str,
    /// What to do when nothing on the card is of use: at most two lines.
    pub copy_a_job: &'static str,

    /// Title of the list: small or line face beside `999/999`.
    pub work_on_card: &'static str,
    /// Small: the list's end.
    pub no_more: &'static str,
    /// In its place, after a count: jobs or folders of the card that are not on the list.
    pub not_listed: Counted,
    /// Small: the job was not vetted yet.
    pub not_vetted: &'static str,

    /// Title of the survey.
    pub vetting: &'static str,
    /// Line: after a percentage of bytes.
    pub read: &'static str,
    /// Line: before a time left, empty where the language puts it behind.
    pub still: &'static str,
    /// Line: after a time left, empty where the language puts it before.
    pub to_go: &'static str,
    /// Line: after the number of points found up to now.
    pub so_far: &'static str,
    /// Line: no point was found up to now.
    pub no_points_so_far: &'static str,

    /// Small: after the spool's mark; the job's stands before it.
    pub spool: &'static str,
    /// Small: before the hot end's target.
    pub nozzle: &'static str,
    /// Small: before the bed's target.
    pub bed: &'static str,
    /// Small: before the window of the end.
    pub ends: &'static str,
    /// Small: the end is not known.
    pub end_unknown: &'static str,

    /// Title: a job header could not be read.
    pub header_broken: &'static str,
    /// Title: a record (machine sheet, spool ticket, room rules) was refused.
    pub record_refused: &'static str,
    /// Line: before a line's number.
    pub line: &'static str,
    /// Line: before a column's number.
    pub column: &'static str,
    /// What helps with a broken header: at most two lines.
    pub header_remedy: &'static str,
    /// What helps with a refused record: at most two lines.
    pub record_remedy: &'static str,
    /// What was expected in a header.
    pub header: HeaderWords,
    /// Faults of a card.
    pub card: CardTroubles,
    /// The screens of a run.
    pub run: run::RunWords,
}

impl Words {
    /// The verdict's word.
    #[must_use]
    pub const fn verdict(&self, verdict: Verdict) -> &'static str {
        match verdict {
            Verdict::Clear => self.verdicts.clear,
            Verdict::Look => self.verdicts.look,
            Verdict::Hold => self.verdicts.hold,
            Verdict::NoVerdict => self.verdicts.none,
        }
    }

    /// The level's word.
    #[must_use]
    pub const fn level(&self, level: Level) -> &'static str {
        match level {
            Level::Note => self.note,
            Level::Look => self.verdicts.look,
            Level::Hold => self.verdicts.hold,
        }
    }

    /// The signal word, empty for none.
    #[must_use]
    pub const fn signal(&self, signal: Signal) -> &'static str {
        match signal {
            Signal::None => "",
            Signal::Notice => self.notice,
            Signal::Caution => self.caution,
            Signal::Warning => self.warning,
        }
    }

    /// What is wrong with a card, and what helps.
    #[must_use]
    pub const fn card_trouble(&self, fault: MediaFault) -> &Trouble {
        match fault {
            MediaFault::NoCard => &self.card.no_card,
            MediaFault::Gone => &self.card.gone,
            MediaFault::ReadFailed => &self.card.read_failed,
            MediaFault::WriteFailed => &self.card.write_failed,
            MediaFault::ReadOnly => &self.card.read_only,
            MediaFault::OnlyRead => &self.card.only_read,
            MediaFault::Blank => &self.card.blank,
            MediaFault::Foreign => &self.card.foreign,
            MediaFault::Damaged => &self.card.damaged,
            MediaFault::ChainBroken => &self.card.chain_broken,
            MediaFault::NotFound => &self.card.not_found,
            MediaFault::Full => &self.card.full,
            MediaFault::Unchecked => &self.card.unchecked,
            MediaFault::Truncated => &self.card.truncated,
            MediaFault::TooManyFiles => &self.card.too_many_files,
            MediaFault::InTheWay => &self.card.in_the_way,
        }
    }

    /// What a header lacks.
    #[must_use]
    pub const fn header_error(&self, kind: &HeaderErrorKind) -> &'static str {
        match kind {
            HeaderErrorKind::Version => self.header.version,
            HeaderErrorKind::NoEnd => self.header.no_end,
            HeaderErrorKind::NotAComment => self.header.not_a_comment,
            HeaderErrorKind::TooLong => self.header.too_long,
            HeaderErrorKind::Json(JsonFault::NotUtf8) => self.header.not_utf8,
            HeaderErrorKind::Json(JsonFault::Syntax(_)) => self.header.syntax,
            HeaderErrorKind::Json(JsonFault::Missing) => self.header.missing,
            HeaderErrorKind::Json(JsonFault::Twice) => self.header.twice,
            HeaderErrorKind::Json(JsonFault::Value(_) | JsonFault::Unknown { .. }) => self.header.value,
            HeaderErrorKind::Json(JsonFault::Trailing) => self.header.trailing,
        }
    }
}
