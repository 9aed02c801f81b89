//! The header's JSON object: its keys, their ranges, and the values they give.

use core::fmt;

use serde::Deserialize;

use super::facts::JobHeader;
use crate::json::{
    Expected, Fault, Key, Raw, Refusal, is_in_range, parse, required, text, whole, write_escaped,
};
use crate::limits::{MATERIAL_BYTES, TAG_BYTES, TEXT_BYTES};
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};

/// Bytes of `made`: an ISO 8601 date and time with its offset and a fraction.
const MADE_BYTES: usize = 32;

// The ranges are judgement: they are wide enough for every machine of the trade, and keep out a value in the wrong
// unit (0.4 for 400 µm, 1750 °C).
pub(super) static MATERIAL: Key = Key::text("material", MATERIAL_BYTES);
pub(super) static COLOUR: Key = Key::text("colour", TEXT_BYTES);
/// 1.75 and 2.85 mm are common practice, no source; nothing on sale lies near either end.
pub(super) static DIAMETER: Key = Key::whole("diameter_um", 500, 5_000, "µm");
/// 0.2 to 0.8 mm are common practice, no source.
pub(super) static BORE: Key = Key::whole("bore_um", 100, 2_000, "µm");
/// The hottest material of the table wants 420 °C (common practice, no source).
pub(super) static NOZZLE: Key = Key::whole("nozzle_c", 0, 500, "°C");
pub(super) static NOZZLE_FIRST: Key = Key::whole("nozzle_first_c", 0, 500, "°C");
pub(super) static BED: Key = Key::whole("bed_c", 0, 500, "°C");
pub(super) static BED_FIRST: Key = Key::whole("bed_first_c", 0, 500, "°C");
/// 10 km: about 30 kg of 1.75 mm filament.
pub(super) static LENGTH: Key = Key::whole("length_mm", 0, 10_000_000, "mm");
/// 100 kg.
pub(super) static MASS: Key = Key::whole("mass_mg", 0, 100_000_000, "mg");
/// A year.
pub(super) static TIME: Key = Key::whole("time_s", 0, 31_536_000, "s");
/// From a tenth of the finest common layer to the widest bore.
pub(super) static LAYER: Key = Key::whole("layer_um", 5, 2_000, "µm");
pub(super) static LAYER_FIRST: Key = Key::whole("first_layer_um", 5, 2_000, "µm");
pub(super) static MACHINE: Key = Key::text("machine", TAG_BYTES);
pub(super) static PART: Key = Key::text("part", TEXT_BYTES);
pub(super) static AUTHOR: Key = Key::text("author", TEXT_BYTES);
pub(super) static MADE: Key = Key::text("made", MADE_BYTES);
/// 1 TiB; FAT holds files up to 4 GiB, exFAT more.
pub(super) static BODY_BYTES: Key = Key::whole("body_bytes", 0, 1 << 40, "bytes");
pub(super) static BODY_CRC32: Key = Key::new("body_crc32", Expected::Hex8);

/// All keys of the header.
pub(super) static KEYS: &[&Key] = &[
    &MATERIAL,
    &COLOUR,
    &DIAMETER,
    &BORE,
    &NOZZLE,
    &NOZZLE_FIRST,
    &BED,
    &BED_FIRST,
    &LENGTH,
    &MASS,
    &TIME,
    &LAYER,
    &LAYER_FIRST,
    &MACHINE,
    &PART,
    &AUTHOR,
    &MADE,
    &BODY_BYTES,
    &BODY_CRC32,
];

/// The object as it stands: presence and ranges are checked after the parse, so that the error can name the key.
#[derive(Deserialize)]
struct Stated<'a> {
    #[serde(borrow)]
    material: Option<Raw<'a>>,
    colour: Option<Raw<'a>>,
    diameter_um: Option<i32>,
    bore_um: Option<i32>,
    nozzle_c: Option<i32>,
    nozzle_first_c: Option<i32>,
    bed_c: Option<i32>,
    bed_first_c: Option<i32>,
    length_mm: Option<i32>,
    mass_mg: Option<i32>,
    time_s: Option<i32>,
    layer_um: Option<i32>,
    first_layer_um: Option<i32>,
    machine: Option<Raw<'a>>,
    part: Option<Raw<'a>>,
    author: Option<Raw<'a>>,
    made: Option<Raw<'a>>,
    body_bytes: Option<i64>,
    body_crc32: Option<Raw<'a>>,
}

/// Reads the header's JSON object.
///
/// # Errors
/// The first fault of form or type, or else the first key of [`KEYS`] with a value out of its range.
pub(super) fn read(json: &[u8]) -> Result<JobHeader, Fault> {
    values(parse(json, KEYS)?).map_err(|refusal| refusal.at(json))
}

