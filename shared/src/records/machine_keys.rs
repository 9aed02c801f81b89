//! The machine sheet's keys, their ranges, and the values they give.

use super::RecordName;
use super::error::{RecordError, read};
use super::machine::{Corner, FeedPath, Heaters, KeepOut, Machine, Motion, NozzleMetal, Plate, PlateFace};
use crate::json::{Expected, Faults, Key, Members, Stated, UnknownKey, parse};
use crate::limits::{KEEP_OUTS, MACHINE_ALIASES, PLATES, TAG_BYTES, TOOLS};
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
static KEEP_OUTS_KEY: Key = Key::new("keep_outs", Expected::Objects { count: KEEP_OUTS as u8 });
const PLACE: Expected = Expected::Range { least: -2_000, most: 2_000, unit: "mm" };
static KEEP_OUT_X: Key = Key::new("keep_outs.x_mm", PLACE);
static KEEP_OUT_Y: Key = Key::new("keep_outs.y_mm", PLACE);
static KEEP_OUT_HEIGHT: Key = Key::whole("keep_outs.height_mm", 1, 100, "mm");
static NOZZLE_SERVICE: Key = Key::whole("nozzle_service_h", 1, 10_000, "h");
static ENCLOSED: Key = Key::new("enclosed", Expected::Flag);
static TOOLS_KEY: Key = Key::whole("tools", 1, TOOLS as i32, "");
static FEED_PATH: Key = Key::new("feed_path", Expected::OneOf(&["direct", "tube"]));
static ABSOLUTE: Key = Key::new("absolute_resets_feed", Expected::Flag);
/// From an 8.3 name's stem to a long name's most (FAT: 255 units).
static NAME_MAX: Key = Key::whole("name_max", 8, 255, "characters");
static NAME_ACCENTS: Key = Key::new("name_accents", Expected::Flag);
static START_WORDS: Key = Key::new("start_words", ALIASES);
static CLEARANCE: Key = Key::new("clearance", Expected::Object);
static CLEAR_RADIUS: Key = Key::whole("clearance.radius_mm", 1, 1_000, "mm");
static CLEAR_HEIGHT: Key = Key::whole("clearance.height_mm", 1, 1_000, "mm");
static OVERRUN: Key = Key::whole("overrun_mm", 0, 200, "mm");
static PERMILLE: Key = Key::whole("time_permille", 200, 5_000, "thousandths");
static LEAD_CODE: Key = Key::whole("lead_code", 0, 9_999, "");

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
    &KEEP_OUTS_KEY,
    &KEEP_OUT_X,
    &KEEP_OUT_Y,
    &KEEP_OUT_HEIGHT,
    &NOZZLE_SERVICE,
    &ENCLOSED,
    &TOOLS_KEY,
    &FEED_PATH,
    &ABSOLUTE,
    &NAME_MAX,
    &NAME_ACCENTS,
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

/// One for each key and each further entry of a list; of the plates one more than fit, so that it is refused as a
/// whole.
const MEMBERS: usize = 40 + 2 * MACHINE_ALIASES + 2 + 3 * 4 + 4 * (PLATES + 1) + 6 * (KEEP_OUTS + 1);

impl Machine {
    /// Reads MACHINE.JSN: the whole file's bytes.
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
        read(RecordName::Machine, text, from_object)
    }
}

pub(super) fn from_object(text: &[u8], faults: &Faults) -> Option<Machine> {
    let mut members = Members::<MEMBERS>::new();
    Some(values(&parse(text, KEYS, &mut members, faults)?))
}

