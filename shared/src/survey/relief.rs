//! The height map of the plate: how high plastic is, fed by every bead, asked by every move.
//!
//! - A move below the top of a cell that it crosses goes through plastic.
//! - A bead that raises a cell by more than plastic reaches down, with nothing beneath in the quarters beside its own,
//!   hangs. A straight run over such places from one support to the next is a bridge; one that bends, begins or ends
//!   there is in the air.
//! - A layer that gets more plastic than the cells it raised have room for piles up.
//! - The first layer's pieces are what the parts stand on.
//!
//! A cell is coarse: it counts as supported where any of it is, so that small steps and gaps raise no alarm.

use crate::motion::{Move, hypot2};
use crate::units::thousandth;

use super::again::Again;
use super::cells::{Cells, Lies, UNIT_BITS, units};
use super::chords::chords;
use super::feet::Feet;
use super::grid::{Grid, Piece, Spot};
use super::path::Path;
use super::values::{DEPTH_BANDS, ReliefFacts};

/// How far below its plane a bead finds support in any case, in units: 0.5 mm. Judgement: a layer and the gap that is
/// left above a support.
const REACH: u16 = 61;
/// The farthest that even the fattest bead does: 2 mm.
const MOST_REACH: u32 = 244;

/// Cosine of the bend that makes a run no bridge, Q30: 45°.
const BEND_Q30: i64 = 759_250_125;

/// The last bead's place, so that the next one in the same cell costs nothing.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct At {
    pub(super) spot: Spot,
    pub(super) z: u16,
    /// Nothing new can be met there: the cell is as high and supported.
    pub(super) calm: bool,
}

/// A run of beads over nothing.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct AirRun {
    pub(super) path_nm: u64,
    pub(super) heading: [i32; 2],
    pub(super) loose: bool,
    pub(super) line: u32,
    /// Its height so far, units; `None` = it rises or falls.
    pub(super) level: Option<u16>,
}

/// The layer under way.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Layer {
    pub(super) line: u32,
    pub(super) z_um: i32,
    pub(super) path_nm: u64,
    pub(super) laid_nm: u64,
    /// Rise of all cells, units.
    pub(super) rise: u32,
    pub(super) air_nm: u64,
    pub(super) air_line: u32,
    /// Its longest level run in the air.
    pub(super) run_nm: u64,
    pub(super) run_line: u32,
    pub(super) again_nm: u64,
    pub(super) again_line: u32,
    pub(super) again_beads: u32,
}

/// The map, and what it says of the layer under way.
#[derive(Clone, Debug, Default)]
pub(super) struct Relief {
    pub(super) grid: Grid,
    pub(super) cells: Cells,
    pub(super) feet: Feet,
    pub(super) at: At,
    pub(super) run: AirRun,
    pub(super) layer: Layer,
    /// Layers that ended, up to those that show the pieces, and the top of the first.
    pub(super) ended: u8,
    pub(super) first_top: u16,
    pub(super) again: Again,
    /// Plastic beyond the room for it so far, 0.001 mm³. Below 0, what is left of the room: up to half of the roomiest layer's,
    /// since a sloping skin raises its cells before it fills them.
    pub(super) over_nl: i64,
    pub(super) most_room_nl: u32,
    /// Units that a bead fills below its plane, twice, for a filament ratio of 1.
    pub(super) fills: u32,
    pub(super) filament_area_um2: u32,
    pub(super) bore_um: u32,
}

pub(super) fn um(nm: u64) -> u32 {
    match u32::try_from(nm) {
        Ok(nm) => thousandth(nm),
        Err(_) => u32::try_from(nm / 1000).unwrap_or(u32::MAX),
    }
}

/// What a sample of a bead is laid with.
struct Laying {
    reach: u16,
    heading: [i32; 2],
    line: u32,
    /// Whether the bead goes on from the one before.
    chained: bool,
    /// Width of the bead on a first layer, µm; 0 above.
    width_um: u32,
}