fn values(stated: Stated<'_>) -> Result<JobHeader, Refusal> {
    // The only number beyond 32 bits.
    let body_bytes = stated.body_bytes.filter(|bytes| is_in_range(&BODY_BYTES, *bytes));
    if body_bytes != stated.body_bytes {
        return Err(Refusal::value(&BODY_BYTES));
    }
    Ok(JobHeader {
        material: Some(required(&MATERIAL, text(&MATERIAL, stated.material)?)?),
        colour: text(&COLOUR, stated.colour)?,
        diameter_um: whole(&DIAMETER, stated.diameter_um)?,
        bore_um: whole(&BORE, stated.bore_um)?,
        nozzle_c: whole(&NOZZLE, stated.nozzle_c)?.map(Celsius),
        nozzle_first_c: whole(&NOZZLE_FIRST, stated.nozzle_first_c)?.map(Celsius),
        bed_c: whole(&BED, stated.bed_c)?.map(Celsius),
        bed_first_c: whole(&BED_FIRST, stated.bed_first_c)?.map(Celsius),
        length: whole(&LENGTH, stated.length_mm)?.map(Micrometres::from_mm),
        mass: whole(&MASS, stated.mass_mg)?.map(Milligrams),
        time: whole(&TIME, stated.time_s)?.map(Seconds),
        layer_um: whole(&LAYER, stated.layer_um)?,
        first_layer_um: whole(&LAYER_FIRST, stated.first_layer_um)?,
        machine: text(&MACHINE, stated.machine)?,
        part: text(&PART, stated.part)?,
        author: text(&AUTHOR, stated.author)?,
        made: text(&MADE, stated.made)?,
        body_bytes: body_bytes.and_then(|bytes| u64::try_from(bytes).ok()),
        body_crc32: stated
            .body_crc32
            .map(|text| hex8(text.0).ok_or(Refusal::value(&BODY_CRC32)))
            .transpose()?,
    })
}

fn hex8(text: &str) -> Option<u32> {
    let digits = text.len() == 8 && text.bytes().all(|byte| byte.is_ascii_hexdigit());
    digits.then(|| u32::from_str_radix(text, 16).ok()).flatten()
}

/// Writes one value to a target.
pub(super) type Value<'a> = &'a dyn Fn(&mut dyn fmt::Write) -> fmt::Result;

/// Writes the values as members of the object, one call of `member` each, in the keys' order.
pub(super) fn write(
    header: &JobHeader,
    member: &mut dyn FnMut(&Key, Value<'_>) -> fmt::Result,
) -> fmt::Result {
    let mut text = |key: &Key, value: Option<&str>| match value.filter(|text| !text.trim().is_empty()) {
        Some(value) => member(key, &|out| write_escaped(value, out)),
        None => Ok(()),
    };
    text(&MATERIAL, header.material.as_deref())?;
    text(&COLOUR, header.colour.as_deref())?;
    text(&MACHINE, header.machine.as_deref())?;
    text(&PART, header.part.as_deref())?;
    text(&AUTHOR, header.author.as_deref())?;
    text(&MADE, header.made.as_deref())?;
    let mut whole = |key: &Key, value: Option<i64>| match value {
        Some(value) => member(key, &|out| write!(out, "{value}")),
        None => Ok(()),
    };
    // Rounded up: a job never needs less than it says.
    let length_mm = header.length.map(|length| length.0.saturating_add(999).div_euclid(1_000));
    whole(&DIAMETER, header.diameter_um.map(i64::from))?;
    whole(&BORE, header.bore_um.map(i64::from))?;
    whole(&NOZZLE, header.nozzle_c.map(|value| value.0.into()))?;
    whole(&NOZZLE_FIRST, header.nozzle_first_c.map(|value| value.0.into()))?;
    whole(&BED, header.bed_c.map(|value| value.0.into()))?;
    whole(&BED_FIRST, header.bed_first_c.map(|value| value.0.into()))?;
    whole(&LENGTH, length_mm)?;
    whole(&MASS, header.mass.map(|value| value.0))?;
    whole(&TIME, header.time.map(|value| value.0.into()))?;
    whole(&LAYER, header.layer_um.map(i64::from))?;
    whole(&LAYER_FIRST, header.first_layer_um.map(i64::from))?;
    whole(&BODY_BYTES, header.body_bytes.and_then(|bytes| i64::try_from(bytes).ok()))?;
    match header.body_crc32 {
        Some(crc) => member(&BODY_CRC32, &|out| write!(out, "\"{crc:08x}\"")),
        None => Ok(()),
    }
}