fn values(stated: &Stated<'_, '_>) -> Machine {
    let um = |mm: i64| mm * 1_000;
    // What is left out keeps its default.
    let mut sheet = Machine::default();
    match stated.wholes(&BED) {
        Some(bed_mm) => sheet.bed_um = bed_mm.map(um),
        None => stated.miss(&BED),
    }
    sheet.height_um = um(stated.required(&HEIGHT));
    sheet.clearance_radius_um = stated.whole(&CLEAR_RADIUS).map(um);
    sheet.clearance_height_um = stated.whole(&CLEAR_HEIGHT).map(um);
    sheet.overrun_um = um(stated.whole_or(&OVERRUN, 0));
    stated.required_text(&TAG, &mut sheet.tag);
    stated.texts(&ALSO, &mut sheet.also);
    sheet.origin_centre = stated.choice(&ORIGIN, &ORIGINS).unwrap_or(sheet.origin_centre);
    sheet.round = stated.flag_or(&ROUND, sheet.round);
    sheet.filament_um = stated.whole_or(&FILAMENT, sheet.filament_um);
    sheet.bore_um = stated.whole_or(&BORE, sheet.bore_um);
    sheet.nozzle_metal = stated.choice(&NOZZLE_METAL, &METALS).unwrap_or(sheet.nozzle_metal);
    sheet.nozzle_max_c = Celsius(stated.required(&NOZZLE_MAX));
    sheet.lined_throat = stated.flag_or(&LINED, sheet.lined_throat);
    sheet.bed_max_c = Celsius(stated.required(&BED_MAX));
    sheet.heaters = heaters(stated);
    motion(stated, &mut sheet.motion);
    sheet.flow_max_mm3_s = stated.whole(&FLOW);
    sheet.home_s = stated.whole_or(&HOME, sheet.home_s);
    sheet.probe_s = stated.whole_or(&PROBE, sheet.probe_s);
    for stated in stated.entries(&PLATES_KEY) {
        // There is room for as many as the key allows.
        let _ = sheet.plates.push(plate(&stated));
    }
    for stated in stated.entries(&KEEP_OUTS_KEY) {
        let _ = sheet.keep_outs.push(keep_out(&stated));
    }
    sheet.nozzle_service_h = stated.whole(&NOZZLE_SERVICE);
    sheet.enclosed = stated.flag_or(&ENCLOSED, sheet.enclosed);
    sheet.tools = stated.whole_or(&TOOLS_KEY, sheet.tools);
    sheet.feed_path = stated.choice(&FEED_PATH, &FEED_PATHS).unwrap_or(sheet.feed_path);
    sheet.absolute_resets_feed = stated.flag(&ABSOLUTE);
    sheet.name_max = stated.whole(&NAME_MAX);
    sheet.name_accents = stated.flag_or(&NAME_ACCENTS, sheet.name_accents);
    stated.texts(&START_WORDS, &mut sheet.start_words);
    sheet.time_permille = stated.whole_or(&PERMILLE, sheet.time_permille);
    sheet.lead_code = stated.whole(&LEAD_CODE);
    sheet
}

/// Half a heat model is none, so all six are required once one stands there.
fn heaters(stated: &Stated<'_, '_>) -> Option<Heaters> {
    stated.has(&HEATERS).then(|| Heaters {
        nozzle_w: stated.required(&NOZZLE_W),
        bed_w: stated.required(&BED_W),
        nozzle_j_per_k: stated.required(&NOZZLE_J),
        bed_j_per_k: stated.required(&BED_J),
        nozzle_mw_per_k: stated.required(&NOZZLE_MW),
        bed_mw_per_k: stated.required(&BED_MW),
    })
}

fn motion(stated: &Stated<'_, '_>, motion: &mut Motion) {
    let step = stated.wholes(&STEP).map(Corner::AxisStep);
    let deviation = stated.whole(&DEVIATION).map(Corner::Deviation);
    let (corner, key) = match stated.choice(&CORNER, &CORNER_RULES) {
        Some(CornerRule::Deviation) => (deviation, Some(&DEVIATION)),
        Some(CornerRule::AxisStep) => (step, Some(&STEP)),
        None => (step.or(deviation), None),
    };
    match (corner, key) {
        (Some(corner), _) => motion.corner = corner,
        (None, Some(key)) => stated.miss(key),
        (None, None) => {}
    }
    motion.max_speed_mm_s = stated.wholes(&SPEED).unwrap_or(motion.max_speed_mm_s);
    motion.max_accel_mm_s2 = stated.wholes(&ACCEL).unwrap_or(motion.max_accel_mm_s2);
    motion.print_accel_mm_s2 = stated.whole_or(&PRINT_ACCEL, motion.print_accel_mm_s2);
    motion.travel_accel_mm_s2 = stated.whole_or(&TRAVEL_ACCEL, motion.travel_accel_mm_s2);
    motion.retract_accel_mm_s2 = stated.whole_or(&RETRACT_ACCEL, motion.retract_accel_mm_s2);
    motion.look_ahead = stated.whole_or(&LOOK_AHEAD, motion.look_ahead);
}

fn keep_out(stated: &Stated<'_, '_>) -> KeepOut {
    let place = |key| {
        let place = stated.wholes(key);
        if place.is_none() {
            stated.miss(key);
        }
        place.unwrap_or_default()
    };
    KeepOut {
        x_mm: place(&KEEP_OUT_X),
        y_mm: place(&KEEP_OUT_Y),
        height_mm: stated.required(&KEEP_OUT_HEIGHT),
    }
}

fn plate(stated: &Stated<'_, '_>) -> Plate {
    let mut plate = Plate::default();
    stated.required_text(&PLATE_NAME, &mut plate.name);
    match stated.choice(&PLATE_FACE, &FACES) {
        Some(face) => plate.face = face,
        // One that is no word of the key was refused before.
        None => stated.miss(&PLATE_FACE),
    }
    plate.max_c = stated.whole(&PLATE_MAX).map(Celsius);
    plate
}
