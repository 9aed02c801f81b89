//! Sound jobs from a seed: which parts, how they are printed, and the whole from start to end.

use super::Draft;
use super::ends::{self, Heat};
use super::layers::{self, Process, Slice};
use super::pen::{At, Pen, Row};
use super::place::Place;
use super::rng::Rng;
use super::shape::{Kind, Outline, Part, circle, inset};
use super::style::{Arcs, Feed, Label, Remarks, Retract, Style};
use super::write;

/// What a test wants of a job, apart from the seed's own choice.
#[derive(Clone, Copy, Debug, Default)]
pub struct Wish {
    pub kind: Option<Kind>,
    pub feed: Option<Feed>,
    pub label: Option<Label>,
    /// At least so many bytes, by more layers of a plain shape.
    pub bytes: usize,
    pub one_by_one: Option<bool>,
    pub plain_lines: bool,
}

/// What is known of a job.
#[derive(Clone, Debug)]
pub struct Facts {
    pub kind: Kind,
    pub material: &'static str,
    pub bore: f64,
    pub filament: f64,
    /// Most filament that is used at once, mm.
    pub length: f64,
    pub first: f64,
    pub layer: f64,
    pub width: f64,
    pub layers: u32,
    pub heat: Heat,
    pub one_by_one: bool,
    pub parts: Vec<Part>,
    pub top: f64,
    pub feed: Feed,
}

/// The body of a job's rows, without a header.
#[must_use]
pub fn body_of(rows: &[Row], style: &Style) -> Vec<u8> {
    write::body(rows, style)
}

const KINDS: [Kind; 16] = [
    Kind::Box,
    Kind::Cylinder,
    Kind::Cone,
    Kind::Star,
    Kind::Tube,
    Kind::Nut,
    Kind::Gear,
    Kind::Islands,
    Kind::Frame,
    Kind::Bridge,
    Kind::Mushroom,
    Kind::Ell,
    Kind::Tower,
    Kind::Vase,
    Kind::ThinWall,
    Kind::Lattice,
];

fn process(rng: &mut Rng, place: &Place, kind: Kind) -> Process {
    let bore = place.bore;
    let layer = (bore * rng.pick(&[0.4, 0.5, 0.5, 0.5, 0.6, 0.7]) * 100.0).round() / 100.0;
    let first = (bore * rng.pick(&[0.5, 0.5, 0.6, 0.7]) * 100.0).round() / 100.0;
    let width = bore * rng.pick(&[1.0, 1.05, 1.1, 1.125, 1.2]);
    let coarse = bore > 0.5;
    let mm_s =
        (place.flow * 0.85 / (width * layer)).min(place.material.most_mm_s).min(rng.between(35.0, 90.0));
    let first_mm_s = (place.flow * 0.85 / (width * first)).min(place.material.first_mm_s);
    let delicate = matches!(kind, Kind::Islands | Kind::Gear | Kind::Tower | Kind::Nut | Kind::Frame);
    Process {
        bore,
        layer,
        first,
        width,
        walls: if coarse && delicate { 1 } else { 2 + rng.below(2) },
        sparse: rng.pick(&[0.0, 1.0, 3.0, 5.0, 8.0]),
        solid_layers: 3,
        mm_s,
        first_mm_s,
        paired_infill: layer * 2.0 <= bore * 0.8 && rng.chance(30),
        scarf: rng.chance(8),
        ironing: matches!(kind, Kind::Box | Kind::Flat) && rng.chance(15),
        wavy_skin: kind == Kind::Box && rng.chance(15),
        varied: kind != Kind::Vase && rng.chance(15),
        joined: rng.chance(50),
        clockwise: rng.chance(40),
        walls_last: rng.chance(20),
        square: rng.chance(40),
    }
}

