//! The survey as a picture: the beads of a layer, to scale, and the time of each layer.

use super::layer::{Bead, LayerBeads};
use super::scene::{Anchor, CHAR_WIDTH, Colour, Scene, Shape};
use super::{LayerTime, Surveyed, layer_times, svg};
use crate::amounts::decimals;

const WIDTH: u32 = 1180;
const HEIGHT: u32 = 680;
/// Side of each of the two plots.
const SIDE: i32 = 480;
const TOP: i32 = 90;
const PLATE_LEFT: i32 = 70;
const TIMES_LEFT: i32 = 660;
/// Steps of an axis at most.
const STEPS: i64 = 6;

const BLACK: Colour = [0x20, 0x20, 0x20];
const GREY: Colour = [0xC8, 0xC8, 0xC8];
// Blue of a palette that most colour-blind readers tell apart (Okabe and Ito 2008); light and dark say the order.
const BEAD: Colour = [0x00, 0x72, 0xB2];
/// The first beads of the layer; the last ones are [`BEAD`].
const FIRST_BEAD: Colour = [0xB3, 0xD9, 0xF2];
/// Shades from the first bead to the last.
const SHADES: f64 = 12.0;
/// The picture shows at least so much, mm.
const LEAST_WINDOW_MM: f64 = 10.0;

/// The picture as an SVG document.
#[must_use]
pub fn svg_picture(surveyed: &Surveyed<'_>, layer: &LayerBeads) -> String {
    svg::document(&scene(surveyed, layer))
}

fn scene(surveyed: &Surveyed<'_>, layer: &LayerBeads) -> Scene {
    let mut scene = Scene { width: WIDTH, height: HEIGHT, shapes: Vec::new() };
    let name = surveyed.path.rsplit(['/', '\\']).next().unwrap_or(surveyed.path);
    let most = (WIDTH as i32 - 2 * PLATE_LEFT) / CHAR_WIDTH;
    scene.text(PLATE_LEFT, 30, Anchor::Start, name.chars().take(most as usize).collect());
    plate(&mut scene, surveyed, layer);
    times(&mut scene, &layer_times(&surveyed.job.survey));
    scene
}

impl Scene {
    fn text(&mut self, x: i32, y: i32, anchor: Anchor, text: String) {
        self.shapes.push(Shape::Text { x, y, anchor, text, fill: BLACK });
    }

    fn line(&mut self, from: [i32; 2], to: [i32; 2], stroke: Colour) {
        self.shapes.push(Shape::Line { from, to, stroke });
    }
}

/// Places on the plate, mm, to places of the drawing: a square window on the layer.
#[derive(Clone, Copy, Debug)]
struct Window {
    /// Its lower left corner.
    origin_mm: [f64; 2],
    side_mm: f64,
}

impl Window {
    /// Round the beads, with a margin; round the plate where there are none.
    fn round(beads: &[Bead], plate_mm: [[f64; 2]; 2]) -> Self {
        let [mut min, mut max] = [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]];
        for bead in beads {
            let half = bead.width_mm / 2.0;
            for point in &bead.points {
                for ((least, most), at) in min.iter_mut().zip(&mut max).zip(point) {
                    (*least, *most) = (least.min(at - half), most.max(at + half));
                }
            }
        }
        if beads.is_empty() {
            [min, max] = plate_mm;
        }
        let ([x0, y0], [x1, y1]) = (min, max);
        let side_mm = (1.06 * (x1 - x0).max(y1 - y0)).max(LEAST_WINDOW_MM);
        Self {
            origin_mm: [f64::midpoint(x0, x1) - side_mm / 2.0, f64::midpoint(y0, y1) - side_mm / 2.0],
            side_mm,
        }
    }

    fn scale(&self) -> f64 {
        f64::from(SIDE) / self.side_mm
    }

    fn x(&self, mm: f64) -> f64 {
        f64::from(PLATE_LEFT) + (mm - self.origin_mm[0]) * self.scale()
    }

    fn y(&self, mm: f64) -> f64 {
        f64::from(TOP + SIDE) - (mm - self.origin_mm[1]) * self.scale()
    }
}