impl Relief {
    /// A bare plate, for a machine with this plate, nozzle and filament.
    pub(super) fn restart(
        &mut self,
        bed_um: [i64; 2],
        bore_um: u32,
        filament_um: u32,
        facts: &mut ReliefFacts,
    ) {
        self.grid = Grid::new(bed_um);
        facts.cell_um = self.grid.cell_um;
        // π/4 = 355/452.
        let square = u64::from(filament_um).pow(2).min(1 << 40);
        self.bore_um = bore_um.max(100);
        self.filament_area_um2 = u32::try_from(square * 355 / 452).unwrap_or(u32::MAX);
        // A line is at least 0.8 of the bore wide (common practice).
        let fills = u64::from(self.filament_area_um2) * 1000 / (u64::from(self.bore_um) * 8 / 10);
        self.fills = u32::try_from((2 * fills) >> UNIT_BITS).unwrap_or(u32::MAX).min(1 << 14);
        self.feet.restart(self.grid.cell_um);
        self.clear();
        self.again.clear();
    }

    /// The plate is bare again: what was laid so far was a strip higher up.
    pub(super) fn clear(&mut self) {
        self.cells.clear();
        self.feet.clear();
        (self.ended, self.first_top) = (0, 0);
        (self.over_nl, self.most_room_nl) = (0, 0);
        (self.at, self.run, self.layer) = (At::default(), AirRun::default(), Layer::default());
    }

    /// A move in X, Y or Z that lays nothing.
    #[inline]
    pub(super) fn travel(&mut self, step: &Move, path: &Path, line: u32, facts: &mut ReliefFacts) {
        self.at.calm = false;
        if self.run.path_nm > 0 {
            self.run.loose = true;
            self.end_run();
        }
        let ([.., z0], [.., z1]) = (step.from, step.to);
        if units(z0.min(z1)) < self.cells.top && step.wording.z_stated {
            self.through(step, path, line, facts);
        }
    }

    /// A travel below the top of what is laid.
    #[cold]
    #[inline(never)]
    fn through(&mut self, step: &Move, path: &Path, line: u32, facts: &mut ReliefFacts) {
        let ([x0, y0, z0], [x1, y1, z1]) = (step.from, step.to);
        let mut sample = |spot: Spot, z: i64, path_nm: u64| {
            let depth = self.cells.height(spot.cell()).saturating_sub(units(z));
            facts.below(depth, path_nm, line);
        };
        if !path.in_plane {
            // Straight down: as much path as it is deep.
            let spot = self.grid.spot([x1, y1]);
            let deep = i64::from(self.cells.height(spot.cell())) << UNIT_BITS;
            let path_nm = (deep.min(z0) - z1).max(0).unsigned_abs();
            if z1 < z0 {
                sample(spot, z1, path_nm);
            }
            return;
        }
        let rise = z1 - z0;
        let mut line_to = |from: [i64; 2], to: [i64; 2], length_nm: u64, z: [i64; 2]| {
            let [from_z, rise] = z;
            self.grid.line(from, to, length_nm, &mut |spot, Piece { number, count, length_nm }| {
                // The higher end of the sample.
                let share = if rise < 0 { number - 1 } else { number };
                let at = from_z + part_of_rise(rise, count) * i64::from(share);
                sample(spot, at, length_nm);
            });
        };
        match &step.arc {
            None => line_to([x0, y0], [x1, y1], path.plane_nm, [z0, rise]),
            Some(arc) => chords(arc, &mut |from, to| {
                let ([x0, y0], [x1, y1]) = (from, to);
                line_to(from, to, hypot2(x1 - x0, y1 - y0), [z0.max(z1), 0]);
            }),
        }
    }

