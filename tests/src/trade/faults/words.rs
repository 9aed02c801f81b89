//! Class 2: words that change the machine, reach elsewhere, or that nobody knows.

use super::super::Draft;
use super::super::rng::Rng;
use super::super::style::Label;
use super::{Fault, fault};

/// One of the lines, somewhere in the middle.
fn said(draft: &mut Draft, rng: &mut Rng, lines: &[&str]) -> bool {
    let Some(at) = draft.bead(rng) else { return false };
    if draft.style.label == Label::Header {
        draft.style.label = Label::None;
    }
    draft.insert(at, rng.pick(lines));
    true
}

macro_rules! said {
    ($($name:ident: $lines:expr;)*) => { $(fn $name(draft: &mut Draft, rng: &mut Rng) -> bool { said(draft, rng, $lines) })* };
}

said! {
    limits_off: &["M211 S0"];
    stored: &["M500", "M502"];
    steps: &["M92 E415", "M92 Z800"];
    offsets: &["M206 X10", "M206 Z-0.5", "M851 Z-1.2", "M218 T1 X20", "M428"];
    cold_feed: &["M302 S0", "M302 P1"];
    tuning_heat: &["M303 E0 S210 C8", "M301 P30 I2 D80", "M304 P60 I5 D100"];
    heads: &["M605 S2"];
    baby_steps: &["M290 Z-0.6", "M290 Z0.8"];
    systems: &["G55", "G10 L2 P1 Z-3", "G92 Z0", "G92 X0 Y0", "G54.1 P3"];
    card_file: &["M23 OTHER.GCO", "M24", "M26 S0", "M28 NEW.GCO", "M30 OTHER.GCO", "M32 OTHER.GCO"];
    card_gone: &["M22"];
    pins: &["M42 P4 S255"];
    power: &["M81"];
    firmware: &["M997", "M999"];
    emergency: &["M112"];
    motors: &["M84", "M18", "M84 E"];
    head_of_file: &["M2", "M30"];
    unknown: &["M4711 S1", "G77", "M1234", "G341 X3", "M7777"];
    other_tool: &["T1"];
    pause: &["M0", "M600", "M25", "M226"];
    inches: &["G20"];
}

/// Without an arc behind it, another plane changes nothing.
fn plane(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some(at) = draft.bead(rng) else { return false };
    let is_arc = |words: &str| {
        let g = words.split_ascii_whitespace().next().unwrap_or_default().to_ascii_uppercase();
        matches!(g.as_str(), "G2" | "G3" | "G02" | "G03")
    };
    if !draft.rows.iter().skip(at).any(|row| is_arc(&row.words)) {
        return false;
    }
    if draft.style.label == Label::Header {
        draft.style.label = Label::None;
    }
    draft.insert(at, rng.pick(&["G18", "G19"]));
    true
}

pub(super) const ALL: &[Fault] = &[
    fault("2", "limits off", limits_off),
    fault("2", "stored settings", stored),
    fault("2", "steps a mm", steps),
    fault("2", "offsets", offsets),
    fault("2", "cold feeding allowed", cold_feed),
    fault("2", "heater tuning", tuning_heat),
    fault("2", "modes of heads", heads),
    fault("2", "baby steps", baby_steps),
    fault("2", "coordinate systems", systems),
    fault("2", "files on the card", card_file),
    fault("2", "card let go", card_gone),
    fault("2", "raw pins", pins),
    fault("2", "power off", power),
    fault("2", "firmware or restart", firmware),
    fault("2", "emergency stop", emergency),
    fault("2", "motors off", motors),
    fault("2", "end word in the middle", head_of_file),
    fault("2", "unknown word", unknown),
    fault("job", "other tool", other_tool),
    fault("job", "pause", pause),
    fault("job", "inches from here", inches),
    fault("job", "other plane", plane),
];
