//! Class 3: beads in the air, in plastic, on the plate, and travels through what stands.

use super::super::Draft;
use super::super::Wish;
use super::super::pen::At;
use super::super::rng::Rng;
use super::super::shape::Kind;
use super::super::style::{Feed, Label};
use super::edit::change;
use super::{Fault, fault};

fn plain(draft: &mut Draft) -> bool {
    if draft.style.label == Label::Header {
        draft.style.label = Label::None;
    }
    draft.facts.feed != Feed::AllRelative && !draft.facts.one_by_one && draft.facts.kind != Kind::Vase
}

fn through_a_part(draft: &mut Draft, _: &mut Rng) -> bool {
    // One by one: the second part's travels no longer rise above the first.
    let tall = draft.facts.parts.first().is_some_and(|part| part.height > 4.0);
    if draft.style.label == Label::Header || !draft.facts.one_by_one || draft.facts.parts.len() < 2 || !tall {
        return false;
    }
    if draft.facts.feed == Feed::AllRelative {
        return false;
    }
    let falls = |i: usize, rows: &[super::super::Row]| {
        rows[i].travel && i > 0 && rows[i].to[2] > 4.0 && rows[i - 1].words.contains(" Z")
    };
    let mut done = false;
    for i in 1..draft.rows.len() {
        let back = draft.rows[i + 1..].iter().take(4).any(|row| row.words.contains(" Z") && row.to[2] < 1.0);
        if falls(i, &draft.rows) && back {
            // It goes down first and across afterwards.
            draft.rows[i - 1].words = format!("G1 Z{:.2} F600", draft.facts.first);
            done = true;
        }
    }
    done
}

fn missing_layers(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some(first) = draft.middle_layer(rng).filter(|_| plain(draft)) else { return false };
    let count = 3 + rng.below(3) as u32;
    draft.rows.retain(|row| !matches!(row.at, At::Layer(n) if n >= first && n < first + count));
    first + count < draft.facts.layers
}

fn height_set_up(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some((at, _)) = draft.middle_layer(rng).and_then(|n| draft.layer(n)) else { return false };
    if !plain(draft) {
        return false;
    }
    let z = draft.rows[at].to[2];
    draft.insert(at, &format!("G92 Z{:.2}", (z - rng.between(2.0, 6.0)).max(0.0)));
    z > 2.0
}

fn half_shifted(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some((at, _)) = draft.middle_layer(rng).and_then(|n| draft.layer(n)) else { return false };
    if !plain(draft) {
        return false;
    }
    let axis = rng.pick(&['X', 'Y']);
    let now = draft.rows[at].to[usize::from(axis == 'Y')];
    draft.insert(at, &format!("G92 {axis}{:.2}", now + rng.pick(&[-12.0, 12.0])));
    true
}

fn half_shifted_by_numbers(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some((at, _)) = draft.middle_layer(rng).and_then(|n| draft.layer(n)) else { return false };
    if !plain(draft) || draft.facts.parts.len() > 1 {
        return false;
    }
    let by = draft.facts.parts[0].half.0 * 2.0 + 3.0;
    for row in &mut draft.rows[at..] {
        if matches!(row.at, At::Layer(_)) {
            change(row, 'X', |x| x + by);
            change(row, 'I', |i| i);
        }
    }
    true
}

fn stretched(draft: &mut Draft, _: &mut Rng) -> bool {
    if !plain(draft) || draft.facts.top > 60.0 {
        return false;
    }
    draft.change_all('Z', |z| z * 2.2);
    true
}

fn no_heights(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some(first) = draft.middle_layer(rng).filter(|_| plain(draft)) else { return false };
    if draft.style.hop_um > 0 || draft.facts.layers < first + 8 {
        return false;
    }
    draft.rows.retain(|row| {
        !(matches!(row.at, At::Layer(n) if n >= first && n < first + 6) && row.words.contains(" Z"))
    });
    true
}

