//! Some nights of the soak (`benches/soak.rs`) with every run of the tests.

use holdpoint_tests::soak::nights;

#[test]
fn nights_with_faults_are_as_the_model_says() {
    let count = std::env::var("HOLDPOINT_NIGHTS").ok().and_then(|text| text.parse().ok()).unwrap_or(8);
    let figures = nights(11, count);
    println!("{}", figures.lines());
    assert!(figures.wrong.is_empty(), "{}", figures.wrong.join("\n"));
    assert!(figures.rows > 0, "{figures:?}");
}
