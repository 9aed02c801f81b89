//! What the moves did to the plastic that was there: through it, away from it, onto it again.

/// Bands of depth below the plastic's top.
pub const DEPTH_BANDS: usize = 16;

/// Height of a band of depth, nm: eight units of the height map.
pub const DEPTH_BAND_NM: i64 = 8 << 13;

/// A layer in which something was met, in the order of printing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct LayerPath {
    /// Path of its beads that it was met on, µm.
    pub met_um: u32,
    /// Path of all its beads, µm.
    pub path_um: u32,
    /// Its plane, µm.
    pub z_um: i32,
    /// Where it was met first in that layer; 0 = nowhere.
    pub line: u32,
}

/// Where the most plastic was laid beyond the room that the cells have which it raised: their area times the rise, and a
/// quarter more.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Piled {
    /// Plastic beyond it, 0.001 mm³.
    pub over_nl: u32,
    /// Room of the roomiest layer by then, 0.001 mm³.
    pub room_nl: u32,
    /// Plane of the layer, µm.
    pub z_um: i32,
    /// Its first bead's line.
    pub line: u32,
}

/// Feet that are kept: those of the most slender pieces.
pub const FEET: usize = 6;

/// What a piece stands on: its first layer, brim and what else touches it counted, to a cell of the map.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Foot {
    /// Height of the piece, µm: up to 8 too much.
    pub top_um: u32,
    /// Area of its first layer, mm²; 0 = no foot.
    pub area_mm2: u32,
    /// Narrower side of the layers above the first, µm: up to a cell of the map too little.
    pub side_um: u32,
}

impl Foot {
    /// The area that it stands on, mm²: walls round an empty middle hold as well as a full square of their side.
    #[must_use]
    pub fn stands_mm2(self) -> u64 {
        u64::from(self.area_mm2).max(u64::from(self.side_um / 1000).pow(2))
    }
}

/// What the height map of the plate shows. A cell is as high as the highest bead in it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct ReliefFacts {
    /// Side of the map's cells, µm.
    pub cell_um: u32,
    /// Path of moves below the top of the cells they cross, µm, in bands of [`DEPTH_BAND_NM`]; the last one is open.
    pub below_um: [u32; DEPTH_BANDS],
    /// Line of the first such move in each band; 0 = none.
    pub below_line: [u32; DEPTH_BANDS],
    /// Greatest rise of a bead across a cell, µm: the map knows a sloping skin no better.
    pub slope_um: u32,
    /// The layer with the most path in the air: bends or ends where nothing lies beneath nor in a cell beside.
    pub air: LayerPath,
    /// The layer with the longest level run of beads in the air.
    pub air_run: LayerPath,
    /// The most plastic beyond the room for it.
    pub piled: Piled,
    /// The layer with the most path laid a second time: beads of the same ends at the same height. Of large layers a
    /// sample is counted, and scaled.
    pub again: LayerPath,
    /// The most slender pieces, by the square of the height over the foot's area. Of jobs with too many pieces one: all
    /// of the first layer, and the whole height.
    pub feet: [Foot; FEET],
    /// Longer side of the longest piece in the two layers above the first, to a cell of the map too long at each end; 0 =
    /// there are no such layers.
    pub longest_um: u32,
    /// Area of all pieces in those layers, a cell at their edge counted half, mm².
    pub above_mm2: u32,
}
