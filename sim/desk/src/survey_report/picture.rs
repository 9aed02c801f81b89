//! The survey as a picture: the first layer on the plate, to scale, and the time of each layer.

use std::io::{Seek, Write};
use std::path::Path;

use anyhow::Result;
use holdpoint_shared::survey::{FOOTPRINT_CELLS, FOOTPRINT_STEPS};

use super::scene::{Anchor, CHAR_WIDTH, Colour, Scene, Shape};
use super::{LayerTime, Surveyed, layer_times, raster, svg};
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
// Blue and vermilion of a palette that most colour-blind readers tell apart (Okabe and Ito 2008); the purge strip has
// edges besides.
const BEAD: Colour = [0x00, 0x72, 0xB2];
/// The first beads of the layer; the last ones are [`BEAD`].
const FIRST_BEAD: Colour = [0xB3, 0xD9, 0xF2];
const PURGE: Colour = [0xD5, 0x5E, 0x00];

/// A picture's file format.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureForm {
    /// Pixels.
    Png,
    /// Shapes and texts.
    Svg,
}

impl PictureForm {
    /// The form that a file's ending asks for.
    #[must_use]
    pub fn of(path: &Path) -> Option<Self> {
        let ending = path.extension()?.to_str()?;
        [("png", Self::Png), ("svg", Self::Svg)]
            .into_iter()
            .find_map(|(known, form)| ending.eq_ignore_ascii_case(known).then_some(form))
    }
}

/// Writes the picture.
///
/// # Errors
/// When it cannot be written.
pub fn write_picture(
    surveyed: &Surveyed<'_>,
    form: PictureForm,
    out: &mut (impl Write + Seek),
) -> Result<()> {
    let scene = scene(surveyed);
    match form {
        PictureForm::Png => raster::write(out, &scene),
        PictureForm::Svg => Ok(svg::write(out, &scene)?),
    }
}

