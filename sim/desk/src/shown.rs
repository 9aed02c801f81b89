//! Texts from outside, fit for a line of text: file names, what a system or a library said of them, what a file holds.
//!
//! The core filters what it reads from a card; here the same filter stands before the terminal. `Path::display` is not
//! used (`clippy.toml`), since a name may hold a line break that forges a verdict.

use std::ffi::OsStr;
use std::fmt::{self, Write};
use std::path::Path;

use holdpoint_shared::visible::{is_hidden, visible};

/// A text or a path without what is never shown.
#[derive(Debug)]
pub struct Visible<'t>(std::borrow::Cow<'t, str>);

impl fmt::Display for Visible<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.chars().try_for_each(|letter| f.write_char(visible(letter)))
    }
}

/// What can be shown.
pub trait Shown {
    /// It, with U+FFFD for every character that is never shown: it stays within its line.
    fn shown(&self) -> Visible<'_>;
}

impl Shown for str {
    fn shown(&self) -> Visible<'_> {
        Visible(self.into())
    }
}

impl Shown for OsStr {
    fn shown(&self) -> Visible<'_> {
        Visible(self.to_string_lossy())
    }
}

impl Shown for Path {
    fn shown(&self) -> Visible<'_> {
        self.as_os_str().shown()
    }
}

/// Whether a text holds what is never shown.
#[must_use]
pub fn has_hidden(text: &str) -> bool {
    text.contains(is_hidden)
}

/// Several faults of which each has a line of its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Several(pub Vec<String>);

impl fmt::Display for Several {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.join("; "))
    }
}

impl std::error::Error for Several {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_stays_within_its_line() {
        let name = "a\nCLEAR  b\u{1b}[2J\u{202e}.gcode";
        let shown = "a\u{fffd}CLEAR  b\u{fffd}[2J\u{fffd}.gcode";
        assert_eq!(name.shown().to_string(), shown);
        assert_eq!(Path::new(name).shown().to_string(), shown);
        assert!(has_hidden(name) && !has_hidden(shown));
    }
}
