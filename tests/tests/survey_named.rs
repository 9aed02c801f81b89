//! What comments between the moves name: where supports and bridges begin, and what only looks like it.

use std::fmt::Write as _;

use holdpoint_shared::survey::{Named, Survey, Surveyor};
use holdpoint_tests::generate::sheet;

/// Ten layers of a square, each with its comments before its first bead; the layer's travel stands before them, so that
/// the bead begins where the layer before ends.
fn job(comments: impl Fn(u32) -> String, tail: &str) -> String {
    let mut text = String::from("G21\nG90\nM83\nM140 S60\nM104 S215\nG28\nG92 E0\n");
    for layer in 1..=10_u32 {
        let _ = writeln!(text, "G0 Z{:.1} F600\nG0 X50 Y50 F9000", f64::from(layer) * 0.2);
        text += &comments(layer);
        for (x, y) in [(90, 50), (90, 90), (50, 90), (50, 50)] {
            let _ = writeln!(text, "G1 X{x} Y{y} E1.5 F1500");
        }
    }
    text + "M104 S0\nM140 S0\nM84\n" + tail
}

fn survey(text: &str) -> Survey {
    let mut surveyor = Surveyor::new(&sheet());
    surveyor.feed(text.as_bytes());
    surveyor.finish()
}

fn line_of(text: &str, comment: &str) -> u32 {
    let at = text.lines().position(|line| line == comment).expect("the comment");
    u32::try_from(at + 1).expect("a line")
}

#[test]
fn the_first_support_and_the_first_bridge_with_their_lines() {
    let text = job(
        |layer| match layer {
            1 => "; support\n".to_owned(),
            4 => "; layer 4\n; supports begin\n".to_owned(),
            6 => "; support\n".to_owned(),
            7 => "(Bridging)\n".to_owned(),
            9 => ";overhang\n".to_owned(),
            _ => String::new(),
        },
        "",
    );
    let survey = survey(&text);
    let ends = &survey.layers.ends;
    // The bead behind the comment begins where its layer begins.
    let begins = |layer: usize| ends[layer - 2].end_s;
    let support = Named { at_s: begins(4), line: line_of(&text, "; supports begin") };
    let bridge = Named { at_s: begins(7), line: line_of(&text, "(Bridging)") };
    assert_eq!((survey.named.support(), survey.named.bridge()), (Some(support), Some(bridge)));
    assert!(support.at_s < bridge.at_s && support.at_s > 20);
}

/// However the file is cut into blocks.
#[test]
fn cut_anywhere_it_is_the_same() {
    let text = job(|layer| if layer == 4 { "; supports begin\n".to_owned() } else { String::new() }, "");
    let whole = survey(&text).named;
    assert!(whole.support().is_some());
    for size in [1, 7, 64, 512] {
        let mut surveyor = Surveyor::new(&sheet());
        text.as_bytes().chunks(size).for_each(|chunk| surveyor.feed(chunk));
        assert_eq!(surveyor.finish().named, whole, "{size}");
    }
}

#[test]
fn what_is_no_begin_names_nothing() {
    let on_layer = |wanted: u32, comment: &str| {
        let comment = comment.to_owned();
        job(move |layer| if layer == wanted { comment.clone() } else { String::new() }, "")
    };
    for (what, text) in [
        ("none at all", on_layer(4, "")),
        ("on the first layer", on_layer(1, "; supports begin\n")),
        ("a setting", on_layer(4, "; support material = none\n")),
        ("a setting", on_layer(4, "; support: none\n")),
        ("a part of a word", on_layer(4, "; unsupported\n")),
        ("joined to a name", on_layer(4, "; support_angle 50\n")),
        ("prose", on_layer(4, "; support for questions is given at the workshop's desk\n")),
        ("another comment before the bead", on_layer(4, "; support\n; wall\n")),
        ("a list of settings", on_layer(4, "; a\n; b\n; c\n; d\n; e\n; bridge\n")),
        ("behind a move", on_layer(4, "G4 P1 ; support\n")),
        ("before the first bead", "; supports\n".to_owned() + &on_layer(4, "")),
        ("after the end", job(|_| String::new(), "; supports\nG1 X60 Y60 E1 F1500\n")),
        ("no bead behind it", job(|_| String::new(), "; bridge\n")),
    ] {
        let named = survey(&text).named;
        assert_eq!((named.support(), named.bridge()), (None, None), "{what}");
    }
}

/// Nothing else of the survey goes by it: the comment costs neither a point nor a value.
#[test]
fn it_changes_nothing_else() {
    let comment =
        |text: &'static str| job(move |layer| if layer == 4 { text.to_owned() } else { String::new() }, "");
    let (with, without) = (survey(&comment("; supports begin\n")), survey(&comment("; walls come next\n")));
    assert!(with.named.support().is_some());
    let mut same = Survey { named: without.named, ..with };
    // Their bytes differ, of course.
    same.reading.body_crc32 = without.reading.body_crc32;
    (same.reading.bytes, same.reading.body_bytes) = (without.reading.bytes, without.reading.body_bytes);
    assert_eq!(same, without);
}
