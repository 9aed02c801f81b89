//! The questions of a run, and the list of answers of each.

use serde::{Deserialize, Serialize};

use super::answers::{
    AfterFault, AfterTrouble, Again, FailReason, FirstLayer, Hand, LeadReason, OutOfUse, Outcome, PartOff,
    PlateBack, Running, Seen, Shown, StillRunning, Strip,
};
/// One question of the run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Question {
    /// A hand check of the walk-round.
    Hand(Hand),
    /// Does the printer show the vetted job?
    Shown,
    /// How did the purge strip come out?
    Strip,
    /// How did the first layer come out?
    FirstLayer,
    /// What became of the fault of the first layer?
    AfterFault,
    /// What does it do?
    Running,
    /// What became of the trouble?
    AfterTrouble,
    /// Is it still on?
    StillRunning,
    /// Is the part off?
    PartOff,
    /// How does the plate sit, now that it is back?
    PlateBack,
    /// How did it go?
    Outcome,
    /// Why did it fail?
    Reason,
    /// Why does the lead open the HOLD?
    Lead,
    /// Shall the same job run again?
    Again,
    /// Is the machine out of use, and why?
    Use,
    /// Who prints?
    Owner,
    /// Who is in charge when it ends after closing?
    InCharge,
}

/// One answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Answer {
    /// The grade of this rank in the list that the app supplies, in that list's order.
    Sticker(u8),
    /// See [`Seen`].
    Seen(Seen),
    /// See [`Shown`].
    Shown(Shown),
    /// See [`Strip`].
    Strip(Strip),
    /// See [`FirstLayer`].
    FirstLayer(FirstLayer),
    /// See [`AfterFault`].
    AfterFault(AfterFault),
    /// See [`Running`].
    Running(Running),
    /// See [`AfterTrouble`].
    AfterTrouble(AfterTrouble),
    /// See [`StillRunning`].
    StillRunning(StillRunning),
    /// See [`PartOff`].
    PartOff(PartOff),
    /// See [`PlateBack`].
    PlateBack(PlateBack),
    /// See [`Outcome`].
    Outcome(Outcome),
    /// See [`FailReason`].
    Reason(FailReason),
    /// See [`LeadReason`].
    Lead(LeadReason),
    /// See [`Again`].
    Again(Again),
    /// Why a lead takes the machine out of use; `None` = it is in use.
    Use(Option<OutOfUse>),
    /// Who prints: [`Machine::owner`](super::Machine::owner) has the code.
    Owner,
    /// Who is in charge: [`Machine::in_charge`](super::Machine::in_charge) has the code.
    InCharge,
    /// Nobody will be in charge.
    Nobody,
}

/// Names each value of a list an answer.
macro_rules! answers {
    ($kind:ident: $($value:ident),+) => { &[$(Answer::$kind($kind::$value)),+] };
}

/// The same, of values whose type has a name of its own.
macro_rules! reasons {
    ($kind:ident, $of:ident: $($value:ident),+) => { &[$(Answer::$kind($of::$value)),+] };
}

impl Answer {
    /// Its name in the events' file: the same in every language; empty for a sticker, whose mark is written there.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sticker(_) => "",
            Self::Seen(of) => of.name(),
            Self::Shown(of) => of.name(),
            Self::Strip(of) => of.name(),
            Self::FirstLayer(of) => of.name(),
            Self::AfterFault(of) => of.name(),
            Self::Running(of) => of.name(),
            Self::AfterTrouble(of) => of.name(),
            Self::StillRunning(of) => of.name(),
            Self::PartOff(of) => of.name(),
            Self::PlateBack(of) => of.name(),
            Self::Outcome(of) => of.name(),
            Self::Reason(of) => of.name(),
            Self::Lead(of) => of.name(),
            Self::Again(of) => of.name(),
            Self::Use(None) => "InUse",
            Self::Use(Some(of)) => of.name(),
            // In their place the app writes the code.
            Self::Owner | Self::InCharge => "",
            Self::Nobody => "Nobody",
        }
    }
}