    /// A bead; `lead` = it may be the purge strip's, whose lines may be drawn twice.
    #[inline]
    pub(super) fn bead(
        &mut self,
        step: &Move,
        path: &Path,
        line: u32,
        [chained, lead]: [bool; 2],
        facts: &mut ReliefFacts,
    ) {
        let ([.., z0], [x1, y1, z1]) = (step.from, step.to);
        let layer = &mut self.layer;
        if layer.line == 0 {
            (layer.line, layer.z_um) = (line, super::flat::um(z1));
        }
        layer.path_nm = layer.path_nm.saturating_add(path.plane_nm);
        layer.laid_nm = layer.laid_nm.saturating_add(step.feed_nm.unsigned_abs());
        if !lead {
            let times = self.again.bead(step);
            if times > 0 {
                layer.again_beads += 1;
                layer.again_nm = layer.again_nm.saturating_add(path.plane_nm.saturating_mul(times.into()));
                if layer.again_line == 0 {
                    layer.again_line = line;
                }
            }
        }
        let (spot, z) = (self.grid.spot([x1, y1]), units(z1));
        let first = self.cells.is_first();
        let width_um = if first { self.width_um(path.ratio, z1) } else { 0 };
        let stays = self.at.calm && self.at.z == z && z0 == z1 && step.arc.is_none() && chained;
        if stays && self.at.spot.cell() == spot.cell() {
            if self.at.spot != spot {
                self.cells.touch(spot);
                self.at.spot = spot;
            }
            if first {
                self.feet.cover(&mut self.cells, spot.cell(), covers(path.plane_nm, width_um));
            }
            return;
        }
        let reach = self.reach(path.ratio);
        let laying = Laying { reach, heading: first_two(path.stretch.enter), line, chained, width_um };
        self.lay(step, path, [z0, z1], laying, facts);
        let cell = spot.cell();
        let calm = self.cells.is_held(cell, z, reach) && z >= self.cells.height(cell);
        self.at = At { spot, z, calm };
    }

    /// Width of a bead that fills down to the plate: its cross-section over its height.
    fn width_um(&self, ratio: u32, z: i64) -> u32 {
        let section_um2 = (u64::from(ratio) * u64::from(self.filament_area_um2)) >> 30;
        let z_um = um(u64::try_from(z).unwrap_or(0)).max(1);
        match u32::try_from(section_um2) {
            Ok(section_um2) => section_um2 / z_um,
            Err(_) => u32::try_from(section_um2 / u64::from(z_um)).unwrap_or(u32::MAX),
        }
    }

    /// How far below its plane a bead finds support.
    fn reach(&self, ratio: u32) -> u16 {
        // Both below 2¹⁷ and 2¹⁵.
        let fills = ((ratio >> 14).min(1 << 17) * self.fills) >> 16;
        REACH.max(fills.min(MOST_REACH) as u16)
    }

    #[inline(never)]
    fn lay(&mut self, step: &Move, path: &Path, z: [i64; 2], mut laying: Laying, facts: &mut ReliefFacts) {
        let ([x0, y0, _], [x1, y1, _], [z0, z1]) = (step.from, step.to, z);
        let grid = self.grid;
        if !laying.chained {
            self.sample(grid.spot([x0, y0]), z0, 0, &laying, facts);
            laying.chained = true;
        }
        let rise = z1 - z0;
        if rise != 0 {
            facts.slope(rise, path.plane_nm, grid.cell_um);
        }
        match &step.arc {
            None => {
                grid.line(
                    [x0, y0],
                    [x1, y1],
                    path.plane_nm,
                    &mut |spot, Piece { number, count, length_nm }| {
                        let at =
                            if rise == 0 { z1 } else { z0 + part_of_rise(rise, count) * i64::from(number) };
                        self.sample(spot, at, length_nm, &laying, facts);
                    },
                );
            }
            Some(arc) => {
                chords(arc, &mut |from, to| {
                    let ([x0, y0], [x1, y1]) = (from, to);
                    grid.line(from, to, hypot2(x1 - x0, y1 - y0), &mut |spot, piece| {
                        self.sample(spot, z1, piece.length_nm, &laying, facts);
                    });
                });
                self.run.bends_to(first_two(path.stretch.exit));
            }
        }
    }

