//! Habits of the trade that a plain reading measures wrongly: each beside the case that only looks like it.
//!
//! All numbers are worked by hand from the lines that stand here.

use holdpoint_shared::header::HintReader;
use holdpoint_shared::records::{Heaters, Machine};
use holdpoint_shared::survey::{Survey, Surveyor};
use holdpoint_tests::generate::sheet;

fn survey_on(machine: &Machine, text: impl AsRef<[u8]>) -> Survey {
    let mut surveyor = Surveyor::new(machine);
    surveyor.feed(text.as_ref());
    surveyor.finish()
}

fn survey(text: impl AsRef<[u8]>) -> Survey {
    survey_on(&sheet(), text)
}

/// Two lines of a strip along the front at one height, then a square of four walls on two planes.
fn strip_and_square(strip_z: &str, first_z: &str, second_z: &str, x: u32) -> String {
    let mut text = format!(
        "G28\nM83\nG1 Z{strip_z} F600\nG0 X10 Y5 F6000\nG1 X110 E4 F1200\nG1 Y5.6 E0.02\nG1 X10 E4\n"
    );
    for z in [first_z, second_z] {
        text += &format!("G0 Z{z}\nG0 X{x} Y{x}\n");
        let far = x + 20;
        for (to_x, to_y) in [(far, x), (far, far), (x, far), (x, x)] {
            text += &format!("G1 X{to_x} Y{to_y} E1\n");
        }
    }
    text
}

#[test]
fn a_strip_lower_than_the_first_layer_is_a_strip() {
    let survey = survey(strip_and_square("0.2", "0.3", "0.5", 50));
    assert_eq!(survey.purge.map(|strip| strip.filament_nm), Some(8_020_000));
    assert_eq!(survey.first_layer.plane.map(|plane| plane.z_um), Some(300));
    assert_eq!(survey.first_layer.filament_nm, 4_000_000);
    assert_eq!((survey.layers.count, survey.layers.typical_um), (2, Some(200)));
    assert_eq!(survey.first_layer.bounds.min_nm[..2], [50_000_000, 50_000_000]);
}

#[test]
fn a_second_layer_over_the_first_is_none() {
    // The square begins over the first beads' box: those are the part's own first layer.
    let survey = survey(
        strip_and_square("0.2", "0.4", "0.6", 10).replace("X10 Y5", "X10 Y10").replace("Y5.6", "Y10.6"),
    );
    assert_eq!(survey.purge, None);
    assert_eq!(survey.first_layer.plane.map(|plane| plane.z_um), Some(200));
    assert_eq!(survey.layers.count, 3);
}

#[test]
fn the_box_above_leaves_brim_and_skirt_out() {
    let survey = survey(strip_and_square("0.2", "0.2", "0.4", 50));
    assert_eq!(survey.first_layer.above.min_nm, [50_000_000, 50_000_000, 400_000]);
    assert_eq!(survey.first_layer.above.max_nm, [70_000_000, 70_000_000, 400_000]);
    let one_layer = survey_on(&sheet(), "G28\nM83\nG1 Z0.2 F600\nG1 X20 Y20 E1\n");
    assert!(one_layer.first_layer.above.is_empty());
}

#[test]
fn the_peak_of_a_long_line_lasts() {
    // 200 mm at 150 mm/s with 1500 mm/s²: 0.1 s and 7.5 mm to get there, as much to stop, 1.233 s at 150 mm/s. With
    // 0.05 mm of filament a millimetre: 7.5 mm/s of 2.405 mm² are 18.04 mm³/s, over more than half a second.
    let long = survey("G28\nM83\nG1 Z0.2 F600\nG0 X10 Y50 F9000\nG4 S1\nG1 X210 E10 F9000\nG4 S1\n").flow;
    assert!((18_000..=18_080).contains(&long.sustained_nl_s), "{}", long.sustained_nl_s);
    // 60 mm: 0.3 s at 150 mm/s and 0.2 s of ramps: 3 mm of filament, all of it in half a second: 14.43 mm³/s.
    let short = survey("G28\nM83\nG1 Z0.2 F600\nG0 X10 Y50 F9000\nG4 S1\nG1 X70 E3 F9000\nG4 S1\n").flow;
    assert!((13_500..=14_500).contains(&short.sustained_nl_s), "{}", short.sustained_nl_s);
}

/// The sheet with heaters: a bed of 220 W that loses 1.5 W/K.
fn heated() -> Machine {
    let heaters = Heaters {
        nozzle_w: 40,
        bed_w: 220,
        nozzle_j_per_k: 25,
        bed_j_per_k: 700,
        nozzle_mw_per_k: 120,
        bed_mw_per_k: 1500,
    };
    Machine { heaters: Some(heaters), ..sheet() }
}

