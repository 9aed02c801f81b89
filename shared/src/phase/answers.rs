//! What a person is asked, and what they may answer: observed values, never "checked".
//!
//! Sources: the answers are the job catalogue's own lists (section 2, S4 to S17; section 5 for reasons); where it has
//! none, judgement. An answer states what was seen (Degani and Wiener, NASA CR-177549), the right one does not always
//! stand first, and nothing is answered before the knob was turned where a wrong answer breaks a machine.
//!
//! To the next person here: a new answer wants its line in the enum, its place in the question's list below, and its
//! word in each language. The order of variants is stored: add at the end.

use serde::{Deserialize, Serialize};

/// Values with the derives that each of them wants.
macro_rules! values {
    ($($(#[$doc:meta])* $name:ident { $($(#[$of:meta])* $variant:ident),+ $(,)? })+) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        #[repr(u8)]
        pub enum $name { $($(#[$of])* $variant),+ }

        impl $name {
            /// Every one, in the order in which they are stored.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];
        }
    )+};
}

values! {
    /// A hand check of the walk-round. Asked in this order; only those that the job, the machine and the last outcome
    /// call for.
    Hand {
        /// What the sticker on the spool says. Asked blind: the answer is a [`Answer::Sticker`].
        Sticker,
        /// Whether 20 cm pull off the outer turn freely.
        OuterTurn,
        /// What is on the plate. Killer: an old part is struck by the head.
        Plate,
        /// How the plate sits. Killer: a plate beside its pins is struck by the nozzle.
        Pins,
        /// What the plate's face is like.
        Clean,
        /// What lies where the purge strip will go.
        PurgeArea,
        /// What hangs on the nozzle. Looked at, never touched.
        Nozzle,
        /// Which face of the plate is up; the job names the one it wants.
        Face,
        /// Whether release film (glue) is on the face, for grades that weld to it.
        Film,
        /// Whether the ventilation runs, for grades that give off fumes.
        Vent,
        /// The housing's door, for grades that want it shut.
        DoorShut,
        /// The housing's door, for grades that jam in a warm box.
        DoorOpen,
        /// What lies within 30 cm: tools, solvent, paper.
        Around,
    }

    /// What was seen at a hand check.
    Seen {
        /// 20 cm pull off, the spool turns.
        TurnsFreely,
        /// The turn sticks, is crossed or hooked.
        Sticks,
        /// Nothing on the plate.
        Bare,
        /// A part or scrap on the plate.
        Occupied,
        /// There is no plate.
        NoPlate,
        /// On two pins, flat.
        TwoPins,
        /// On one pin, or it rocks.
        Rocks,
        /// Clean and dry.
        Clean,
        /// Finger-marks, grease or caked glue.
        Greasy,
        /// Nothing where the strip will go.
        PurgeClear,
        /// An old strip or crumbs.
        PurgeScrap,
        /// The nozzle is clean.
        NozzleClean,
        /// A blob or a string hangs on it.
        NozzleBlob,
        /// The face that the job wants is up.
        WantedFace,
        /// Another face is up.
        OtherFace,
        /// Thin release film is on.
        FilmOn,
        /// No film.
        NoFilm,
        /// The ventilation runs.
        VentOn,
        /// It does not.
        VentOff,
        /// The door is shut.
        DoorShut,
        /// The door is open.
        DoorOpen,
        /// 30 cm around are clear.
        AroundClear,
        /// Something lies there.
        AroundThings,
    }

    /// What the printer's own display shows when it was started.
    Shown {
        /// Another name or length: stop there, vet again.
        OtherJob,
        /// The vetted job's name.
        SameJob,
    }

    /// The purge strip.
    Strip {
        /// Thin, or with gaps.
        Thin,
        /// Solid from start to end.
        Solid,
        /// Nothing came out: stop.
        Nothing,
    }

    /// How the first layer came out.
    FirstLayer {
        /// Flat, touching, no gaps, no curl: the person may leave.
        Good,
        /// Lines come loose, a corner lifts.
        NotSticking,
        /// Round lines with gaps between them: the nozzle is too high, or too little comes.
        Gaps,
        /// Transparent, ridged: the nozzle is too low.
        TooFlat,
        /// Strings between the lines.
        Strings,
        /// It lies beside where it should, or half off the plate.
        WrongPlace,
        /// Nothing comes out.
        Nothing,
        /// A blob on the nozzle drags along.
        Blob,
    }

    /// What to do about a first layer that is not good, once its remedy was read.
    AfterFault {
        /// It came right; go on watching.
        CameRight,
        /// Stopped at the printer.
        Stopped,
    }

    /// What somebody saw who came by during the run.
    Running {
        /// The part stands, the head lays plastic.
        Fine,
        /// Loose strands, a blob round the head: the part let go.
        Strands,
        /// The head moves and lays nothing: ran out, tangle or jam.
        Air,
        /// Layers lie beside each other: shifted or struck.
        Shifted,
        /// It waits for a person (a pause).
        Waits,
        /// It goes on again after a pause.
        GoesOn,
        /// It stands still by itself.
        StoodStill,
        /// Somebody stopped it at the printer.
        Stopped,
        /// Smoke, flame or arcing: mains off, out.
        Smoke,
    }

    /// What to do about trouble in the run, once its remedy was read.
    AfterTrouble {
        /// Let it go on.
        GoesOn,
        /// Stopped at the printer.
        Stopped,
    }

    /// Whether the run is still on, asked when heat and clock disagree or the end is due.
    StillRunning {
        /// It still prints.
        Prints,
        /// It came to its end.
        Ended,
        /// It stopped by itself before its end.
        StoodStill,
        /// A person stopped it.
        Stopped,
    }

    /// Whether the part came off the plate.
    PartOff {
        /// It still holds: let it cool, flex the plate again.
        Holds,
        /// It is off.
        Off,
    }

    /// The hand checks before a person goes.
    Before {
        /// Where purge strip, skirt and bits are.
        Bits,
        /// How the plate sits again.
        PlateBack,
        /// Where the card is.
        Card,
    }

    /// What was answered before a person went.
    Left {
        /// All in the bin.
        Bin,
        /// Some still there.
        SomeThere,
        /// Underside wiped, back on two pins, flat.
        TwoPins,
        /// Not sure: get help.
        NotSure,
        /// In the hand.
        CardInHand,
        /// Still in the printer.
        CardInPrinter,
    }

    /// How the job went.
    Outcome {
        /// As wanted.
        Good,
        /// Usable, with flaws.
        Usable,
        /// Failed.
        Failed,
        /// Stopped by a person for no fault of the print.
        Stopped,
    }

    /// Why it failed or was stopped: the day book's twelve codes (job catalogue, section 5).
    FailReason {
        /// Came off the plate.
        CameOff,
        /// First layer bad at the start.
        FirstLayerBad,
        /// The spool ran out.
        RanOut,
        /// A crossed or hooked turn.
        Tangle,
        /// No plastic, or a jam.
        NoPlastic,
        /// Shifted, or struck by the head.
        Shifted,
        /// Curled or warped.
        Curled,
        /// Stringy, looks damp.
        Stringy,
        /// Stopped by itself.
        StoppedItself,
        /// Stopped by a person.
        StoppedByPerson,
        /// Wrong file or material.
        WrongJob,
        /// Anything else.
        Other,
    }

    /// Why a lead opened a HOLD.
    LeadReason {
        /// The lead looked, and the point does not hold here.
        LookedAt,
        /// The machine sheet or the room's rules are wrong and will be put right.
        SheetWrong,
        /// The lead stays with the machine.
        Attended,
        /// A trial, nothing else.
        Trial,
        /// Another reason, told by mouth.
        Other,
    }

    /// Why a lead holds the machine (job catalogue, row 73).
    OutOfUse {
        /// Nozzle.
        Nozzle,
        /// Plate.
        Plate,
        /// Spool.
        Spool,
        /// Heater or probe.
        Heater,
        /// Another reason.
        Other,
    }
}

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
    /// A hand check before a person goes.
    Before(Before),
    /// How did it go?
    Outcome,
    /// Why did it fail?
    Reason,
    /// Why does the lead open the HOLD?
    Lead,
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
    /// See [`Left`].
    Left(Left),
    /// See [`Outcome`].
    Outcome(Outcome),
    /// See [`FailReason`].
    Reason(FailReason),
    /// See [`LeadReason`].
    Lead(LeadReason),
}

impl Hand {
    /// Every hand check that may be asked of one job, as a set.
    pub const EVERY: u16 = (1 << Self::ALL.len()) - 1;

    /// Its place in a set of hand checks.
    #[must_use]
    pub const fn bit(self) -> u16 {
        1 << self as u8
    }

    /// Whether a wrong answer lets the head strike something: the knob must be turned to an answer before it is
    /// pressed, and an answer faster than [`QUICKEST_MS`](super::QUICKEST_MS) is asked for once more.
    #[must_use]
    pub const fn is_killer(self) -> bool {
        matches!(self, Self::Plate | Self::Pins)
    }

    /// The only value that passes; `None` for the sticker, where the job says which.
    #[must_use]
    pub const fn wants(self) -> Option<Seen> {
        Some(match self {
            Self::Sticker => return None,
            Self::OuterTurn => Seen::TurnsFreely,
            Self::Plate => Seen::Bare,
            Self::Pins => Seen::TwoPins,
            Self::Clean => Seen::Clean,
            Self::PurgeArea => Seen::PurgeClear,
            Self::Nozzle => Seen::NozzleClean,
            Self::Face => Seen::WantedFace,
            Self::Film => Seen::FilmOn,
            Self::Vent => Seen::VentOn,
            Self::DoorShut => Seen::DoorShut,
            Self::DoorOpen => Seen::DoorOpen,
            Self::Around => Seen::AroundClear,
        })
    }
}

impl Before {
    /// The value after which the person may go; with any other the machine is not free.
    #[must_use]
    pub const fn wants(self) -> Left {
        match self {
            Self::Bits => Left::Bin,
            Self::PlateBack => Left::TwoPins,
            Self::Card => Left::CardInHand,
        }
    }
}

/// Names each value of a list an answer.
macro_rules! answers {
    ($kind:ident: $($value:ident),+) => { &[$(Answer::$kind($kind::$value)),+] };
}

/// The same, of values whose type has a name of its own.
macro_rules! reasons {
    ($kind:ident, $of:ident: $($value:ident),+) => { &[$(Answer::$kind($of::$value)),+] };
}

impl Question {
    /// The answers, in the order of the list; empty for the sticker, whose list the app supplies.
    ///
    /// The question shows them from another one on at each job: see [`Question::answer`].
    #[must_use]
    pub const fn answers(self) -> &'static [Answer] {
        match self {
            Self::Hand(hand) => match hand {
                Hand::Sticker => &[],
                Hand::OuterTurn => answers!(Seen: Sticks, TurnsFreely),
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
            Self::Shown => answers!(Shown: SameJob, OtherJob),
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
            Self::PartOff => answers!(PartOff: Holds, Off),
            Self::Before(Before::Bits) => answers!(Left: SomeThere, Bin),
            Self::Before(Before::PlateBack) => answers!(Left: NotSure, TwoPins),
            Self::Before(Before::Card) => answers!(Left: CardInPrinter, CardInHand),
            Self::Outcome => answers!(Outcome: Good, Usable, Failed, Stopped),
            // The three most frequent first (job catalogue, S17 and its ranking).
            Self::Reason => {
                reasons!(Reason, FailReason: CameOff, FirstLayerBad, NoPlastic, RanOut, Tangle, Shifted,
                Curled, Stringy, StoppedItself, StoppedByPerson, WrongJob, Other)
            }
            Self::Lead => reasons!(Lead, LeadReason: LookedAt, SheetWrong, Attended, Trial, Other),
        }
    }

    /// Whether nothing is chosen when the question comes up: the knob starts on "—" and must be turned first.
    #[must_use]
    pub const fn starts_blank(self) -> bool {
        match self {
            Self::Hand(hand) => hand.is_killer() || matches!(hand, Hand::Sticker),
            Self::Shown
            | Self::Strip
            | Self::FirstLayer
            | Self::AfterFault
            | Self::Running
            | Self::AfterTrouble
            | Self::StillRunning
            | Self::PartOff
            | Self::Before(_)
            | Self::Outcome
            | Self::Reason
            | Self::Lead => false,
        }
    }

    /// The answer at a place on the screen, from 0. `order` shifts the lists of the killers from job to job, so that
    /// the right one cannot be learned by its place; any number will do, such as the day book's record number.
    #[must_use]
    pub fn answer(self, order: u8, place: u8) -> Option<Answer> {
        let list = self.answers();
        let place = usize::from(place);
        if place >= list.len() {
            return None;
        }
        let shift = if self.starts_blank() { usize::from(order) } else { 0 };
        list.iter().cycle().nth((place + shift % list.len()) % list.len()).copied()
    }
}

impl FailReason {
    /// Its word in the day book; stable for ever, the same in every language.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::CameOff => "came off plate",
            Self::FirstLayerBad => "first layer bad at start",
            Self::RanOut => "ran out",
            Self::Tangle => "tangle",
            Self::NoPlastic => "no plastic/jam",
            Self::Shifted => "shifted/struck",
            Self::Curled => "curled/warped",
            Self::Stringy => "stringy/damp look",
            Self::StoppedItself => "stopped by itself",
            Self::StoppedByPerson => "stopped by person",
            Self::WrongJob => "wrong file/material",
            Self::Other => "other",
        }
    }
}

impl Outcome {
    /// Its word in the day book.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Usable => "usable",
            Self::Failed => "failed",
            Self::Stopped => "stopped",
        }
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
        for &before in Before::ALL {
            assert!(Question::Before(before).answers().contains(&Answer::Left(before.wants())));
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
