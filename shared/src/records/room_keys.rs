//! The room rules' keys, their ranges, and the values they give.

use chrono::{NaiveTime, Timelike};
use heapless::Vec;

use super::RecordName;
use super::error::{RecordError, read};
use super::material::Grade;
use super::material_table::Base;
use super::room::{AgeGroup, Attended, Language, OpenHours, OwnMaterial, Room, Staffed};
use crate::json::{Expected, Faults, Key, Members, Stated, UnknownKey, parse};
use crate::limits::{
    BANNED_GRADES, CLOCK_CHANGES, HINT_WORDS, OWN_MATERIAL_WORDS, OWN_MATERIALS, STAFFED_SPANS, TAG_BYTES,
};
use crate::time::WallClock;
use crate::units::Celsius;

static OPENS: Key = Key::new("opens", Expected::Object);
static CLOSES: Key = Key::new("closes", Expected::Object);
/// The zones in use reach from UTC−12 to UTC+14.
static UTC_OFFSET: Key = Key::whole("utc_offset_min", -720, 840, "min");
static ATTENDED: Key = Key::new("attended_rule", Expected::OneOf(&["always", "looks", "unattended"]));
/// A room in which people work (judgement).
static AMBIENT: Key = Key::whole("ambient_c", -10, 50, "°C");
const RULES: [Attended; 3] = [Attended::Always, Attended::Looks, Attended::Unattended];
const LANGUAGES: [Language; 2] = [Language::English, Language::German];
const GROUPS: [AgeGroup; 2] = [AgeGroup::Children, AgeGroup::Adults];
static VENTED: Key = Key::new("vented", Expected::Flag);
static LANGUAGE: Key = Key::new("language", Expected::OneOf(&["en", "de"]));
static HINTS: Key =
    Key::new("hint_words", Expected::Texts { count: HINT_WORDS as u8, most: TAG_BYTES as u16 });
static STAFFED: Key =
    Key::new("staffed", Expected::Forms { count: STAFFED_SPANS as u8, form: "mon 09:00-17:00" });
/// Caps of 4 to 48 h are on record; from ten minutes to two weeks (judgement).
static LONGEST: Key = Key::whole("longest_job_min", 10, 20_160, "min");
/// Not yet compared with anything; its range is checked below.
static RUNNING: Key = Key::whole("most_running", 1, 20, "");
static OWNERS: Key = Key::new("owner_codes", Expected::Flag);
static BANNED: Key = Key::new("banned", Expected::Forms { count: BANNED_GRADES as u8, form: "ABS" });
static AGE: Key = Key::new("age_group", Expected::OneOf(&["children", "adults"]));
static MARK_HOLDS: Key = Key::new("byte_mark_holds", Expected::Flag);
static CHANGES: Key =
    Key::new("clock_changes", Expected::Forms { count: CLOCK_CHANGES as u8, form: "2027-03-28T02:00" });
static MATERIALS: Key = Key::new("materials", Expected::Objects { count: OWN_MATERIALS as u8 });
static SYMBOL: Key = Key::new("materials.symbol", Expected::Form("PLA"));
static WORDS: Key =
    Key::new("materials.words", Expected::Texts { count: OWN_MATERIAL_WORDS as u8, most: TAG_BYTES as u16 });
// As on the spool ticket, which wins over these in turn.
static DENSITY: Key = Key::whole("materials.density_mg_cm3", 500, 9_000, "mg/cm³");
static NOZZLE: Key = Key::new("materials.nozzle_c", Expected::Range { least: 100, most: 500, unit: "°C" });
static BED: Key = Key::new("materials.bed_c", Expected::Range { least: 0, most: 300, unit: "°C" });
static GLASS: Key = Key::whole("materials.tg_c", 20, 400, "°C");
static RELEASE: Key = Key::whole("materials.release_c", 20, 150, "°C");
static OPEN_HOURS: Key = Key::whole("materials.open_hours", 1, 10_000, "h");

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
/// The weekdays as `staffed` writes them, Monday first.
const DAYS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

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
        &STAFFED,
        &LONGEST,
        &RUNNING,
        &OWNERS,
        &BANNED,
        &AGE,
        &MARK_HOLDS,
        &CHANGES,
        &MATERIALS,
        &SYMBOL,
        &WORDS,
        &DENSITY,
        &NOZZLE,
        &BED,
        &GLASS,
        &RELEASE,
        &OPEN_HOURS,
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

/// Values of one material's row: the entry itself, its six plain keys, its words, two numbers each for two windows.
const MATERIAL_MEMBERS: usize = 1 + 5 + OWN_MATERIAL_WORDS + 2 * 2;

/// One for each key outside the materials and each further entry of a list; of the materials one more than fit, so that
/// it is refused as a whole.
const MEMBERS: usize = 30
    + (HINT_WORDS - 1)
    + (STAFFED_SPANS - 1)
    + (BANNED_GRADES - 1)
    + (CLOCK_CHANGES - 1)
    + MATERIAL_MEMBERS * (OWN_MATERIALS + 1);

