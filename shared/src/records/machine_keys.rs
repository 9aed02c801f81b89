//! The machine sheet's keys, their ranges, and the values they give.

use heapless::Vec;
use serde::Deserialize;

use super::error::{RecordError, RecordName, read};
use super::machine::{Corner, FeedPath, Heaters, Machine, Motion, NozzleMetal, Plate, PlateFace};
use crate::json::{Expected, Fault, Key, Raw, Refusal, choice, parse, required, text, texts, whole, wholes};
use crate::limits::{MACHINE_ALIASES, PLATES, TAG_BYTES, TOOLS};
use crate::units::Celsius;

const ALIASES: Expected = Expected::Texts { count: MACHINE_ALIASES as u8, most: TAG_BYTES as u16 };

// The ranges are judgement: they hold every desktop machine of the trade, and keep out values in the wrong unit.
static TAG: Key = Key::text("tag", TAG_BYTES);
static ALSO: Key = Key::new("also", ALIASES);
static BED: Key = Key::new("bed_mm", Expected::Wholes { count: 2, least: 20, most: 2_000, unit: "mm" });
static ORIGIN: Key = Key::new("origin", Expected::OneOf(&["corner", "centre"]));
static ROUND: Key = Key::new("round", Expected::Flag);
static HEIGHT: Key = Key::whole("height_mm", 10, 3_000, "mm");
static FILAMENT: Key = Key::whole("filament_um", 500, 5_000, "µm");
static BORE: Key = Key::whole("bore_um", 100, 2_000, "µm");
static NOZZLE_METAL: Key = Key::new("nozzle_metal", Expected::OneOf(&["brass", "hardened", "stainless"]));
static NOZZLE_MAX: Key = Key::whole("nozzle_max_c", 100, 500, "°C");
static LINED: Key = Key::new("lined_throat", Expected::Flag);
static BED_MAX: Key = Key::whole("bed_max_c", 0, 300, "°C");
static HEATERS: Key = Key::new("heaters", Expected::Object);
static NOZZLE_W: Key = Key::whole("heaters.nozzle_w", 1, 500, "W");
static BED_W: Key = Key::whole("heaters.bed_w", 1, 5_000, "W");
static NOZZLE_J: Key = Key::whole("heaters.nozzle_j_per_k", 1, 1_000, "J/K");
static BED_J: Key = Key::whole("heaters.bed_j_per_k", 1, 30_000, "J/K");
static NOZZLE_MW: Key = Key::whole("heaters.nozzle_mw_per_k", 1, 5_000, "mW/K");
static BED_MW: Key = Key::whole("heaters.bed_mw_per_k", 1, 60_000, "mW/K");
static MOTION: Key = Key::new("motion", Expected::Object);
static SPEED: Key =
    Key::new("motion.max_speed_mm_s", Expected::Wholes { count: 4, least: 1, most: 5_000, unit: "mm/s" });
static ACCEL: Key =
    Key::new("motion.max_accel_mm_s2", Expected::Wholes { count: 4, least: 1, most: 200_000, unit: "mm/s²" });
static PRINT_ACCEL: Key = Key::whole("motion.print_accel", 1, 200_000, "mm/s²");
static TRAVEL_ACCEL: Key = Key::whole("motion.travel_accel", 1, 200_000, "mm/s²");
static RETRACT_ACCEL: Key = Key::whole("motion.retract_accel", 1, 200_000, "mm/s²");
static CORNER: Key = Key::new("motion.corner", Expected::OneOf(&["axis-step", "deviation"]));
static STEP: Key =
    Key::new("motion.step_um_s", Expected::Wholes { count: 4, least: 1, most: 1_000_000, unit: "µm/s" });
