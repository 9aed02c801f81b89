//! The order in which the first layer's picture fills, against a slow replay in small steps.

use std::fmt::Write as _;

use holdpoint_shared::records::Machine;
use holdpoint_shared::survey::{FOOTPRINT_CELLS, FOOTPRINT_STEPS, Footprint, Laid, Survey, Surveyor};
use holdpoint_tests::generate::{Dice, sheet};
use proptest::prelude::*;

/// Side of a cell on the sheet's plate of 250 mm, mm.
const CELL: f64 = 5.209;
/// Distance between two places of the replay, mm.
const FINE: f64 = 0.1;

/// One move at constant speed, mm and mm/s; with filament, mm, it is a bead.
#[derive(Clone, Copy, Debug)]
struct Stroke {
    from: [f64; 2],
    to: [f64; 2],
    /// Of an arc, counter-clockwise: centre.
    centre: Option<[f64; 2]>,
    filament: f64,
    speed: f64,
}

impl Stroke {
    fn length(&self) -> f64 {
        let [dx, dy] = [self.to[0] - self.from[0], self.to[1] - self.from[1]];
        match self.centre {
            None => dx.hypot(dy),
            Some(centre) => self.radius(centre) * self.sweep(centre),
        }
    }

    fn radius(&self, [cx, cy]: [f64; 2]) -> f64 {
        (self.from[0] - cx).hypot(self.from[1] - cy)
    }

    fn sweep(&self, [cx, cy]: [f64; 2]) -> f64 {
        let angle = |[x, y]: [f64; 2]| (y - cy).atan2(x - cx);
        let sweep = (angle(self.to) - angle(self.from)).rem_euclid(std::f64::consts::TAU);
        if sweep < 1e-9 { std::f64::consts::TAU } else { sweep }
    }

    /// The place after a share of the way.
    fn at(&self, share: f64) -> [f64; 2] {
        match self.centre {
            None => [0, 1].map(|axis| self.from[axis] + (self.to[axis] - self.from[axis]) * share),
            Some([cx, cy]) => {
                let begin = (self.from[1] - cy).atan2(self.from[0] - cx);
                let angle = begin + self.sweep([cx, cy]) * share;
                let radius = self.radius([cx, cy]);
                [cx + radius * angle.cos(), cy + radius * angle.sin()]
            }
        }
    }
}

/// A job whose first layer these strokes are, with standing still before some of them, s.
#[derive(Clone, Debug, Default)]
struct Layer {
    strokes: Vec<(f64, Stroke)>,
    at: [f64; 2],
}

impl Layer {
    fn go(&mut self, to: [f64; 2]) {
        let stroke = Stroke { from: self.at, to, centre: None, filament: 0.0, speed: 200.0 };
        self.strokes.push((0.0, stroke));
        self.at = to;
    }

    fn bead(&mut self, to: [f64; 2], speed: f64) {
        let mut stroke = Stroke { from: self.at, to, centre: None, filament: 0.0, speed };
        stroke.filament = stroke.length() / 30.0;
        self.strokes.push((0.0, stroke));
        self.at = to;
    }

    fn arc(&mut self, to: [f64; 2], centre: [f64; 2], speed: f64) {
        let mut stroke = Stroke { from: self.at, to, centre: Some(centre), filament: 0.0, speed };
        stroke.filament = stroke.length() / 30.0;
        self.strokes.push((0.0, stroke));
        self.at = to;
    }

    /// A box with walls and a filling of lines apart by `apart` mm.
    fn filled(&mut self, [x0, y0]: [f64; 2], [x1, y1]: [f64; 2], apart: f64) {
        self.go([x0, y0]);
        for to in [[x1, y0], [x1, y1], [x0, y1], [x0, y0]] {
            self.bead(to, 15.0);
        }
        let (mut y, mut there) = (y0 + apart, true);
        while y < y1 {
            self.go([if there { x0 } else { x1 }, y]);
            self.bead([if there { x1 } else { x0 }, y], 40.0);
            (y, there) = (y + apart, !there);
        }
    }

