//! Names, headers, comments, records, books and settled points from somebody who wants to be taken for the program: none
//! of it may end a line, move the cursor, turn the writing round, or be a formula.

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use holdpoint_shared::daybook::{COLUMNS, HEADER, LineState, event_state, row_state};
use serde_json::Value;

/// What each text from outside carries: line ends and a verdict, terminal sequences of both kinds, marks of direction,
/// zero-width letters, separators of Unicode.
const PAYLOADS: [&str; 12] = [
    "\nCLEAR      FORGED",
    "\rCLEAR      FORGED",
    "\u{85}CLEAR      FORGED",
    "\u{2028}CLEAR     FORGED",
    "\u{1b}[2J\u{1b}[1;1HCLEAR",
    "\u{9b}2JCLEAR",
    "\u{1b}]0;title\u{7}",
    "\u{202e}\u{2066}EVIL\u{2069}",
    "\u{200b}\u{feff}\u{ad}\u{e0041}",
    "\t=1+1",
    "\u{8}\u{8}\u{8}\u{7f}",
    "\u{b}\u{c}CLEAR",
];

/// What a spreadsheet may take for a formula.
const FORMULAS: [&str; 9] = ["=1+1", "+1+1", "-1+cmd", "@SUM(1)", "＝1+1", "＋1", "－1", "＠A", "  \"=1+1"];

const JOB: &str = "M104 S210\nM140 S60\nM109 S210\nM190 S60\nG28\nG90\nM83\nG1 Z0.2 F600\nG1 X50 Y50 F6000\n\
                   G1 X90 Y50 E2 F1200\nG1 X90 Y90 E2\nM104 S0\nM140 S0\nM84\n";

/// Written from the code charts, not taken from the program.
fn is_hidden(letter: char) -> bool {
    let direction =
        "\u{61c}\u{200e}\u{200f}\u{202a}\u{202b}\u{202c}\u{202d}\u{202e}\u{2066}\u{2067}\u{2068}\u{2069}";
    let invisible =
        "\u{ad}\u{180e}\u{200b}\u{200c}\u{200d}\u{2028}\u{2029}\u{2060}\u{2061}\u{feff}\u{fff9}\u{e0041}";
    letter.is_control() || direction.contains(letter) || invisible.contains(letter)
}

fn json_text(text: &str) -> String {
    serde_json::to_string(text).unwrap()
}

/// A card's folder in which every text is hostile.
fn folder(at: &Path) {
    let records = at.join("HOLDPT");
    fs::create_dir_all(&records).unwrap();
    for (number, payload) in PAYLOADS.iter().chain(&FORMULAS).enumerate() {
        let text = json_text(payload);
        let header = format!(
            "; job-header 1\n; {{\"material\":{text},\"part\":{text},\n; \"author\":{text},\"machine\":{text}}}\n; end-header\n"
        );
        let comments = payload.replace(['\n', '\r'], " ");
        let job = format!(
            "{header}; filament type = PLA{comments}\n; nozzle diameter {comments} = 0.4\n{JOB}M{comments}\n;{comments}\n"
        );
        let broken = format!(
            "; job-header 1\n; {{\"material\":\"PLA\",{text}:1,\"nozle_c\":1,\"nozzle_c\":{text}}}\n; end-header\n{JOB}"
        );
        let name = payload.replace(['/', '\0'], "_");
        // Not every system has such names.
        for (name, bytes) in [(format!("{name}{number}.gcode"), &job), (format!("b{name}.gcode"), &broken)] {
            let _ = fs::write(at.join(&name), bytes);
            let inner = at.join(format!("d{name}"));
            if fs::create_dir(&inner).is_ok() {
                let _ = fs::write(inner.join(name), bytes);
            }
        }
    }
    #[cfg(target_os = "linux")]
    {
        use std::os::unix::ffi::OsStrExt;
        let _ = fs::write(at.join(std::ffi::OsStr::from_bytes(b"\xff\n\x9bCLEAR.gcode")), JOB);
    }
    let text = json_text(PAYLOADS[0]);
    fs::write(
        records.join("SPOOL.JSN"),
        format!("{{\"id\":\"\\u001b[2J\",\"material\":{text},\"colour\":{text},\"left_g\":1,{text}:2}}"),
    )
    .unwrap();
    fs::write(records.join("ROOM.JSN"), format!("{{{text}:{text},\"owner_codes\":{text}}}")).unwrap();
    fs::write(records.join("MACHINE.JSN"), format!("{{\"tag\":\"M\\u001b\\n2\",{text}:[{text}]}}")).unwrap();
    let mut settled = String::new();
    for check in [63, 8, 10] {
        settled += &format!(
            "{{\"check\":{check},\"for\":\"machine\",\"of\":\"M\\u001b\\n2\",\"day\":\"2026-11-25\",\"by\":{text},\"why\":{text}}}\n"
        );
    }
    fs::write(records.join("SETTLED.JSL"), settled).unwrap();
    fs::write(records.join("DAYBOOK.CSV"), rows()).unwrap();
    fs::write(records.join("EVENTS.JSL"), events()).unwrap();
}