/// Where so many parts go on the plate, each in a cell of its own: cell size and centres.
fn cells(place: &Place, count: usize, cell: f64) -> Vec<(f64, f64)> {
    let (w, d) = (place.bed.0 - 30.0, place.bed.1 - 44.0);
    let columns = ((w / cell) as usize).clamp(1, count.max(1));
    let rows = count.div_ceil(columns).min((d / cell).max(1.0) as usize);
    let mut centres = Vec::new();
    for row in 0..rows {
        for column in 0..columns {
            let x = place.bed.0 / 2.0 + (column as f64 - (columns as f64 - 1.0) / 2.0) * cell;
            let y = place.bed.1 / 2.0 + 7.0 + (row as f64 - (rows as f64 - 1.0) / 2.0) * cell;
            centres.push((x + place.origin.0, y + place.origin.1));
        }
    }
    centres.truncate(count);
    centres
}

fn parts(rng: &mut Rng, place: &Place, kind: Kind, one_by_one: bool) -> Vec<Part> {
    let single = matches!(kind, Kind::Vase | Kind::Flat);
    let count = if single {
        1
    } else if one_by_one {
        2 + rng.below(3)
    } else {
        rng.pick(&[1, 1, 2, 3, 5])
    };
    let room = if single { 60.0 } else { 16.0 };
    let mut first = Part::choose(rng, kind, room);
    if kind == Kind::Gear {
        first.half = (15.0, 15.0);
    }
    if one_by_one {
        first.height = first.height.min(place.clearance.1 - 4.0);
    }
    // A brim of 5 mm reaches 7.1 mm from a corner.
    let gap = if one_by_one { place.clearance.0 + 8.0 } else { rng.between(4.0, 12.0) + 12.0 };
    let cell = 2.0 * first.reach() + gap;
    let mixed = !one_by_one && rng.chance(35);
    let mut parts = Vec::new();
    for (n, at) in cells(place, count, cell).into_iter().enumerate() {
        let mut part = first;
        if mixed && n > 0 && !single {
            let kind =
                rng.pick(&[Kind::Box, Kind::Cylinder, Kind::Tube, Kind::Star, Kind::Ell, Kind::ThinWall]);
            part = Part::choose(rng, kind, 16.0);
            part.half = (part.half.0.min(first.half.0.max(7.0)), part.half.1.min(first.half.1.max(7.0)));
        }
        part.at = at;
        parts.push(part);
    }
    parts
}

fn wants_brim(part: &Part, place: &Place) -> bool {
    let curls = matches!(place.material.name, "ABS" | "ASA" | "PC" | "PA12" | "PP");
    part.kind == Kind::Tower || (curls && part.reach() > 50.0) || part.kind == Kind::Lattice
}