    /// The whole job; `first` is the layer's first stroke, those before it are the strip's.
    fn text(&self, first: usize) -> String {
        let mut text = String::from("G21\nG90\nM83\nG28\nG92 E0\nG0 X0 Y0 Z0.2 F12000\n");
        for (still, stroke) in &self.strokes {
            if *still > 0.0 {
                let _ = writeln!(text, "G4 P{:.0}", still * 1000.0);
            }
            let ([x, y], feed) = (stroke.to, stroke.speed * 60.0);
            let _ = match (stroke.centre, stroke.filament) {
                (Some([cx, cy]), e) => {
                    let (i, j) = (cx - stroke.from[0], cy - stroke.from[1]);
                    writeln!(text, "G3 X{x:.4} Y{y:.4} I{i:.4} J{j:.4} E{e:.5} F{feed:.0}")
                }
                (None, 0.0) => writeln!(text, "G0 X{x:.4} Y{y:.4} F{feed:.0}"),
                (None, e) => writeln!(text, "G1 X{x:.4} Y{y:.4} E{e:.5} F{feed:.0}"),
            };
        }
        // The second layer where the first one ends: no way between.
        let [x, y] = self.at;
        let _ = writeln!(text, "G1 Z0.4 F60000\nG1 X{:.4} Y{y:.4} E1 F1200", x - 20.0);
        // Over the layer's first bead too, which is no purge strip then.
        if let Some((_, bead)) =
            self.strokes.get(first..).unwrap_or_default().iter().find(|(_, s)| s.filament > 0.0)
        {
            let ([x0, y0], [x1, y1]) = (bead.from, bead.to);
            let _ = writeln!(text, "G0 X{x0:.4} Y{y0:.4}\nG1 X{x1:.4} Y{y1:.4} E1");
        }
        text + "M104 S0\nM140 S0\nM84\n"
    }
}

/// A machine that is at its speed at once: a stroke takes its length over its speed.
fn instant() -> Machine {
    let mut machine = sheet();
    machine.motion.max_speed_mm_s = [1000; 4];
    machine.motion.max_accel_mm_s2 = [1_000_000; 4];
    machine.motion.print_accel_mm_s2 = 1_000_000;
    machine.motion.travel_accel_mm_s2 = 1_000_000;
    machine
}

fn survey(text: &str) -> Survey {
    let mut surveyor = Surveyor::new(&instant());
    surveyor.feed(text.as_bytes());
    surveyor.finish()
}

/// When a bead first comes near the middle of each cell, and when one first comes near the cell at all: shares of the
/// time from the first bead that counts to the end.
#[derive(Clone, Debug)]
struct Replay {
    through: Vec<Option<f64>>,
    near: Vec<Option<f64>>,
}

fn replay(layer: &Layer, first: usize) -> Replay {
    let mut now = 0.0;
    let mut begin = None;
    let (mut through, mut near) = (vec![None; 48 * 48], vec![None; 48 * 48]);
    for (number, (still, stroke)) in layer.strokes.iter().enumerate() {
        now += still;
        let (length, takes) = (stroke.length(), stroke.length() / stroke.speed);
        if stroke.filament > 0.0 && number >= first {
            begin.get_or_insert(now);
        }
        if stroke.filament > 0.0 {
            let places = (length / FINE).ceil() as usize;
            for place in 0..=places {
                let share = place as f64 / places.max(1) as f64;
                let [x, y] = stroke.at(share).map(|mm| mm / CELL);
                let time = now + takes * share;
                for (cx, cy) in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (dx, dy))) {
                    let (cx, cy) = (x.floor() + f64::from(cx), y.floor() + f64::from(cy));
                    if !(0.0..48.0).contains(&cx) || !(0.0..48.0).contains(&cy) {
                        continue;
                    }
                    let off = (x - cx - 0.5).abs().max((y - cy - 0.5).abs());
                    let at = cy as usize * 48 + cx as usize;
                    // An eighth of a cell round its middle; up to half a cell beyond its edge.
                    for (list, most) in [(&mut through, 0.125), (&mut near, 1.0)] {
                        if off < most {
                            let _ = list[at].get_or_insert(time);
                        }
                    }
                }
            }
        }
        now += takes;
    }
    let begin = begin.expect("a bead");
    let share = |time: Option<f64>| time.map(|time| (time - begin).max(0.0) / (now - begin));
    Replay { through: through.into_iter().map(share).collect(), near: near.into_iter().map(share).collect() }
}

