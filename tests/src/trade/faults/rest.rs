//! Class 6, and what remains of the job's checks: first layers, feet, flow.

use super::super::layers::Process;
use super::super::pen::At;
use super::super::rng::Rng;
use super::super::shape::Kind;
use super::super::style::{Feed, Label};
use super::super::{Draft, Wish};
use super::edit::change;
use super::{Fault, fault};

fn bare(draft: &mut Draft) {
    if draft.style.label == Label::Header {
        draft.style.label = Label::None;
    }
}

fn first_layer_fast(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    let Some((from, to)) = draft.layer(0) else { return false };
    for row in &mut draft.rows[from..to] {
        if row.lays && row.words.contains(" F") {
            change(row, 'F', |_| 7200.0);
        }
    }
    // Small parts never reach the speed.
    draft.facts.parts[0].half.0 > 15.0
}

fn flow_too_high(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    let area = Process::flat_area(draft.facts.width, draft.facts.layer);
    for row in &mut draft.rows {
        if row.lays && matches!(row.at, At::Layer(n) if n > 0) {
            change(row, 'F', |_| 12_000.0);
        }
    }
    // At 100 mm/s, which a box of 30 mm reaches on its infill.
    matches!(draft.facts.kind, Kind::Box | Kind::Flat)
        && draft.facts.parts[0].half.0 > 15.0
        && area * 100.0 > draft.place.flow / f64::from(draft.place.material.flow_percent) * 180.0
}

fn tall_and_thin(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    let part = draft.facts.parts[0];
    let inside = |to: [f64; 3]| {
        let reach = part.reach() + 0.1;
        draft.facts.parts.iter().any(|part| (to[0] - part.at.0).hypot(to[1] - part.at.1) < reach)
    };
    // The brim goes.
    let gone: Vec<bool> =
        draft.rows.iter().map(|row| row.at == At::Layer(0) && row.lays && !inside(row.to)).collect();
    let mut gone = gone.iter();
    draft.rows.retain(|_| !gone.next().copied().unwrap_or(false));
    draft.facts.kind == Kind::Tower && draft.facts.feed == Feed::Relative && part.height > 30.0
}

fn layers_thick(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    // Heights and plastic for a 0.8 mm nozzle on a 0.4 mm one.
    draft.place.bore = draft.facts.bore / 2.0;
    draft.facts.bore >= 0.4 && draft.facts.layer > draft.facts.bore * 0.45
}

fn tower() -> Wish {
    Wish { kind: Some(Kind::Tower), feed: Some(Feed::Relative), one_by_one: Some(false), ..Wish::default() }
}

fn boxes() -> Wish {
    Wish { kind: Some(Kind::Box), one_by_one: Some(false), ..Wish::default() }
}

pub(super) const ALL: &[Fault] = &[
    Fault { class: "6", name: "first layer fast", plant: first_layer_fast, wish: boxes },
    Fault { class: "job", name: "flow too high", plant: flow_too_high, wish: boxes },
    Fault { class: "6", name: "tall and thin without its brim", plant: tall_and_thin, wish: tower },
    fault("6", "layers too thick for the nozzle", layers_thick),
];
