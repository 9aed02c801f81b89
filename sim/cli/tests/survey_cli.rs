//! `holdpoint survey` as a user meets it, on a job small enough to be worked by hand.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// Two layers along X, every move between two dwells, so that each starts and ends at rest.
///
/// At 1000 mm/s² (the sheet below), with t = d/v + v/a for a trapezoid:
/// Z by 0.2 at 10 mm/s: 0.03 s, twice; X by 20 at 100 mm/s: 0.3 s; X by 50 at 50 mm/s: 1.05 s, three times;
/// E by 1 at 30 mm/s: 0.0633 s. Moves 3.5733 s, dwells 6 s, homing 10 s: 19.573 s.
const JOB: &str = "\
; filament type = PETG
; layer height = 0.3
M140 S60
M104 S230
G28
G90
M83
G1 Z0.2 F600
G4 S1
G0 X20 F6000
G4 S1
G1 X70 E2.5 F3000
G4 S1
G1 X20 E2.5
G4 S1
G1 Z0.4 F600
G4 S1
G1 X70 E2.5 F3000
G4 S1
G1 E-1 F1800
M104 S0
M140 S0
M84
M2
";

const SHEET: &str = r#"{"tag":"T9","bed_mm":[200,200],"height_mm":200,"nozzle_max_c":260,"bed_max_c":100,
"home_s":10,"motion":{"max_speed_mm_s":[100,100,100,100],"max_accel_mm_s2":[1000,1000,1000,1000],
"print_accel":1000,"travel_accel":1000,"retract_accel":1000,"corner":"deviation","deviation_um":10}}"#;

fn folder() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("job.gcode"), JOB).unwrap();
    fs::write(folder.path().join("t9.jsn"), SHEET).unwrap();
    folder
}

fn holdpoint(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_holdpoint")).args(arguments).current_dir(folder).output().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// The document of one file.
#[track_caller]
fn json(folder: &Path, arguments: &[&str]) -> Value {
    let run = holdpoint(folder, &[&["survey", "--json"], arguments].concat());
    assert_eq!(run.status.code(), Some(0), "{}", err(&run));
    let document: Value = serde_json::from_slice(&run.stdout).unwrap();
    assert_eq!(document["survey"], 1);
    document["jobs"][0].clone()
}

/// The value of a line of the report.
#[track_caller]
fn value<'t>(text: &'t str, name: &str) -> &'t str {
    let line = text.lines().find(|line| line.trim_start().starts_with(name)).unwrap_or_else(|| {
        panic!("no line {name} in\n{text}");
    });
    line.trim_start()[name.len()..].trim()
}

#[test]
fn the_report_says_what_was_worked_by_hand() {
    let folder = folder();
    let run = holdpoint(folder.path(), &["survey", "job.gcode", "--machine", "t9.jsn"]);
    assert_eq!(run.status.code(), Some(0), "{}", err(&run));
    assert_eq!(err(&run), "", "no progress where there is no terminal");
    let text = out(&run);
    assert_eq!(text.lines().nth(1), Some("surveyed for sheet T9 (t9.jsn)"));
    assert_eq!(value(&text, "size"), format!("{} bytes, 24 lines", JOB.len()));
    assert_eq!(value(&text, "needed from the spools"), "7.5 mm (highest net, rounded up to 0.001 mm)");
    assert!(
        value(&text, "tool T0").starts_with("net at the end 6.5 mm, highest net 7.5 mm, all forward 7.5 mm")
    );
    assert_eq!(value(&text, "longest pull back"), "1 mm, line 20");
    assert_eq!(value(&text, "beads "), "X 20 mm to 70 mm, Y 0 mm to 0 mm, Z 0.2 mm to 0.4 mm");
    assert_eq!(value(&text, "planes"), "2");
    assert_eq!(value(&text, "commonest height"), "0.2 mm");
    assert_eq!(value(&text, "moves  "), "3.573 s");
    assert_eq!(value(&text, "dwells"), "6 s");
    assert_eq!(value(&text, "homing  "), "once, line 5");
    assert_eq!(value(&text, "filament, path"), "5 mm, 100 mm");
    assert_eq!(value(&text, "material"), "comment PETG");
    assert_eq!(value(&text, "layer height"), "comment 0.3 mm, moves 0.2 mm  <- differs");
    assert_eq!(value(&text, "nozzle  "), "moves 230 °C");
    assert_eq!(value(&text, "end word"), "yes");
    assert_eq!(value(&text, "last bead "), "line 18");
    assert_eq!(value(&text, "nothing"), "every line was read");
}

