//! Who may import whom: the house's one way through, held by reading the source.
//!
//! blocks → bytes → words → moves → survey → findings → phase → screen. Every `crate::room` in `shared/src` is
//! compared with the table below; any other arrow fails with its file and line.

#[path = "architecture/graph.rs"]
mod graph;
#[path = "architecture/names.rs"]
mod names;

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use graph::Graph;

/// The floor: arithmetic and constants, open to every room.
const FLOOR: &[&str] = &["units", "time", "limits", "fmt", "visible", "json"];

/// Room, and what it may import besides the floor and itself.
const ROOMS: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("time", &[]),
    ("limits", &[]),
    ("fmt", &[]),
    ("visible", &[]),
    ("json", &[]),
    ("media", &[]),
    ("text", &[]),
    ("header", &[]),
    ("records", &[]),
    ("motion", &["text"]),
    // Limits of motion come from the machine sheet.
    ("survey", &["text", "motion", "records"]),
    ("checks", &["survey", "header", "records"]),
    ("heat", &["records"]),
    ("ledger", &[]),
    // An owner's code is an answer.
    ("phase", &["checks", "heat", "records"]),
    // A row names the verdict and its checks, an event a finding's values; neither calls a rule.
    ("daybook", &["checks", "records"]),
    // Words put a finding, a question and its answers into a sentence.
    ("words", &["checks", "records", "header", "media", "phase"]),
    // A model holds values of these rooms, ready to print; it calls none of their rules.
    ("screens", &["words", "checks", "header", "media", "records", "survey", "phase"]),
    (
        "app",
        &[
            "media", "header", "records", "motion", "survey", "checks", "heat", "ledger", "phase", "daybook",
            "words", "screens",
        ],
    ),
];

/// Types whose methods call each other across files: this list only ever gets shorter.
const BY_CALLS: &[&str] = &[
    "ledger/long.rs ledger/scan.rs ledger/settle.rs ledger/store.rs",
    "phase/answering.rs phase/card.rs phase/closing.rs phase/due.rs phase/machine.rs phase/owner.rs \
     phase/stages.rs phase/walk.rs",
];

fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("the source folder is there") {
        let path = entry.expect("a readable entry").path();
        if path.is_dir() {
            sources(&path, into);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            into.push(path);
        }
    }
}

/// Rooms named after `crate::` in a line of code, groups `crate::{a::B, c}` included.
fn imports(line: &str) -> Vec<String> {
    let code = line.split("//").next().unwrap_or_default();
    let mut rooms = Vec::new();
    for (at, _) in code.match_indices("crate::") {
        if code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_') {
            continue;
        }
        let rest = &code[at + "crate::".len()..];
        if let Some(group) = rest.strip_prefix('{') {
            let mut depth = 0_i32;
            let mut part = String::new();
            for c in group.chars() {
                match c {
                    '{' => depth += 1,
                    '}' if depth == 0 => break,
                    '}' => depth -= 1,
                    ',' if depth == 0 => {
                        rooms.push(std::mem::take(&mut part));
                        continue;
                    }
                    _ => {}
                }
                part.push(c);
            }
            rooms.push(part);
        } else {
            rooms.push(rest.to_string());
        }
    }
    rooms
        .iter()
        .map(|text| text.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>())
        .filter(|room| !room.is_empty())
        .collect()
}

/// Folders as far as the table needs them: `shared/src/media/volume.rs` is in room `media`.
fn room_of(path: &Path, root: &Path) -> String {
    let first = path.strip_prefix(root).expect("below the root").components().next().expect("a component");
    first.as_os_str().to_string_lossy().trim_end_matches(".rs").to_string()
}

#[test]
fn every_arrow_in_the_core_is_in_the_table() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/src");
    let mut files = Vec::new();
    sources(&root, &mut files);
    let (mut arrows, mut wrong) = (0, Vec::new());
    for path in files {
        let room = room_of(&path, &root);
        // Files of tests alone may look anywhere: they hold the rooms against each other.
        let test_only = path.file_stem().is_some_and(|stem| {
            let stem = stem.to_string_lossy();
            stem == "tests" || stem == "bench" || stem.ends_with("_tests")
        });
        if room == "lib" || test_only {
            continue;
        }
        let allowed = ROOMS.iter().find(|(name, _)| *name == room).map(|(_, allowed)| *allowed);
        let Some(allowed) = allowed else {
            wrong.push(format!("{}: the room `{room}` is not in the table", path.display()));
            continue;
        };
        let text = fs::read_to_string(&path).expect("UTF-8 source");
        for (number, line) in text.lines().enumerate() {
            for target in imports(line) {
                let known = ROOMS.iter().any(|(name, _)| *name == target);
                arrows += usize::from(known);
                if known
                    && target != room
                    && !FLOOR.contains(&target.as_str())
                    && !allowed.contains(&target.as_str())
                {
                    wrong.push(format!("{}:{}: {room} -> {target}", path.display(), number + 1));
                }
            }
        }
    }
    assert!(arrows > 10, "only {arrows} imports were recognised: the reader of `crate::` lines is broken");
    assert!(wrong.is_empty(), "arrows against the one way:\n{}", wrong.join("\n"));
}