/// A sound job. The same seed and wish give the same job.
#[must_use]
pub fn sound(seed: u64, wish: Wish) -> Draft {
    let mut rng = Rng::new(seed);
    let mut place = Place::choose(&mut rng);
    let mut style = Style::choose(&mut rng);
    let mut kind = if rng.chance(8) { Kind::Flat } else { rng.pick(&KINDS) };
    kind = wish.kind.unwrap_or(kind);
    if wish.plain_lines {
        (style.numbered, style.tight, style.lower, style.retract) = (false, false, false, Retract::Words);
        style.line_end = rng.pick(&["\n", "\r\n"]);
    }
    style.feed = wish.feed.unwrap_or(style.feed);
    style.label = wish.label.unwrap_or(style.label);
    if style.remarks == Remarks::None && style.label != Label::Header {
        style.label = Label::None;
    }
    if kind == Kind::Gear && place.bore > 0.5 {
        place.bore = 0.4;
        place.flow = 11.0 * f64::from(place.material.flow_percent) / 100.0;
    }
    let process = process(&mut rng, &place, kind);
    let one_by_one =
        wish.one_by_one.unwrap_or(rng.chance(12)) && !matches!(kind, Kind::Vase | Kind::Flat | Kind::Tower);
    let mut parts = parts(&mut rng, &place, kind, one_by_one);
    let m = place.material;
    let nozzle = m.nozzle_c.0 + rng.below((m.nozzle_c.1 - m.nozzle_c.0 + 1) as usize) as i32;
    let heat = Heat {
        nozzle,
        nozzle_first: if rng.chance(30) { (nozzle + 5).min(m.nozzle_c.1) } else { nozzle },
        bed: m.bed_c.0 + rng.below((m.bed_c.1 - m.bed_c.0 + 1) as usize) as i32,
    };
    let mut layers_seed = rng.clone();
    if wish.bytes > 0 {
        let once = build(
            &mut rng.clone(),
            &place,
            &style,
            &process,
            &parts,
            heat,
            one_by_one,
            &mut layers_seed.clone(),
        );
        let have = write::body(&once.0.rows, &style).len().max(1);
        let factor = wish.bytes as f64 / have as f64;
        if factor > 1.0 {
            let most = if one_by_one { place.clearance.1 - 4.0 } else { place.height * 0.5 };
            // Not so tall that it may topple.
            parts
                .iter_mut()
                .for_each(|part| part.height = (part.height * factor).min(most).min(part.radius() * 4.0));
        }
    }
    let (pen, count, top) =
        build(&mut rng, &place, &style, &process, &parts, heat, one_by_one, &mut layers_seed);
    let unlabelled = style.label == Label::None;
    Draft {
        what: format!(
            "{seed:x}: {kind:?} x{} {} {:?} {:?} {:?} {:?}{}{}{}{}",
            parts.len(),
            m.name,
            style.feed,
            style.remarks,
            style.retract,
            style.arcs,
            if one_by_one { " one by one" } else { "" },
            if process.varied { " varied" } else { "" },
            if process.paired_infill { " paired" } else { "" },
            if process.ironing || process.wavy_skin { " skin" } else { "" },
        ),
        facts: Facts {
            kind,
            material: m.name,
            bore: place.bore,
            filament: place.filament,
            length: pen.most_fed,
            first: process.first,
            layer: process.layer,
            width: process.width,
            layers: count,
            heat,
            one_by_one,
            parts,
            top,
            feed: style.feed,
        },
        rows: pen.rows,
        style,
        place,
        due: if unlabelled { vec![55] } else { Vec::new() },
        bytes: None,
    }
}