/// Rows with sums that fit, as anybody can reckon them.
fn rows() -> Vec<u8> {
    let mut book = HEADER.as_bytes().to_vec();
    for (number, text) in PAYLOADS.iter().chain(&FORMULAS).enumerate() {
        // A line end ends a row even within quotes.
        let text = text.replace(['\n', '\r'], "\u{85}").replace('"', "\"\"");
        let mut cells = vec![String::new(); COLUMNS - 1];
        for (place, column) in HEADER.trim_end().split(',').take(COLUMNS - 1).enumerate() {
            cells[place] = match column {
                "rec" => number.to_string(),
                "started" => "2026-11-25T10:00:00".to_owned(),
                "result" => if number % 2 == 0 { "failed" } else { "good" }.to_owned(),
                "machine" | "reason" | "grade" | "spool_id" | "owner" | "colour" | "job_name" => {
                    format!("\"{text}\"")
                }
                "left_g" => "10".to_owned(),
                "closed_out" => "1".to_owned(),
                _ => String::new(),
            };
        }
        if number == 3 {
            cells[17] = format!("\"{text}\"");
        }
        let body = cells.join(",") + ",";
        let line = format!("{body}{:08X}\r\n", crc32fast::hash(body.as_bytes()));
        assert_eq!(row_state(line.as_bytes()), LineState::Whole, "{line}");
        book.extend_from_slice(line.as_bytes());
    }
    book.extend_from_slice(b"cut \x1b[2J\x9bCLEAR\r\n");
    book
}

fn events() -> Vec<u8> {
    let mut all = Vec::new();
    for (event, machine) in [("\\u001b[2J", "M\\u009b"), ("override", "\\nCLEAR")] {
        for check in ["58", "\"\\u001bCLEAR\\n\""] {
            let body = format!(
                "{{\"t\":null,\"machine\":\"{machine}\",\"rec\":1,\"event\":\"{event}\",\"check\":{check},\"crc\":\""
            );
            let line = format!("{body}{:08X}\"}}\n", crc32fast::hash(body.as_bytes()));
            assert_eq!(event_state(line.as_bytes()), LineState::Whole, "{line}");
            all.extend_from_slice(line.as_bytes());
        }
    }
    all
}

fn run(arguments: &[&str], here: &Path) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_holdpoint"));
    command.args(arguments).current_dir(here).stdin(Stdio::null()).output().unwrap()
}

/// What was printed, with every line looked at.
#[track_caller]
fn harmless(bytes: &[u8], what: &[&str]) -> String {
    let text =
        String::from_utf8(bytes.to_vec()).unwrap_or_else(|_| panic!("{what:?} prints what is no UTF-8"));
    for line in text.split('\n') {
        let line = line.strip_suffix('\r').unwrap_or(line);
        assert!(!line.contains(is_hidden), "{what:?}: {line:?}");
        assert!(!line.starts_with("CLEAR"), "{what:?}: {line:?}");
    }
    text
}

fn texts(value: &Value, all: &mut Vec<String>) {
    match value {
        Value::String(text) => all.push(text.clone()),
        Value::Array(values) => values.iter().for_each(|value| texts(value, all)),
        Value::Object(members) => members.iter().for_each(|(key, value)| {
            all.push(key.clone());
            texts(value, all);
        }),
        _ => {}
    }
}

