//! The room rules, ROOM.JSN.

use chrono::NaiveTime;
use heapless::{String, Vec};

use crate::limits::TAG_BYTES;
use crate::units::Celsius;

/// When the room is open on one weekday; `None` in [`Room::hours`] = closed that day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct OpenHours {
    /// Opening time.
    pub opens: NaiveTime,
    /// Closing time; at or before `opens` = the next day.
    pub closes: NaiveTime,
}

/// Whether a machine may run with nobody there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Attended {
    /// Somebody must be there: a job that ends after closing is on HOLD.
    Always,
    /// It may run alone with looks: LOOK.
    #[default]
    Looks,
    /// It may run alone.
    Unattended,
}

/// Language of the screens.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Language {
    /// English.
    #[default]
    English,
    /// German.
    German,
}

/// The room rules.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Room {
    /// Hours of the seven weekdays, Monday first; `None` = the rules state no hours at all.
    pub hours: Option<[Option<OpenHours>; 7]>,
    /// Minutes east of UTC; `None` = not stated.
    pub utc_offset_min: Option<i16>,
    /// Whether a machine may run alone.
    pub attended: Attended,
    /// Air temperature.
    pub ambient: Option<Celsius>,
    /// Whether the room has ventilation for fumes; `None` = not stated.
    pub vented: Option<bool>,
    /// Language of the screens.
    pub language: Language,
    /// More words that mark a material in a comment.
    pub hint_words: Vec<String<TAG_BYTES>, 8>,
}
