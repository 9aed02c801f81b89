//! Seeded damage to what the device keeps and to what it is given: each case is held against a plain model, and comes
//! through as it was, comes through with what is lost named, or is lost.

pub mod card;
pub mod ledger;

use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::oracle::Survived;
use crate::trade::Rng;

/// One case of an attack: how it came through.
pub type Case = fn(&mut Rng) -> Result<Survived, String>;

/// One kind of damage.
#[derive(Clone, Copy, Debug)]
pub struct Attack {
    /// What is damaged and how, for the README's table.
    pub name: &'static str,
    /// A case of it.
    pub case: Case,
}

/// What became of an attack's cases.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Cases.
    pub tried: u32,
    /// Nothing was lost.
    pub exact: u32,
    /// What was lost was named, or the card was not written.
    pub told: u32,
    /// Something was lost, older or changed without a word: the seeds and what it was.
    pub lost: Vec<String>,
}

impl Tally {
    /// A row of the README's table.
    #[must_use]
    pub fn row(&self, name: &str) -> String {
        let Self { tried, exact, told, lost } = self;
        format!("| {name} | {tried} | {exact} | {told} | {} |", lost.len())
    }
}

/// A row of the README: what is attacked, and which attacks, by their names.
type Group = (&'static str, fn(&str) -> bool);

/// The README's rows.
const GROUPS: [Group; 4] = [
    ("the device's flash: flipped, overwritten, erased, swapped, worn", |name| {
        name.starts_with("ledger") && !name.contains("power")
    }),
    ("the same: power cut at any write", |name| name.starts_with("ledger") && name.contains("power")),
    ("the card's tables and folders: changed, overwritten", |name| {
        name.starts_with("card") && !name.contains("power")
    }),
    ("the same: power cut at any block", |name| name.starts_with("card") && name.contains("power")),
];

/// The README's rows of these tallies.
#[must_use]
pub fn compact(tallies: &[(&str, Tally)]) -> Vec<String> {
    let row = |(name, is): &(&str, fn(&str) -> bool)| {
        let mut sum = Tally::default();
        for (_, tally) in tallies.iter().filter(|(name, _)| is(name)) {
            sum.tried += tally.tried;
            sum.exact += tally.exact;
            sum.told += tally.told;
            sum.lost.extend(tally.lost.iter().cloned());
        }
        sum.row(name)
    };
    GROUPS.iter().map(row).collect()
}

/// The head of both tables.
pub const HEAD: &str =
    "| attack | tried | nothing lost | told | lost in silence |\n| --- | ---: | ---: | ---: | ---: |";

/// A page with this table in the place of the one between its marks; `None` where the marks are missing.
#[must_use]
pub fn with_table(page: &str, table: &str) -> Option<String> {
    let (before, rest) = page.split_once("<!-- attacks -->\n")?;
    let (_, after) = rest.split_once("<!-- end of attacks -->")?;
    Some(format!("{before}<!-- attacks -->\n{HEAD}\n{table}\n<!-- end of attacks -->{after}"))
}

/// Every attack, in the order of the table.
#[must_use]
pub fn all() -> Vec<Attack> {
    [ledger::ATTACKS, card::ATTACKS].concat()
}

/// Runs so many cases of an attack, from this seed on.
#[must_use]
pub fn run(attack: &Attack, seed: u64, cases: u32) -> Tally {
    let mut tally = Tally { tried: cases, ..Tally::default() };
    for number in 0..cases {
        let seed = seed.wrapping_mul(0x1_0000).wrapping_add(number.into());
        let outcome = catch_unwind(AssertUnwindSafe(|| (attack.case)(&mut Rng::new(seed))));
        match outcome.unwrap_or_else(|_| Err("it panicked".into())) {
            Ok(Survived::Exact) => tally.exact += 1,
            Ok(Survived::Told(_)) => tally.told += 1,
            Err(what) => tally.lost.push(format!("{}, seed {seed}: {what}", attack.name)),
        }
    }
    tally
}