fn plate(scene: &mut Scene, surveyed: &Surveyed<'_>, layer: &LayerBeads) {
    let machine = surveyed.machine;
    let [width_mm, depth_mm] = machine.bed_um.map(|um| um as f64 / 1000.0);
    let origin = if machine.origin_centre { [-width_mm / 2.0, -depth_mm / 2.0] } else { [0.0; 2] };
    let plate_mm = [origin, [origin[0] + width_mm, origin[1] + depth_mm]];
    let window = Window::round(&layer.beads, plate_mm);
    let title = if layer.layers == 0 {
        "No layer".to_owned()
    } else {
        format!("Layer {} of {} at Z {:.3} mm", layer.layer, layer.layers, layer.z_mm)
    };
    scene.text(PLATE_LEFT, 54, Anchor::Start, title);
    let (left, right, top, bottom) = (PLATE_LEFT, PLATE_LEFT + SIDE, TOP, TOP + SIDE);
    let [x0, y0] = window.origin_mm.map(|mm| (mm * 1000.0) as i64);
    let side_um = (window.side_mm * 1000.0) as i64;
    for um in steps(x0, side_um) {
        let x = window.x(um as f64 / 1000.0) as i32;
        scene.line([x, top], [x, bottom], GREY);
        scene.text(x, bottom + 20, Anchor::Middle, decimals(um, 3));
    }
    for um in steps(y0, side_um) {
        let y = window.y(um as f64 / 1000.0) as i32;
        scene.line([left, y], [right, y], GREY);
        scene.text(left - 8, y + 5, Anchor::End, decimals(um, 3));
    }
    scene.text((left + right) / 2, bottom + 42, Anchor::Middle, "X, mm".to_owned());
    scene.text(left, top - 12, Anchor::End, "Y, mm".to_owned());
    beads(scene, &window, &layer.beads);
    let side = SIDE.unsigned_abs();
    scene.shapes.push(Shape::Frame { x: left, y: top, width: side, height: side, stroke: BLACK });
    if surveyed.machine_path.is_some() {
        whole_plate(scene, &window, plate_mm, machine.round);
    }
    let row = bottom + 68;
    for (x, fill) in [(0, shade(0.0)), (12, shade(0.5)), (24, shade(1.0))] {
        scene.shapes.push(Shape::Area { x: left + x, y: row - 11, width: 12, height: 12, fill });
    }
    scene.text(left + 44, row, Anchor::Start, "beads in their true width, first to last".to_owned());
    let whose = match surveyed.machine_path {
        Some(_) => format!("plate of {}: {width_mm} x {depth_mm} mm", machine.tag),
        None => "no machine sheet: width for filament of 1.75 mm".to_owned(),
    };
    scene.text(left, row + 22, Anchor::Start, whose);
}

/// The beads: those that go on from one to the next as one line, light to dark in their order.
fn beads(scene: &mut Scene, window: &Window, beads: &[Bead]) {
    let place = |[x, y]: [f64; 2]| [window.x(x), window.y(y)];
    let mut line: Option<(Vec<[f64; 2]>, f64, Colour)> = None;
    let mut push = |(points, width, stroke): (Vec<[f64; 2]>, f64, Colour)| {
        scene.shapes.push(Shape::Stroke { points, width, stroke });
    };
    for (number, bead) in beads.iter().enumerate() {
        let share = number as f64 / (beads.len().max(2) - 1) as f64;
        let stroke = shade((share * SHADES).round() / SHADES);
        // Never thinner than what can be seen.
        let width = (bead.width_mm * window.scale()).max(0.4);
        let points = bead.points.iter().map(|point| place(*point));
        match &mut line {
            Some((drawn, was, colour))
                if bead.chained && *colour == stroke && (*was - width).abs() < width / 20.0 =>
            {
                drawn.extend(points.skip(1));
            }
            _ => {
                if let Some(done) = line.replace((points.collect(), width, stroke)) {
                    push(done);
                }
            }
        }
    }
    if let Some(done) = line {
        push(done);
    }
}

