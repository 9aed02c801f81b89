//! Faults of lines: what one controller reads and another does not.

use holdpoint_shared::checks::Value;

use super::{Fault, fault, hold, look, plain};
use crate::corpus::cases::PLA;
use crate::corpus::rooms::bench;
use crate::corpus::{Job, sound};

/// A sound job with this in the place of the line that switches its fan on.
fn with(what: &str, line: &str) -> Job {
    plain(what, |_| {}).with("M106 S170\n", &format!("M106 S170\n{line}\n"))
}

pub(super) fn jobs() -> Vec<Fault> {
    let mut jobs = vec![
        fault(
            with("a vertical tab in a comment", "; note\u{b}M104 S300"),
            hold(2, 1).value(1, Value::Count(11)),
        ),
        fault(with("NUL in a comment", "; note\0M104 S300"), hold(2, 1).value(1, Value::Count(0))),
        fault(
            with("a line end of Unicode's", "; note\u{2028}M104 S300"),
            hold(2, 1).value(1, Value::Count(0xA8)),
        ),
        fault(
            with("a next line of Unicode's", "(note\u{85}M104 S300)"),
            hold(2, 1).value(1, Value::Count(0x85)),
        ),
        fault(with("a bell in a message", "M117 done\u{7}"), hold(2, 1).value(1, Value::Count(7))),
        fault(
            with("skipped lines of another machine", "/G1 X500 Y500 Z-3 F9000"),
            look(92, 2).value(0, Value::Count(1)),
        ),
        fault(with("a quiet word twice", "M73 P50 P60"), look(92, 0)),
        fault(with("two commands on one line", "M107 M117 done"), look(92, 0)),
    ];
    for (what, line) in [
        ("a letter twice", "G1 F1500 F1600"),
        ("an exponent", "G1 F1e3"),
        ("a printed exponent", "G1 Z1.0E-05"),
        ("a decimal comma", "G1 F1500,5"),
        ("a number of eleven digits", "G1 F00015000000000"),
        ("two motion words", "G0 G1 F1500"),
        ("both modes of positions", "G91 G90"),
        ("a hexadecimal number", "G1 F0x5DC"),
        ("a letter for a digit", "G1 F15O0"),
        ("feed set without a number", "M82 $$"),
        ("heat without a number", "M104 S"),
        ("position set without a number", "G92 E"),
        ("a command of no number", "M1O4 S210"),
        ("a comment without its end", "(M104 S300"),
        ("a command after the tape mark", "% M104 S300"),
    ] {
        jobs.push(fault(with(what, line), hold(92, 1)));
    }
    jobs.push(fault(
        with("words beyond 256 characters", &format!("G1 {}F1500", " ".repeat(300))),
        hold(92, 1),
    ));
    jobs.extend(nothing_printed());
    jobs
}

/// Files that print nothing: NO VERDICT.
fn nothing_printed() -> Vec<Fault> {
    let file = |what: &str, text: &str| {
        let mut job = sound::job(what, &PLA, bench(), |_| {});
        job.files[0].1 = text.as_bytes().to_vec();
        job
    };
    let letter = "Dear room,\n\nthe big printer was warm at 7 in the evening.\nPlease look at it. 2 spools are left.\n";
    let solid = "solid part\n facet normal 0 0 1\n  outer loop\n   vertex 0 0 0\n   vertex 1 0 0\n   vertex 1 1 0\n  \
                 endloop\n endfacet\nendsolid part\n";
    vec![
        fault(file("comments alone", "; material: PLA\n; time: 2 h\n; nothing else\n"), hold(12, 0)),
        fault(file("blank lines", "\n\n\r\r\n"), hold(12, 0)),
        fault(file("travels only", "G28\nG1 X10 Y10 F6000\nG1 X50\nM84\n"), hold(12, 0)),
        fault(file("heat without a bead", "M104 S200\nM109 S200\nG28\nM104 S0\n"), hold(12, 0)),
        fault(file("a letter", letter), hold(12, 1)),
        fault(file("a model as text", solid), hold(12, 1)),
        fault(file("a table", "name;x;y\n1,2;3,4;5,6\n7,8;9,0;1,2\n"), hold(12, 1)),
        fault(file("a picture as text", "P2\n3 2\n255\n0 128 255\n255 128 0\n"), hold(12, 1)),
    ]
}
