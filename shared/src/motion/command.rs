//! The words that are known, by what they ask for.

/// A heater.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Heater {
    /// A hot end.
    #[default]
    Nozzle,
    /// The bed.
    Bed,
    /// The chamber.
    Chamber,
}

/// Whether a target is waited for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Wait {
    /// Set and go on (M104, M140, M141).
    #[default]
    No,
    /// Wait until it is hot (M109 S, M190 S, M191 S).
    Heat,
    /// Wait until it is there, cooling too (M109 R, M190 R).
    HeatOrCool,
}

/// Why the machine stops for a person.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum PauseKind {
    /// Waits for a press (M0, M1, M25, M226, M601).
    #[default]
    Stop,
    /// Filament change (M600).
    Filament,
}

/// What a G or M word asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Known {
    /// G0, G1.
    Line,
    /// G2: clockwise.
    ArcClockwise,
    /// G3: counter-clockwise.
    ArcCounterClockwise,
    /// G4.
    Dwell,
    /// G10 without the letters of an offset.
    Retract,
    /// G11.
    Return,
    /// G17.
    PlaneXy,
    /// G18, G19.
    PlaneOther,
    /// G20, G21.
    Units {
        /// Inches.
        inch: bool,
    },
    /// G28.
    Home,
    /// Probing.
    Probe,
    /// G90, G91.
    Positions {
        /// G91.
        relative: bool,
    },
    /// G53.
    MachinePlaces,
    /// G92.
    SetPosition,
    /// G92.1, G92.2.
    ClearOffset,
    /// G93, G95; G94 is `false`.
    FeedForm {
        /// Not units a minute.
        other: bool,
    },
    /// M82, M83.
    FeedMode {
        /// M83.
        relative: bool,
    },
    /// M104, M109, M140, M190, M141, M191.
    Heat(super::Heater, bool),
    /// M116: waits for all heaters.
    HeatAll,
    /// M106.
    FanOn,
    /// M107.
    FanOff,
    /// M0, M1: a stop, or with a time a dwell.
    Stop,
    /// A stop for a person.
    Pause(super::PauseKind),
    /// M2, M30.
    End,
    /// M6.
    ToolChange,
    /// M84, M18.
    MotorsOff,
    /// M201.
    AxisAccel,
    /// M203.
    AxisSpeed,
    /// M204.
    Accel,
    /// M205.
    Corner,
    /// M220.
    FeedFactor,
    /// M221.
    FlowFactor,
    /// M207, M208.
    RetractLength {
        /// M208.
        back: bool,
    },
    /// M200.
    Volume,
    /// M290.
    BabyStep,
    /// Tunes the machine and changes no geometry.
    Tuning,
    /// Reports something.
    Report,
    /// Changes what the machine remembers or guards against.
    Stores,
    /// Changes how the machine works, so that a person has to look.
    Adjusts,
    /// Reaches for what was not vetted: other files, pins, power, firmware, the host.
    Reaches,
    /// Reaches for a part that may be harmless, so that a person has to look.
    Touches,
    /// Shifts, turns or scales the work by what the job does not say.
    Shifts,
    /// Moves, feeds or heats in a way that is not followed here.
    Unfollowed,
    /// Not known.
    Unknown,
}

/// The class of a word.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum WordClass {
    /// Followed by the survey.
    Modelled,
    /// See [`Known::Tuning`].
    Tuning,
    /// See [`Known::Report`].
    Report,
    /// See [`Known::Stores`].
    Stores,
    /// See [`Known::Adjusts`].
    Adjusts,
    /// See [`Known::Reaches`].
    Reaches,
    /// See [`Known::Touches`].
    Touches,
    /// See [`Known::Shifts`].
    Shifts,
    /// See [`Known::Unfollowed`].
    Unfollowed,
    /// In no row of the table.
    #[default]
    Unknown,
}

impl Known {
    /// Its class.
    #[must_use]
    pub const fn class(self) -> WordClass {
        match self {
            Self::Tuning => WordClass::Tuning,
            Self::Report => WordClass::Report,
            Self::Stores => WordClass::Stores,
            Self::Adjusts => WordClass::Adjusts,
            Self::Reaches => WordClass::Reaches,
            Self::Touches => WordClass::Touches,
            Self::Shifts => WordClass::Shifts,
            Self::Unfollowed => WordClass::Unfollowed,
            Self::Unknown => WordClass::Unknown,
            _ => WordClass::Modelled,
        }
    }
}

/// Limits that a line sets. Per axis X Y Z E.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitWords {
    /// M201, µm/s².
    AxisAccel([Option<u32>; 4]),
    /// M203, µm/s.
    AxisSpeed([Option<u32>; 4]),
    /// M204: print, travel, retract, µm/s².
    Accel([Option<u32>; 3]),
    /// M205: steps µm/s, deviation µm.
    Corner {
        /// Steps, µm/s.
        steps: [Option<u32>; 4],
        /// Deviation, µm.
        deviation: Option<u32>,
    },
}
