//! The false alarms and the misses of the checks over generated jobs.

use std::fmt::Write;

use holdpoint_shared::checks::{CATALOGUE, Finding, Level};
use holdpoint_tests::corpus::{faulty, near, sound, sound_feed};

fn told(finding: &Finding) -> String {
    format!("{} {}.{} {:?}", finding.level.word(), finding.check, finding.wording, finding.values)
}

#[test]
fn sound_jobs_pass_in_silence() {
    let mut jobs = sound::jobs();
    jobs.extend(sound_feed::jobs());
    assert!(jobs.len() >= 60);
    let (mut looks, mut holds, mut wrong) = (0, 0, String::new());
    for job in &jobs {
        let outcome = job.vet();
        let worst = outcome.points().iter().map(|point| point.level).max();
        looks += u32::from(worst == Some(Level::Look));
        holds += u32::from(worst == Some(Level::Hold));
        for point in outcome.points() {
            let _ = writeln!(wrong, "{}: {}", job.what, told(point));
        }
    }
    println!("{} sound jobs: {looks} with a wrong LOOK, {holds} with a wrong HOLD", jobs.len());
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn one_planted_fault_gives_that_point() {
    let faults = faulty::jobs();
    assert!(faults.len() >= 60);
    let (mut missed, mut extra, mut wrong) = (0, 0, String::new());
    for fault in &faults {
        let outcome = fault.job.vet();
        for expected in &fault.raises {
            if !outcome.findings.iter().any(|finding| expected.is(finding)) {
                missed += 1;
                let _ = writeln!(wrong, "{}: missed {expected:?}", fault.job.what);
            }
        }
        for point in outcome.points() {
            if !fault.raises.iter().any(|expected| expected.is(point)) {
                extra += 1;
                let _ = writeln!(wrong, "{}: extra {}", fault.job.what, told(point));
            }
        }
    }
    println!("{} faulty jobs: {missed} points missed, {extra} too many", faults.len());
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn near_misses_pass_in_silence() {
    let jobs = near::jobs();
    let mut wrong = String::new();
    for near in &jobs {
        for point in near.job.vet().points() {
            let _ = writeln!(wrong, "near {}, {}: {}", near.check, near.job.what, told(point));
        }
    }
    println!("{} near misses", jobs.len());
    assert!(wrong.is_empty(), "{wrong}");
}

/// Live checks that no job of the corpus can raise, and why.
const NOT_PLANTED: [(u8, &str); 3] = [
    (83, "a hand pulls the card: the test of the fed checks does it"),
    (90, "more points than the list holds: no single fault raises so many"),
    (91, "the card's own faults: the tests of media raise them"),
];

#[test]
fn every_live_check_has_a_planted_fault() {
    let faults = faulty::jobs();
    let planted =
        |check: u8| faults.iter().any(|fault| fault.raises.iter().any(|point| point.check == check));
    let excused = |check: u8| NOT_PLANTED.iter().any(|(number, _)| *number == check);
    let bare: Vec<_> = CATALOGUE
        .iter()
        .filter(|row| row.live.is_live() && !planted(row.number) && !excused(row.number))
        .map(|row| format!("{} {}", row.number, row.id))
        .collect();
    assert!(bare.is_empty(), "{bare:?}");
}