#[test]
fn the_document_has_the_same_values_in_whole_numbers() {
    let folder = folder();
    let job = json(folder.path(), &["job.gcode", "--machine", "t9.jsn"]);
    assert_eq!(job["path"], "job.gcode");
    assert_eq!(job["error"], Value::Null);
    assert_eq!(job["machine"]["tag"], "T9");
    assert_eq!(job["filament"]["needed_um"], 7_500);
    assert_eq!(job["filament"]["tools"][0]["net_nm"], 6_500_000);
    assert_eq!(job["extents"]["beads"]["min_nm"], serde_json::json!([20_000_000, 0, 200_000]));
    assert_eq!(job["extents"]["beads"]["max_nm"], serde_json::json!([70_000_000, 0, 400_000]));
    assert_eq!((&job["layers"]["count"], &job["layers"]["passes"]), (&2.into(), &2.into()));
    assert_eq!(job["first_layer"]["path_nm"], 100_000_000);
    // 5 mm of 1.75 mm filament over 100 mm at 0.2 mm: 0.12026 mm² / 0.2 mm + 0.2 mm (1 - π/4) = 0.644 mm.
    assert!([643, 644].map(Value::from).contains(&job["first_layer"]["bead_width_um"]));
    // The first bead begins at 10 + 0.03 + 1 + 0.3 + 1 s, the second layer's at 17.46 s.
    assert_eq!((&job["first_layer"]["start_s"], &job["first_layer"]["end_s"]), (&12.into(), &17.into()));
    assert_eq!((&job["time"]["moves_ms"], &job["time"]["dwell_ms"]), (&3_573.into(), &6_000.into()));
    assert!([19, 20].map(Value::from).contains(&job["time"]["total_s"]));
    assert_eq!(job["heat"]["steps"][1]["target_c"], 230);
    assert_eq!(job["tail"]["motors_off"], true);
    let layer = job["stated"].as_array().unwrap().iter().find(|row| row["fact"] == "layer_um").unwrap();
    assert_eq!(
        layer,
        &serde_json::json!({"fact": "layer_um", "header": null, "comment": 300, "moves": 200, "differs": true})
    );
    assert_whole(&job);
}

/// No number with a point, at any depth.
/// The comment stands on line 18, before the second layer's bead, which begins at 17.46 s.
#[test]
fn what_a_comment_names_is_told_with_its_line_and_its_source() {
    let folder = folder();
    let at = JOB.rfind("G1 X70").unwrap();
    fs::write(folder.path().join("job.gcode"), format!("{}; supports begin\n{}", &JOB[..at], &JOB[at..]))
        .unwrap();
    let text = out(&holdpoint(folder.path(), &["survey", "job.gcode", "--machine", "t9.jsn"]));
    assert!(text.contains("0:00:17  ") && text.contains("supports begin, from a comment, line 18"), "{text}");
    let job = json(folder.path(), &["job.gcode", "--machine", "t9.jsn"]);
    let support = serde_json::json!({"at_s": 17, "line": 18, "source": "comment"});
    assert_eq!(job["named"], serde_json::json!({"support": support, "bridge": null}));
    assert_whole(&job);
}

fn assert_whole(value: &Value) {
    match value {
        Value::Number(number) => assert!(number.is_i64() || number.is_u64(), "{number}"),
        Value::Array(items) => items.iter().for_each(assert_whole),
        Value::Object(members) => members.values().for_each(assert_whole),
        Value::Null | Value::Bool(_) | Value::String(_) => {}
    }
}

#[test]
fn a_header_stands_beside_the_moves_and_a_wrong_one_is_marked() {
    let folder = folder();
    let header = "; job-header 1\n; {\"material\":\"PETG\",\"length_mm\":19,\"time_s\":9600,\"nozzle_c\":250}\n; end-header\n";
    fs::write(folder.path().join("told.gcode"), format!("{header}{JOB}")).unwrap();
    let run = holdpoint(folder.path(), &["survey", "told.gcode", "--machine", "t9.jsn"]);
    let text = out(&run);
    // 19 mm is more than 10 mm and more than 5 % off.
    assert_eq!(value(&text, "filament used"), "header 19 mm, moves 7.5 mm  <- differs");
    assert!(value(&text, "printing time").starts_with("header 2:40:00, moves 0:00:"), "{text}");
    assert!(value(&text, "printing time").ends_with("<- differs"));
    assert_eq!(value(&text, "nozzle  "), "header 250 °C, moves 230 °C  <- differs");
    assert_eq!(value(&text, "material"), "header PETG, comment PETG");
    assert_eq!(value(&text, "job header"), format!("read, ends at byte {}", header.len()));
}

