//! The whole device in a world that misbehaves: power that goes at any write, cards that are pulled, full, only read or
//! changed, and hands that do anything.

#[path = "world/any.rs"]
mod any;
#[path = "world/card.rs"]
mod card;
#[path = "world/looks.rs"]
mod looks;
#[path = "world/power.rs"]
mod power;

/// How many cases a test takes: `HOLDPOINT_CASES` in the environment, else so many.
fn cases(usual: u64) -> u64 {
    std::env::var("HOLDPOINT_CASES").map_or(usual, |text| text.parse().expect("a whole number"))
}
