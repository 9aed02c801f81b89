//! The spool ticket, SPOOL.JSN.

use chrono::NaiveDate;
use heapless::String;

use crate::json::{Expected, Faults, Key, Members, Stated, UnknownKey, parse};
use crate::limits::{MATERIAL_BYTES, TAG_BYTES, TEXT_BYTES};
use crate::records::RecordName;
use crate::records::error::{RecordError, read};
use crate::units::{Celsius, Milligrams};

/// A spool ticket.
///
/// # The file
/// One JSON object; all numbers are whole. `id` and `material` are required; what else is left out is not known.
///
/// | key | value |
/// | --- | --- |
/// | id | text to 16 bytes, required: the room's number for the spool |
/// | material | text to 32 bytes, required: an ISO 1043 symbol or a trade word, as on the sticker |
/// | colour | text to 40 bytes |
/// | diameter_um | 500 to 5000 µm |
/// | density_mg_cm3 | 500 to 9000 mg/cm³; left out, the material's own counts |
/// | left_mg | 0 to 50,000,000 mg of filament left |
/// | err_mg | 0 to 5,000,000 mg: that balance is right to plus or minus this |
/// | tare_mg | 0 to 10,000,000 mg: the empty spool |
/// | opened, dried | days as "YYYY-MM-DD" |
/// | open_hours | 0 to 100,000 h in open air, a dry box not counted |
/// | nozzle_c, bed_c | `[least, most]`, 0 to 500 °C: the maker's windows |
/// | price_cent_per_kg | 0 to 10,000,000 hundredths of the currency |
/// | currency | three capital letters, such as "EUR" |
/// | loads | 0 to 10,000 times loaded since it was weighed |
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Spool {
    /// The room's number for it, such as `S17`.
    pub id: String<TAG_BYTES>,
    /// Material as on the sticker.
    pub material: String<MATERIAL_BYTES>,
    /// Colour as on the sticker.
    pub colour: Option<String<TEXT_BYTES>>,
    /// Filament diameter, µm.
    pub diameter_um: Option<u32>,
    /// Density, mg/cm³; `None` = the base material's.
    pub density_mg_cm3: Option<u32>,
    /// Filament left.
    pub left: Option<Milligrams>,
    /// Give or take, as the ticket states it.
    pub left_error: Option<Milligrams>,
    /// Mass of the empty spool.
    pub tare: Option<Milligrams>,
    /// Day it was opened.
    pub opened: Option<NaiveDate>,
    /// Hours in open air, a dry box not counted.
    pub open_hours: Option<u32>,
    /// Day it was last dried.
    pub dried: Option<NaiveDate>,
    /// The maker's nozzle window, least and most.
    pub nozzle_c: Option<(Celsius, Celsius)>,
    /// The maker's bed window, least and most.
    pub bed_c: Option<(Celsius, Celsius)>,
    /// Price in hundredths of the currency a kilogram.
    pub price_cent_per_kg: Option<u32>,
    /// Three-letter currency.
    pub currency: Option<String<3>>,
    /// How often it was loaded since it was weighed.
    pub loads: Option<u16>,
}