static DEVIATION: Key = Key::whole("motion.deviation_um", 1, 1_000, "µm");
static LOOK_AHEAD: Key = Key::whole("motion.lookahead", 0, 10_000, "moves");
static FLOW: Key = Key::whole("flow_max_mm3_s", 1, 200, "mm³/s");
static HOME: Key = Key::whole("home_s", 0, 3_600, "s");
static PROBE: Key = Key::whole("probe_s", 0, 3_600, "s");
static PLATES_KEY: Key = Key::new("plates", Expected::Objects { count: PLATES as u8 });
static PLATE_NAME: Key = Key::text("plates.name", TAG_BYTES);
static PLATE_FACE: Key = Key::new(
    "plates.face",
    Expected::OneOf(&["smooth", "textured", "glass", "polypropylene", "laminate", "metal"]),
);
static PLATE_MAX: Key = Key::whole("plates.max_c", 40, 300, "°C");
static ENCLOSED: Key = Key::new("enclosed", Expected::Flag);
static TOOLS_KEY: Key = Key::whole("tools", 1, TOOLS as i64, "");
static FEED_PATH: Key = Key::new("feed_path", Expected::OneOf(&["direct", "tube"]));
static ABSOLUTE: Key = Key::new("absolute_resets_feed", Expected::Flag);
/// From an 8.3 name's stem to a long name's most (FAT: 255 units).
static NAME_MAX: Key = Key::whole("name_max", 8, 255, "characters");
static START_WORDS: Key = Key::new("start_words", ALIASES);
static CLEARANCE: Key = Key::new("clearance", Expected::Object);
static CLEAR_RADIUS: Key = Key::whole("clearance.radius_mm", 1, 1_000, "mm");
static CLEAR_HEIGHT: Key = Key::whole("clearance.height_mm", 1, 1_000, "mm");
static OVERRUN: Key = Key::whole("overrun_mm", 0, 200, "mm");
static PERMILLE: Key = Key::whole("time_permille", 200, 5_000, "thousandths");
static LEAD_CODE: Key = Key::whole("lead_code", 0, 99_999_999, "");

pub(super) static KEYS: &[&Key] = &[
    &TAG,
    &ALSO,
    &BED,
    &ORIGIN,
    &ROUND,
    &HEIGHT,
    &FILAMENT,
    &BORE,
    &NOZZLE_METAL,
    &NOZZLE_MAX,
    &LINED,
    &BED_MAX,
    &HEATERS,
    &NOZZLE_W,
    &BED_W,
    &NOZZLE_J,
    &BED_J,
    &NOZZLE_MW,
    &BED_MW,
    &MOTION,
    &SPEED,
    &ACCEL,
    &PRINT_ACCEL,
    &TRAVEL_ACCEL,
    &RETRACT_ACCEL,
    &CORNER,
    &STEP,
    &DEVIATION,
    &LOOK_AHEAD,
    &FLOW,
    &HOME,
    &PROBE,
    &PLATES_KEY,
    &PLATE_NAME,
    &PLATE_FACE,
    &PLATE_MAX,
    &ENCLOSED,
    &TOOLS_KEY,
    &FEED_PATH,
    &ABSOLUTE,
    &NAME_MAX,
    &START_WORDS,
    &CLEARANCE,
    &CLEAR_RADIUS,
    &CLEAR_HEIGHT,
    &OVERRUN,
    &PERMILLE,
    &LEAD_CODE,
];

// In the order of their keys' words.
const METALS: [NozzleMetal; 3] = [NozzleMetal::Brass, NozzleMetal::Hardened, NozzleMetal::Stainless];
const FEED_PATHS: [FeedPath; 2] = [FeedPath::Direct, FeedPath::Tube];
const FACES: [PlateFace; 6] = [
    PlateFace::SmoothPolymer,
    PlateFace::Textured,
    PlateFace::Glass,
    PlateFace::Polypropylene,
    PlateFace::Laminate,
    PlateFace::Metal,
];
/// Whether the origin is the centre.
const ORIGINS: [bool; 2] = [false, true];

#[derive(Clone, Copy)]
enum CornerRule {
    AxisStep,
    Deviation,
}
const CORNER_RULES: [CornerRule; 2] = [CornerRule::AxisStep, CornerRule::Deviation];

#[derive(Deserialize)]
struct StatedHeaters {
    nozzle_w: Option<i32>,
    bed_w: Option<i32>,
    nozzle_j_per_k: Option<i32>,
    bed_j_per_k: Option<i32>,
    nozzle_mw_per_k: Option<i32>,
    bed_mw_per_k: Option<i32>,
}

#[derive(Deserialize)]
struct StatedMotion<'a> {
    max_speed_mm_s: Option<[i32; 4]>,
    max_accel_mm_s2: Option<[i32; 4]>,
    print_accel: Option<i32>,
    travel_accel: Option<i32>,
    retract_accel: Option<i32>,
    #[serde(borrow)]
    corner: Option<Raw<'a>>,
    step_um_s: Option<[i32; 4]>,
    deviation_um: Option<i32>,
    lookahead: Option<i32>,
}

