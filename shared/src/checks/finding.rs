//! One result of a check, ready to be worded in any language.

use heapless::String;

use crate::limits::MATERIAL_BYTES;
use crate::survey::NameTally;
use crate::time::WallClock;
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Level {
    /// Shown in the list of jobs and in the log only.
    Note,
    /// One press after reading.
    Look,
    /// Gate shut; a lead's key may open it where the check allows.
    Hold,
}

impl Level {
    /// Its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Note => "NOTE",
            Self::Look => "LOOK",
            Self::Hold => "HOLD",
        }
    }
}

/// The word beside the level, after ANSI Z535.4: `Caution` and `Warning` for injury only, `Notice` for property.
/// DANGER is never used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Signal {
    /// Nothing but the print is at stake.
    None,
    /// Property.
    Notice,
    /// Could cause minor or moderate injury.
    Caution,
    /// Could cause death or serious injury.
    Warning,
}

/// What the whole job gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Verdict {
    /// No finding above NOTE.
    Clear,
    /// At least one LOOK, no HOLD.
    Look,
    /// At least one HOLD.
    Hold,
    /// An input could not be read.
    NoVerdict,
}

/// One number or word of a finding, with its unit.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(missing_docs, reason = "the units are the names")]
pub enum Value {
    #[default]
    None,
    Temperature(Celsius),
    Length(Micrometres),
    Mass(Milligrams),
    Span(Seconds),
    Clock(WallClock),
    Percent(u16),
    Count(u32),
    /// Millimetres a second, as µm/s.
    Speed(u32),
    /// Cubic millimetres a second, in thousandths.
    Flow(u32),
    Text(String<MATERIAL_BYTES>),
}

impl Value {
    /// A word or name; what is too long is cut at a character.
    #[must_use]
    pub fn text(text: &str) -> Self {
        let mut cut = String::new();
        for character in text.chars() {
            if cut.push(character).is_err() {
                break;
            }
        }
        Self::Text(cut)
    }

    /// A word that was met, and its first line.
    pub(crate) fn named(first: &NameTally) -> [Self; 2] {
        [Self::text(&first.name), Self::Count(first.met.first_line)]
    }

    /// A name from outside, cut with a mark to what one line of the display holds beside a comma.
    #[must_use]
    pub fn name(name: &str) -> Self {
        /// Characters of a line less one.
        const LINE: usize = 20;
        if name.chars().count() <= LINE {
            return Self::text(name);
        }
        let mut cut = String::new();
        for character in name.chars().take(LINE - 1).chain(['\u{2026}']) {
            if cut.push(character).is_err() {
                break;
            }
        }
        Self::Text(cut)
    }
}

macro_rules! value_from {
    ($($from:ty => $variant:ident),* $(,)?) => {$(
        impl From<$from> for Value {
            fn from(value: $from) -> Self {
                Self::$variant(value)
            }
        }
    )*};
}

value_from!(
    Celsius => Temperature,
    Micrometres => Length,
    Milligrams => Mass,
    Seconds => Span,
    WallClock => Clock,
);

/// One result of a check.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Finding {
    /// The check's number in the catalogue, stable for ever.
    pub check: u8,
    /// Which of the check's wordings fits, from 0.
    pub wording: u8,
    /// Level.
    pub level: Level,
    /// Signal word.
    pub signal: Signal,
    /// The numbers on both sides, in the order the wording names them (`{0}`, `{1}`, ...).
    pub values: [Value; 4],
}
