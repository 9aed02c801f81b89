//! A part of the campaigns of `benches/attacks.rs` with every run of the tests: nothing is lost, and nothing is older,
//! without a word. HOLDPOINT_SEED and HOLDPOINT_CASES make other and longer ones.

use holdpoint_tests::attacks::{Tally, all, compact, run};

fn setting(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

#[test]
fn nothing_is_lost_without_a_word() {
    let (seed, cases) = (setting("HOLDPOINT_SEED", 7), setting("HOLDPOINT_CASES", 20));
    let mut lost = Vec::new();
    for attack in all() {
        let tally = run(&attack, seed, u32::try_from(cases).expect("so many cases"));
        println!("{}", tally.row(attack.name));
        lost.extend(tally.lost.into_iter().take(5));
    }
    assert!(lost.is_empty(), "{}", lost.join("\n"));
}

/// The README's table has its rows, nothing in them lost.
#[test]
fn the_readme_has_the_sums() {
    let page = include_str!("../../README.md");
    let table = page.split("<!-- attacks -->").nth(1).expect("the table's beginning");
    let table = table.split("<!-- end of attacks -->").next().expect("its end");
    let rows: Vec<&str> = table.lines().filter(|line| line.starts_with("| the")).collect();
    let tallies: Vec<_> = all().iter().map(|attack| (attack.name, Tally::default())).collect();
    let sums = compact(&tallies);
    assert_eq!(
        rows.len(),
        sums.len(),
        "made anew by `cargo bench -p holdpoint-tests --bench attacks -- --write`"
    );
    for (row, sum) in rows.iter().zip(sums) {
        let name = sum.split('|').nth(1).expect("a name");
        assert!(row.starts_with(&format!("|{name}|")) && row.ends_with("| 0 |"), "{row}");
    }
}

/// The guide's table has a row for every attack, in their order, and none that lost something.
#[test]
fn the_guide_has_a_row_for_every_attack() {
    let page = include_str!("../../sim/guide/src/threats.md");
    let table = page.split("<!-- attacks -->").nth(1).expect("the table's beginning");
    let table = table.split("<!-- end of attacks -->").next().expect("its end");
    let rows: Vec<&str> =
        table.lines().filter(|line| line.starts_with("| ledger") || line.starts_with("| card")).collect();
    assert_eq!(rows.len(), all().len(), "made anew by `cargo bench -p holdpoint-tests --bench attacks`");
    for (row, attack) in rows.iter().zip(all()) {
        assert!(row.starts_with(&format!("| {} |", attack.name)) && row.ends_with("| 0 |"), "{row}");
    }
}
