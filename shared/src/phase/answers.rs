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

            /// Its name in the events' file: the same in every language.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => stringify!($variant)),+ }
            }
        }
    )+};
}

values! {
    /// A hand check of the walk-round. Asked in this order; only those that the job, the machine and the last outcome
    /// call for.
    Hand {
        /// What the sticker on the spool says. Asked blind: the answer is a place in a list of grades.
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
        /// Nothing was started, and nothing will be: the release is taken back.
        NotStarted,
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

    /// What to do about trouble in the run, once its remedy was read, and what a long press during the run asks.
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
        /// It is off; purge strip, skirt or bits are still there.
        BitsLeft,
        /// It is off, and all bits are in the bin.
        Off,
    }

    /// How the plate sits once it was put back.
    PlateBack {
        /// Not sure: get help.
        NotSure,
        /// Underside wiped, on two pins, flat.
        TwoPins,
    }

    /// Whether the same job is run again after a first layer that failed.
    Again {
        /// No: the machine is free for others.
        Free,
        /// Yes: through the walk-round once more.
        Again,
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