    /// A piece of a bead.
    fn sample(&mut self, spot: Spot, z_nm: i64, path_nm: u64, laying: &Laying, facts: &mut ReliefFacts) {
        let (cell, z) = (spot.cell(), units(z_nm));
        match self.cells.lay(spot, z, laying.reach) {
            Lies::Higher(rise) => {
                self.layer.rise = self.layer.rise.saturating_add(rise.min(laying.reach).into());
            }
            Lies::Level => {}
            Lies::Deeper(depth) => facts.below(depth, path_nm, laying.line),
        }
        if laying.width_um > 0 {
            self.feet.cover(&mut self.cells, cell, covers(path_nm, laying.width_um));
        }
        if self.cells.is_held(cell, z, laying.reach) || self.cells.is_held_beside(spot, z, laying.reach) {
            if self.run.path_nm > 0 {
                self.end_run();
            }
        } else {
            let run = &mut self.run;
            if run.path_nm == 0 {
                *run = AirRun {
                    path_nm: 0,
                    heading: laying.heading,
                    loose: !laying.chained,
                    line: laying.line,
                    level: Some(z),
                };
            } else {
                run.bends_to(laying.heading);
            }
            run.level = run.level.filter(|level| *level == z);
            run.path_nm = run.path_nm.saturating_add(path_nm.max(1));
        }
    }

    /// A run over nothing ends.
    #[cold]
    pub(super) fn end_run(&mut self) {
        let run = core::mem::take(&mut self.run);
        if run.loose {
            self.layer.air_nm = self.layer.air_nm.saturating_add(run.path_nm);
            if self.layer.air_line == 0 {
                self.layer.air_line = run.line;
            }
            if run.level.is_some() && run.path_nm > self.layer.run_nm {
                (self.layer.run_nm, self.layer.run_line) = (run.path_nm, run.line);
            }
        }
    }

    /// A row lies so much higher or lower than the one beside it: the skin slopes across its rows.
    pub(super) fn row_aside(&self, rise_um: u32, facts: &mut ReliefFacts) {
        facts.slope(i64::from(rise_um) * 1000, u64::from(self.bore_um) * 1000, self.grid.cell_um);
    }
}

/// Rise of each of so many pieces, which are one at the least, nm.
fn part_of_rise(rise_nm: i64, count: u32) -> i64 {
    rise_nm.checked_div(count.into()).unwrap_or(0)
}

/// Area that a piece of a bead covers, µm².
fn covers(path_nm: u64, width_um: u32) -> u32 {
    um(path_nm).saturating_mul(width_um)
}

fn first_two([x, y, ..]: [i32; 4]) -> [i32; 2] {
    [x, y]
}

impl AirRun {
    /// Goes on in this heading.
    fn bends_to(&mut self, [x, y]: [i32; 2]) {
        let [x0, y0] = self.heading;
        let along = (i64::from(x0) * i64::from(x) + i64::from(y0) * i64::from(y)) >> 30;
        self.loose |= along < BEND_Q30;
    }
}

impl ReliefFacts {
    /// A piece of path so many units below a cell's top.
    fn below(&mut self, depth: u16, path_nm: u64, line: u32) {
        if depth == 0 || path_nm == 0 {
            return;
        }
        let band = usize::from((depth - 1) >> 3).min(DEPTH_BANDS - 1);
        if let (Some(sum), Some(first)) = (self.below_um.get_mut(band), self.below_line.get_mut(band)) {
            *sum = sum.saturating_add(um(path_nm.saturating_add(999)));
            if *first == 0 {
                *first = line;
            }
        }
    }

    /// What was met so far was met by a purge strip.
    pub(super) fn forget(&mut self) {
        *self = Self { cell_um: self.cell_um, ..Self::default() };
    }

    /// A bead that rises or falls.
    fn slope(&mut self, rise_nm: i64, path_nm: u64, cell_um: u32) {
        // Both in 32 bits: 4 mm, and the diagonal of a plate's cell.
        let rise_um = um(rise_nm.unsigned_abs()).min(4000);
        let (path_um, diagonal_um) = (um(path_nm), (cell_um * 3 / 2).min(1_000_000));
        let across = if path_um <= diagonal_um { rise_um } else { rise_um * diagonal_um / path_um };
        self.slope_um = self.slope_um.max(across);
    }
}