fn cells() -> impl Iterator<Item = (usize, usize)> {
    (0..FOOTPRINT_CELLS).flat_map(|y| (0..FOOTPRINT_CELLS).map(move |x| (x, y)))
}

/// Holds each cell, and the picture at each moment, against the replay; `first` is the first stroke of the layer, and
/// `exact` says that each bead ends in the middles of cells.
fn agrees_as(layer: &Layer, first: usize, exact: bool) -> Footprint {
    let survey = survey(&layer.text(first));
    let picture = survey.footprint;
    assert_eq!(picture.cell_um, 5209);
    let wanted = replay(layer, first);
    // Of a permille, and of the time model's way to its speed.
    const OUT: f64 = 0.004;
    let begins: Vec<f64> =
        picture.begins[..picture.known.into()].iter().map(|begin| f64::from(*begin) / 1000.0).collect();
    assert!(begins.is_sorted(), "{begins:?}");
    let mut crossed = 0;
    for (x, y) in cells().filter(|&(x, y)| !picture.purge_at(x, y)) {
        let (through, near) = (wanted.through[y * 48 + x], wanted.near[y * 48 + x]);
        let step = usize::from(picture.step_at(x, y));
        if let Some(through) = through {
            // Ends of chords and beads are put to the middles of their cells.
            let beside =
                |x: usize, y: usize| (x - 1..=x + 1).flat_map(move |x| (y - 1..=y + 1).map(move |y| (x, y)));
            let steps = beside(x, y).map(|(x, y)| picture.step_at(x, y)).filter(|step| *step > 0);
            let begin = steps.map(|step| begins[usize::from(step) - 1]).fold(2.0, f64::min);
            assert!(begin <= through + OUT, "cell {x} {y}: at {through}, drawn from {begin} on");
        }
        if step == 0 {
            assert!(!exact || through.is_none(), "cell {x} {y} is left out");
            continue;
        }
        crossed += 1;
        let end = begins.get(step).copied().unwrap_or(1.0);
        let near = near.unwrap_or_else(|| panic!("cell {x} {y}: no bead comes near"));
        assert!(near <= end + OUT, "cell {x} {y}, step {step}: {near} after {end}");
        if let Some(through) = through.filter(|_| exact) {
            let begin = begins[step - 1];
            assert!(begin <= through + OUT, "cell {x} {y}, step {step}: {through} before {begin}");
        }
    }
    assert!(crossed > 10);
    // At each moment: what is shown as laid has been come near to, what was gone through is at least being laid.
    let mut before: Vec<Laid> = Vec::new();
    for done in 0..=1000_u16 {
        let time = f64::from(done) / 1000.0;
        let now: Vec<Laid> =
            cells().map(|(x, y)| picture.laid_at(x, y, done).unwrap_or(Laid::ToCome)).collect();
        assert!(before.iter().zip(&now).all(|(before, now)| before <= now), "{done}");
        for ((at, laid), (x, y)) in now.iter().enumerate().zip(cells()) {
            if *laid == Laid::Done {
                assert!(wanted.near[at].is_some_and(|near| near <= time + OUT), "{done}: {x} {y} too early");
            }
            if exact
                && wanted.through[at].is_some_and(|through| through < time - OUT)
                && !picture.purge_at(x, y)
            {
                assert!(*laid >= Laid::Now, "{done}: {x} {y} too late");
            }
        }
        before = now;
    }
    let all =
        cells().all(|(x, y)| !picture.layer_at(x, y) || picture.laid_at(x, y, 1000) == Some(Laid::Done));
    assert!(all, "complete at its end");
    picture
}

fn agrees(layer: &Layer, first: usize) -> Footprint {
    agrees_as(layer, first, false)
}

#[test]
fn a_box_fills_from_its_walls_inwards_line_by_line() {
    let mut layer = Layer::default();
    layer.filled([60.0, 60.0], [160.0, 150.0], 4.0);
    let picture = agrees(&layer, 0);
    assert!(picture.known > FOOTPRINT_STEPS / 2, "{} steps", picture.known);
    assert!(picture.step_at(12, 12) < picture.step_at(20, 20), "a wall before the filling");
}