#[test]
fn the_reader_sees_groups_and_paths() {
    assert_eq!(imports("use crate::{media::{Entry, Page}, units::Celsius};"), ["media", "units"]);
    assert_eq!(imports("let x = crate::text::Line::new(); // crate::screens"), ["text"]);
    assert!(imports("use heapless::String;").is_empty());
}

/// Crates: boards and desktop import the core and never each other; the core imports no project crate, and what needs no
/// desktop imports nothing that does.
#[test]
fn crates_meet_only_in_the_core() {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    for (of, never) in [
        ("shared", &["holdpoint-desk", "holdpoint-cli", "holdpoint-firmware", "holdpoint-tests"][..]),
        (
            "sim/desk",
            &["holdpoint-cli", "holdpoint-firmware", "holdpoint-tests", "tempfile", "clap", "crossterm"],
        ),
        ("sim/cli", &["holdpoint-firmware", "holdpoint-tests"]),
        ("firmware", &["holdpoint-desk", "holdpoint-cli", "holdpoint-tests"]),
    ] {
        let manifest = fs::read_to_string(top.join(of).join("Cargo.toml")).expect("a manifest");
        for name in never {
            assert!(
                !manifest.lines().any(|line| line.trim_start().starts_with(name)),
                "{of} must not depend on {name}"
            );
        }
    }
}

fn core() -> Graph {
    let graph = Graph::of(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/src"));
    assert!(graph.arrows.len() > 1000, "only {} arrows were found: the reader is broken", graph.arrows.len());
    graph
}

/// The files of each circle, and one way round each.
fn told(graph: &Graph) -> (Vec<String>, String) {
    let (mut groups, mut ways) = (Vec::new(), String::new());
    for (group, way) in graph.circles() {
        groups.push(group.iter().map(|&file| graph.files[file].as_str()).collect::<Vec<_>>().join(" "));
        for (at, &from) in way.iter().enumerate() {
            let to = way[(at + 1) % way.len()];
            let names = &graph.arrows[&(from, to)];
            let _ = writeln!(ways, "{} -> {}: {names:?}", graph.files[from], graph.files[to]);
        }
        ways.push('\n');
    }
    (groups, ways)
}

#[test]
fn no_files_of_the_core_name_each_other_in_a_circle() {
    let (groups, ways) = told(&core().by_paths());
    assert!(groups.is_empty(), "circles:\n{ways}");
}

#[test]
fn no_more_files_of_the_core_call_each_other_in_a_circle() {
    let (groups, ways) = told(&core());
    assert_eq!(groups, BY_CALLS, "circles:\n{ways}");
}

#[test]
fn every_arrow_that_is_permitted_is_used() {
    let graph = core();
    let room = |file: usize| graph.files[file].split('/').next().unwrap_or_default().trim_end_matches(".rs");
    let used = |from: &str, to: &str| graph.arrows.keys().any(|&(a, b)| room(a) == from && room(b) == to);
    let unused: Vec<_> = ROOMS
        .iter()
        .flat_map(|(from, permitted)| permitted.iter().map(move |to| (*from, *to)))
        .filter(|(from, to)| !used(from, to))
        .collect();
    assert!(unused.is_empty(), "permitted and not used: {unused:?}");
}

/// Names that still mean two things; none is to be added, and one that means one thing again goes.
const DEFINED_TWICE: &[&str] = &["Action", "Event", "Item", "Key", "Known", "Machine", "Stated", "Words"];

#[test]
fn a_type_name_means_one_thing_in_the_core() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/src");
    let mut files = Vec::new();
    sources(&root, &mut files);
    files.retain(|path| !path.to_string_lossy().ends_with("tests.rs"));
    let found = names::defined_twice(&root, &files);
    let known: BTreeSet<&str> = DEFINED_TWICE.iter().copied().collect();
    let new: Vec<_> = found.iter().filter(|(name, _)| !known.contains(name.as_str())).collect();
    assert!(new.is_empty(), "defined in two files: {new:?}");
    let gone: Vec<_> = known.iter().filter(|name| !found.contains_key(**name)).collect();
    assert!(gone.is_empty(), "mean one thing now: {gone:?}");
}