#[expect(clippy::too_many_arguments, reason = "each is made by `sound` in turn, and nothing else calls it")]
fn build(
    rng: &mut Rng,
    place: &Place,
    style: &Style,
    process: &Process,
    parts: &[Part],
    heat: Heat,
    one_by_one: bool,
    layers_rng: &mut Rng,
) -> (Pen, u32, f64) {
    let mut pen = Pen::new(style.clone(), place);
    if style.feed == Feed::AllRelative {
        pen.style.feed = Feed::Relative;
    }
    ends::start(&mut pen, place, process, heat, rng);
    let purge = rng.below(6);
    ends::purge(&mut pen, place, process, purge, rng);
    pen.at = At::Layer(0);
    if let Some(part) = parts.first() {
        pen.travel(part.at.0 - part.reach().min(20.0), part.at.1);
    }
    if style.feed == Feed::AllRelative {
        pen.say("G91");
        pen.say("M83");
        pen.style.feed = Feed::AllRelative;
    }
    let skirt = rng.chance(40) || purge == 0;
    let brim = rng.chance(12);
    let ears = rng.chance(6);
    let fan_from = 1 + rng.below(2);
    let fan =
        place.material.fan.0 + rng.below((place.material.fan.1 - place.material.fan.0 + 1) as usize) as i32;
    let groups: Vec<&[Part]> = if one_by_one { parts.chunks(1).collect() } else { vec![parts] };
    let (mut number, mut top) = (0, 0.0_f64);
    for (n, group) in groups.iter().enumerate() {
        let tallest = group.iter().map(|part| part.height).fold(0.0, f64::max);
        let heights = process.heights(tallest, layers_rng);
        let mut z = 0.0;
        let vase = group.iter().any(|part| part.kind == Kind::Vase);
        for (index, height) in heights.iter().copied().enumerate() {
            z += height;
            if vase && index > process.solid_layers {
                break;
            }
            pen.at = At::Layer(number);
            if style.feed == Feed::AbsoluteByLayer && number > 0 {
                pen.zero_feed();
            }
            pen.remark(&format!("layer {number} z {z:.2}"));
            if style.layer_messages && !style.tight && !style.lower {
                pen.say(&format!("M117 Layer {number}"));
            }
            if index == 0 && n > 0 {
                if let Some(part) = group.first() {
                    let near = part.outlines(0.1)[0][0];
                    pen.travel_above(near.0, near.1, top + 2.0);
                }
                pen.rise(z);
                pen.ready();
            }
            pen.rise(z);
            let due_fan = if n == 0 { index == fan_from } else { false };
            if due_fan && fan > 0 {
                pen.say(&format!("M106 S{fan}"));
            }
            if index == 1 && n == 0 && heat.nozzle != heat.nozzle_first {
                pen.say(&format!("M104 S{}", heat.nozzle));
            }
            if index == 0 {
                if skirt && n == 0 {
                    skirt_round(&mut pen, process, place, group);
                }
                for part in *group {
                    if wants_brim(part, place) || (brim && !one_by_one) {
                        layers::brim(&mut pen, process, part, (5.0 / process.width) as usize);
                    } else if ears && part.kind == Kind::Box {
                        layers::ears(&mut pen, process, part);
                    }
                }
            }
            for part in *group {
                let of = heights
                    .iter()
                    .scan(0.0, |sum, height| {
                        *sum += height;
                        Some(*sum)
                    })
                    .filter(|top| *top <= part.height + 1e-6)
                    .count()
                    .max(3);
                if index < of {
                    let next = heights.get(index + 1).copied().unwrap_or(height);
                    let slice = Slice { index, of, z, height, next };
                    layers::layer(&mut pen, process, part, slice);
                    if index + 1 == of && process.ironing && group.len() == 1 {
                        layers::iron(&mut pen, part, slice);
                    }
                    if index + 1 == of && process.wavy_skin && parts.len() == 1 {
                        layers::wavy(&mut pen, process, part, z);
                        top = top.max(z + process.bore);
                    }
                }
            }
            number += 1;
            top = top.max(z);
        }
        if vase {
            pen.at = At::Layer(number);
            if let Some(part) = group.first() {
                pen.remark("spiral");
                layers::spiral(&mut pen, process, part, top);
                top = pen.here()[2];
            }
        }
    }
    pen.rest();
    if matches!(style.label, Label::Tail) {
        pen.at = At::End;
        ends::end(&mut pen, place, style, top, rng);
        ends::label(&mut pen, place, process, rng);
    } else {
        ends::end(&mut pen, place, style, top, rng);
    }
    (pen, number, top)
}

/// Rings round everything, a few millimetres off: as far as the plate has room for them.
fn skirt_round(pen: &mut Pen, process: &Process, place: &Place, group: &[Part]) {
    let points = || group.iter().flat_map(|part| part.outlines(process.first / 2.0)).flatten();
    let most = |f: &dyn Fn((f64, f64)) -> f64| points().map(f).fold(f64::MIN, f64::max);
    let (right, back) = (most(&|p| p.0), most(&|p| p.1));
    let (left, front) = (-most(&|p| -p.0), -most(&|p| -p.1));
    let area = process.area(process.width, process.first);
    let round = |off: f64| {
        let reach = (right - left).hypot(back - front) / 2.0;
        circle(f64::midpoint(left, right), f64::midpoint(front, back), reach + off - 3.0, 40)
    };
    let straight = |off: f64| inset(&[(left, front), (right, front), (right, back), (left, back)], -off);
    let fits = |rings: &[Outline]| rings.iter().flatten().all(|point| place.holds(*point));
    let rings = |shape: &dyn Fn(f64) -> Outline, gap: f64| [shape(gap), shape(gap + process.width)];
    // A brim is 5 mm wide.
    let (apart, close) = (9.0, 5.5);
    let mut tried = vec![rings(&straight, apart), rings(&straight, close)];
    if group.len() == 1 && pen.style.arcs == Arcs::None {
        tried.insert(0, rings(&round, apart));
    }
    for outline in tried.into_iter().find(|rings| fits(rings)).into_iter().flatten() {
        layers::closed(pen, &outline, area, process.first_mm_s);
    }
}
