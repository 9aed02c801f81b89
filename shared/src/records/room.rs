//! The room rules, ROOM.JSN.

use chrono::NaiveTime;
use heapless::{String, Vec};

use crate::json::{Expected, Fault, Key, Members, Refused, Stated, parse};
use crate::limits::{HINT_WORDS, TAG_BYTES};
use crate::records::error::{RecordError, RecordName, read};
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
///
/// # The file
/// One JSON object; no key is required.
///
/// ```text
/// {
///   "opens":  {"mon": "09:00", "tue": "09:00", "wed": "09:00", "thu": "09:00", "fri": "09:00", "sat": "10:00"},
///   "closes": {"mon": "18:00", "tue": "18:00", "wed": "18:00", "thu": "18:00", "fri": "18:00", "sat": "14:00"},
///   "utc_offset_min": 60
/// }
/// ```
///
/// | key | value | left out |
/// | --- | --- | --- |
/// | opens, closes | {mon, tue, wed, thu, fri, sat, sun}, each "HH:MM" from "00:00" to "23:59"; closes also "24:00" | the rules state no hours |
/// | a day in neither | | closed that day |
/// | a closing time at or before the opening time | | the next day |
/// | utc_offset_min | −720 to 840 minutes east of UTC | not known |
/// | attended_rule | "always" (somebody must be there), "looks" (it may run with looks) or "unattended" | "looks" |
/// | ambient_c | −10 to 50 °C | not known |
/// | vented | true or false | not known |
/// | language | "en" or "de" | "en" |
/// | hint_words | up to 8 texts to 16 bytes: words that mark a material in a comment | none |
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
    pub hint_words: Vec<String<TAG_BYTES>, HINT_WORDS>,
}

static OPENS: Key = Key::new("opens", Expected::Object);
static CLOSES: Key = Key::new("closes", Expected::Object);
/// The zones in use reach from UTC−12 to UTC+14.
static UTC_OFFSET: Key = Key::whole("utc_offset_min", -720, 840, "min");
static ATTENDED: Key = Key::new("attended_rule", Expected::OneOf(&["always", "looks", "unattended"]));
/// A room in which people work (judgement).
static AMBIENT: Key = Key::whole("ambient_c", -10, 50, "°C");
const RULES: [Attended; 3] = [Attended::Always, Attended::Looks, Attended::Unattended];
const LANGUAGES: [Language; 2] = [Language::English, Language::German];
static VENTED: Key = Key::new("vented", Expected::Flag);
static LANGUAGE: Key = Key::new("language", Expected::OneOf(&["en", "de"]));
static HINTS: Key =
    Key::new("hint_words", Expected::Texts { count: HINT_WORDS as u8, most: TAG_BYTES as u16 });

static OPENING_DAYS: [Key; 7] = [
    Key::new("opens.mon", Expected::TimeOfDay),
    Key::new("opens.tue", Expected::TimeOfDay),
    Key::new("opens.wed", Expected::TimeOfDay),
    Key::new("opens.thu", Expected::TimeOfDay),
    Key::new("opens.fri", Expected::TimeOfDay),
    Key::new("opens.sat", Expected::TimeOfDay),
    Key::new("opens.sun", Expected::TimeOfDay),
];
static CLOSING_DAYS: [Key; 7] = [
    Key::new("closes.mon", Expected::TimeOfDay),
    Key::new("closes.tue", Expected::TimeOfDay),
    Key::new("closes.wed", Expected::TimeOfDay),
    Key::new("closes.thu", Expected::TimeOfDay),
    Key::new("closes.fri", Expected::TimeOfDay),
    Key::new("closes.sat", Expected::TimeOfDay),
    Key::new("closes.sun", Expected::TimeOfDay),
];

pub(super) static KEYS: &[&Key] = {
    let [o0, o1, o2, o3, o4, o5, o6] = &OPENING_DAYS;
    let [c0, c1, c2, c3, c4, c5, c6] = &CLOSING_DAYS;
    &[
        &OPENS,
        &CLOSES,
        &UTC_OFFSET,
        &ATTENDED,
        &AMBIENT,
        &VENTED,
        &LANGUAGE,
        &HINTS,
        o0,
        o1,
        o2,
        o3,
        o4,
        o5,
        o6,
        c0,
        c1,
        c2,
        c3,
        c4,
        c5,
        c6,
    ]
};

/// One for each key, and the further hint words.
const MEMBERS: usize = 22 + HINT_WORDS - 1;

impl Room {
    /// Reads ROOM.JSN: the whole file's bytes.
    ///
    /// # Errors
    /// The first fault, with its key, line and column; nothing is taken over then.
    pub fn from_json(text: &[u8]) -> Result<Self, RecordError> {
        read(RecordName::Room, text, from_object)
    }
}

fn from_object(text: &[u8]) -> Result<Room, Fault> {
    let (mut members, refused) = (Members::<MEMBERS>::new(), Refused::default());
    let room = values(&parse(text, KEYS, &mut members, &refused)?);
    refused.check(text)?;
    Ok(room)
}

fn values(stated: &Stated<'_, '_>) -> Room {
    let mut room = Room {
        hours: hours(stated),
        utc_offset_min: stated.whole(&UTC_OFFSET),
        attended: stated.choice(&ATTENDED, &RULES).unwrap_or_default(),
        ambient: stated.whole(&AMBIENT).map(Celsius),
        vented: stated.flag(&VENTED),
        language: stated.choice(&LANGUAGE, &LANGUAGES).unwrap_or_default(),
        hint_words: Vec::new(),
    };
    stated.texts(&HINTS, &mut room.hint_words);
    room
}

fn hours(stated: &Stated<'_, '_>) -> Option<[Option<OpenHours>; 7]> {
    match (stated.has(&OPENS), stated.has(&CLOSES)) {
        (false, false) => return None,
        (true, false) => stated.miss(&CLOSES),
        (false, true) => stated.miss(&OPENS),
        (true, true) => {}
    }
    let mut hours = [None; 7];
    for (day, (opening, closing)) in hours.iter_mut().zip(OPENING_DAYS.iter().zip(&CLOSING_DAYS)) {
        let opens = stated.parsed(opening, time_of_day);
        // Midnight at the day's end is the next day's first minute, which "at or before" makes the next day.
        let closes = stated
            .parsed(closing, |text| if text == "24:00" { Some(NaiveTime::MIN) } else { time_of_day(text) });
        match (opens, closes) {
            (Some(opens), Some(closes)) => *day = Some(OpenHours { opens, closes }),
            (Some(_), None) => stated.miss(closing),
            (None, Some(_)) => stated.miss(opening),
            (None, None) => {}
        }
    }
    Some(hours)
}

/// `HH:MM`. Ours, because chrono's parser costs a small board more flash than the whole room.
fn time_of_day(text: &str) -> Option<NaiveTime> {
    let &[h1, h0, b':', m1, m0] = text.as_bytes() else { return None };
    let digit = |byte: u8| byte.is_ascii_digit().then(|| u32::from(byte - b'0'));
    NaiveTime::from_hms_opt(digit(h1)? * 10 + digit(h0)?, digit(m1)? * 10 + digit(m0)?, 0)
}