impl Room {
    /// Reads ROOM.JSN: the whole file's bytes.
    ///
    /// # Errors
    /// The first fault, with its key, line and column, and how many more there are. [`faults`](super::faults()) lists them all.
    pub fn from_json(text: &[u8]) -> Result<Self, RecordError> {
        Self::read(text).map(|(record, _)| record)
    }

    /// The same, with the first key that is not known.
    ///
    /// # Errors
    /// Those of [`from_json`](Self::from_json).
    pub fn read(text: &[u8]) -> Result<(Self, Option<UnknownKey>), RecordError> {
        read(RecordName::Room, text, from_object)
    }
}

pub(super) fn from_object(text: &[u8], faults: &Faults) -> Option<Room> {
    let mut members = Members::<MEMBERS>::new();
    Some(values(&parse(text, KEYS, &mut members, faults)?))
}

fn values(stated: &Stated<'_, '_>) -> Room {
    let mut room = Room {
        hours: hours(stated),
        utc_offset_min: stated.whole(&UTC_OFFSET),
        attended: stated.choice(&ATTENDED, &RULES).unwrap_or_default(),
        ambient: stated.whole(&AMBIENT).map(Celsius),
        vented: stated.flag(&VENTED),
        language: stated.choice(&LANGUAGE, &LANGUAGES).unwrap_or_default(),
        longest_job_min: stated.whole(&LONGEST),
        owner_codes: stated.flag_or(&OWNERS, false),
        age_group: stated.choice(&AGE, &GROUPS),
        byte_mark_holds: stated.flag_or(&MARK_HOLDS, false),
        ..Room::default()
    };
    let _: Option<u8> = stated.whole(&RUNNING);
    stated.texts(&HINTS, &mut room.hint_words);
    stated.forms(&STAFFED, staffed, &mut room.staffed);
    stated.forms(&BANNED, Grade::parse, &mut room.banned);
    stated.forms(&CHANGES, moment, &mut room.clock_changes);
    for entry in stated.entries(&MATERIALS) {
        let row = material(&entry);
        if room.own(row.base).is_some() {
            entry.refuse(&SYMBOL);
        }
        // There is room for as many as the key allows.
        let _ = room.materials.push(row);
    }
    room
}

fn hours(stated: &Stated<'_, '_>) -> Option<[Option<OpenHours>; 7]> {
    match (stated.has(&OPENS), stated.has(&CLOSES)) {
        (false, false) => return None,
        (true, false) => {
            stated.miss(&CLOSES);
            return None;
        }
        (false, true) => {
            stated.miss(&OPENS);
            return None;
        }
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

/// `mon 09:00-17:00`; the end may be 24:00, and is not before the beginning.
fn staffed(text: &str) -> Option<Staffed> {
    let (day, span) = text.split_once(' ')?;
    let (from, to) = span.split_once('-')?;
    let minute = |text| time_of_day(text).map(|time| (time.num_seconds_from_midnight() / 60) as u16);
    let day = DAYS.iter().position(|name| *name == day)? as u8;
    let (from_min, to_min) = (minute(from)?, if to == "24:00" { Staffed::MIDNIGHT_MIN } else { minute(to)? });
    (from_min < to_min).then_some(Staffed { day, from_min, to_min })
}

fn material(stated: &Stated<'_, '_>) -> OwnMaterial {
    let window = |key| stated.wholes(key).map(|[least, most]| (Celsius(least), Celsius(most)));
    let celsius = |key| stated.whole(key).map(Celsius);
    if !stated.has(&SYMBOL) {
        stated.miss(&SYMBOL);
    }
    let base = stated.parsed(&SYMBOL, |symbol| Base::ALL.iter().find(|base| base.row().symbol == symbol));
    let mut words = Vec::new();
    stated.texts(&WORDS, &mut words);
    OwnMaterial {
        // Without one the whole record is refused.
        base: base.copied().unwrap_or(Base::Pla),
        words,
        density_mg_cm3: stated.whole(&DENSITY),
        nozzle_c: window(&NOZZLE),
        bed_c: window(&BED),
        glass_transition: celsius(&GLASS),
        release: celsius(&RELEASE),
        open_hours: stated.whole(&OPEN_HOURS),
    }
}

/// `HH:MM`. Ours, because chrono's parser costs a small board more flash than the whole room.
fn time_of_day(text: &str) -> Option<NaiveTime> {
    let &[h1, h0, b':', m1, m0] = text.as_bytes() else { return None };
    let digit = |byte: u8| byte.is_ascii_digit().then(|| u32::from(byte - b'0'));
    NaiveTime::from_hms_opt(digit(h1)? * 10 + digit(h0)?, digit(m1)? * 10 + digit(m0)?, 0)
}

/// `YYYY-MM-DDTHH:MM`.
fn moment(text: &str) -> Option<WallClock> {
    let (day, time) = text.split_once('T')?;
    Some(super::spool::day(day)?.and_time(time_of_day(time)?))
}
