//! Any text as a script for `holdpoint snap`: it parses or is refused with its line, never a panic.

#![no_main]

use std::path::Path;

use holdpoint_desk::script::Script;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|input: &str| {
    match Script::parse(Path::new("script.txt"), input) {
        Ok(script) => assert!(script.lines().len() <= input.lines().count()),
        Err(error) => assert!(format!("{error:#}").contains("script.txt")),
    }
});
