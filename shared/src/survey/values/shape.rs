//! Boxes, layers, the first layer, the purge strip and parts printed one after the other.

use heapless::Vec;

use crate::limits::{LAYER_POINTS, PARTS};
use crate::units::{times, wide_div};

/// A box along the axes, nm, in machine positions (offsets of G92 taken out). Exact for lines; an arc's extremes
/// are exact to the nanometre's rounding of its radius.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Bounds {
    /// Lowest X, Y, Z.
    pub min_nm: [i64; 3],
    /// Highest X, Y, Z.
    pub max_nm: [i64; 3],
}

impl Default for Bounds {
    fn default() -> Self {
        Self { min_nm: [i64::MAX; 3], max_nm: [i64::MIN; 3] }
    }
}

impl Bounds {
    /// Whether nothing is in it.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        let [min, ..] = self.min_nm;
        let [max, ..] = self.max_nm;
        min > max
    }

    /// Takes in a point.
    #[inline]
    pub const fn add(&mut self, point: [i64; 3]) {
        let ([x0, y0, z0], [x1, y1, z1], [x, y, z]) = (&mut self.min_nm, &mut self.max_nm, point);
        grow(x0, x1, x);
        grow(y0, y1, y);
        grow(z0, z1, z);
    }

    /// Whether a point is in it.
    #[inline]
    #[must_use]
    pub const fn contains(&self, point: [i64; 3]) -> bool {
        let ([x0, y0, z0], [x1, y1, z1], [x, y, z]) = (self.min_nm, self.max_nm, point);
        // Nearly always all six hold.
        (x0 <= x) & (x <= x1) & (y0 <= y) & (y <= y1) & (z0 <= z) & (z <= z1)
    }

    /// Takes in another box.
    pub fn merge(&mut self, other: &Self) {
        if !other.is_empty() {
            self.add(other.min_nm);
            self.add(other.max_nm);
        }
    }

    /// Length along each axis; zero when empty.
    #[must_use]
    pub fn size_nm(&self) -> [i64; 3] {
        let mut size = [0; 3];
        if !self.is_empty() {
            for ((size, min), max) in size.iter_mut().zip(self.min_nm).zip(self.max_nm) {
                *size = max.saturating_sub(min);
            }
        }
        size
    }
}

/// Takes a value into a range.
#[inline]
const fn grow(min: &mut i64, max: &mut i64, value: i64) {
    if value < *min {
        *min = value;
    }
    if value > *max {
        *max = value;
    }
}

/// A plane's height and where the first bead on it stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Plane {
    /// Height, µm.
    pub z_um: i32,
    /// Line of the file.
    pub line: u32,
}

/// The end of a layer in the order of printing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct LayerPoint {
    /// Height of its plane, µm.
    pub z_um: i32,
    /// Time of its end, s.
    pub end_s: u32,
    /// Filament laid in beads by then, the purge strip's too, µm.
    pub laid_um: u32,
}

/// Layers: planes on which beads are laid while X or Y moves.
///
/// A spiral that rises all the time has one layer a turn. The purge strip makes no layer.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Layers {
    /// Different planes of the whole job: parts printed one after the other share theirs.
    pub count: u32,
    /// Layers in the order of printing: a part that begins low again begins with a new one.
    pub passes: u32,
    /// False when the planes were too irregular to tell whether a later part's plane is a new one: `count` is then
    /// at most this.
    pub exact: bool,
    /// Ends of layers in the order of printing: each `stride`-th, and the last one.
    pub ends: Vec<LayerPoint, LAYER_POINTS>,
    /// `ends[k]` is the end of layer `(k + 1) × stride` in the order of printing (the last entry: of the last one).
    pub stride: u32,
    /// Thickest layer above the first: its height over the one below, µm, and its line.
    pub thickest: Option<Plane>,
    /// Thinnest layer above the first.
    pub thinnest: Option<Plane>,
    /// The commonest layer height above the first, µm; `None` = one layer only.
    pub typical_um: Option<u32>,
    /// Layers of that height; fewer than there are where more than eight heights occur.
    pub typical_count: u32,
    /// Highest plane, µm.
    pub top_um: i32,
    /// Turns of a spiral that were counted as layers.
    pub spiral_turns: u32,
}

