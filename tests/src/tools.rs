//! The system's own tools, where they are.
//!
//! On a machine without them a test says that it did not run; with `CI` set it fails, so that no run of
//! continuous integration leaves it out unseen.

use std::path::Path;
use std::process::{Command, Output};

/// Whether all of these tools can be run here.
///
/// # Panics
/// In continuous integration when one is missing.
#[must_use]
pub fn have(tools: &[&str]) -> bool {
    let folders = std::env::var_os("PATH").unwrap_or_default();
    let found = |tool: &str| {
        std::env::split_paths(&folders)
            .chain(["/usr/sbin", "/sbin"].map(Into::into))
            .any(|folder| folder.join(tool).is_file())
    };
    let missing: Vec<&&str> = tools.iter().filter(|tool| !found(tool)).collect();
    assert!(
        missing.is_empty() || std::env::var_os("CI").is_none(),
        "these tools are missing in continuous integration: {missing:?}"
    );
    if !missing.is_empty() {
        eprintln!("did not run: these tools are missing here: {missing:?}");
    }
    missing.is_empty()
}

/// Runs a tool, and gives what it printed.
///
/// # Panics
/// When it does not run, or fails.
pub fn run(tool: &str, arguments: &[&str]) -> String {
    let output = start(tool, arguments);
    let said = said(&output);
    assert!(output.status.success(), "{tool} {arguments:?}: {said}");
    said
}

/// Runs a tool that may have something to complain of, and gives what it printed.
///
/// # Panics
/// When it does not run.
#[must_use]
pub fn output(tool: &str, arguments: &[&str]) -> String {
    said(&start(tool, arguments))
}

fn start(tool: &str, arguments: &[&str]) -> Output {
    let path = std::env::var("PATH").unwrap_or_default();
    Command::new(tool)
        .env("PATH", format!("{path}:/usr/sbin:/sbin"))
        .env("LC_ALL", "C.UTF-8")
        .args(arguments)
        .output()
        .unwrap_or_else(|error| panic!("{tool} does not run: {error}"))
}

fn said(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

/// A path as an argument.
///
/// # Panics
/// When it is not UTF-8.
#[must_use]
pub fn text(path: &Path) -> &str {
    path.to_str().expect("a path in UTF-8")
}
