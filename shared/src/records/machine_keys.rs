//! The machine sheet's keys, their ranges, and the values they give.

use heapless::Vec;

use super::error::{RecordError, RecordName, read};
use super::machine::{Corner, FeedPath, Heaters, KeepOut, Machine, Motion, NozzleMetal, Plate, PlateFace};
use crate::json::{Expected, Fault, Key, Members, Refusal, Stated, parse, required};
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
static TOOLS_KEY: Key = Key::whole("tools", 1, TOOLS as i64, "");
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
    /// The first fault, with its key, line and column; nothing is taken over then.
    pub fn from_json(text: &[u8]) -> Result<Self, RecordError> {
        read(RecordName::Machine, text, from_object)
    }
}

fn from_object(text: &[u8]) -> Result<Machine, Fault> {
    let mut members = Members::<MEMBERS>::new();
    values(parse(text, KEYS, &mut members)?).map_err(|refusal| refusal.at(text))
}

fn values(stated: Stated<'_, '_>) -> Result<Machine, Refusal> {
    let blank = Machine::default();
    let bed_mm: [i64; 2] = required(&BED, stated.wholes(&BED)?)?;
    let height_mm: i64 = required(&HEIGHT, stated.whole(&HEIGHT)?)?;
    let radius: Option<i64> = stated.whole(&CLEAR_RADIUS)?;
    let height: Option<i64> = stated.whole(&CLEAR_HEIGHT)?;
    let overrun_mm: Option<i64> = stated.whole(&OVERRUN)?;
    Ok(Machine {
        tag: required(&TAG, stated.text(&TAG)?)?,
        also: stated.texts(&ALSO)?,
        bed_um: bed_mm.map(|mm| mm * 1_000),
        origin_centre: stated.choice(&ORIGIN, &ORIGINS)?.unwrap_or(blank.origin_centre),
        round: stated.flag(&ROUND).unwrap_or(blank.round),
        height_um: height_mm * 1_000,
        filament_um: stated.whole(&FILAMENT)?.unwrap_or(blank.filament_um),
        bore_um: stated.whole(&BORE)?.unwrap_or(blank.bore_um),
        nozzle_metal: stated.choice(&NOZZLE_METAL, &METALS)?.unwrap_or(blank.nozzle_metal),
        nozzle_max_c: Celsius(required(&NOZZLE_MAX, stated.whole(&NOZZLE_MAX)?)?),
        lined_throat: stated.flag(&LINED).unwrap_or(blank.lined_throat),
        bed_max_c: Celsius(required(&BED_MAX, stated.whole(&BED_MAX)?)?),
        heaters: heaters(stated)?,
        motion: motion(stated)?,
        flow_max_mm3_s: stated.whole(&FLOW)?,
        home_s: stated.whole(&HOME)?.unwrap_or(blank.home_s),
        probe_s: stated.whole(&PROBE)?.unwrap_or(blank.probe_s),
        plates: plates(stated)?,
        keep_outs: keep_outs(stated)?,
        nozzle_service_h: stated.whole(&NOZZLE_SERVICE)?,
        enclosed: stated.flag(&ENCLOSED).unwrap_or(blank.enclosed),
        tools: stated.whole(&TOOLS_KEY)?.unwrap_or(blank.tools),
        feed_path: stated.choice(&FEED_PATH, &FEED_PATHS)?.unwrap_or(blank.feed_path),
        absolute_resets_feed: stated.flag(&ABSOLUTE),
        name_max: stated.whole(&NAME_MAX)?,
        name_accents: stated.flag(&NAME_ACCENTS).unwrap_or(blank.name_accents),
        start_words: stated.texts(&START_WORDS)?,
        clearance_radius_um: radius.map(|mm| mm * 1_000),
        clearance_height_um: height.map(|mm| mm * 1_000),
        overrun_um: overrun_mm.map_or(blank.overrun_um, |mm| mm * 1_000),
        time_permille: stated.whole(&PERMILLE)?.unwrap_or(blank.time_permille),
        lead_code: stated.whole(&LEAD_CODE)?,
    })
}