/// The whole plate small in a corner, with the window on it.
fn whole_plate(scene: &mut Scene, window: &Window, [min, max]: [[f64; 2]; 2], round: bool) {
    const SMALL: f64 = 64.0;
    let ([x0, y0], [x1, y1]) = (min, max);
    let scale = SMALL / (x1 - x0).max(y1 - y0).max(1.0);
    let (right, top) = (PLATE_LEFT + SIDE, 16);
    let (width, height) = (((x1 - x0) * scale) as u32, ((y1 - y0) * scale) as u32);
    let left = right - width as i32;
    if round {
        scene.shapes.push(Shape::Circle { x: left, y: top, diameter: width.min(height), stroke: BLACK });
    } else {
        scene.shapes.push(Shape::Frame { x: left, y: top, width, height, stroke: BLACK });
    }
    let [wx, wy] = window.origin_mm;
    let inside = |mm: f64, from: f64, to: f64| ((mm.clamp(from, to) - from) * scale) as i32;
    let (from, to) = (inside(wx, x0, x1), inside(wx + window.side_mm, x0, x1));
    let (low, high) = (inside(wy, y0, y1), inside(wy + window.side_mm, y0, y1));
    scene.shapes.push(Shape::Area {
        x: left + from,
        y: top + height as i32 - high,
        width: (to - from).max(2).unsigned_abs(),
        height: (high - low).max(2).unsigned_abs(),
        fill: BEAD,
    });
}

/// Colour of a bead at a share of the layer's beads, from 0 to 1.
fn shade(share: f64) -> Colour {
    let mut colour = BEAD;
    for (to, from) in colour.iter_mut().zip(FIRST_BEAD) {
        *to = (f64::from(from) + (f64::from(*to) - f64::from(from)) * share.clamp(0.0, 1.0)).round() as u8;
    }
    colour
}

fn times(scene: &mut Scene, times: &[LayerTime]) {
    let (left, right, top, bottom) = (TIMES_LEFT, TIMES_LEFT + SIDE, TOP, TOP + SIDE);
    let most = times.iter().map(LayerTime::mean_ms).max().unwrap_or(0).max(1);
    let layers = times.last().map_or(0, |time| time.last).max(1);
    let stride = times.first().map_or(1, |time| time.last);
    let mean = if stride > 1 { format!(" (mean of {stride} each)") } else { String::new() };
    scene.text(left, 54, Anchor::Start, format!("Time of each layer{mean}"));
    // Minutes where seconds would have four digits.
    let (unit, unit_ms) = if most >= 1_000_000 { ("min", 60_000) } else { ("s", 1_000) };
    let y = |ms: i64| bottom - (ms * i64::from(SIDE) / i64::from(most)) as i32;
    for step in steps(0, i64::from(most) * 1000 / unit_ms) {
        let at = y(step * unit_ms / 1000);
        scene.line([left, at], [right, at], GREY);
        scene.text(left - 8, at + 5, Anchor::End, decimals(step, 3));
    }
    scene.text(left, top - 12, Anchor::End, format!("t, {unit}"));
    let x = |layer: u32| left + (i64::from(layer) * i64::from(SIDE) / i64::from(layers)) as i32;
    for time in times {
        let (from, to, at) = (x(time.first - 1), x(time.last), y(time.mean_ms().into()));
        // A gap between bars that are wide enough to spare it.
        let gap = i32::from(to - from > 3);
        let width = (to - from - gap).max(1).unsigned_abs();
        let height = (bottom - at).unsigned_abs();
        scene.shapes.push(Shape::Area { x: from, y: at, width, height, fill: BEAD });
    }
    // Below the middle of each bar.
    for step in steps(0, layers.into()).filter(|step| *step > 0) {
        let layer = u32::try_from(step).unwrap_or(layers);
        let at = i32::midpoint(x(layer - 1), x(layer));
        scene.line([at, bottom], [at, bottom + 5], BLACK);
        scene.text(at, bottom + 20, Anchor::Middle, step.to_string());
    }
    scene.line([left, top], [left, bottom], BLACK);
    scene.line([left, bottom], [right, bottom], BLACK);
    scene.text((left + right) / 2, bottom + 42, Anchor::Middle, "layer, in the order of printing".to_owned());
    if times.is_empty() {
        scene.text((left + right) / 2, (top + bottom) / 2, Anchor::Middle, "no layers".to_owned());
    }
}