// The ranges are judgement, but for those with a source beside them: they keep out values in the wrong unit.
static ID: Key = Key::text("id", TAG_BYTES);
static MATERIAL: Key = Key::text("material", MATERIAL_BYTES);
static COLOUR: Key = Key::text("colour", TEXT_BYTES);
/// 1.75 and 2.85 mm are common practice, no source; nothing on sale lies near either end.
static DIAMETER: Key = Key::whole("diameter_um", 500, 5_000, "µm");
/// Polypropylene has 900 (handbook); metal-filled filament 1,800 to over 4,000 (common practice, no source).
static DENSITY: Key = Key::whole("density_mg_cm3", 500, 9_000, "mg/cm³");
static LEFT: Key = Key::whole("left_mg", 0, 50_000_000, "mg");
static LEFT_ERROR: Key = Key::whole("err_mg", 0, 5_000_000, "mg");
static TARE: Key = Key::whole("tare_mg", 0, 10_000_000, "mg");
static OPENED: Key = Key::new("opened", Expected::Day);
static OPEN_HOURS: Key = Key::whole("open_hours", 0, 100_000, "h");
static DRIED: Key = Key::new("dried", Expected::Day);
static NOZZLE: Key = Key::new("nozzle_c", Expected::Range { least: 0, most: 500, unit: "°C" });
static BED: Key = Key::new("bed_c", Expected::Range { least: 0, most: 500, unit: "°C" });
static PRICE: Key = Key::whole("price_cent_per_kg", 0, 10_000_000, "hundredths");
static CURRENCY: Key = Key::new("currency", Expected::Currency);
static LOADS: Key = Key::whole("loads", 0, 10_000, "");

pub(super) static KEYS: &[&Key] = &[
    &ID,
    &MATERIAL,
    &COLOUR,
    &DIAMETER,
    &DENSITY,
    &LEFT,
    &LEFT_ERROR,
    &TARE,
    &OPENED,
    &OPEN_HOURS,
    &DRIED,
    &NOZZLE,
    &BED,
    &PRICE,
    &CURRENCY,
    &LOADS,
];

/// One for each key, and one more for each of the two windows.
const MEMBERS: usize = 18;

impl Spool {
    /// Reads SPOOL.JSN: the whole file's bytes.
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
        read(RecordName::Spool, text, from_object)
    }
}

pub(super) fn from_object(text: &[u8], faults: &Faults) -> Option<Spool> {
    let mut members = Members::<MEMBERS>::new();
    Some(values(&parse(text, KEYS, &mut members, faults)?))
}

fn values(stated: &Stated<'_, '_>) -> Spool {
    let window = |key| stated.wholes(key).map(|[least, most]| (Celsius(least), Celsius(most)));
    let mass = |key| stated.whole(key).map(Milligrams);
    let currency: Option<String<3>> = stated.text(&CURRENCY);
    if currency.as_ref().is_some_and(|code| !is_currency(code)) {
        stated.refuse(&CURRENCY);
    }
    let (mut id, mut material) = (String::new(), String::new());
    stated.required_text(&ID, &mut id);
    stated.required_text(&MATERIAL, &mut material);
    Spool {
        id,
        material,
        colour: stated.text(&COLOUR),
        diameter_um: stated.whole(&DIAMETER),
        density_mg_cm3: stated.whole(&DENSITY),
        left: mass(&LEFT),
        left_error: mass(&LEFT_ERROR),
        tare: mass(&TARE),
        opened: stated.parsed(&OPENED, day),
        open_hours: stated.whole(&OPEN_HOURS),
        dried: stated.parsed(&DRIED, day),
        nozzle_c: window(&NOZZLE),
        bed_c: window(&BED),
        price_cent_per_kg: stated.whole(&PRICE),
        currency,
        loads: stated.whole(&LOADS),
    }
}

fn is_currency(code: &str) -> bool {
    code.len() == 3 && code.bytes().all(|byte| byte.is_ascii_uppercase())
}

/// `YYYY-MM-DD` (ISO 8601). Ours, because chrono's parser costs a small board more flash than the whole room.
pub(super) fn day(text: &str) -> Option<NaiveDate> {
    let &[y3, y2, y1, y0, b'-', m1, m0, b'-', d1, d0] = text.as_bytes() else { return None };
    let number = |digits: &[u8]| {
        digits
            .iter()
            .try_fold(0_u32, |value, byte| byte.is_ascii_digit().then(|| value * 10 + u32::from(byte - b'0')))
    };
    let year = i32::try_from(number(&[y3, y2, y1, y0])?).ok()?;
    NaiveDate::from_ymd_opt(year, number(&[m1, m0])?, number(&[d1, d0])?)
}