fn first_half_twice(draft: &mut Draft, _: &mut Rng) -> bool {
    if !plain(draft) || draft.facts.layers < 12 || draft.facts.feed == Feed::Absolute {
        return false;
    }
    let half = draft.facts.layers / 2;
    let Some(((from, _), (_, to))) = draft.layer(0).zip(draft.layer(half)) else { return false };
    let again: Vec<_> = draft.rows[from..to].to_vec();
    draft.rows.splice(to..to, again);
    true
}

fn one_layer_again(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some((from, to)) = draft.middle_layer(rng).and_then(|n| draft.layer(n)) else { return false };
    if !plain(draft) || draft.facts.feed == Feed::Absolute || to - from < 20 {
        return false;
    }
    let again: Vec<_> = draft.rows[from..to].to_vec();
    for _ in 0..3 {
        draft.rows.splice(to..to, again.clone());
    }
    true
}

fn first_on_the_plate(draft: &mut Draft, rng: &mut Rng) -> bool {
    if !plain(draft) {
        return false;
    }
    let by = draft.facts.first + rng.pick(&[0.0, 0.05, 0.1]);
    for row in &mut draft.rows {
        if matches!(row.at, At::Layer(_)) {
            change(row, 'Z', |z| z - by);
        }
    }
    true
}

fn first_in_the_air(draft: &mut Draft, rng: &mut Rng) -> bool {
    if !plain(draft) {
        return false;
    }
    let by = rng.pick(&[0.8, 1.2, 3.0]);
    for row in &mut draft.rows {
        if matches!(row.at, At::Layer(_)) {
            change(row, 'Z', |z| z + by);
        }
    }
    true
}

fn height_not_homed(draft: &mut Draft, _: &mut Rng) -> bool {
    if !plain(draft) {
        return false;
    }
    draft.drop_all(&["G28 Z0"]);
    let Some(at) = draft.first_with("G28") else { return false };
    draft.rows[at].words = "G28 X Y".into();
    true
}

fn one_height_wrong(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some((from, to)) = draft.middle_layer(rng).and_then(|n| draft.layer(n)) else { return false };
    if !plain(draft) || draft.style.hop_um > 0 {
        return false;
    }
    let Some(at) = (from..to).find(|i| draft.rows[*i].words.contains(" Z")) else { return false };
    change(&mut draft.rows[at], 'Z', |z| z * 10.0);
    draft.facts.top < 15.0
}

fn dives(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some(at) = draft.bead(rng).filter(|_| plain(draft)) else { return false };
    let z = draft.rows[at].to[2];
    draft.insert(at, &format!("G1 Z{:.2} F600", (z - 3.0).max(0.3)));
    draft.insert(at + 2, &format!("G1 Z{z:.3} F600"));
    z > 3.5
}

fn drags(draft: &mut Draft, _: &mut Rng) -> bool {
    let Some((at, _)) = draft.layer(0).filter(|_| plain(draft)) else { return false };
    let x = draft.place.origin.0;
    draft.insert(at, "G1 Z0.02 F600");
    draft.insert(at + 1, &format!("G1 X{:.1} F3000", x + 20.0));
    draft.insert(at + 2, &format!("G1 X{:.1} F3000", x + 80.0));
    draft.insert(at + 3, &format!("G1 Z{:.2} F600", draft.facts.first));
    true
}

fn homes_again(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some(at) = draft.bead(rng).filter(|_| plain(draft)) else { return false };
    draft.insert(at, rng.pick(&["G28", "G28 Z0"]));
    draft.rows[at].to[2] > 3.0
}

fn never_homed(draft: &mut Draft, _: &mut Rng) -> bool {
    draft.drop_all(&["G28", "G29", "M420"]) && plain(draft)
}

fn relative_left_on(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some(at) = draft.bead(rng).filter(|_| plain(draft)) else { return false };
    draft.insert(at, "G91");
    !draft.style.relative_hops
}

