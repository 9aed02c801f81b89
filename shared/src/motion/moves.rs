//! What lines come to: moves, and what happens between them.

use super::arc::Arc;
use super::command::{Heater, LimitWords, PauseKind, Wait, WordClass};
use super::unread::UnreadKind;

/// How a move was written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct MoveWording {
    /// The X word, nm.
    pub x: Option<i64>,
    /// The E word, nm.
    pub e: Option<i64>,
    /// Positions relative (G91).
    pub relative: bool,
    /// Feed relative (M83).
    pub feed_relative: bool,
    /// Whether a word set the feed mode before.
    pub feed_mode_stated: bool,
    /// The feed mode hangs on what the machine sheet does not say.
    pub feed_mode_ambiguous: bool,
    /// Written in inches.
    pub inch: bool,
    /// Whether Z is where a word put it, now or before; false: as homing left it, or never given.
    pub z_stated: bool,
    /// The first E word after its number was set anew (G92), or the first of all.
    pub e_reset: bool,
}

/// One move: along a straight line or an arc, with or without filament.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Move {
    /// Start, nm, X Y Z.
    pub from: [i64; 3],
    /// End, nm, X Y Z.
    pub to: [i64; 3],
    /// Filament fed, nm; negative = pulled back. Flow factor applied.
    pub feed_nm: i64,
    /// Feed along the path, nm/s, feed factor applied; 0 = none was given yet.
    pub speed_nm_s: u32,
    /// The arc, if it is one.
    pub arc: Option<Arc>,
    /// How it was written.
    pub wording: MoveWording,
}

impl Move {
    /// No move.
    pub(crate) const NONE: Self = Self {
        from: [0; 3],
        to: [0; 3],
        feed_nm: 0,
        speed_nm_s: 0,
        arc: None,
        wording: MoveWording {
            x: None,
            e: None,
            relative: false,
            feed_relative: false,
            feed_mode_stated: false,
            feed_mode_ambiguous: false,
            inch: false,
            z_stated: false,
            e_reset: false,
        },
    };
}

/// Some of the axes X, Y, Z and E: a bit each, X lowest.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Axes(u8);

impl Axes {
    /// None of them.
    pub const NONE: Self = Self(0);
    /// X, Y and Z.
    pub const XYZ: Self = Self(0b0111);
    /// X.
    pub const X: Self = Self(0b0001);
    /// Y.
    pub const Y: Self = Self(0b0010);
    /// Z.
    pub const Z: Self = Self(0b0100);
    /// E.
    pub const E: Self = Self(0b1000);
    /// All four.
    pub const ALL: Self = Self(0b1111);

    /// The axes among these that a line names, with a number or without; all of these where it names none of the four.
    pub(crate) fn named(words: &crate::text::Words, all: Self) -> Self {
        let letters = [b'X', b'Y', b'Z', b'E'].into_iter().enumerate();
        let bits = letters.fold(0, |bits, (place, letter)| {
            bits | u8::from(words.has(letter) || words.is_bare(letter)) << place
        });
        let named = Self(bits & all.0);
        if named == Self::NONE { all } else { named }
    }

    /// Whether one of the others is among these.
    #[must_use]
    pub const fn meets(self, other: Self) -> bool {
        self.0 & other.0 != 0
    }

    /// These and the others.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// These without the others.
    #[must_use]
    pub const fn without(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }
}

/// What a line's words come to, besides moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Applied {
    /// Homes these axes.
    Home(Axes),
    /// Probes.
    Probe,
    /// Waits so many milliseconds.
    Dwell(u64),
    /// A heater's target, 10⁻⁶ °C; `None` = no number stands there.
    Heat {
        /// Heater.
        heater: Heater,
        /// Whose: tool of a nozzle.
        tool: u8,
        /// Target, 10⁻⁶ °C.
        target: Option<i64>,
        /// Whether it waits.
        wait: Wait,
    },
    /// The part's fan, thousandths of full.
    Fan(u16),
    /// Stops for a person.
    Pause(PauseKind),
    /// The machine's own retract (G10).
    MachineRetract,
    /// Its return (G11).
    MachineReturn,
    /// Filament is counted by volume from now on, of this diameter, µm; `None` = by length (M200).
    Volume(Option<u32>),
    /// Another tool from now on.
    Tool(u8),
    /// An end word.
    End,
    /// Motors of these axes off.
    MotorsOff(Axes),
    /// Limits.
    Limits(LimitWords),
    /// Inches from now on.
    Inch,
    /// Feed factor other than 1.
    FeedFactor,
    /// Flow factor from now on, thousandths.
    FlowFactor(u32),
    /// Length of the machine's own retract (M207), or what its return pushes beyond that (M208), nm.
    RetractLength {
        /// Of the return.
        back: bool,
        /// Length.
        nm: i64,
    },
    /// A word that only its class is known of, or not even that.
    Word {
        /// Letter, upper case.
        letter: u8,
        /// Number in tenths.
        code: u32,
        /// Its class: none of those that are modelled or silent.
        class: WordClass,
    },
    /// The work is shifted by baby steps, nm in all: X Y Z.
    BabySteps([i64; 3]),
    /// The place is called by other numbers from now on (G92): the axis that changed most, by so much.
    Renamed {
        /// Difference between the numbers, nm.
        nm: u64,
    },
    /// A letter that no word here has.
    Malformed,
    /// An arc whose radius at its start and end differ by more than 0.002 mm.
    ArcMismatch,
    /// Nothing came of it.
    Unread(UnreadKind),
}

/// Takes what lines come to.
pub trait MotionSink {
    /// A move.
    fn moved(&mut self, step: &Move);
    /// Anything else.
    fn applied(&mut self, what: Applied);
}