/// A target that the bed never comes to is told: 20 °C + 220 W / 1.5 W/K = 166.7 °C is the most.
#[test]
fn a_wait_without_end() {
    for (target, told) in [(160, false), (200, true)] {
        let found = survey_on(&heated(), format!("M190 S{target}\n"));
        assert_eq!(found.heat.unreached.any(), told, "{target}");
        assert_eq!(found.time.heat_wait_s >= 3600, told, "{target}");
    }
}

#[test]
fn waits_for_heat_are_no_idle_time() {
    let machine = heated();
    let start = |words: &str| {
        survey_on(
            &machine,
            format!("G28\nM83\nM140 S100\nM104 S240\n{words}M190 S100\nM109 S240\nG1 Z0.2 F600\nG1 X20 E2\n"),
        )
        .heat
        .idle_before_s
    };
    // To lift, and to come to the first bead: a second.
    assert!(start("") <= 2, "{}", start(""));
    assert_eq!(start("G4 S400\n"), start("") + 400);
}

#[test]
fn a_bed_that_is_off_waits_for_nothing_but_at_once() {
    let waits = |words: &str| survey(format!("G28\n{words}\nG1 Z5 F600\n")).heat.waits_for_nothing.count;
    assert_eq!(waits("M140 S0\nM190 S0"), 0);
    assert_eq!(waits("M140 S60\nM190 S0"), 1);
    assert_eq!(waits("M190 R0"), 1);
    assert_eq!(waits("M109 S0"), 1);
}

#[test]
fn the_standards_modes_stand_on_one_line() {
    let line = |words: &str| survey(format!("{words}\nG28\n")).reading.malformed.count;
    // One word of each group of RS274/NGC table 4 that this build knows.
    assert_eq!(line("G1 G17 G20 G90 G94 G40 G49 G54 G61 G80"), 0);
    assert_eq!(line("G17 G17 G17 G17 G17 G17 G17 G17 G17 G17 G17 G17"), 1);
    assert_eq!(line("M17 M84 M105 M107"), 0);
    assert_eq!(line("M17 M84 M105 M107 M114"), 1);
}

#[test]
fn bytes_beyond_ascii_are_text_in_comments_and_messages_only() {
    let odd = |text: &str| survey(text).reading.non_text_bytes;
    assert_eq!(odd("; \u{fc}ber\n(\u{fc}ber)\nM117 \u{fc}ber\nG28\n"), 0);
    assert_eq!(odd("G1 X1\u{fc}2\n"), 2);
    // The mark of a text editor is told apart.
    let marked = survey("\u{feff}G28\n").reading;
    assert_eq!((marked.non_text_bytes, marked.byte_order_mark), (0, true));
    assert_eq!(odd("G28\n\u{feff}G1 X1\n"), 3);
}

#[test]
fn a_mark_before_the_first_comment_hides_nothing() {
    let mut reader = HintReader::new(&[]);
    reader.feed("\u{feff}; material: PETG\n".as_bytes());
    assert_eq!(reader.finish().facts.material.as_deref(), Some("PETG"));
}

#[test]
fn repeated_and_reset_feed_is_told_apart() {
    let feed =
        survey("G28\nM82\nG92 E0\nG1 X1 E1 F900\nG1 X2 E1\nG1 X3 E2\nG1 X4 E1.5\nG92 E0\nG1 X5 E0.5\n")
            .motion
            .absolute_feed;
    // After each of the two resets one word; then the same again, one rise, one fall.
    assert_eq!((feed.met.count, feed.after_reset, feed.rises, feed.falls), (5, 2, 1, 1));
}

/// Another name for the place matters where beads follow it: not before the first one, and not after the last.
#[test]
fn a_place_called_anew_counts_between_beads_only() {
    let beads = "G1 X30 E1 F1800\nG1 Y30 E1\n";
    let of = |between: &str, after: &str| {
        let text = format!(
            "G28\nG90\nM83\nG92 X7\nG92 X0\nG1 Z0.2\n{beads}{between}G1 X10 E1\nG1 Y10 E1\n{after}M104 S0\nM84\n"
        );
        let renamed = survey(&text).reading.renamed;
        (renamed.nm, renamed.line)
    };
    assert_eq!(of("", ""), (0, 0));
    assert_eq!(of("", "G92 Z0\nG92 X400\n"), (0, 0));
    // From X 30 and Z 0.2.
    assert_eq!(of("G92 X30.05\n", "G92 Z50\n"), (50_000, 9));
    assert_eq!(of("G92 Z0\n", "G92 Z50\n"), (200_000, 9));
    assert_eq!(of("G92 Z0\nG92 X29\n", ""), (1_000_000, 10));
}

/// Beads that would take longer than the clock's type holds, twice: found by `any_bytes` with overflow checks.
#[test]
fn time_without_end_stays_at_its_end() {
    let facts = survey("G28\nG91\nM83\nG1 Z0.2\nG1 X2000000 E1 F0.00001\nG1 X-2000000 E1\nG1 Y2000000 E1\n");
    assert_eq!(facts.time.total_s, u32::MAX);
}