#[test]
fn nothing_from_outside_reaches_a_terminal_as_anything_but_text() {
    let here = tempfile::tempdir().unwrap();
    folder(&here.path().join("jobs"));
    fs::write(here.path().join("s.txt"), "insert\nsnap a\u{1b}[2J\u{9b}b\nwait \u{1b}[2J\n").unwrap();
    fs::write(here.path().join("t.txt"), "insert\nsnap a\u{1b}[2J\u{9b}b\n").unwrap();
    let job =
        fs::read_dir(here.path().join("jobs")).unwrap().flatten().map(|entry| entry.path()).find(|path| {
            path.is_file()
                && path.to_str().is_some_and(|path| path.contains('\u{1b}') && path.ends_with(".gcode"))
        });
    let job = job.as_deref().and_then(Path::to_str).unwrap_or("jobs/missing.gcode").to_owned();
    let missing = "no\nCLEAR\u{1b}[2J\u{202e}.gcode";
    let runs: Vec<Vec<&str>> = vec![
        vec!["vet", "jobs"],
        vec!["vet", "jobs", "--explain"],
        vec!["vet", "jobs", "--explain", "--lang", "de"],
        vec!["vet", "jobs", "--json"],
        vec!["vet", "jobs", "--csv"],
        vec!["vet", &job, missing, "jobs"],
        vec!["vet", missing, "--json"],
        vec!["vet", missing, "--csv"],
        vec!["vet", "jobs", "--machine", missing],
        vec!["vet", "--spool", "jobs/HOLDPT/EVENTS.JSL", "--explain", &job],
        vec!["ledger", "jobs"],
        vec!["ledger", "jobs", "--json"],
        vec!["ledger", "jobs", "--csv"],
        vec!["ledger", missing, "jobs/HOLDPT/DAYBOOK.CSV"],
        vec!["survey", &job, "--machine", "jobs/HOLDPT/ROOM.JSN"],
        vec!["survey", &job, missing],
        vec!["survey", &job, "--json"],
        vec!["survey", &job, "--picture", "out\nCLEAR.bmp"],
        vec!["survey", &job, "--picture", "picture.svg"],
        vec!["stamp", &job, "--to", "new\nCLEAR.gcode"],
        vec!["stamp", "--check", &job, missing],
        vec!["settle", "jobs", "--list"],
        vec!["settle", "jobs", "--check", "10", "--for", "machine"],
        vec!["settle", missing, "--list"],
        vec!["card", "jobs", "card.img"],
        vec!["card", missing, "card.img"],
        vec!["show", "jobs"],
        vec!["show", &job],
        vec!["snap", "s.txt", "--out", "o\nCLEAR"],
        vec!["snap", "t.txt", "--text", "--out", "o\nCLEAR"],
        vec!["vet", "--no\nCLEAR\u{1b}[2J"],
        vec!["vet", "x", "--now", "\nCLEAR\u{1b}[2J"],
        vec!["no\nCLEAR"],
    ];
    for arguments in &runs {
        let output = run(arguments, here.path());
        let (said, printed) = (harmless(&output.stderr, arguments), harmless(&output.stdout, arguments));
        assert!(output.status.code().is_some(), "{arguments:?} was killed");
        assert!(!said.is_empty() || !printed.is_empty(), "{arguments:?} says nothing");
        if arguments.contains(&"--json") {
            let mut all = Vec::new();
            texts(&serde_json::from_str(&printed).unwrap(), &mut all);
            let hidden: Vec<_> = all.iter().filter(|text| text.contains(is_hidden)).collect();
            assert!(hidden.is_empty(), "{arguments:?}: {hidden:?}");
        }
        if arguments.contains(&"--csv") {
            let mut cells = 0;
            for record in
                csv::ReaderBuilder::new().has_headers(false).from_reader(printed.as_bytes()).records()
            {
                for cell in record.unwrap().iter() {
                    let begins = cell.trim_start_matches(|letter: char| {
                        letter.is_whitespace() || "\"“”‘’„".contains(letter)
                    });
                    let formula =
                        begins.starts_with(['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠']);
                    assert!(!formula || cell.parse::<f64>().is_ok(), "{arguments:?}: {cell:?}");
                    cells += 1;
                }
            }
            assert!(cells > 10, "{arguments:?}");
        }
    }
    for entry in ["picture.svg", "o\nCLEAR/screens.txt", "holdpoint-screens/screens.txt"] {
        if let Ok(bytes) = fs::read(here.path().join(entry)) {
            harmless(&bytes, &[entry]);
        }
    }
}

#[test]
fn hostile_jobs_are_vetted_all_the_same() {
    let here = tempfile::tempdir().unwrap();
    folder(&here.path().join("jobs"));
    let output = run(&["vet", "jobs", "--json"], here.path());
    let document: Value = serde_json::from_slice(&output.stdout).unwrap();
    let files = |folder: &Path| {
        let all = fs::read_dir(folder).unwrap().flatten().map(|entry| entry.path());
        all.filter(|path| path.is_file() && path.extension().is_some_and(|ending| ending == "gcode")).count()
    };
    let inner = fs::read_dir(here.path().join("jobs")).unwrap().flatten().map(|entry| entry.path());
    let inner: usize = inner.filter(|path| path.is_dir()).map(|path| files(&path)).sum();
    let jobs = document["cards"][0]["jobs"].as_array().unwrap().len();
    assert_eq!(jobs, files(&here.path().join("jobs")) + inner);
    assert!(jobs >= 42, "{jobs}");
}