#[derive(Deserialize)]
struct StatedPlate<'a> {
    #[serde(borrow)]
    name: Option<Raw<'a>>,
    face: Option<Raw<'a>>,
    max_c: Option<i32>,
}

#[derive(Deserialize)]
struct StatedClearance {
    radius_mm: Option<i32>,
    height_mm: Option<i32>,
}

type Texts<'a> = Vec<Raw<'a>, MACHINE_ALIASES>;

#[derive(Deserialize)]
struct Stated<'a> {
    #[serde(borrow)]
    tag: Option<Raw<'a>>,
    also: Option<Texts<'a>>,
    bed_mm: Option<[i32; 2]>,
    origin: Option<Raw<'a>>,
    round: Option<bool>,
    height_mm: Option<i32>,
    filament_um: Option<i32>,
    bore_um: Option<i32>,
    nozzle_metal: Option<Raw<'a>>,
    nozzle_max_c: Option<i32>,
    lined_throat: Option<bool>,
    bed_max_c: Option<i32>,
    heaters: Option<StatedHeaters>,
    motion: Option<StatedMotion<'a>>,
    flow_max_mm3_s: Option<i32>,
    home_s: Option<i32>,
    probe_s: Option<i32>,
    plates: Option<Vec<StatedPlate<'a>, PLATES>>,
    enclosed: Option<bool>,
    tools: Option<i32>,
    feed_path: Option<Raw<'a>>,
    absolute_resets_feed: Option<bool>,
    name_max: Option<i32>,
    start_words: Option<Texts<'a>>,
    clearance: Option<StatedClearance>,
    overrun_mm: Option<i32>,
    time_permille: Option<i32>,
    lead_code: Option<i32>,
}

impl Machine {
    /// Reads MACHINE.JSN: the whole file's bytes.
    ///
    /// # Errors
    /// The first fault, with its key, line and column; nothing is taken over then.
    pub fn from_json(text: &[u8]) -> Result<Self, RecordError> {
        read(RecordName::Machine, text, from_object)
    }
}

fn from_object(text: &[u8]) -> Result<Machine, Fault> {
    values(parse(text, KEYS)?).map_err(|refusal| refusal.at(text))
}

fn values(stated: Stated<'_>) -> Result<Machine, Refusal> {
    let blank = Machine::default();
    let bed_mm: [i64; 2] = required(&BED, wholes(&BED, stated.bed_mm)?)?;
    let height_mm: i64 = required(&HEIGHT, whole(&HEIGHT, stated.height_mm)?)?;
    let clearance = stated.clearance.as_ref();
    let radius: Option<i64> = whole(&CLEAR_RADIUS, clearance.and_then(|clear| clear.radius_mm))?;
    let height: Option<i64> = whole(&CLEAR_HEIGHT, clearance.and_then(|clear| clear.height_mm))?;
    let overrun_mm: Option<i64> = whole(&OVERRUN, stated.overrun_mm)?;
    Ok(Machine {
        tag: required(&TAG, text(&TAG, stated.tag)?)?,
        also: texts(&ALSO, stated.also)?,
        bed_um: bed_mm.map(|mm| mm * 1_000),
        origin_centre: choice(&ORIGIN, &ORIGINS, stated.origin)?.unwrap_or(blank.origin_centre),
        round: stated.round.unwrap_or(blank.round),
        height_um: height_mm * 1_000,
        filament_um: whole(&FILAMENT, stated.filament_um)?.unwrap_or(blank.filament_um),
        bore_um: whole(&BORE, stated.bore_um)?.unwrap_or(blank.bore_um),
        nozzle_metal: choice(&NOZZLE_METAL, &METALS, stated.nozzle_metal)?.unwrap_or(blank.nozzle_metal),
        nozzle_max_c: Celsius(required(&NOZZLE_MAX, whole(&NOZZLE_MAX, stated.nozzle_max_c)?)?),
        lined_throat: stated.lined_throat.unwrap_or(blank.lined_throat),
        bed_max_c: Celsius(required(&BED_MAX, whole(&BED_MAX, stated.bed_max_c)?)?),
        heaters: stated.heaters.as_ref().map(heaters).transpose()?,
        motion: stated.motion.as_ref().map_or(Ok(blank.motion), motion)?,
        flow_max_mm3_s: whole(&FLOW, stated.flow_max_mm3_s)?,
        home_s: whole(&HOME, stated.home_s)?.unwrap_or(blank.home_s),
        probe_s: whole(&PROBE, stated.probe_s)?.unwrap_or(blank.probe_s),
        plates: plates(stated.plates.unwrap_or_default())?,
        enclosed: stated.enclosed.unwrap_or(blank.enclosed),
        tools: whole(&TOOLS_KEY, stated.tools)?.unwrap_or(blank.tools),
        feed_path: choice(&FEED_PATH, &FEED_PATHS, stated.feed_path)?.unwrap_or(blank.feed_path),
        absolute_resets_feed: stated.absolute_resets_feed,
        name_max: whole(&NAME_MAX, stated.name_max)?,
        start_words: texts(&START_WORDS, stated.start_words)?,
        clearance_radius_um: radius.map(|mm| mm * 1_000),
        clearance_height_um: height.map(|mm| mm * 1_000),
        overrun_um: overrun_mm.map_or(blank.overrun_um, |mm| mm * 1_000),
        time_permille: whole(&PERMILLE, stated.time_permille)?.unwrap_or(blank.time_permille),
        lead_code: whole(&LEAD_CODE, stated.lead_code)?,
    })
}

