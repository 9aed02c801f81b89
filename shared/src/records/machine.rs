//! The machine sheet, MACHINE.JSN.

use heapless::{String, Vec};

use crate::limits::{KEEP_OUTS, LOOK_AHEAD_MOVES, MACHINE_ALIASES, PLATES, TAG_BYTES};
use crate::units::Celsius;

/// What the nozzle is made of: soft metals wear under abrasive fillers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum NozzleMetal {
    /// Brass: worn by glass, carbon, metal and mineral fillers.
    #[default]
    Brass,
    /// Hardened steel or a hard coating.
    Hardened,
    /// Stainless steel: between the two; counts as soft for abrasives.
    Stainless,
}

/// How the filament reaches the hot end.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum FeedPath {
    /// Drive on the head.
    #[default]
    Direct,
    /// Drive behind a long tube.
    Tube,
}

/// The upper face of a build plate.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum PlateFace {
    /// Smooth polymer film or sheet.
    #[default]
    SmoothPolymer,
    /// Textured polymer or powder coat on steel.
    Textured,
    /// Bare glass.
    Glass,
    /// Polypropylene.
    Polypropylene,
    /// Garolite or another surface for polyamide.
    Laminate,
    /// Bare metal.
    Metal,
}

/// One build plate of the machine.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Plate {
    /// The room's name for it.
    pub name: String<TAG_BYTES>,
    /// Its upper face.
    pub face: PlateFace,
    /// Highest temperature for its face or its magnet.
    pub max_c: Option<Celsius>,
}

/// A place of the plate that the head must keep out of while it is low, such as a clip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct KeepOut {
    /// Least and most X, mm, in the machine's own zero.
    pub x_mm: [i16; 2],
    /// Least and most Y, mm.
    pub y_mm: [i16; 2],
    /// The nozzle is above it at this height, mm.
    pub height_mm: i16,
}

/// Heater powers and the lumped heat model's parameters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Heaters {
    /// Hot-end heater, W.
    pub nozzle_w: u16,
    /// Bed heater, W.
    pub bed_w: u16,
    /// Hot end's heat capacity, J/K.
    pub nozzle_j_per_k: u16,
    /// Bed's heat capacity, J/K.
    pub bed_j_per_k: u16,
    /// Hot end's loss, mW/K.
    pub nozzle_mw_per_k: u16,
    /// Bed's loss, mW/K.
    pub bed_mw_per_k: u16,
}

/// How the machine's controller limits the speed at a corner (motion, Time).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Corner {
    /// A step in each axis's speed, µm/s, X Y Z E.
    AxisStep([u32; 4]),
    /// A deviation from the corner, µm.
    Deviation(u32),
}

/// Limits of motion.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Motion {
    /// Highest speed, mm/s, X Y Z E.
    pub max_speed_mm_s: [u32; 4],
    /// Highest acceleration, mm/s², X Y Z E.
    pub max_accel_mm_s2: [u32; 4],
    /// Acceleration of extruding moves, mm/s².
    pub print_accel_mm_s2: u32,
    /// Acceleration of travel moves, mm/s².
    pub travel_accel_mm_s2: u32,
    /// Acceleration of moves of the filament alone, mm/s².
    pub retract_accel_mm_s2: u32,
    /// Corner rule.
    pub corner: Corner,
    /// Moves looked ahead; 0 = the longest window of this build: 32 moves, on the device and in the simulator, so that both
    /// tell the same time. The survey's report says how many it was.
    pub look_ahead: u16,
}

