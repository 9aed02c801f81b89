//! The beads of one layer, as the core reads them.

use std::io::{self, Read, Seek, SeekFrom};

use holdpoint_shared::motion::{Applied, Arc, Modal, MotionSink, Move};
use holdpoint_shared::records::Machine;
use holdpoint_shared::survey::Surveyor;
use holdpoint_shared::text::{LineAt, LineSink, Lines, Odd, Words};

use crate::job_file::{CHUNK_BYTES, read_some};

/// An arc is drawn in steps of at most so much, radians: 3°, which no eye sees.
const ARC_STEP: f64 = 0.052;

/// A bead on its way, mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Bead {
    /// Its points, X and Y: two of a straight one.
    pub points: Vec<[f64; 2]>,
    /// Its width, taken as a rectangle with half-round sides as high as the layer.
    pub width_mm: f64,
    /// It goes on where the bead before ended.
    pub chained: bool,
}

/// One layer.
#[derive(Clone, Debug, Default)]
pub struct LayerBeads {
    /// Its number, from 1.
    pub layer: u32,
    /// Layers of the whole job.
    pub layers: u32,
    /// Height of its last bead, mm.
    pub z_mm: f64,
    /// Its beads in their order; only this layer is held, however large the file is.
    pub beads: Vec<Bead>,
}

impl LayerBeads {
    /// Reads a job from its first byte to its last and keeps the beads of one layer. A layer is what the survey counts as one:
    /// both read the same lines side by side.
    ///
    /// # Errors
    /// The system's own.
    pub fn read(from: &mut (impl Read + Seek), machine: &Machine, layer: u32) -> io::Result<Self> {
        from.seek(SeekFrom::Start(0))?;
        let mut surveyor = Box::new(Surveyor::new(machine));
        let mut lines = Lines::default();
        let filament_mm = f64::from(machine.filament_um) / 1000.0;
        let mut reader = Reader {
            modal: Modal::new(machine.absolute_resets_feed),
            collector: Collector {
                wanted: layer,
                area_mm2: std::f64::consts::FRAC_PI_4 * filament_mm * filament_mm,
                ..Collector::default()
            },
        };
        let mut chunk = vec![0; CHUNK_BYTES];
        loop {
            let read = read_some(from, &mut chunk)?;
            let Some(bytes) = chunk.get(..read).filter(|bytes| !bytes.is_empty()) else { break };
            for line in bytes.split_inclusive(|byte| matches!(byte, b'\n' | b'\r')) {
                surveyor.feed(line);
                reader.collector.layer = surveyor.layer();
                lines.feed(line, &mut reader);
            }
        }
        lines.finish(&mut reader);
        surveyor.close();
        let Collector { z_mm, beads, .. } = reader.collector;
        Ok(Self { layer, layers: surveyor.layer(), z_mm, beads })
    }
}

struct Reader {
    modal: Modal,
    collector: Collector,
}

impl LineSink for Reader {
    fn line(&mut self, at: LineAt, words: &Words, _: &[u8]) {
        // As the survey: of a line that is too long, or deleted, nothing moves.
        if !at.too_long && words.any && !words.marks().deleted {
            self.modal.apply(words, &mut self.collector);
        }
    }

    fn odd(&mut self, _: u64, _: Odd) {}
}

#[derive(Default)]
struct Collector {
    wanted: u32,
    /// The layer under way.
    layer: u32,
    area_mm2: f64,
    /// Height of the last bead of the layers below.
    below_mm: f64,
    z_mm: f64,
    /// The last move was a bead.
    laying: bool,
    beads: Vec<Bead>,
}