#[test]
fn the_machine_is_found_beside_the_job_or_said_to_be_none() {
    let folder = folder();
    let text = out(&holdpoint(folder.path(), &["survey", "job.gcode"]));
    assert!(text.contains("surveyed for no machine sheet"), "{text}");
    assert!(text.contains("--machine FILE"), "{text}");
    fs::create_dir_all(folder.path().join("HOLDPT")).unwrap();
    fs::create_dir(folder.path().join("inner")).unwrap();
    fs::write(folder.path().join("HOLDPT/MACHINE.JSN"), SHEET).unwrap();
    fs::copy(folder.path().join("job.gcode"), folder.path().join("inner/job.gcode")).unwrap();
    let job = json(folder.path(), &["inner/job.gcode"]);
    assert_eq!(job["machine"]["tag"], "T9");
    assert_eq!(job["time"]["home_s"], 10);
}

#[test]
fn pictures_are_to_scale_and_have_their_units() {
    let folder = folder();
    let run = |name: &str| {
        holdpoint(folder.path(), &["survey", "job.gcode", "--machine", "t9.jsn", "--picture", name])
    };
    assert_eq!(run("a.svg").status.code(), Some(0));
    let svg = fs::read_to_string(folder.path().join("a.svg")).unwrap();
    // Two beads from X 20 to 70 and back, 2.5 mm of filament (2.405 mm²) each at 0.2 mm: 0.601 mm and the half-round sides,
    // 0.644 mm. The window is 1.06 times as wide as both, 53.68 mm on 480 units, and X 45, Y 0 is its middle.
    for [points, colour] in
        [["86.47,330.00 533.53,330.00", "#b3d9f2"], ["533.53,330.00 86.47,330.00", "#0072b2"]]
    {
        let bead = format!(r#"points="{points}" stroke="{colour}""#);
        assert!(svg.contains(&bead), "{bead}: {svg}");
    }
    assert_eq!(svg.matches(r#"stroke-width="5.76""#).count(), 2, "{svg}");
    assert!(svg.contains("Layer 1 of 2 at Z 0.200 mm"), "{svg}");
    for label in ["X, mm", "Y, mm", "t, s", "layer, in the order of printing", "plate of T9: 200 x 200 mm"] {
        assert!(svg.contains(label), "{label}");
    }
    assert_eq!(run("a.PNG").status.code(), Some(0));
    let png = fs::read(folder.path().join("a.PNG")).unwrap();
    // PNG's signature and its IHDR: 1180 x 680 pixels.
    assert_eq!(&png[..8], b"\x89PNG\r\n\x1a\n");
    assert_eq!(&png[16..24], [0, 0, 4, 156, 0, 0, 2, 168]);
    let unknown = run("a.jpg");
    assert_eq!(unknown.status.code(), Some(64));
    assert!(err(&unknown).contains(".png or .svg"), "{}", err(&unknown));
    let nowhere = run("no/a.svg");
    assert_eq!(nowhere.status.code(), Some(3));
    assert!(err(&nowhere).contains("no/a.svg"), "{}", err(&nowhere));
}

#[test]
fn any_layer_is_drawn_and_no_other() {
    let folder = folder();
    let run = |layer: &str| {
        holdpoint(folder.path(), &["survey", "job.gcode", "--picture", "a.svg", "--layer", layer])
    };
    assert_eq!(run("2").status.code(), Some(0));
    let svg = fs::read_to_string(folder.path().join("a.svg")).unwrap();
    assert!(svg.contains("Layer 2 of 2 at Z 0.400 mm") && svg.contains("no machine sheet"), "{svg}");
    assert_eq!(svg.matches("<polyline").count(), 1, "{svg}");
    let missing = run("3");
    assert_eq!(missing.status.code(), Some(3));
    assert!(err(&missing).contains("job.gcode: has no layer 3: it has 2"), "{}", err(&missing));
    assert_eq!(run("0").status.code(), Some(64));
    let alone = holdpoint(folder.path(), &["survey", "job.gcode", "--layer", "2"]);
    assert_eq!(alone.status.code(), Some(64), "a layer is the picture's");
}

#[test]
fn what_is_not_read_is_named_with_its_line() {
    let folder = folder();
    fs::write(
        folder.path().join("odd.gcode"),
        "G28\nG1 X..5\nM999.5\nM999.5\nG1 X\u{1}\n/G1 X5\nG18\nG2 X1 I1\n",
    )
    .unwrap();
    let text = out(&holdpoint(folder.path(), &["survey", "odd.gcode"]));
    assert!(value(&text, "M999.5").starts_with("2 times, first on line 3"), "{text}");
    assert_eq!(value(&text, "lines begun with /"), "once, line 6");
    assert!(value(&text, "cannot be read as words").ends_with("first on line 2"), "{text}");
    assert!(value(&text, "words with no move").contains("line 8: an arc in another plane than XY"), "{text}");
    assert!(value(&text, "bytes that are no text").starts_with("1, first at byte 30"), "{text}");
}

#[test]
fn standard_input_is_a_file_too() {
    let folder = folder();
    let mut command = Command::new(env!("CARGO_BIN_EXE_holdpoint"));
    command.args(["survey", "--json", "-"]).stdin(Stdio::piped()).stdout(Stdio::piped());
    let mut child = command.current_dir(folder.path()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(JOB.as_bytes()).unwrap();
    let run = child.wait_with_output().unwrap();
    assert_eq!(run.status.code(), Some(0));
    let document: Value = serde_json::from_slice(&run.stdout).unwrap();
    assert_eq!(document["jobs"][0]["filament"]["needed_um"], 7_500);
    assert_eq!(document["jobs"][0]["path"], "standard input");
}

#[test]
fn what_cannot_be_read_is_one_line_each_and_the_rest_is_surveyed() {
    let folder = folder();
    fs::create_dir(folder.path().join("dir")).unwrap();
    fs::write(folder.path().join("card.img"), [0; 512]).unwrap();
    let run = holdpoint(folder.path(), &["survey", "--json", "none.gcode", "dir", "card.img", "job.gcode"]);
    assert_eq!(run.status.code(), Some(3));
    let lines: Vec<_> = err(&run).lines().map(str::to_owned).collect();
    assert_eq!(lines.len(), 3, "{lines:?}");
    for (line, (name, remedy)) in lines.iter().zip([
        ("none.gcode", "is the path right?"),
        ("dir", "name the job files"),
        ("card.img", "holdpoint vet card.img"),
    ]) {
        assert!(line.starts_with(&format!("holdpoint: {name}: ")) && line.contains(remedy), "{line}");
    }
    let document: Value = serde_json::from_slice(&run.stdout).unwrap();
    let errors: Vec<_> =
        document["jobs"].as_array().unwrap().iter().map(|job| job["error"].is_null()).collect();
    assert_eq!(errors, [false, false, false, true]);
    let two = holdpoint(folder.path(), &["survey", "job.gcode", "job.gcode", "--picture", "a.png"]);
    assert_eq!(two.status.code(), Some(64));
    assert!(err(&two).contains("one file at a time"), "{}", err(&two));
    assert!(!folder.path().join("a.png").exists());
}

#[test]
fn the_help_shows_how() {
    let folder = folder();
    let help = out(&holdpoint(folder.path(), &["survey", "--help"]));
    for text in ["Examples:", "The JSON document (--json):", "not_read", "Exit codes:"] {
        assert!(help.contains(text), "{text} in\n{help}");
    }
}

#[test]
fn what_holds_no_text_is_no_survey() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("empty.gcode"), "").unwrap();
    let bytes: Vec<u8> = (0..4096_u32).map(|number| (number * 37 % 251) as u8).collect();
    std::fs::write(folder.path().join("binary.gcode"), bytes).unwrap();
    for (name, why) in [("empty.gcode", "is empty"), ("binary.gcode", "no plain text")] {
        let run = std::process::Command::new(env!("CARGO_BIN_EXE_holdpoint"))
            .args(["survey", name])
            .current_dir(folder.path())
            .output()
            .unwrap();
        let said = String::from_utf8(run.stderr).unwrap();
        assert_eq!(run.status.code(), Some(3), "{said}");
        assert!(said.contains(name) && said.contains(why), "{said}");
    }
}

/// It is surveyed all the same, and the first lines say that it is no print.
#[test]
fn what_prints_nothing_is_told_at_once() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("travels.gcode"), "G28\nG90\nG0 X10 Y10 Z5 F6000\nG0 X100\nM84\n").unwrap();
    let run = |arguments: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_holdpoint"));
        command.arg("survey").args(arguments).current_dir(folder.path()).output().unwrap()
    };
    let text = String::from_utf8(run(&["travels.gcode"]).stdout).unwrap();
    assert_eq!(
        text.lines().nth(2),
        Some("This file prints nothing: no move of it lays filament. It gets NO VERDICT.")
    );
    let document: Value = serde_json::from_slice(&run(&["travels.gcode", "--json"]).stdout).unwrap();
    assert_eq!(document["jobs"][0]["prints"], false);
}
