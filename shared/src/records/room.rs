//! The room rules, ROOM.JSN.

use chrono::NaiveTime;
use heapless::{String, Vec};

use super::material::Grade;
use super::material_table::Base;
use super::material_table::GradeRow;
use crate::limits::{
    BANNED_GRADES, CLOCK_CHANGES, HINT_WORDS, OWN_MATERIAL_WORDS, OWN_MATERIALS, STAFFED_SPANS, TAG_BYTES,
};
use crate::time::WallClock;
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

/// Who prints in the room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum AgeGroup {
    /// Children too: a warm plate is called hot from 43 °C on, and fumes want ventilation before a job starts.
    Children,
    /// Adults only: a warm plate is called hot from 48 °C on.
    Adults,
}

/// When somebody of the room's staff is there: a span of one weekday.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Staffed {
    /// Weekday, 0 = Monday.
    pub day: u8,
    /// Minutes after midnight at which it begins.
    pub from_min: u16,
    /// And at which it ends, later than that.
    pub to_min: u16,
}

impl Staffed {
    /// Midnight at the day's end.
    pub const MIDNIGHT_MIN: u16 = 24 * 60;
}

/// A room's own row for a material of the table: what it states wins over the table's.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct OwnMaterial {
    /// Which material.
    pub base: Base,
    /// More names for it, as they stand on the room's stickers.
    pub words: Vec<String<TAG_BYTES>, OWN_MATERIAL_WORDS>,
    /// Density, mg/cm³.
    pub density_mg_cm3: Option<u32>,
    /// Nozzle window, least and most.
    pub nozzle_c: Option<(Celsius, Celsius)>,
    /// Bed window, least and most.
    pub bed_c: Option<(Celsius, Celsius)>,
    /// Glass transition.
    pub glass_transition: Option<Celsius>,
    /// Plate temperature at which a part lets go.
    pub release: Option<Celsius>,
    /// Hours in open air after which it counts as damp.
    pub open_hours: Option<u16>,
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
/// | staffed | up to 14 texts such as "mon 09:00-17:00", to 24:00 at the latest: when somebody is there to look | whenever the room is open |
/// | longest_job_min | 10 to 20,160 min | no cap |
/// | most_running | 1 to 20 jobs of one owner at a time; not yet compared: a device sees no machine but its own | no cap |
/// | owner_codes | true or false: who starts a job is asked for a code of two to four letters or digits, never a name | false: never asked, the day book's column stays empty |
/// | banned | up to 8 materials such as "ABS"; with a filler ("PLA-CF") only that filler is meant | none |
/// | age_group | "children" (plate hot from 43 °C, fumes hold without ventilation) or "adults" (hot from 48 °C) | hot from 43 °C, fumes are looked at |
/// | byte_mark_holds | true or false: a hidden byte-order mark at a job's start holds it | false: it is looked at |
/// | clock_changes | up to 4 texts such as "2027-03-28T02:00": when the room's clocks are put forward or back | none |
/// | materials | up to 4 objects, see below | the table's rows hold |
///
/// A row of `materials` wins over the built-in one of the same symbol, and loses to the spool's own ticket:
///
/// | key | value | left out |
/// | --- | --- | --- |
/// | symbol | a symbol of the table ([`Base`]), such as "PETG" | required |
/// | words | up to 2 texts to 16 bytes: further names on the room's stickers, compared whole | none |
/// | density_mg_cm3 | 500 to 9000 mg/cm³ | the table's |
/// | nozzle_c, bed_c | `[least, most]`, 100 to 500 and 0 to 300 °C | the table's |
/// | tg_c | glass transition, 20 to 400 °C | the table's |
/// | release_c | plate temperature at which a part lets go, 20 to 150 °C | by the glass transition |
/// | open_hours | 1 to 10,000 h in open air before it counts as damp | the table's |
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
    /// When somebody is there; empty = whenever the room is open.
    pub staffed: Vec<Staffed, STAFFED_SPANS>,
    /// Longest job, min.
    pub longest_job_min: Option<u16>,
    /// Whether who starts a job is asked for a code.
    pub owner_codes: bool,
    /// Grades that are not printed here.
    pub banned: Vec<Grade, BANNED_GRADES>,
    /// Who prints here.
    pub age_group: Option<AgeGroup>,
    /// Whether a byte-order mark holds a job.
    pub byte_mark_holds: bool,
    /// When the room's clocks change.
    pub clock_changes: Vec<WallClock, CLOCK_CHANGES>,
    /// The room's own materials, each base once.
    pub materials: Vec<OwnMaterial, OWN_MATERIALS>,
}

impl Room {
    /// The grade that a sticker's or a job's words mean here: the room's own words first.
    #[must_use]
    pub fn grade(&self, words: &str) -> Option<Grade> {
        let own = |row: &&OwnMaterial| row.words.iter().any(|word| word.eq_ignore_ascii_case(words.trim()));
        let own = self.materials.iter().find(own).map(|row| Grade::plain(row.base));
        own.or_else(|| Grade::parse(words))
    }

    /// The room's own row for a material, where it has one.
    #[must_use]
    pub fn own(&self, base: Base) -> Option<&OwnMaterial> {
        self.materials.iter().find(|row| row.base == base)
    }

    /// What a material wants here: the table's row with what the room's own states in its place.
    #[must_use]
    pub fn row(&self, base: Base) -> GradeRow {
        let mut row = *base.row();
        if let Some(own) = self.own(base) {
            row.density_mg_cm3 = own.density_mg_cm3.unwrap_or(row.density_mg_cm3);
            row.nozzle_c = own.nozzle_c.unwrap_or(row.nozzle_c);
            row.bed_c = own.bed_c.unwrap_or(row.bed_c);
            row.glass_transition = own.glass_transition.or(row.glass_transition);
            row.release = own.release;
            row.open_hours = own.open_hours.or(row.open_hours);
        }
        row
    }
}