fn off_the_plate(draft: &mut Draft, rng: &mut Rng) -> bool {
    if !plain(draft) {
        return false;
    }
    let (letter, by) = rng.pick(&[('X', 140.0), ('Y', 140.0), ('X', -130.0), ('Y', -130.0)]);
    for row in &mut draft.rows {
        if matches!(row.at, At::Layer(_)) {
            change(row, letter, |v| v + by);
        }
    }
    draft.place.bed.0 < 260.0
}

fn one_point_off(draft: &mut Draft, rng: &mut Rng) -> bool {
    let Some(at) = draft.bead(rng).filter(|_| plain(draft)) else { return false };
    let before = draft.rows[at].words.clone();
    change(&mut draft.rows[at], 'X', |x| x * 10.0);
    before != draft.rows[at].words && draft.rows[at].to[0].abs() > 50.0
}

fn too_tall(draft: &mut Draft, _: &mut Rng) -> bool {
    let top = draft.facts.top;
    draft.place.height = (top * 0.8).floor().max(11.0);
    if draft.style.label == Label::Header {
        draft.style.label = Label::None;
    }
    top * 0.9 > draft.place.height
}

fn crowded(draft: &mut Draft, _: &mut Rng) -> bool {
    draft.place.clearance = (90.0, 12.0);
    let tall = draft.facts.parts.first().is_some_and(|part| part.height > 5.0);
    draft.facts.one_by_one && draft.facts.parts.len() > 1 && tall
}

fn flat_square(draft: &mut Draft, _: &mut Rng) -> bool {
    let over = draft.facts.kind == Kind::Mushroom && draft.style.label != Label::Header;
    // The supports go: the head's overhang of over 6 mm has nothing below it.
    let half = draft.facts.parts[0].half;
    if !over || draft.facts.parts.len() > 1 || !plain(draft) || half.0 < 13.0 {
        return false;
    }
    let part = draft.facts.parts[0];
    let (sin, cos) = part.angle.sin_cos();
    let away = |to: [f64; 3]| {
        let (x, y) = (to[0] - part.at.0, to[1] - part.at.1);
        (x * cos + y * sin).abs() > half.0 * 0.35 + 0.8
    };
    let low = part.height * 0.6;
    draft.rows.retain(|row| !(row.lays && matches!(row.at, At::Layer(_)) && row.to[2] < low && away(row.to)));
    draft.facts.feed == Feed::Relative
}

fn one_by_one() -> Wish {
    Wish { one_by_one: Some(true), ..Wish::default() }
}

fn mushroom() -> Wish {
    Wish {
        kind: Some(Kind::Mushroom),
        feed: Some(Feed::Relative),
        one_by_one: Some(false),
        ..Wish::default()
    }
}

pub(super) const ALL: &[Fault] = &[
    Fault { class: "3", name: "through a part that stands", plant: through_a_part, wish: one_by_one },
    fault("3", "layers missing", missing_layers),
    fault("3", "height set by G92", height_set_up),
    fault("3", "upper half shifted by G92", half_shifted),
    fault("3", "upper half beside the lower", half_shifted_by_numbers),
    fault("3", "stretched in Z", stretched),
    fault("3", "six layers at one height", no_heights),
    fault("3", "first half twice", first_half_twice),
    fault("3", "a layer four times", one_layer_again),
    fault("3", "first layer at 0 or below", first_on_the_plate),
    fault("3", "first layer in the air", first_in_the_air),
    fault("3", "Z not homed", height_not_homed),
    fault("3", "one layer's height wrong", one_height_wrong),
    fault("3", "dives into the part", dives),
    fault("3", "drags on the plate", drags),
    Fault { class: "3", name: "head without supports", plant: flat_square, wish: mushroom },
    fault("job", "homes over the part", homes_again),
    fault("job", "never homed", never_homed),
    fault("job", "relative left on", relative_left_on),
    fault("job", "off the plate", off_the_plate),
    fault("job", "one point ten times off", one_point_off),
    fault("job", "too tall", too_tall),
    Fault { class: "job", name: "too close for one by one", plant: crowded, wish: one_by_one },
];
