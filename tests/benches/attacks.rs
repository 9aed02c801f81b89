//! Seeded damage to the ledger's flash and to cards: how much was tried, what came through, what was lost.
//!
//! `cargo bench -p holdpoint-tests --bench attacks`; HOLDPOINT_SEED and HOLDPOINT_CASES (of each attack) change the
//! campaign. It prints the guide's table, and fails when anything was lost. With `-- --write` it puts the tables into the
//! guide and the README.

use std::path::Path;
use std::process::ExitCode;

use holdpoint_tests::attacks::{HEAD, all, compact, run, with_table};

fn setting(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

fn main() -> ExitCode {
    let (seed, cases) = (setting("HOLDPOINT_SEED", 90_210), setting("HOLDPOINT_CASES", 500));
    println!("{HEAD}");
    let mut tallies = Vec::new();
    for attack in all() {
        let tally = run(&attack, seed, u32::try_from(cases).unwrap_or(u32::MAX));
        println!("{}", tally.row(attack.name));
        tallies.push((attack.name, tally));
    }
    if std::env::args().any(|argument| argument == "--write") {
        let rows: Vec<String> = tallies.iter().map(|(name, tally)| tally.row(name)).collect();
        for (page, rows) in [("sim/guide/src/threats.md", rows), ("README.md", compact(&tallies))] {
            let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(page);
            let text = std::fs::read_to_string(&path).expect("a page");
            let text = with_table(&text, &rows.join("\n")).expect("its marks");
            std::fs::write(&path, text).expect("the page is written");
        }
    }
    let mut lost = tallies.iter().flat_map(|(_, tally)| &tally.lost).peekable();
    let code = if lost.peek().is_none() { ExitCode::SUCCESS } else { ExitCode::FAILURE };
    lost.for_each(|what| eprintln!("{what}"));
    code
}