/// Round numbers from `from` to `from + span`, [`STEPS`] or a few more, apart by 1, 2 or 5 times a power of ten.
fn steps(from: i64, span: i64) -> impl Iterator<Item = i64> {
    let mut step = 1_i64;
    let mut factors = [2, 5, 10].into_iter().cycle();
    let mut base = 1_i64;
    while span / step > STEPS && base < i64::MAX / 100 {
        let factor = factors.next().unwrap_or(10);
        step = base * factor;
        if factor == 10 {
            base = step;
        }
    }
    let first = from.div_euclid(step) * step;
    let first = if first < from { first + step } else { first };
    let count = if span < 0 { 0 } else { (from + span - first).div_euclid(step) + 1 };
    (0..count.max(0)).map(move |number| first + number * step)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_have_round_steps() {
        let steps = |from, span| super::steps(from, span).collect::<Vec<_>>();
        assert_eq!(steps(0, 220_000), [0, 50_000, 100_000, 150_000, 200_000]);
        assert_eq!(steps(-110_000, 220_000), [-100_000, -50_000, 0, 50_000, 100_000]);
        assert_eq!(steps(0, 6), [0, 1, 2, 3, 4, 5, 6]);
        assert_eq!(steps(0, 7), [0, 2, 4, 6]);
        assert_eq!(steps(0, 0), [0]);
    }

    #[test]
    fn later_beads_are_darker() {
        let shades: Vec<_> = (0..=8).map(|step| shade(f64::from(step) / 8.0)).collect();
        assert_eq!((shades[0], shades[8]), (FIRST_BEAD, BEAD));
        assert!(shades.windows(2).all(|pair| pair[0].iter().zip(pair[1]).all(|(a, b)| *a >= b)));
    }

    #[test]
    fn beads_lie_where_they_are_and_as_wide_as_they_are() {
        let bead = |points: [[f64; 2]; 2], chained| Bead { points: points.to_vec(), width_mm: 0.5, chained };
        let layer = [
            bead([[100.0, 50.0], [120.0, 50.0]], false),
            bead([[120.0, 50.0], [120.0, 90.0]], true),
            bead([[110.0, 60.0], [111.0, 60.0]], false),
        ];
        let window = Window::round(&layer, [[0.0; 2]; 2]);
        // 40.5 mm and the margin; the window's middle is the beads'.
        assert!((window.side_mm - 1.06 * 40.5).abs() < 1e-9);
        assert!((window.x(110.0) - f64::from(PLATE_LEFT + SIDE / 2)).abs() < 1e-9);
        let mut scene = Scene::default();
        beads(&mut scene, &window, &layer);
        let strokes: Vec<_> = scene
            .shapes
            .iter()
            .map(|shape| match shape {
                Shape::Stroke { points, width, .. } => (points.len(), *width),
                other => panic!("{other:?}"),
            })
            .collect();
        // The shades of three beads differ: each is a line of its own.
        assert_eq!(strokes.iter().map(|(points, _)| *points).collect::<Vec<_>>(), [2, 2, 2]);
        assert!(strokes.iter().all(|(_, width)| (width - 0.5 * window.scale()).abs() < 1e-9));
    }
}