/// Half a heat model is none, so all six are required once one stands there.
fn heaters(stated: &StatedHeaters) -> Result<Heaters, Refusal> {
    let whole = |key, value| required(key, whole(key, value)?);
    Ok(Heaters {
        nozzle_w: whole(&NOZZLE_W, stated.nozzle_w)?,
        bed_w: whole(&BED_W, stated.bed_w)?,
        nozzle_j_per_k: whole(&NOZZLE_J, stated.nozzle_j_per_k)?,
        bed_j_per_k: whole(&BED_J, stated.bed_j_per_k)?,
        nozzle_mw_per_k: whole(&NOZZLE_MW, stated.nozzle_mw_per_k)?,
        bed_mw_per_k: whole(&BED_MW, stated.bed_mw_per_k)?,
    })
}

fn motion(stated: &StatedMotion<'_>) -> Result<Motion, Refusal> {
    let blank = Motion::default();
    let step = wholes(&STEP, stated.step_um_s)?;
    let deviation = whole(&DEVIATION, stated.deviation_um)?;
    let corner = match choice(&CORNER, &CORNER_RULES, stated.corner)? {
        Some(CornerRule::Deviation) => Corner::Deviation(required(&DEVIATION, deviation)?),
        Some(CornerRule::AxisStep) => Corner::AxisStep(required(&STEP, step)?),
        None => match (step, deviation) {
            (Some(step), _) => Corner::AxisStep(step),
            (None, Some(deviation)) => Corner::Deviation(deviation),
            (None, None) => blank.corner,
        },
    };
    Ok(Motion {
        max_speed_mm_s: wholes(&SPEED, stated.max_speed_mm_s)?.unwrap_or(blank.max_speed_mm_s),
        max_accel_mm_s2: wholes(&ACCEL, stated.max_accel_mm_s2)?.unwrap_or(blank.max_accel_mm_s2),
        print_accel_mm_s2: whole(&PRINT_ACCEL, stated.print_accel)?.unwrap_or(blank.print_accel_mm_s2),
        travel_accel_mm_s2: whole(&TRAVEL_ACCEL, stated.travel_accel)?.unwrap_or(blank.travel_accel_mm_s2),
        retract_accel_mm_s2: whole(&RETRACT_ACCEL, stated.retract_accel)?
            .unwrap_or(blank.retract_accel_mm_s2),
        corner,
        look_ahead: whole(&LOOK_AHEAD, stated.lookahead)?.unwrap_or(blank.look_ahead),
    })
}

fn plates(stated: Vec<StatedPlate<'_>, PLATES>) -> Result<Vec<Plate, PLATES>, Refusal> {
    let mut plates = Vec::new();
    for (index, stated) in stated.into_iter().enumerate() {
        let plate = plate(stated).map_err(|refusal| refusal.in_entry(index))?;
        // As many as were read fit.
        let _ = plates.push(plate);
    }
    Ok(plates)
}

fn plate(stated: StatedPlate<'_>) -> Result<Plate, Refusal> {
    Ok(Plate {
        name: required(&PLATE_NAME, text(&PLATE_NAME, stated.name)?)?,
        face: required(&PLATE_FACE, choice(&PLATE_FACE, &FACES, stated.face)?)?,
        max_c: whole(&PLATE_MAX, stated.max_c)?.map(Celsius),
    })
}
