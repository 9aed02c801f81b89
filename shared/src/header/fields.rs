//! The header's JSON object: its keys, their ranges, and the values they give.

use core::fmt;

use super::facts::JobHeader;
use crate::json::{
    Expected, Fault, Faults, JsonFault, Key, Members, Stated, UnknownKey, parse, write_escaped,
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
pub(super) static BODY_BYTES: Key = Key::new("body_bytes", Expected::FileBytes);
pub(super) static BODY_CRC32: Key = Key::new("body_crc32", Expected::Hex8);

/// All keys of the header, each of one value.
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

/// Reads the header's JSON object; with it a key that is nearly a known one.
///
/// # Errors
/// The first fault of form or type, or else the first key of [`KEYS`] with a value out of its range. A required key that is
/// missing, but stands there mistyped, is no error: the header is read without it.
pub(super) fn read(json: &[u8]) -> Result<(JobHeader, Option<UnknownKey>), Fault> {
    let (mut members, faults) = (Members::<19>::new(), Faults::default());
    let header = parse(json, KEYS, &mut members, &faults).map(|stated| values(&stated));
    // A newer writer's keys are not ours to judge; one that is nearly ours is mistyped.
    let mistyped = faults.unknown(json).filter(|unknown| unknown.nearest.is_some());
    let Some(fault) = faults.refusal(json) else { return Ok((header.unwrap_or_default(), mistyped)) };
    let alone = faults.refusals() == 1 && fault.kind == JsonFault::Missing;
    match (header, mistyped.filter(|_| alone).and_then(|unknown| meant_for(json, &fault.key, unknown))) {
        (Some(header), Some(mistyped)) => Ok((header, Some(mistyped))),
        _ => Err(fault),
    }
}

/// The unknown key that was meant for a known one; `first` is the first that is near any.
#[cold]
fn meant_for(json: &[u8], missing: &str, first: UnknownKey) -> Option<UnknownKey> {
    if first.nearest == Some(missing) {
        return Some(first);
    }
    // The missing key counts among the faults.
    (0..=first.count).find_map(|number| {
        let (mut members, faults) = (Members::<19>::new(), Faults::with(number));
        parse(json, KEYS, &mut members, &faults)?;
        let Fault { kind: JsonFault::Unknown { nearest }, key, .. } = faults.kept(json)? else { return None };
        (nearest == Some(missing)).then(|| UnknownKey { key, nearest, count: first.count })
    })
}

fn values(stated: &Stated<'_, '_>) -> JobHeader {
    let celsius = |key| stated.whole(key).map(Celsius);
    let material = stated.text(&MATERIAL);
    if material.is_none() {
        stated.miss(&MATERIAL);
    }
    JobHeader {
        material,
        colour: stated.text(&COLOUR),
        diameter_um: stated.whole(&DIAMETER),
        bore_um: stated.whole(&BORE),
        nozzle_c: celsius(&NOZZLE),
        nozzle_first_c: celsius(&NOZZLE_FIRST),
        bed_c: celsius(&BED),
        bed_first_c: celsius(&BED_FIRST),
        length: stated.whole(&LENGTH).map(Micrometres::from_mm),
        mass: stated.whole(&MASS).map(Milligrams),
        time: stated.whole(&TIME).map(Seconds),
        layer_um: stated.whole(&LAYER),
        first_layer_um: stated.whole(&LAYER_FIRST),
        machine: stated.text(&MACHINE),
        part: stated.text(&PART),
        author: stated.text(&AUTHOR),
        made: stated.text(&MADE),
        body_bytes: stated.long(&BODY_BYTES).and_then(|bytes| u64::try_from(bytes).ok()),
        body_crc32: stated.parsed(&BODY_CRC32, hex8),
    }
}

fn hex8(text: &str) -> Option<u32> {
    let digits = text.len() == 8 && text.bytes().all(|byte| byte.is_ascii_hexdigit());
    digits.then(|| u32::from_str_radix(text, 16).ok()).flatten()
}

/// Writes one value to a target.
pub(super) type ValueWriter<'a> = &'a dyn Fn(&mut dyn fmt::Write) -> fmt::Result;

/// Writes the values as members of the object, one call of `member` each, in the keys' order.
pub(super) fn write(
    header: &JobHeader,
    member: &mut dyn FnMut(&Key, ValueWriter<'_>) -> fmt::Result,
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
