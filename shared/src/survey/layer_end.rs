//! What the height map says of a layer once it is done: plastic in the air, laid again or piled up, and the pieces.

use super::islands::Picture;
use super::relief::{Relief, um};
use super::values::{LayerPath, Piled, ReliefFacts};

/// Layers after which the pieces that are printed show: the first with brim and skirt, and two above.
const SHOWN: u8 = 3;

/// Plastic bulges into a quarter more than the room that geometry gives it. Judgement: beads overlap, first layers are
/// squeezed, flows are set a little high.
const BULGE: u64 = 4;

impl Relief {
    /// Another part's first layer begins.
    pub(super) const fn part(&mut self) {
        self.cells.begin_first();
        // The first part has shown its pieces, or has too few layers for that.
        self.ended = SHOWN;
    }

    /// The job ends.
    pub(super) fn finish(&mut self, facts: &mut ReliefFacts) {
        self.close_layer(facts);
        self.feet.finish(&self.cells, self.grid.cell_um, facts);
    }

    /// A layer begins, or the job ends: adds up the one before.
    pub(super) fn close_layer(&mut self, facts: &mut ReliefFacts) {
        if self.run.path_nm > 0 {
            self.end_run();
        }
        if self.layer.line > 0 {
            self.end_layer(facts);
        }
        let layer = core::mem::take(&mut self.layer);
        self.again.layer();
        self.at.calm = false;
        let told = |met_nm, line| LayerPath {
            met_um: um(met_nm),
            path_um: um(layer.path_nm),
            z_um: layer.z_um,
            line,
        };
        let worse = |new: &LayerPath, old: &LayerPath| new.weight() > old.weight();
        let air = told(layer.air_nm, layer.air_line);
        if worse(&air, &facts.air) {
            facts.air = air;
        }
        let air_run = told(layer.run_nm, layer.run_line);
        if air_run.met_um > facts.air_run.met_um {
            facts.air_run = air_run;
        }
        // One alone may be two marks that are the same by chance.
        let again_nm = if layer.again_beads > 1 { layer.again_nm } else { 0 };
        let again = told(again_nm, layer.again_line);
        if worse(&again, &facts.again) {
            facts.again = again;
        }
        let cell_um = u64::from(self.grid.cell_um);
        // µm · µm² = 10⁻⁶ nl; the rise in units of 8.192 µm.
        let room = cell_um * cell_um / 1000 * ((u64::from(layer.rise) * 8192) / 1000) / 1000;
        let laid = (layer.laid_nm / 1000).saturating_mul(self.filament_area_um2.into()) / 1_000_000;
        let nl = |volume: u64| u32::try_from(volume).unwrap_or(u32::MAX);
        self.most_room_nl = self.most_room_nl.max(nl(room));
        let spare = i64::from(self.most_room_nl / 2);
        let more = i64::from(nl(laid)) - i64::from(nl(room.saturating_add(room / BULGE)));
        self.over_nl = (self.over_nl + more).max(-spare);
        let over_nl = u32::try_from(self.over_nl).unwrap_or(0);
        if over_nl > facts.piled.over_nl {
            facts.piled = Piled { over_nl, room_nl: self.most_room_nl, z_um: layer.z_um, line: layer.line };
        }
    }

    /// A layer with beads ends.
    #[cold]
    fn end_layer(&mut self, facts: &mut ReliefFacts) {
        if self.cells.is_first() {
            self.feet.end_first(&mut self.cells);
        }
        if self.ended < SHOWN {
            self.ended += 1;
            if self.ended == 1 {
                self.first_top = self.cells.top;
            } else {
                self.pieces_above(facts);
                self.feet.above(&self.cells, self.first_top);
            }
        }
    }

    /// The pieces above the first layer: longer side of the longest, up to a cell too long at each end, and their area.
    #[cold]
    fn pieces_above(&self, facts: &mut ReliefFacts) {
        let mut map = Picture::of(|cell| self.cells.height(cell) > self.first_top);
        let side_um = u64::from(self.grid.cell_um);
        let area_um2 = u64::from(map.area_halves()) * side_um * side_um / 2;
        facts.above_mm2 = u32::try_from(area_um2 / 1_000_000).unwrap_or(u32::MAX);
        let mut longest = 0;
        while let Some(piece) = map.take_piece() {
            let [x, y] = piece.sides();
            longest = longest.max(x.max(y));
        }
        facts.longest_um = longest * self.grid.cell_um;
    }
}

impl LayerPath {
    /// Path met, weighed by its share of the layer.
    fn weight(&self) -> u64 {
        let met = u64::from(self.met_um);
        met * met / u64::from(self.path_um.max(1))
    }
}
