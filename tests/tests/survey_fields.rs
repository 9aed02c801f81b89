//! All that the survey measures is in the simulator's JSON document.

use std::fs;
use std::path::Path;

/// Fields that the document leaves out, and why.
const LEFT_OUT: [(&str, &str); 7] = [
    ("footprint", "the picture shows it (--picture)"),
    ("begins", "the picture's own bookkeeping"),
    ("origin_um", "the picture's own bookkeeping"),
    ("sum_abs_x_nm", "its mean stands there"),
    ("header_ended", "the file's header says it"),
    ("laid_um", "the device's own share of a layer's end"),
    ("class", "a name stands under its class"),
];
/// Parts of a part: its box at the head's height, which check 24 alone goes by; and what a reset of the count left.
const OF_ONE_CHECK: [&str; 3] = ["low_min_um", "low_max_um", "after_reset"];

#[test]
fn every_value_of_the_survey_is_in_its_document() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let read = |path: &str| fs::read_to_string(root.join(path)).unwrap();
    let document =
        read("sim/desk/src/survey_report/document.rs") + &read("sim/desk/src/survey_report/fed.rs");
    let words: Vec<&str> =
        document.split(|letter: char| !(letter.is_alphanumeric() || letter == '_')).collect();
    let mut missing = Vec::new();
    for entry in fs::read_dir(root.join("shared/src/survey/values")).unwrap() {
        let text = fs::read_to_string(entry.unwrap().path()).unwrap();
        let text = text.split("#[cfg(test)]").next().unwrap_or_default();
        for line in text.lines() {
            let Some((field, _)) = line.strip_prefix("    pub ").and_then(|rest| rest.split_once(':')) else {
                continue;
            };
            let named = words.contains(&field) || LEFT_OUT.iter().any(|(left, _)| *left == field);
            if !field.contains([' ', '(']) && !named && !OF_ONE_CHECK.contains(&field) {
                missing.push(field.to_owned());
            }
        }
    }
    assert!(missing.is_empty(), "measured, and in no report: {missing:?}");
}
