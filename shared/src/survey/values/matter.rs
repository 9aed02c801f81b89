//! Filament, flow and beads.

use crate::limits::TOOLS;
use crate::units::Micrometres;

use super::reading::Tally;

/// Filament of one tool. Exact.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct ToolUse {
    /// Forward less backward at the end of the job, nm.
    pub net_nm: i64,
    /// Highest value that forward less backward reached, nm: what the spool must supply.
    pub highest_net_nm: i64,
    /// All forward feed, nm.
    pub forward_nm: i64,
    /// First line on which it fed forward; 0 = never.
    pub first_line: u32,
}

impl ToolUse {
    /// What the spool must supply, rounded up to the micrometre.
    #[must_use]
    pub const fn needed(&self) -> Micrometres {
        Micrometres(self.highest_net_nm.saturating_add(999).div_euclid(1000))
    }
}

/// A single feed of filament with no other axis moving.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Pull {
    /// Its length, nm, never negative; 0 = none.
    pub length_nm: i64,
    /// Its line.
    pub line: u32,
}

/// The longest way that the head goes in X and Y between two beads, or after the last one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Idle {
    /// Its moves.
    pub moves: u32,
    /// Its length, nm.
    pub path_nm: u64,
    /// Line of the first.
    pub line: u32,
}

/// Filament per tool. Exact: the sum of the words' own decimals, times M221's factor.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Filament {
    /// Tools T0 and up.
    pub tools: [ToolUse; TOOLS],
    /// All tools above those together.
    pub beyond: ToolUse,
    /// Highest tool number that fed forward.
    pub highest_tool: u8,
    /// Tool words.
    pub tool_words: Tally,
    /// Changes from one tool to another after the first feed.
    pub tool_changes: Tally,
    /// Longest single pull back.
    pub longest_pull: Pull,
    /// Longest single push forward before the first layer began.
    pub longest_push_before: Pull,
    /// Longest single push forward after it.
    pub longest_push_inside: Pull,
    /// Most filament that was pulled back between two beads and not yet pushed again, wipes included.
    pub pulled_inside: Pull,
    /// Most filament that was pushed between two beads beyond what was pulled back, and the line of its longest push.
    pub pushed_inside: Pull,
    /// Beads that begin with most of a pull not made good: of the first layer, and above it.
    pub unprimed: [Tally; 2],
    /// All filament of beads, nm.
    pub laid_nm: u64,
    /// Diameter by which the job's volumes become lengths (M200 D), µm; the last one in force while a move fed.
    pub volume_um: Option<u32>,
    /// Machine-made retracts (G10): in no total here, since their return brings back what they took.
    pub machine_retracts: Tally,
    /// What was laid under a flow factor (M221) far below 1, and far above it.
    pub factored: [Factored; 2],
}

impl Filament {
    /// The tool that feeds most, from 0.
    #[must_use]
    pub fn main_tool(&self) -> usize {
        let fed =
            self.tools.iter().enumerate().max_by_key(|(at, tool)| (tool.forward_nm, core::cmp::Reverse(*at)));
        fed.map_or(0, |(at, _)| at)
    }

    /// What all spools together must supply, rounded up to the micrometre.
    #[must_use]
    pub fn needed(&self) -> Micrometres {
        self.tools
            .iter()
            .chain([&self.beyond])
            .fold(Micrometres(0), |sum, tool| sum.saturating_add(tool.needed()))
    }
}

/// Beads laid under a flow factor far from 1.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Factored {
    /// The factor farthest from 1, thousandths; 0 = none.
    pub permille: u32,
    /// Line that set it.
    pub line: u32,
    /// Path of the beads, nm.
    pub path_nm: u64,
    /// Their filament, the factor applied, nm.
    pub laid_nm: u64,
}

/// Plastic a second while laying beads: filament speed reached × the sheet's filament cross-section.
///
/// Feeding without X, Y or Z (retracts and their return) is not in it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Flow {
    /// Highest reached at any moment, nl/s (thousandths of mm³/s).
    pub peak_nl_s: u32,
    /// Line of it.
    pub peak_line: u32,
    /// Highest mean over half a second, nl/s, within 3 %.
    pub sustained_nl_s: u32,
    /// Line laid at the end of that half second.
    pub sustained_line: u32,
    /// Highest filament speed reached, µm/s.
    pub peak_feed_um_s: u32,
    /// Mean speed of laying beads, µm/s; 0 = none.
    pub mean_bead_um_s: u32,
}

