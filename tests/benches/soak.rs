//! A hundred simulated nights with seeded faults against a plain model: power, cards, probes, flash bits, wrong hands.
//!
//! `cargo bench -p holdpoint-tests --bench soak`; HOLDPOINT_SEED and HOLDPOINT_NIGHTS change it. It prints the README's
//! figures, and fails when anything was not as the model says.

use std::process::ExitCode;

use holdpoint_tests::soak::nights;

fn setting(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

fn main() -> ExitCode {
    let count = u32::try_from(setting("HOLDPOINT_NIGHTS", 100)).unwrap_or(u32::MAX);
    let figures = nights(setting("HOLDPOINT_SEED", 20_261_201), count);
    println!("{}", figures.lines());
    for what in &figures.wrong {
        eprintln!("{what}");
    }
    if figures.wrong.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
