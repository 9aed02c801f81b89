//! Class 4: too much, too little, or no plastic at all.

use super::super::pen::At;
use super::super::rng::Rng;
use super::super::style::{Feed, Label, Retract};
use super::super::{Draft, Wish};
use super::edit::{change, value};
use super::{Fault, fault};

fn bare(draft: &mut Draft) {
    if draft.style.label == Label::Header {
        draft.style.label = Label::None;
    }
}

fn relative(draft: &Draft) -> bool {
    matches!(draft.facts.feed, Feed::Relative | Feed::AllRelative)
}

fn first_layer_at(draft: &Draft) -> Option<usize> {
    draft.layer(0).map(|(from, _)| from)
}

fn factor_up(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = first_layer_at(draft) else { return false };
    draft.insert(at, rng.pick(&["M221 S200", "M221 S250", "M221 S300"]));
    true
}

fn factor_down(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = first_layer_at(draft) else { return false };
    draft.insert(at, rng.pick(&["M221 S30", "M221 S10", "M221 S0", "M221 S40"]));
    true
}

fn volumetric(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = first_layer_at(draft) else { return false };
    draft.insert(at, &format!("M200 D{}", draft.facts.filament));
    true
}

fn scaled(draft: &mut Draft, factor: f64) -> bool {
    bare(draft);
    draft.change_all('E', |e| e * factor);
    true
}

fn made_for_thick(draft: &mut Draft, _: &mut Rng) -> bool {
    scaled(draft, (1.75_f64 / 2.85).powi(2)) && draft.facts.filament < 2.0
}

fn made_for_thin(draft: &mut Draft, _: &mut Rng) -> bool {
    scaled(draft, (2.85_f64 / 1.75).powi(2)) && draft.facts.filament > 2.0
}

fn five_times(draft: &mut Draft, rng: &mut Rng) -> bool {
    scaled(draft, rng.pick(&[3.0, 5.0, 10.0]))
}

fn a_fifth(draft: &mut Draft, rng: &mut Rng) -> bool {
    scaled(draft, rng.pick(&[0.1, 0.2, 0.3]))
}

fn speeds_by_the_second(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    draft.change_all('F', |f| (f / 60.0).max(1.0).round());
    true
}

fn never_primed(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    if draft.facts.feed != Feed::Relative || draft.style.retract != Retract::Words {
        return false;
    }
    // From here on each pull is kept and each push is gone.
    let Some(at) = draft.bead(rng) else { return false };
    let before = draft.rows.len();
    let mut index = 0;
    draft.rows.retain(|row| {
        index += 1;
        let push = !row.lays && !row.words.contains(" X") && value(&row.words, 'E').is_some_and(|e| e > 0.0);
        index <= at || !push || !matches!(row.at, At::Layer(_))
    });
    draft.rows.len() + 20 < before
}

fn half_without_feed(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    for row in &mut draft.rows[at..] {
        let words: Vec<&str> = row.words.split(' ').filter(|word| !word.starts_with('E')).collect();
        row.words = words.join(" ");
    }
    true
}

fn a_layer_without_feed(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(first) = draft.middle_layer(rng).filter(|_| relative(draft)) else { return false };
    for row in &mut draft.rows {
        if matches!(row.at, At::Layer(n) if n >= first && n < first + 3) && row.lays {
            let words: Vec<&str> = row.words.split(' ').filter(|word| !word.starts_with('E')).collect();
            row.words = words.join(" ");
        }
    }
    true
}

fn long_pull(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    if draft.facts.feed != Feed::Relative {
        return false;
    }
    draft.insert(at, &format!("G1 E-{:.1} F1800", rng.between(25.0, 70.0)));
    true
}

fn absolute_read_as_relative(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    for row in &mut draft.rows {
        if row.words == "M82" {
            row.words = "M83".into();
        }
    }
    !relative(draft)
}

fn relative_read_as_absolute(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    for row in &mut draft.rows {
        if row.words == "M83" {
            row.words = "M82".into();
        }
    }
    relative(draft) && draft.facts.feed == Feed::Relative
}

fn mode_changes_half_way(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    draft.insert(at, if relative(draft) { "M82" } else { "M83" });
    !draft.style.relative_hops
}

fn one_huge_bead(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng).filter(|_| relative(draft)) else { return false };
    change(&mut draft.rows[at], 'E', |e| e * 100.0 + 10.0);
    true
}

fn beads_too_wide(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(first) = draft.middle_layer(rng).filter(|_| relative(draft)) else { return false };
    for row in &mut draft.rows {
        if matches!(row.at, At::Layer(n) if n >= first) && row.lays {
            change(row, 'E', |e| e * 3.0);
        }
    }
    true
}

fn no_retract_ends(draft: &mut Draft, rng: &mut Rng) -> bool {
    bare(draft);
    let Some(at) = draft.bead(rng) else { return false };
    draft.insert(at, "G10");
    draft.style.retract != Retract::Firmware
}

fn wide_nozzle(draft: &mut Draft, _: &mut Rng) -> bool {
    bare(draft);
    let was = draft.place.bore;
    draft.place.bore = if was < 0.5 { 0.8 } else { 0.25 };
    true
}

fn rel() -> Wish {
    Wish { feed: Some(Feed::Relative), one_by_one: Some(false), ..Wish::default() }
}

pub(super) const ALL: &[Fault] = &[
    fault("4", "flow factor up", factor_up),
    fault("4", "flow factor down", factor_down),
    fault("4", "mm read as mm³", volumetric),
    fault("4", "numbers for 2.85 mm on 1.75", made_for_thick),
    fault("4", "numbers for 1.75 mm on 2.85", made_for_thin),
    fault("4", "several times the plastic", five_times),
    fault("4", "a part of the plastic", a_fifth),
    fault("4", "speeds in mm/s", speeds_by_the_second),
    Fault { class: "4", name: "pulls never primed", plant: never_primed, wish: rel },
    fault("4", "half without feed", half_without_feed),
    Fault { class: "4", name: "three layers without feed", plant: a_layer_without_feed, wish: rel },
    Fault { class: "4", name: "long pull", plant: long_pull, wish: rel },
    fault("4", "absolute E read as relative", absolute_read_as_relative),
    Fault { class: "4", name: "relative E read as absolute", plant: relative_read_as_absolute, wish: rel },
    fault("4", "E mode changes half way", mode_changes_half_way),
    Fault { class: "4", name: "one huge bead", plant: one_huge_bead, wish: rel },
    Fault { class: "4", name: "beads three times too wide from here", plant: beads_too_wide, wish: rel },
    fault("4", "firmware pull never pushed back", no_retract_ends),
    fault("job", "for another nozzle", wide_nozzle),
];