/// Half a heat model is none, so all six are required once one stands there.
fn heaters(stated: Stated<'_, '_>) -> Result<Option<Heaters>, Refusal> {
    if !stated.has(&HEATERS) {
        return Ok(None);
    }
    let whole = |key| required(key, stated.whole(key)?);
    Ok(Some(Heaters {
        nozzle_w: whole(&NOZZLE_W)?,
        bed_w: whole(&BED_W)?,
        nozzle_j_per_k: whole(&NOZZLE_J)?,
        bed_j_per_k: whole(&BED_J)?,
        nozzle_mw_per_k: whole(&NOZZLE_MW)?,
        bed_mw_per_k: whole(&BED_MW)?,
    }))
}

fn motion(stated: Stated<'_, '_>) -> Result<Motion, Refusal> {
    let blank = Motion::default();
    let step = stated.wholes(&STEP)?;
    let deviation = stated.whole(&DEVIATION)?;
    let corner = match stated.choice(&CORNER, &CORNER_RULES)? {
        Some(CornerRule::Deviation) => Corner::Deviation(required(&DEVIATION, deviation)?),
        Some(CornerRule::AxisStep) => Corner::AxisStep(required(&STEP, step)?),
        None => match (step, deviation) {
            (Some(step), _) => Corner::AxisStep(step),
            (None, Some(deviation)) => Corner::Deviation(deviation),
            (None, None) => blank.corner,
        },
    };
    Ok(Motion {
        max_speed_mm_s: stated.wholes(&SPEED)?.unwrap_or(blank.max_speed_mm_s),
        max_accel_mm_s2: stated.wholes(&ACCEL)?.unwrap_or(blank.max_accel_mm_s2),
        print_accel_mm_s2: stated.whole(&PRINT_ACCEL)?.unwrap_or(blank.print_accel_mm_s2),
        travel_accel_mm_s2: stated.whole(&TRAVEL_ACCEL)?.unwrap_or(blank.travel_accel_mm_s2),
        retract_accel_mm_s2: stated.whole(&RETRACT_ACCEL)?.unwrap_or(blank.retract_accel_mm_s2),
        corner,
        look_ahead: stated.whole(&LOOK_AHEAD)?.unwrap_or(blank.look_ahead),
    })
}

fn keep_outs(stated: Stated<'_, '_>) -> Result<Vec<KeepOut, KEEP_OUTS>, Refusal> {
    let places = stated.entries(&KEEP_OUTS_KEY).enumerate();
    places.map(|(index, stated)| keep_out(stated).map_err(|refusal| refusal.in_entry(index))).collect()
}

fn keep_out(stated: Stated<'_, '_>) -> Result<KeepOut, Refusal> {
    Ok(KeepOut {
        x_mm: required(&KEEP_OUT_X, stated.wholes(&KEEP_OUT_X)?)?,
        y_mm: required(&KEEP_OUT_Y, stated.wholes(&KEEP_OUT_Y)?)?,
        height_mm: required(&KEEP_OUT_HEIGHT, stated.whole(&KEEP_OUT_HEIGHT)?)?,
    })
}

fn plates(stated: Stated<'_, '_>) -> Result<Vec<Plate, PLATES>, Refusal> {
    let plates = stated.entries(&PLATES_KEY).enumerate();
    plates.map(|(index, stated)| plate(stated).map_err(|refusal| refusal.in_entry(index))).collect()
}

fn plate(stated: Stated<'_, '_>) -> Result<Plate, Refusal> {
    Ok(Plate {
        name: required(&PLATE_NAME, stated.text(&PLATE_NAME)?)?,
        face: required(&PLATE_FACE, stated.choice(&PLATE_FACE, &FACES)?)?,
        max_c: stated.whole(&PLATE_MAX)?.map(Celsius),
    })
}
