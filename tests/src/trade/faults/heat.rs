//! Class 5: no heat, too much, too long.

use super::super::pen::At;
use super::super::rng::Rng;
use super::super::style::Label;
use super::super::{Draft, Wish};
use super::{Fault, fault};

fn bare(draft: &mut Draft) {
    if draft.style.label == Label::Header {
        draft.style.label = Label::None;
    }
}

fn warm_bed(draft: &Draft) -> bool {
    !matches!(draft.facts.material, "PLA" | "PLA-CF" | "TPU")
}

fn reheat(draft: &mut Draft, words: &[&str], degrees: i32) {
    for row in &mut draft.rows {
        let begins = words.iter().any(|word| row.words.starts_with(word));
        if begins && row.at != At::End && !row.words.contains(" S0") {
            let first = row.words.split(' ').next().unwrap_or_default().to_owned();
            row.words = format!("{first} S{degrees}");
        }
    }
}

fn never_heated(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    draft.drop_all(&["M104", "M109"])
}

fn not_waited(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    for row in &mut draft.rows {
        row.words = row.words.replace("M109", "M104").replace("M190", "M140");
    }
    // Without waiting for the bed either, the first bead comes within seconds.
    true
}

fn nozzle_at_zero(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    reheat(draft, &["M104", "M109"], 0);
    true
}

fn no_bed(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    if rng.chance(50) {
        reheat(draft, &["M140", "M190"], 0);
    } else {
        draft.drop_all(&["M140", "M190"]);
    }
    warm_bed(draft)
}

fn bed_off_early(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some((from, to)) = draft.layer(0) else { return false };
    let at = if rng.chance(50) { from } else { usize::midpoint(from, to) };
    draft.insert(at, "M140 S0");
    warm_bed(draft)
}

fn nozzle_off_half_way(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    draft.insert(at, rng.pick(&["M104 S0", "M104 S120"]));
    true
}

fn too_hot(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    reheat(draft, &["M104", "M109"], draft.place.material.nozzle_c.1 + rng.pick(&[35, 50]));
    draft.facts.material != "PC"
}

fn too_cold(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    reheat(draft, &["M104", "M109"], draft.place.material.nozzle_c.0 - rng.pick(&[25, 40]));
    true
}

fn above_the_limit(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    draft.insert(at, rng.pick(&["M104 S310", "M140 S150", "M104 S999"]));
    true
}

fn left_on(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let gone = rng.pick(&["M104 S0", "M140 S0"]);
    draft.drop_all(&[gone])
}

fn heated_again_at_the_end(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let at = draft.rows.len();
    draft.insert(at, rng.pick(&["M104 S200", "M140 S60"]));
    true
}

fn waits_for_ever(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    draft.insert(at, rng.pick(&["M190 R10", "M109 R20", "M190 R0"]));
    true
}

fn hot_and_idle(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    draft.insert(at, rng.pick(&["G4 S1500", "G4 P900000", "G4 S7200"]));
    true
}

fn full_fan_first(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    let Some((at, _)) = draft.layer(0) else { return false };
    draft.insert(at, "M106 S255");
    draft.facts.material != "PLA-CF"
}

fn other_material(draft: &mut Draft, _: &mut Rng) -> bool {
    draft.place.spool = match draft.facts.material {
        "PETG" | "TPU" => "PLA",
        _ => "PETG",
    };
    draft.style.label != Label::None
}

fn other_material_unnamed(draft: &mut Draft, _: &mut Rng) -> bool {
    // Only the temperatures tell.
    draft.place.spool = match draft.facts.material {
        "PLA" => "ABS",
        "ABS" | "ASA" | "PC" => "PLA",
        _ => return false,
    };
    draft.style.label == Label::None
}

fn unnamed() -> Wish {
    Wish { label: Some(Label::None), ..Wish::default() }
}

fn too_little_left(draft: &mut Draft, rng: &mut Rng) -> bool {
    draft.place.left_g = rng.pick(&[1, 0, 2]);
    // Half as much again as the spool can have, with its give or take of 10 g.
    let grams = draft.facts.length * draft.facts.filament.powi(2) * 0.785 * 0.0011;
    grams > 14.0 * 1.5
}

fn abrasive(draft: &mut Draft, _: &mut Rng) -> bool {
    draft.place.hardened = false;
    draft.facts.material == "PLA-CF"
}

pub(super) const ALL: &[Fault] = &[
    fault("5", "nozzle never heated", never_heated),
    fault("5", "heat not waited for", not_waited),
    fault("5", "nozzle at 0", nozzle_at_zero),
    fault("5", "no bed heat", no_bed),
    fault("5", "bed off in the first layer", bed_off_early),
    fault("5", "nozzle off half way", nozzle_off_half_way),
    fault("5", "too hot for the material", too_hot),
    fault("5", "too cold for the material", too_cold),
    fault("5", "above the machine's limit", above_the_limit),
    fault("5", "heat left on", left_on),
    fault("5", "heated again at the end", heated_again_at_the_end),
    fault("5", "waits for ever", waits_for_ever),
    fault("5", "hot and idle", hot_and_idle),
    fault("5", "full fan on the first layer", full_fan_first),
    fault("job", "other material", other_material),
    Fault { class: "job", name: "other material by heat", plant: other_material_unnamed, wish: unnamed },
    fault("job", "too little left", too_little_left),
    fault("job", "abrasive in brass", abrasive),
];