fn scene(surveyed: &Surveyed<'_>) -> Scene {
    let mut scene = Scene { width: WIDTH, height: HEIGHT, shapes: Vec::new() };
    let name = surveyed.path.rsplit(['/', '\\']).next().unwrap_or(surveyed.path);
    let most = (WIDTH as i32 - 2 * PLATE_LEFT) / CHAR_WIDTH;
    scene.text(PLATE_LEFT, 30, Anchor::Start, name.chars().take(most as usize).collect());
    plate(&mut scene, surveyed);
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

/// Places on the plate, µm, to places of the drawing.
#[derive(Clone, Copy, Debug)]
struct Scale {
    origin_um: [i64; 2],
    /// The plate's sides.
    size_um: [i64; 2],
}

impl Scale {
    fn pixels(&self, um: i64) -> i32 {
        let [x, y] = self.size_um;
        (um * i64::from(SIDE) / x.max(y).max(1)) as i32
    }

    fn x(&self, um: i64) -> i32 {
        PLATE_LEFT + self.pixels((um - self.origin_um[0]).clamp(0, self.size_um[0]))
    }

    fn y(&self, um: i64) -> i32 {
        let up = (um - self.origin_um[1]).clamp(0, self.size_um[1]);
        TOP + self.pixels(self.size_um[1] - up)
    }
}

fn plate(scene: &mut Scene, surveyed: &Surveyed<'_>) {
    let survey = &surveyed.job.survey;
    let footprint = &survey.footprint;
    let machine = surveyed.machine;
    let scale = Scale { origin_um: footprint.origin_um.map(i64::from), size_um: machine.bed_um };
    let [width, height] = machine.bed_um;
    let whose = match surveyed.machine_path {
        Some(_) => format!("plate of {}, {} x {} mm", machine.tag, decimals(width, 3), decimals(height, 3)),
        None => "no machine sheet: the frame holds the beads, it is no plate".to_owned(),
    };
    let z = match survey.first_layer.plane {
        Some(plane) => format!("First layer at Z {} mm", decimals(plane.z_um.into(), 3)),
        None => "No first layer".to_owned(),
    };
    scene.text(PLATE_LEFT, 54, Anchor::Start, z);
    let (left, bottom) = (scale.x(scale.origin_um[0]), scale.y(scale.origin_um[1]));
    let (right, top) = (scale.x(scale.origin_um[0] + width), scale.y(scale.origin_um[1] + height));
    for um in steps(scale.origin_um[0], width) {
        scene.line([scale.x(um), top], [scale.x(um), bottom], GREY);
        scene.text(scale.x(um), bottom + 20, Anchor::Middle, decimals(um, 3));
    }
    for um in steps(scale.origin_um[1], height) {
        scene.line([left, scale.y(um)], [right, scale.y(um)], GREY);
        scene.text(left - 8, scale.y(um) + 5, Anchor::End, decimals(um, 3));
    }
    scene.text((left + right) / 2, bottom + 42, Anchor::Middle, "X, mm".to_owned());
    scene.text(left, top - 12, Anchor::End, "Y, mm".to_owned());
    let steps = footprint.known;
    for step in 1..=FOOTPRINT_STEPS {
        let fill = shade(step, steps);
        cells(scene, scale, footprint.cell_um.into(), |x, y| footprint.step_at(x, y) == step, fill, fill);
    }
    cells(scene, scale, footprint.cell_um.into(), |x, y| footprint.purge_at(x, y), PURGE, BLACK);
    let frame = [left, top, right - left, bottom - top];
    let [x, y, width, height] = frame;
    if machine.round {
        scene.shapes.push(Shape::Circle { x, y, diameter: width.min(height).unsigned_abs(), stroke: BLACK });
    } else {
        let (width, height) = (width.unsigned_abs(), height.unsigned_abs());
        scene.shapes.push(Shape::Frame { x, y, width, height, stroke: BLACK });
    }
    let row = bottom + 68;
    for (x, fill) in [(0, shade(1, steps)), (12, shade(steps.div_ceil(2), steps)), (24, BEAD)] {
        scene.shapes.push(Shape::Area { x: left + x, y: row - 11, width: 12, height: 12, fill });
    }
    let cell = decimals(footprint.cell_um.into(), 3);
    scene.text(left + 44, row, Anchor::Start, format!("beads, first to last, in cells of {cell} mm"));
    scene.text(left, row + 22, Anchor::Start, whose);
    if survey.purge.is_some() {
        scene.shapes.push(Shape::Area { x: left + 440, y: row - 11, width: 12, height: 12, fill: PURGE });
        scene.shapes.push(Shape::Frame { x: left + 440, y: row - 11, width: 12, height: 12, stroke: BLACK });
        scene.text(left + 460, row, Anchor::Start, "purge strip".to_owned());
    }
}

/// Colour of a step of the layer, of so many; the last one where no order is known.
fn shade(step: u8, steps: u8) -> Colour {
    let (part, whole) = (u32::from(step.max(1)) - 1, u32::from(steps.max(2)) - 1);
    let mut colour = BEAD;
    if steps > 1 {
        for (to, from) in colour.iter_mut().zip(FIRST_BEAD) {
            let mixed =
                (u32::from(from) * (whole - part.min(whole)) + u32::from(*to) * part.min(whole)) / whole;
            *to = u8::try_from(mixed).unwrap_or(*to);
        }
    }
    colour
}

/// Draws the cells that are set: each run of a row as one area.
fn cells(
    scene: &mut Scene,
    scale: Scale,
    cell_um: i64,
    is_set: impl Fn(usize, usize) -> bool,
    fill: Colour,
    stroke: Colour,
) {
    for row in 0..FOOTPRINT_CELLS {
        let mut column = 0;
        while column < FOOTPRINT_CELLS {
            let begin = column;
            while column < FOOTPRINT_CELLS && is_set(column, row) {
                column += 1;
            }
            if column > begin {
                let place = |cell: usize, axis: usize| {
                    scale.origin_um.get(axis).copied().unwrap_or(0) + cell as i64 * cell_um
                };
                let (x, y) = (scale.x(place(begin, 0)), scale.y(place(row + 1, 1)));
                let width = (scale.x(place(column, 0)) - x).unsigned_abs();
                let height = (scale.y(place(row, 1)) - y).unsigned_abs();
                scene.shapes.push(Shape::Area { x, y, width, height, fill });
                if stroke != fill {
                    scene.shapes.push(Shape::Frame { x, y, width, height, stroke });
                }
            }
            column += 1;
        }
    }
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
        let shades: Vec<_> = (1..=9).map(|step| shade(step, 9)).collect();
        assert_eq!((shades[0], shades[8]), (FIRST_BEAD, BEAD));
        assert!(shades.windows(2).all(|pair| pair[0].iter().zip(pair[1]).all(|(a, b)| *a >= b)));
        assert_eq!((shade(1, 0), shade(1, 1)), (BEAD, BEAD), "no order");
    }

    #[test]
    fn the_ending_tells_the_form() {
        assert_eq!(PictureForm::of(Path::new("a/b.PNG")), Some(PictureForm::Png));
        assert_eq!(PictureForm::of(Path::new("b.svg")), Some(PictureForm::Svg));
        assert_eq!(PictureForm::of(Path::new("b.jpg")), None);
        assert_eq!(PictureForm::of(Path::new("png")), None);
    }
}