/// Bands of bead size in an octave.
pub const BEADS_PER_OCTAVE: usize = 8;
/// Bands of bead size: nine octaves of filament length a path length, from 2⁻⁹ to 1.
pub const BEAD_BANDS: usize = 9 * BEADS_PER_OCTAVE;

/// How much of the path above the first layer has which bead size (all of it when there is one layer only).
///
/// Bead size is the ratio r of filament length to path length; the bead's cross-section is r × π d²/4 with the
/// filament's diameter d. Band `k` holds r from 2^(k/8−9) as eight equal steps an octave.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Beads {
    /// Path in each band, nm; smaller and larger ratios are in the first and last.
    pub path_nm: [u64; BEAD_BANDS],
    /// Path beside that: thin passes that smooth a top face, and thin ramps of seams, nm.
    pub smoothing_nm: u64,
    /// And thick filling on every second layer only, nm.
    pub paired_nm: u64,
}

impl Default for Beads {
    fn default() -> Self {
        Self { path_nm: [0; BEAD_BANDS], smoothing_nm: 0, paired_nm: 0 }
    }
}

impl Beads {
    /// Lower end of a band: filament length a path length in parts per million.
    #[must_use]
    pub const fn lower_ppm(band: usize) -> u32 {
        let octave = (band / BEADS_PER_OCTAVE) as u32;
        let step = (band % BEADS_PER_OCTAVE) as u64;
        // 2^(octave−9) · (1 + step/8)
        (((1_000_000 << octave) * (8 + step)) >> 12) as u32
    }

    /// The band that a ratio in parts per million falls in.
    #[must_use]
    pub const fn band(ppm: u32) -> usize {
        let mut band = BEAD_BANDS - 1;
        while band > 0 && Self::lower_ppm(band) > ppm {
            band -= 1;
        }
        band
    }

    /// All path, nm.
    #[must_use]
    pub fn total_nm(&self) -> u64 {
        self.path_nm.iter().fold(0, |sum, path| sum.saturating_add(*path))
    }

    /// The middle of the path by bead size, in parts per million (the middle of its band); `None` = no path.
    #[must_use]
    pub fn median_ppm(&self) -> Option<u32> {
        let half = self.total_nm().div_ceil(2);
        if half == 0 {
            return None;
        }
        let mut sum = 0_u64;
        for (band, path) in self.path_nm.iter().enumerate() {
            sum = sum.saturating_add(*path);
            if sum >= half {
                return Some(Self::lower_ppm(band).midpoint(Self::lower_ppm(band + 1)));
            }
        }
        None
    }

    /// Path whose whole band lies below or above the two ratios (parts per million), in thousandths of all path.
    #[must_use]
    pub fn outside_permille(&self, lowest_ppm: u32, highest_ppm: u32) -> u16 {
        let outside = self.path_nm.iter().enumerate().fold(0_u64, |sum, (band, path)| {
            let below = Self::lower_ppm(band + 1) <= lowest_ppm;
            let above = Self::lower_ppm(band) >= highest_ppm;
            if below || above { sum.saturating_add(*path) } else { sum }
        });
        match (outside / 1000).checked_mul(1000).map(|n| n.checked_div(self.total_nm() / 1000)) {
            Some(Some(permille)) => permille.min(1000) as u16,
            _ => 0,
        }
    }
}

/// Beads and pushes that fit nothing round them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Breaks {
    /// Beads with filament a path length unlike that of the beads before and after, which are alike; those whose size
    /// came again later are not counted.
    pub odd: Tally,
    /// Beads long enough to be compared.
    pub beads: u32,
    /// Filament pushed out in place that was not drawn back before.
    pub unasked: Tally,
    /// All pulls.
    pub pulls: u32,
    /// Ways between beads of one layer, from the second on, that go in two legs or more.
    pub legs: Tally,
    /// Ways between beads of one layer of at least [`FAR_NM`] with nothing drawn back.
    pub bare: Tally,
    /// All ways between beads of one layer, from the second on.
    pub ways: u32,
    /// Those of at least [`FAR_NM`].
    pub far: u32,
}

/// A way from which on filament is drawn back in most jobs, nm (common practice: 1.5 to 5 mm).
pub const FAR_NM: u64 = 8_000_000;