impl Question {
    /// Its name in the events' file: the same in every language.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Hand(hand) => hand.name(),
            Self::Shown => "Shown",
            Self::Strip => "Strip",
            Self::FirstLayer => "FirstLayer",
            Self::AfterFault => "AfterFault",
            Self::Running => "Running",
            Self::AfterTrouble => "AfterTrouble",
            Self::StillRunning => "StillRunning",
            Self::PartOff => "PartOff",
            Self::PlateBack => "PlateBack",
            Self::Outcome => "Outcome",
            Self::Reason => "Reason",
            Self::Lead => "Lead",
            Self::Again => "Again",
            Self::Use => "Use",
            Self::Owner => "Owner",
            Self::InCharge => "InCharge",
        }
    }

    /// The answers, in the order of the list; empty for the sticker, whose list the app supplies, and for persons.
    ///
    /// The question shows them from another one on at each job: see [`Question::answer`].
    #[must_use]
    pub const fn answers(self) -> &'static [Answer] {
        match self {
            Self::Hand(hand) => match hand {
                Hand::Sticker => &[],
                Hand::OuterTurn => answers!(Seen: TurnsFreely, Sticks),
                Hand::Plate => answers!(Seen: Occupied, Bare, NoPlate),
                Hand::Pins => answers!(Seen: Rocks, TwoPins),
                Hand::Clean => answers!(Seen: Clean, Greasy),
                Hand::PurgeArea => answers!(Seen: PurgeScrap, PurgeClear),
                Hand::Nozzle => answers!(Seen: NozzleClean, NozzleBlob),
                Hand::Face => answers!(Seen: OtherFace, WantedFace),
                Hand::Film => answers!(Seen: FilmOn, NoFilm),
                Hand::Vent => answers!(Seen: VentOff, VentOn),
                Hand::DoorShut | Hand::DoorOpen => answers!(Seen: DoorShut, DoorOpen),
                Hand::Around => answers!(Seen: AroundThings, AroundClear),
            },
            Self::Shown => answers!(Shown: SameJob, OtherJob, NotStarted),
            Self::Strip => answers!(Strip: Thin, Solid, Nothing),
            Self::FirstLayer => {
                answers!(FirstLayer: Good, NotSticking, Gaps, TooFlat, Blob, Strings, WrongPlace, Nothing)
            }
            Self::AfterFault => answers!(AfterFault: Stopped, CameRight),
            Self::Running => {
                answers!(Running: Fine, Strands, Air, Shifted, Waits, GoesOn, StoodStill, Stopped, Smoke)
            }
            Self::AfterTrouble => answers!(AfterTrouble: Stopped, GoesOn),
            Self::StillRunning => answers!(StillRunning: Prints, Ended, StoodStill, Stopped),
            Self::PartOff => answers!(PartOff: Holds, BitsLeft, Off),
            Self::PlateBack => answers!(PlateBack: NotSure, TwoPins),
            Self::Outcome => answers!(Outcome: Good, Usable, Failed, Stopped),
            // The three most frequent first (job catalogue, S17 and its ranking).
            Self::Reason => {
                reasons!(Reason, FailReason: CameOff, FirstLayerBad, NoPlastic, RanOut, Tangle, Shifted,
                Curled, Stringy, StoppedItself, StoppedByPerson, WrongJob, Other)
            }
            Self::Again => answers!(Again: Free, Again),
            Self::Lead => reasons!(Lead, LeadReason: LookedAt, SheetWrong, Attended, Trial, Other),
            // Codes, of which the machine knows the last few.
            Self::Owner | Self::InCharge => &[],
            Self::Use => &[
                Answer::Use(None),
                Answer::Use(Some(OutOfUse::Nozzle)),
                Answer::Use(Some(OutOfUse::Plate)),
                Answer::Use(Some(OutOfUse::Heater)),
                Answer::Use(Some(OutOfUse::Spool)),
                Answer::Use(Some(OutOfUse::Other)),
            ],
        }
    }

    /// Whether its answers change places from job to job, so that the right one cannot be learned by its place.
    #[must_use]
    pub const fn is_shuffled(self) -> bool {
        match self {
            Self::Hand(hand) => hand.is_killer() || matches!(hand, Hand::Sticker),
            Self::Owner | Self::InCharge => true,
            Self::Shown
            | Self::Strip
            | Self::FirstLayer
            | Self::AfterFault
            | Self::Running
            | Self::AfterTrouble
            | Self::StillRunning
            | Self::PartOff
            | Self::PlateBack
            | Self::Outcome
            | Self::Reason
            | Self::Lead
            | Self::Again
            | Self::Use => false,
        }
    }

    /// The answer at a place on the screen, from 0. `order` shifts the lists that are [shuffled](Self::is_shuffled);
    /// any number will do, such as the day book's record number.
    #[must_use]
    pub fn answer(self, order: u8, place: u8) -> Option<Answer> {
        let list = self.answers();
        let place = usize::from(place);
        if place >= list.len() {
            return None;
        }
        let shift = if self.is_shuffled() { usize::from(order) } else { 0 };
        list.iter().cycle().nth((place + shift % list.len()) % list.len()).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::vec::Vec;

    #[test]
    fn every_hand_check_offers_the_value_it_wants_and_another() {
        for &hand in Hand::ALL {
            let Some(wants) = hand.wants() else { continue };
            let list = Question::Hand(hand).answers();
            assert!(list.contains(&Answer::Seen(wants)), "{hand:?}");
            assert!(list.len() >= 2, "{hand:?} can only be passed");
        }
    }

    #[test]
    fn the_right_value_does_not_always_stand_first() {
        let first = |hand: &&Hand| {
            let list = Question::Hand(**hand).answers();
            list.first().copied() == hand.wants().map(Answer::Seen)
        };
        let asked: Vec<_> = Hand::ALL.iter().filter(|hand| hand.wants().is_some()).collect();
        let right = asked.iter().filter(|hand| first(hand)).count();
        assert!(right > 0 && right < asked.len());
    }

    #[test]
    fn a_killers_list_is_shifted_and_complete() {
        let question = Question::Hand(Hand::Plate);
        let shown = |order| (0..3).filter_map(|place| question.answer(order, place)).collect::<Vec<_>>();
        assert_ne!(shown(0), shown(1));
        for order in [0, 1, 2, 255] {
            for answer in question.answers() {
                assert!(shown(order).contains(answer));
            }
        }
        assert_eq!(question.answer(0, 3), None);
        assert_eq!(Question::Outcome.answer(7, 0), Some(Answer::Outcome(Outcome::Good)), "others stay");
    }

    #[test]
    fn the_day_book_has_twelve_reasons_with_words_of_their_own() {
        assert_eq!(FailReason::ALL.len(), 12);
        let mut words: Vec<_> = FailReason::ALL.iter().map(|reason| reason.code()).collect();
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), 12);
        assert_eq!(Question::Reason.answers().len(), 12, "each can be answered");
    }
}
