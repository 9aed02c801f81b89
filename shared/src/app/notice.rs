//! What is told before anything else: why a question is asked, what went wrong, what was done.

use heapless::Vec;

use crate::header::HeaderErrorKind;
use crate::heat::Alarm;
use crate::ledger::{LedgerError, Losses, Lost, SpoolTag};
use crate::limits::LEDGER_SPOOLS;
use crate::media::MediaFault;
use crate::phase::{Answer, FailReason, Phase, Question, RunView, Running, Shown, Stage};
use crate::words::run::RunPage;

/// Something that is read before anything else and goes away with the next touch of the knob.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Notice {
    /// The card took no row.
    DayBook(MediaFault),
    /// The device's own flash failed.
    Ledger,
    /// Something of what it kept was lost: the last of [`Notices::lost`].
    Lost,
    /// A heater or a probe is not as it should be.
    Heat(Alarm),
    /// The file is not the vetted one.
    CardChanged,
    /// A check was settled here, or is no longer.
    Settled {
        /// Its number.
        check: u8,
        /// It counts again.
        undone: bool,
    },
    /// A record of the card does not read.
    Refused(RefusedRecord),
    /// The card holds records that are not those in use.
    Records,
    /// What the clock or the heat has brought about.
    Due(RunPage),
}

/// Each kind, each spool, and a row.
pub(super) const LOST_PARTS: usize = Lost::ALL.len() + LEDGER_SPOOLS as usize + 1;

/// One thing that was lost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum LostPart {
    /// Of this kind.
    Kind(Lost),
    /// The balance of the spool with this number, of which an older one is left.
    Spool(SpoolTag),
    /// A row of the day book, for want of a card.
    Row,
}

/// The notice on the screen, and what follows it.
#[derive(Debug, Default)]
pub(super) struct Notices {
    /// The one on the screen.
    pub(super) top: Option<Notice>,
    /// What the device's memory lost, the next to be read last.
    pub(super) lost: Vec<LostPart, LOST_PARTS>,
    /// What is read after that.
    pub(super) after_lost: Option<Notice>,
    /// It is not in the day book's events yet.
    pub(super) loss_due: Losses,
    /// All of it was read, which the ledger is not told yet.
    pub(super) losses_read: bool,
}

impl Notices {
    /// What the ledger gave. Where its flash failed, the screen says so.
    pub(super) fn flash<T>(&mut self, outcome: Result<T, LedgerError>) -> Option<T> {
        if outcome.is_err() {
            self.flash_failed();
        }
        outcome.ok()
    }

    /// The flash failed: what was to be kept may be gone after a power cut.
    pub(super) fn flash_failed(&mut self) {
        self.top = Some(Notice::Ledger);
    }
}

/// A record that was refused whole, and where.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct RefusedRecord {
    pub(super) file: &'static str,
    pub(super) kind: HeaderErrorKind,
    pub(super) line: u32,
    pub(super) column: u32,
    /// Faults besides this one.
    pub(super) more: u16,
}

pub(super) const fn alarm_page(alarm: Alarm) -> RunPage {
    match alarm {
        Alarm::ProbeOpen => RunPage::ProbeOpen,
        Alarm::ProbeShorted => RunPage::ProbeShort,
        Alarm::ProbeOutOfRange
        | Alarm::ProbeJump
        | Alarm::ProbeBelowAir
        | Alarm::ProbeOffAir
        | Alarm::ProbeFlat => RunPage::ProbeOdd,
        Alarm::Runaway => RunPage::Runaway,
        Alarm::Stopped => RunPage::WarmStopped,
        Alarm::TooSlow => RunPage::WarmSlow,
    }
}

/// What is told before a question that time or heat brought up: why it is asked.
pub(super) fn why(view: &RunView, before: Option<Question>, was: Phase) -> Option<RunPage> {
    let stage = view.phase.stage()?;
    if view.phase != was {
        return match stage {
            Stage::Plate => Some(if view.heat.is_some_and(|heat| heat.measured) {
                RunPage::MayLift
            } else {
                RunPage::MayLiftByClock
            }),
            _ => None,
        };
    }
    let asked = view.asked?.question;
    if before == Some(asked) {
        return None;
    }
    match asked {
        Question::Running if view.paused_s.is_some() => Some(RunPage::PauseNow),
        Question::Running if view.look_due.is_some() => Some(RunPage::LookDue),
        Question::StillRunning if view.cooling_early => Some(RunPage::CoolingEarly),
        Question::StillRunning if view.overdue && view.off_s > OVERDUE_S && hot(view) => {
            Some(RunPage::HeatStillOn)
        }
        Question::StillRunning if view.overdue && view.off_s > OVERDUE_S => Some(RunPage::Overdue),
        Question::StillRunning if view.power_cut => Some(RunPage::PowerBack),
        Question::StillRunning => Some(RunPage::ShouldBeDone),
        _ => None,
    }
}

/// An end is overdue after twenty minutes (job catalogue, S12).
const OVERDUE_S: i32 = 1200;

fn hot(view: &RunView) -> bool {
    view.heat.is_some_and(|heat| heat.measured && heat.plate.is_some_and(|plate| plate.0 > 43))
}

/// Whether a stop left hot strands behind.
pub(super) fn is_mess(view: &RunView) -> bool {
    matches!(
        view.fault,
        Some(Answer::Running(Running::Strands | Running::Shifted) | Answer::Shown(Shown::OtherJob))
    ) || view.reason == Some(FailReason::CameOff)
}
