//! Seeded damage to the ledger's flash and to cards: how much was tried, what came through, what was lost.
//!
//! `cargo bench -p holdpoint-tests --bench attacks`; HOLDPOINT_SEED and HOLDPOINT_CASES (of each attack) change the
//! campaign. It prints the README's table, and fails when anything was lost.

use std::process::ExitCode;

use holdpoint_tests::attacks::{all, run};

fn setting(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

fn main() -> ExitCode {
    let (seed, cases) = (setting("HOLDPOINT_SEED", 20_261_201), setting("HOLDPOINT_CASES", 2_000));
    println!("| attack | tried | nothing lost | told | lost in silence |");
    println!("| --- | ---: | ---: | ---: | ---: |");
    let mut lost = Vec::new();
    for attack in all() {
        let tally = run(&attack, seed, u32::try_from(cases).unwrap_or(u32::MAX));
        println!("{}", tally.row(attack.name));
        lost.extend(tally.lost);
    }
    for what in &lost {
        eprintln!("{what}");
    }
    if lost.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