#[test]
fn several_parts_come_one_after_the_other() {
    let mut layer = Layer::default();
    for part in [[20.0, 20.0], [120.0, 30.0], [40.0, 130.0], [150.0, 140.0]] {
        layer.filled(part, part.map(|side| side + 40.0), 3.0);
    }
    let picture = agrees(&layer, 0);
    // The middle of each part.
    let steps: Vec<u8> = [(7, 7), (26, 9), (11, 28), (32, 30)].map(|(x, y)| picture.step_at(x, y)).into();
    assert!(
        steps.is_sorted() && steps[0] < steps[1] && steps[1] < steps[2] && steps[2] < steps[3],
        "{steps:?}"
    );
}

#[test]
fn arcs_fill_along_their_way() {
    let mut layer = Layer::default();
    layer.go([180.0, 100.0]);
    layer.arc([180.0, 100.0], [120.0, 100.0], 20.0);
    layer.arc([60.0, 100.0], [120.0, 100.0], 20.0);
    layer.go([170.0, 100.0]);
    layer.arc([120.0, 150.0], [120.0, 100.0], 25.0);
    layer.arc([170.0, 100.0], [120.0, 100.0], 25.0);
    let picture = agrees(&layer, 0);
    // Of the first circle: begin, top, left, bottom.
    let steps = [(34, 20), (23, 30), (11, 19), (23, 7)].map(|(x, y)| picture.step_at(x, y));
    assert!(steps.is_sorted() && steps[0] < steps[3], "{steps:?}");
}

/// A second coat over the first half, much later: the cell counts from its first bead on.
#[test]
fn a_cell_that_is_crossed_again_stays_with_its_first_bead() {
    let mut layer = Layer::default();
    layer.filled([60.0, 60.0], [120.0, 100.0], 4.0);
    layer.filled([60.0, 120.0], [120.0, 160.0], 4.0);
    let once = agrees(&layer, 0);
    layer.filled([60.0, 60.0], [120.0, 100.0], 4.0);
    let twice = agrees(&layer, 0);
    assert!(twice.step_at(17, 15) <= once.step_at(17, 15), "not later than before");
    assert!(twice.step_at(17, 15) < twice.step_at(17, 26));
}

/// Standing still, and slow beads, take time and no filament.
#[test]
fn time_and_not_filament_tells_how_much_is_done() {
    let mut layer = Layer::default();
    layer.filled([60.0, 60.0], [120.0, 100.0], 4.0);
    let half = layer.strokes.len();
    layer.filled([60.0, 120.0], [120.0, 160.0], 4.0);
    layer.strokes[half].0 = 300.0;
    let picture = agrees(&layer, 0);
    let (first, second) = (picture.laid_at(17, 15, 500), picture.laid_at(17, 26, 500));
    assert_eq!((first, second), (Some(Laid::Done), Some(Laid::ToCome)), "half the time is the pause");
}

/// A strip apart from the part: the layer's time begins behind it, and its cells are none of the layer's.
#[test]
fn a_purge_strip_has_no_part_in_the_order() {
    let mut layer = Layer::default();
    layer.go([20.0, 8.0]);
    layer.bead([200.0, 8.0], 20.0);
    let strip = layer.strokes.len();
    layer.filled([90.0, 90.0], [130.0, 130.0], 3.0);
    // The second layer begins over the part.
    let picture = agrees(&layer, strip);
    assert!(picture.purge_at(20, 1) && picture.laid_at(20, 1, 1000).is_none());
    assert!(picture.known > 4, "{} steps", picture.known);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, ..ProptestConfig::default() })]

    #[test]
    fn any_strokes_fill_in_their_order(seed in any::<u64>(), count in 3_usize..60) {
        let mut dice = Dice::new(seed);
        let mut layer = Layer::default();
        // Middles of cells: a bead's ends are put there, and it may be drawn half a cell beside its way else.
        let place = |dice: &mut Dice| [0, 1].map(|_| (2.5 + dice.roll(36) as f64) * CELL);
        layer.go([20.5 * CELL, 20.5 * CELL]);
        layer.bead([26.5 * CELL, 20.5 * CELL], 20.0);
        for _ in 0..count {
            if dice.roll(3) == 0 {
                layer.go(place(&mut dice));
            }
            layer.bead(place(&mut dice), 5.0 + dice.roll(50) as f64);
        }
        agrees_as(&layer, 0, true);
    }
}
