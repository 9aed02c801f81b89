//! An input that only tests assign is a check that cannot fire.

use std::fs;
use std::path::{Path, PathBuf};

/// Given to every check by `CheckInput::new` itself.
const GIVEN: [&str; 4] = ["facts", "machine", "spool", "room"];

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/src")
}

/// The program's own text: without its tests.
fn program(path: &Path) -> String {
    let text = fs::read_to_string(path).unwrap();
    text.split("#[cfg(test)]").next().unwrap_or_default().to_owned()
}

fn files(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, into);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            into.push(path);
        }
    }
}

/// The fields of the structs in the checks' input.
fn fields(text: &str) -> Vec<String> {
    let names = text.lines().filter_map(|line| line.strip_prefix("    pub ")?.split_once(':'));
    let names = names.filter(|(name, _)| !name.contains([' ', '(']));
    names.map(|(name, _)| name.to_owned()).collect()
}

/// Whether a line gives the field a value: `x.field = `, `(x.field, ..) = ` or `field:` in a literal.
fn assigns(line: &str, field: &str) -> bool {
    let line = &format!("{} ", line.trim());
    if line.starts_with("//") {
        return false;
    }
    let literal = line.starts_with(&format!("{field}:")) || line.contains(&format!("{{ {field}:"));
    let place = format!(".{field}");
    let assigned = line.match_indices(&place).any(|(at, _)| {
        let rest = &line[at + place.len()..];
        let ends = !rest.starts_with(|letter: char| letter.is_alphanumeric() || letter == '_');
        ends && rest.contains(" = ") && !rest.starts_with('.') || ends && rest.starts_with(" = ")
    });
    literal || assigned
}

#[test]
fn every_input_of_the_checks_is_fed_by_the_core() {
    let inputs = program(&source().join("checks/input.rs"));
    let fields = fields(&inputs);
    assert!(fields.len() > 40, "{fields:?}");
    let mut app = Vec::new();
    files(&source().join("app"), &mut app);
    let lines: Vec<String> =
        app.iter().flat_map(|path| program(path).lines().map(str::to_owned).collect::<Vec<_>>()).collect();
    let unfed: Vec<_> = fields
        .iter()
        .filter(|field| !GIVEN.contains(&field.as_str()))
        .filter(|field| !lines.iter().any(|line| assigns(line, field)))
        .collect();
    assert!(
        unfed.is_empty(),
        "only tests assign {unfed:?}: feed it, or mark its row as not yet and remove the input"
    );
}

#[test]
fn an_assignment_is_told_from_a_question() {
    for (line, is) in [
        ("    input.unread = report.fault.is_some();", true),
        ("(input.card.dirty, input.card.unread) = (1, 2);", true),
        ("    unread: true,", true),
        ("Facts { unread: 1 }", true),
        ("if input.unread == 3 {", false),
        ("    input.unread_word = 1;", false),
        ("// input.unread = 1;", false),
        ("let x = input.unread;", false),
    ] {
        assert_eq!(assigns(line, "unread"), is, "{line}");
    }
}
