//! The height map over generated jobs: its misses and its false alarms.

use std::fmt::Write;

use holdpoint_shared::checks::{Finding, Level};
use holdpoint_tests::corpus::faulty::relief;
use holdpoint_tests::corpus::sound_relief;

fn told(findings: &[&Finding]) -> String {
    findings.iter().fold(String::new(), |mut text, finding| {
        let _ = write!(
            text,
            " [{} {}.{} {:?}]",
            finding.level.word(),
            finding.check,
            finding.wording,
            finding.values
        );
        text
    })
}

#[test]
fn uneven_plastic_passes_in_silence() {
    let jobs = sound_relief::jobs();
    assert!(jobs.len() >= 60, "{}", jobs.len());
    let mut wrong = String::new();
    for job in &jobs {
        let outcome = job.vet();
        let points = outcome.points();
        if !points.is_empty() {
            let _ = writeln!(wrong, "{}:{}", job.what, told(&points));
        }
    }
    println!("{} sound jobs", jobs.len());
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn what_the_map_must_see_is_held() {
    let faults = relief::jobs();
    assert!(faults.len() >= 60, "{}", faults.len());
    let (mut wrong, mut missed) = (String::new(), 0);
    for fault in &faults {
        let outcome = fault.job.vet();
        if !fault.is_held(&outcome) {
            missed += 1;
            let held = outcome.points().iter().any(|point| point.level == Level::Hold);
            let _ = writeln!(
                wrong,
                "{} (held at all: {held}) wants {:?}:{}",
                fault.job.what,
                fault.checks,
                told(&outcome.points())
            );
        }
    }
    println!("{} faulty jobs, {missed} missed", faults.len());
    assert!(wrong.is_empty(), "{wrong}");
}