/// The first layer of the first part, without the purge strip.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct FirstLayer {
    /// Its plane; `None` = nothing was laid.
    pub plane: Option<Plane>,
    /// Box round its beads.
    pub bounds: Bounds,
    /// Box round the beads of the two layers above it: without a brim or a skirt; empty = one layer only.
    pub above: Bounds,
    /// Filament in its beads, nm.
    pub filament_nm: i64,
    /// Path of its beads, nm.
    pub path_nm: u64,
    /// Highest speed reached over a bead, µm/s.
    pub peak_um_s: u32,
    /// Path over the time that its beads take, µm/s: mean speed of laying.
    pub mean_um_s: u32,
    /// Begin, s.
    pub start_s: u32,
    /// End: the first bead of the second layer begins, s.
    pub end_s: u32,
    /// End of the second layer, s; `None` = no second layer.
    pub second_end_s: Option<u32>,
}

impl FirstLayer {
    /// Width of its beads from their volume, µm: the bead as rectangle with two half rounds, A = (w−h)h + πh²/4
    /// (plane geometry), with A from filament of `filament_um` diameter. `None` = no beads.
    #[must_use]
    pub fn width_um(&self, filament_um: u32) -> Option<u32> {
        let h = self.height_um()?;
        if self.path_nm == 0 {
            return None;
        }
        // In nm so that the last micrometre is rounded once.
        let area = wide_div(times(self.volume(filament_um), 1000), times(452, self.path_nm));
        let width = u64::try_from(area).ok()? / h;
        u32::try_from((width.checked_add(h * 97_000 / 452)? + 500) / 1000).ok()
    }

    /// Area that its beads cover, mm²: their volume over its height. `None` = no beads.
    #[must_use]
    pub fn area_mm2(&self, filament_um: u32) -> Option<u32> {
        let h = self.height_um()?;
        u32::try_from(wide_div(self.volume(filament_um), times(452_000_000_000, h))).ok()
    }

    fn height_um(&self) -> Option<u64> {
        u64::try_from(self.plane?.z_um).ok().filter(|h| *h > 0)
    }

    /// Volume of its beads' filament, 452 times in nm · µm²; π = 355/113.
    fn volume(&self, filament_um: u32) -> u128 {
        let square = u64::from(filament_um) * u64::from(filament_um);
        times(times(self.filament_nm.max(0).unsigned_abs().into(), square), 355)
    }
}

/// Beads laid before the first layer and apart from it, over which nothing is laid later.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct PurgeStrip {
    /// Box round its beads.
    pub bounds: Bounds,
    /// Filament in its beads, nm.
    pub filament_nm: i64,
    /// Path of its beads, nm.
    pub path_nm: u64,
    /// Begin, s.
    pub start_s: u32,
    /// End: the first bead after it begins, s.
    pub end_s: u32,
    /// Line of its first bead.
    pub line: u32,
}

/// One part of a job that prints one after the other.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Part {
    /// Lowest X, Y of its beads, µm.
    pub min_um: [i32; 2],
    /// Highest X, Y of its beads, µm.
    pub max_um: [i32; 2],
    /// How much further in its beads above the first layer end, µm: its brim or skirt, too low to be struck.
    pub low_min_um: [i32; 2],
    /// The same on the other side.
    pub low_max_um: [i32; 2],
    /// Its highest plane, µm.
    pub top_um: i32,
    /// Line of its first bead.
    pub line: u32,
}

/// Parts that are printed one after the other: a new one begins where a bead is laid below the plane before,
/// outside the boxes of all parts so far.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Parts {
    /// The first ones.
    pub list: Vec<Part, PARTS>,
    /// All of them.
    pub count: u32,
}

impl Parts {
    /// Smallest gap between the boxes of two listed parts along X or Y, whichever is wider, µm; `None` = fewer than
    /// two parts. Negative = the boxes overlap.
    #[must_use]
    pub fn least_gap_um(&self) -> Option<i32> {
        let mut least = None;
        for (index, a) in self.list.iter().enumerate() {
            for b in self.list.iter().skip(index + 1) {
                let mut gap = i32::MIN;
                for axis in 0..2 {
                    let (Some(a0), Some(a1)) = (a.min_um.get(axis), a.max_um.get(axis)) else { continue };
                    let (Some(b0), Some(b1)) = (b.min_um.get(axis), b.max_um.get(axis)) else { continue };
                    let (Some(in0), Some(in1)) = (a.low_min_um.get(axis), a.low_max_um.get(axis)) else {
                        continue;
                    };
                    let (a0, a1) = (a0.saturating_add(*in0), a1.saturating_sub(*in1));
                    gap = gap.max(b0.saturating_sub(a1)).max(a0.saturating_sub(*b1));
                }
                if least.is_none_or(|l| gap < l) {
                    least = Some(gap);
                }
            }
        }
        least
    }

    /// Height of the tallest listed part that another follows, µm.
    #[must_use]
    pub fn tallest_before_last_um(&self) -> Option<i32> {
        let done = self.list.len().saturating_sub(1);
        self.list.iter().take(done).map(|part| part.top_um).max()
    }
}