/// A machine sheet. Fields that a sheet left out hold the default that [`Machine::default`] documents, and the
/// checks that need an `Option` that is `None` say so instead of guessing.
///
/// # The file
/// One JSON object; all numbers are whole. `tag`, `bed_mm`, `height_mm`, `nozzle_max_c` and `bed_max_c` are required.
///
/// | key | value | left out |
/// | --- | --- | --- |
/// | tag | text to 16 bytes | required |
/// | also | up to 6 texts to 16 bytes: other names a job may give for this machine | none |
/// | bed_mm | `[x, y]`, 20 to 2000 mm each; the diameter twice for a round plate | required |
/// | origin | "corner" (X0 Y0 near left) or "centre" | "corner" |
/// | round | true or false | false |
/// | height_mm | 10 to 3000 mm | required |
/// | filament_um | 500 to 5000 µm | 1750 |
/// | bore_um | 100 to 2000 µm | 400 |
/// | nozzle_metal | "brass", "hardened" or "stainless" | "brass" |
/// | nozzle_max_c | 100 to 500 °C | required |
/// | lined_throat | true or false | true: warns earlier |
/// | bed_max_c | 0 to 300 °C; 0 = not heated | required |
/// | heaters | {nozzle_w, bed_w, nozzle_j_per_k, bed_j_per_k, nozzle_mw_per_k, bed_mw_per_k}, all six | not known |
/// | motion | {max_speed_mm_s `[x,y,z,e]`, max_accel_mm_s2 `[x,y,z,e]`, print_accel, travel_accel, retract_accel (mm/s²), corner, step_um_s, deviation_um, lookahead} | see [`Motion`] |
/// | motion.corner | "axis-step" with step_um_s `[x,y,z,e]`, or "deviation" with deviation_um | "axis-step" |
/// | flow_max_mm3_s | 1 to 200 mm³/s with PLA | not known |
/// | home_s, probe_s | 0 to 3600 s | 20, 0 |
/// | plates | up to 4 of {name, face, max_c}; face "smooth", "textured", "glass", "polypropylene", "laminate" or "metal"; max_c 40 to 300 °C may be left out | none |
/// | keep_outs | up to 4 of {x_mm `[from, to]`, y_mm `[from, to]`, height_mm}, −2000 to 2000 mm, 1 to 100 mm: clips and the like, all three required | none |
/// | nozzle_service_h | 1 to 10,000 h: when the nozzle is due, an hour of abrasive filament counted ten times | not known |
/// | enclosed | true or false | false |
/// | tools | 1 to 4 | 1 |
/// | feed_path | "direct" or "tube" | "direct" |
/// | absolute_resets_feed | true or false: whether G90 and G91 also set the feed mode | not known |
/// | name_max | 8 to 255 characters | not known |
/// | name_accents | true or false: whether its list shows names with letters beyond a to z | false: such a name is looked at |
/// | start_words | up to 6 texts to 16 bytes, such as "G29" | none |
/// | clearance | {radius_mm, height_mm}, 1 to 1000 mm each | not known |
/// | overrun_mm | 0 to 200 mm | 0 |
/// | time_permille | 200 to 5000 | 1000 |
/// | lead_code | 0 to 9999: four digits on the knob | none: no key opens anything |
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Machine {
    /// The room's tag for it, such as `M2`.
    pub tag: String<TAG_BYTES>,
    /// Other names a job may give for it.
    pub also: Vec<String<TAG_BYTES>, MACHINE_ALIASES>,
    /// Usable plate, µm, X Y. For a round plate both are the diameter.
    pub bed_um: [i64; 2],
    /// Whether X0 Y0 is the plate's centre rather than its near left corner.
    pub origin_centre: bool,
    /// Whether the plate is round.
    pub round: bool,
    /// Usable height, µm.
    pub height_um: i64,
    /// Filament diameter it feeds, µm.
    pub filament_um: u32,
    /// Nozzle bore fitted, µm.
    pub bore_um: u32,
    /// Nozzle's metal.
    pub nozzle_metal: NozzleMetal,
    /// Highest hot-end temperature.
    pub nozzle_max_c: Celsius,
    /// Whether a polymer liner reaches the hot zone.
    pub lined_throat: bool,
    /// Highest bed temperature.
    pub bed_max_c: Celsius,
    /// Heater data, where the sheet has them.
    pub heaters: Option<Heaters>,
    /// Motion limits.
    pub motion: Motion,
    /// Highest sustained flow of the hot end with PLA, mm³/s; `None` = not stated.
    pub flow_max_mm3_s: Option<u32>,
    /// Seconds for homing.
    pub home_s: u32,
    /// Seconds for probing.
    pub probe_s: u32,
    /// Build plates.
    pub plates: Vec<Plate, PLATES>,
    /// Places that the head must keep out of.
    pub keep_outs: Vec<KeepOut, KEEP_OUTS>,
    /// Hours after which the nozzle is due; `None` = not stated.
    pub nozzle_service_h: Option<u16>,
    /// Whether the machine has a closed housing.
    pub enclosed: bool,
    /// Tools.
    pub tools: u8,
    /// Feed path.
    pub feed_path: FeedPath,
    /// Whether G90/G91 also set the feed mode; `None` = not stated (then a file that depends on it is ambiguous).
    pub absolute_resets_feed: Option<bool>,
    /// Longest file name its own list shows, characters; `None` = not stated.
    pub name_max: Option<u8>,
    /// Whether its own list takes names with letters beyond a to z.
    pub name_accents: bool,
    /// Words (such as `G29`) whose presence marks a start macro that heats or homes by itself.
    pub start_words: Vec<String<TAG_BYTES>, MACHINE_ALIASES>,
    /// Radius the head needs round the nozzle, µm, for jobs printed one part after the other.
    pub clearance_radius_um: Option<i64>,
    /// Height under the gantry, µm.
    pub clearance_height_um: Option<i64>,
    /// How far a move without extrusion may leave the plate, µm.
    pub overrun_um: i64,
    /// Factor on the time estimate, thousandths, learned from finished jobs.
    pub time_permille: u32,
    /// Code of the lead's key.
    pub lead_code: Option<u32>,
}