impl MotionSink for Collector {
    fn moved(&mut self, step: &Move) {
        let points = match &step.arc {
            Some(arc) => arc_points(arc),
            None => [step.from, step.to].map(|[x, y, _]| [mm(x), mm(y)]).to_vec(),
        };
        let length_mm: f64 = points.windows(2).map(length).sum();
        let z_mm = step.to.last().map_or(0.0, |z| mm(*z));
        let laying = step.feed_nm > 0 && length_mm > 0.0;
        // Before the first layer is known to be one, it counts as none.
        if laying && self.layer.max(1) < self.wanted {
            self.below_mm = z_mm;
        }
        if laying && self.layer.max(1) == self.wanted {
            let height_mm = (z_mm - self.below_mm).max(0.02);
            let section_mm2 = mm(step.feed_nm) * self.area_mm2 / length_mm;
            let sides_mm = height_mm * (1.0 - std::f64::consts::FRAC_PI_4);
            let width_mm = (section_mm2 / height_mm + sides_mm).clamp(0.05, 5.0);
            self.beads.push(Bead { points, width_mm, chained: self.laying });
            self.z_mm = z_mm;
        }
        if step.from != step.to {
            self.laying = laying;
        }
    }

    fn applied(&mut self, _: Applied) {}
}

fn mm(nm: i64) -> f64 {
    nm as f64 / 1e6
}

fn length(pair: &[[f64; 2]]) -> f64 {
    match pair {
        [[x0, y0], [x1, y1]] => (x1 - x0).hypot(y1 - y0),
        _ => 0.0,
    }
}

/// Points on an arc, both ends among them.
fn arc_points(arc: &Arc) -> Vec<[f64; 2]> {
    let [cx, cy] = arc.centre.map(mm);
    let [x, y] = arc.start.map(mm);
    let (radius, begin) = (x.hypot(y), y.atan2(x));
    let sweep = arc.sweep_q40 as f64 / (1_u64 << 40) as f64;
    let sweep = if arc.counter_clockwise { sweep } else { -sweep };
    let steps = (sweep.abs() / ARC_STEP).ceil().max(1.0) as u32;
    (0..=steps)
        .map(|step| {
            let angle = begin + sweep * f64::from(step) / f64::from(steps);
            [cx + radius * angle.cos(), cy + radius * angle.sin()]
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use std::fmt::Write as _;
    use std::io::Cursor;

    use super::*;

    fn read(text: &str, layer: u32) -> LayerBeads {
        LayerBeads::read(&mut Cursor::new(text.as_bytes()), &Machine::default(), layer).expect("memory reads")
    }

    /// Squares of 20, 30 and 40 mm, one on the other.
    fn squares() -> String {
        let mut text = "G28\nG90\nM83\n".to_owned();
        for (number, side) in [20, 30, 40].into_iter().enumerate() {
            let z = 0.2 * (number + 1) as f64;
            let _ = write!(text, "G1 Z{z:.1} F600\nG0 X50 Y50\n");
            for [x, y] in [[1, 0], [1, 1], [0, 1], [0, 0]] {
                let _ = writeln!(
                    text,
                    "G1 X{} Y{} E{:.5} F1800",
                    50 + side * x,
                    50 + side * y,
                    0.033_26 * f64::from(side)
                );
            }
        }
        text
    }

    #[test]
    fn each_layer_has_its_own_beads() {
        for (layer, side) in [(1, 20.0), (2, 30.0), (3, 40.0)] {
            let found = read(&squares(), layer);
            assert_eq!((found.layers, found.beads.len()), (3, 4));
            assert!((found.z_mm - 0.2 * f64::from(layer)).abs() < 1e-9);
            assert_eq!(found.beads[1].points, [[50.0 + side, 50.0], [50.0 + side, 50.0 + side]]);
            assert!(!found.beads[0].chained && found.beads[1].chained);
            // 0.08 mm² at 0.2 mm: 0.4 mm and the two half-round sides.
            assert!((found.beads[0].width_mm - 0.443).abs() < 0.002, "{}", found.beads[0].width_mm);
        }
        assert!(read(&squares(), 4).beads.is_empty());
    }

    #[test]
    fn arcs_are_round() {
        let text = "G28\nG90\nM83\nG1 Z0.2\nG0 X60 Y50\nG3 X40 Y50 I-10 J0 E1 F1200\n";
        let found = read(text, 1);
        let points = &found.beads[0].points;
        assert!(points.len() > 50);
        for [x, y] in points {
            assert!(((x - 50.0).hypot(y - 50.0) - 10.0).abs() < 1e-6 && *y > 49.999);
        }
    }
}
