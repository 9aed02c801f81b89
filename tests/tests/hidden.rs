//! A command that one controller would see and another would not, put into a sound job in many ways: never CLEAR, unless
//! it was read as the command that it is.

use holdpoint_shared::checks::Verdict;
use holdpoint_shared::survey::Surveyor;
use holdpoint_tests::corpus::{Dialect, Job, Note, cases, rooms, sound};

/// A target that no sound job has.
const COMMANDS: [&str; 4] = ["M104 S297", "M109 S297", "M140 S97 \u{20}", "G1 X219 Y219 Z0.05 E40 F9000"];

/// Whether the job's survey holds what the hidden command asks for.
fn was_read(job: &Job, command: &str) -> bool {
    let mut surveyor = Surveyor::new(&job.setup.machine);
    surveyor.feed(&job.files[0].1);
    let survey = surveyor.finish();
    let [nozzle, bed, _] = survey.heat.highest;
    match command.as_bytes() {
        [b'G', ..] => survey.reached.max_nm[0] >= 219_000_000,
        [_, _, b'4', ..] => bed.0 == 97,
        _ => nozzle.0 == 297,
    }
}

/// Ways to hide it: `#` is the command, `~` up to 300 letters.
const WAYS: &[&str] = &[
    "; note\r#",
    ";\r#",
    "(note)\r#",
    "; note\u{b}#",
    "; note\u{c}#",
    "; note\u{85}#",
    "; note\u{2028}#",
    "; note\u{2029}#",
    "; note\0#",
    "; note\u{1a}#",
    "; note\u{1c}#",
    "; note\u{7f}#",
    "(note\u{b}#)",
    "(note\0#)",
    "(note\r#)",
    "M117 note\r#",
    "M117 note\u{b}#",
    "M117 note\u{2028}#",
    "M117 note\0#",
    "(a (b) #",
    "(a (b) # (c))",
    "(a #",
    "((#",
    "(a ; b) #",
    "(a)# (b)",
    "% #",
    "%#",
    "%\r#",
    "/#",
    "/ #",
    "//#",
    "N10 /#",
    "M107*33 #",
    "M107*33#",
    "; ~\r#",
    "M107 ; ~\r#",
    "(~) #",
    "M107 (~) #",
    "M107 ~#",
    "~ #",
    "M117 ~ \r#",
    "M117 (~) \r#",
    "M107 #",
    "# M107",
    "G4 P1 #",
    "*5 #",
    "$ #",
    "#$",
    "@#",
    "\u{feff}#",
    "\u{a0}#",
    "_\r#",
    "; \u{c3}\u{85}\r#",
    "N5 #",
    "\t#",
    "   #",
    "#\u{b}",
    "#\0",
    "'#",
    "\"#\"",
    "<#>",
    "[#]",
    "{#}",
    ",#",
    "!#",
    "?#",
    "~\r#",
    "%~\r#",
    "G28 X\r#",
    "M117 hello*5 #",
];

fn rolls(seed: u64) -> impl FnMut(usize) -> usize {
    let mut dice = seed;
    // Knuth's linear congruential generator (MMIX); its high bits.
    move |below| {
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (dice >> 33) as usize % below
    }
}

#[test]
fn a_hidden_command_is_never_clear() {
    let mut roll = rolls(0x11E5);
    let (mut tried, mut read, mut wrong) = (0, 0, String::new());
    for round in 0..3 {
        for way in WAYS {
            let command = COMMANDS[roll(COMMANDS.len())].trim_end();
            let mut job = sound::job("hidden", &cases::PLA, rooms::bench(), |plan| {
                plan.layers = 3;
                plan.note = if round == 2 { Note::Header } else { Note::Head };
                plan.dialect = Dialect { crlf: round == 1, relative_feed: round == 2, ..Dialect::default() };
            });
            let filler = "note ".repeat(1 + roll(60));
            let line = way.replace('~', filler.trim_end()).replace('#', command);
            // In the header, whose sum covers the body; in the body, and after the end.
            let text = job.text();
            let count = text.lines().count();
            let at = match roll(6) {
                place if round == 2 => 1 + place % 2,
                0 => 1,
                1 => 2,
                2 => count,
                _ => 3 + roll(count - 4),
            };
            let end = if round == 1 { "\r\n" } else { "\n" };
            let mut lines: Vec<&str> = text.lines().collect();
            lines.insert(at, &line);
            job.files[0].1 = (lines.join(end) + end).into_bytes();
            tried += 1;
            let verdict = job.vet().verdict;
            if was_read(&job, command) {
                read += 1;
            } else if verdict == Verdict::Clear {
                wrong += &format!("round {round}, line {}: {line:?}\n", at + 1);
            }
        }
    }
    println!("{tried} hidden commands, {read} of them read as commands");
    assert!(wrong.is_empty(), "{wrong}");
}
