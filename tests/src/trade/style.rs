//! How a job is written down: what programs, scripts and hands do differently.

use super::rng::Rng;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Feed {
    /// One counter for the whole job.
    Absolute,
    /// A counter that is set back to 0 at each layer.
    AbsoluteByLayer,
    Relative,
    /// Positions and filament relative: each word is a difference.
    AllRelative,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Remarks {
    None,
    Semicolon,
    Round,
    /// After the words of a line, too.
    Chatty,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arcs {
    None,
    Centre,
    Radius,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Retract {
    None,
    /// E back and forth on lines of their own.
    Words,
    /// E back while the nozzle goes back over the bead.
    Wipe,
    /// The controller's own words.
    Firmware,
}

/// What names the job's material and sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Label {
    None,
    Head,
    Tail,
    /// The header of formats, section 1.1, with its CRC.
    Header,
}

#[derive(Clone, Debug)]
pub struct Style {
    pub feed: Feed,
    pub remarks: Remarks,
    pub arcs: Arcs,
    pub retract: Retract,
    pub label: Label,
    pub line_end: &'static str,
    pub numbered: bool,
    pub lower: bool,
    pub tight: bool,
    pub zeros: bool,
    pub e_places: u32,
    pub hop_um: i64,
    pub g0_travels: bool,
    /// F on every line instead of where it changes.
    pub f_always: bool,
    /// G01 and G00 instead of G1 and G0.
    pub two_digits: bool,
    /// Hops as G91, G1 Z, G90.
    pub relative_hops: bool,
    pub layer_messages: bool,
}

impl Style {
    #[must_use]
    pub fn choose(rng: &mut Rng) -> Self {
        let feed = match rng.below(100) {
            0..=37 => Feed::Absolute,
            38..=57 => Feed::AbsoluteByLayer,
            58..=93 => Feed::Relative,
            _ => Feed::AllRelative,
        };
        let retract = match rng.below(10) {
            0..=5 => Retract::Words,
            6..=7 => Retract::Wipe,
            8 => Retract::Firmware,
            _ => Retract::None,
        };
        let simple = feed == Feed::AllRelative;
        Self {
            feed,
            remarks: match rng.below(10) {
                0 => Remarks::None,
                1 => Remarks::Round,
                2..=3 => Remarks::Chatty,
                _ => Remarks::Semicolon,
            },
            arcs: match rng.below(5) {
                0 => Arcs::Radius,
                1..=2 => Arcs::Centre,
                _ => Arcs::None,
            },
            retract: if simple && retract == Retract::Wipe { Retract::Words } else { retract },
            label: match rng.below(10) {
                0..=4 => Label::Head,
                5..=6 => Label::Tail,
                7..=8 => Label::Header,
                _ => Label::None,
            },
            line_end: rng.pick(&["\n", "\n", "\n", "\r\n", "\r\n", "\r"]),
            numbered: rng.chance(8),
            lower: rng.chance(6),
            tight: rng.chance(6),
            zeros: rng.chance(30),
            e_places: rng.pick(&[5, 5, 4]),
            hop_um: rng.pick(&[0, 0, 200, 400, 600]),
            g0_travels: rng.chance(60),
            f_always: rng.chance(10),
            two_digits: rng.chance(5),
            relative_hops: !simple && rng.chance(10),
            layer_messages: rng.chance(15),
        }
    }
}