/// The motion limits that a sheet left out, and a simulator's before it is told any: a common desktop machine of the
/// trade (judgement, no source). Time estimates by them are rough until the sheet has the machine's own.
impl Default for Motion {
    fn default() -> Self {
        Self {
            max_speed_mm_s: [200, 200, 10, 50],
            max_accel_mm_s2: [1500, 1500, 100, 5000],
            print_accel_mm_s2: 1000,
            travel_accel_mm_s2: 1000,
            retract_accel_mm_s2: 1500,
            corner: Corner::AxisStep([8000, 8000, 400, 5000]),
            look_ahead: LOOK_AHEAD_MOVES as u16,
        }
    }
}

impl Machine {
    /// Whether a sheet said anything: its tag is required and never empty.
    #[must_use]
    pub fn is_stated(&self) -> bool {
        !self.tag.is_empty()
    }
}

/// No sheet: the keys that are required are zero or empty, which is no statement ([`Machine::is_stated`]), and the checks
/// that need them say so instead of comparing.
///
/// 1.75 mm filament, a 0.4 mm brass nozzle, one tool: common practice, no source. The lined throat, the plain motion
/// limits, homing in 20 s: judgement.
impl Default for Machine {
    fn default() -> Self {
        Self {
            tag: String::new(),
            also: Vec::new(),
            bed_um: [0, 0],
            origin_centre: false,
            round: false,
            height_um: 0,
            filament_um: 1750,
            bore_um: 400,
            nozzle_metal: NozzleMetal::Brass,
            nozzle_max_c: Celsius(0),
            lined_throat: true,
            bed_max_c: Celsius(0),
            heaters: None,
            motion: Motion::default(),
            flow_max_mm3_s: None,
            home_s: 20,
            probe_s: 0,
            plates: Vec::new(),
            keep_outs: Vec::new(),
            nozzle_service_h: None,
            enclosed: false,
            tools: 1,
            feed_path: FeedPath::Direct,
            absolute_resets_feed: None,
            name_max: None,
            name_accents: false,
            start_words: Vec::new(),
            clearance_radius_um: None,
            clearance_height_um: None,
            overrun_um: 0,
            time_permille: 1000,
            lead_code: None,
        }
    }
}
