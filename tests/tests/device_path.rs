//! What the desk says of a job the device says too: jobs of the trade, sound ones and ones with a planted fault, by
//! both ways, the device's from the blocks of a FAT card on.
//!
//! HOLDPOINT_SEED, HOLDPOINT_DEVICE_SOUND and HOLDPOINT_DEVICE_FAULTS (of each kind) change how many.

use std::fmt::Write;

use holdpoint_shared::checks::{Finding, Level};
use holdpoint_tests::corpus::Job;
use holdpoint_tests::on_device;
use holdpoint_tests::trade::{Rng, Wish, faults, sound};

fn setting(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

fn seeds(salt: u64, count: u64) -> Vec<u64> {
    let mut rng = Rng::new(setting("HOLDPOINT_SEED", 20_261_201) ^ salt);
    (0..count).map(|_| rng.bits() >> 32).collect()
}

fn points<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> Vec<(u8, u8, Level)> {
    let points = findings.into_iter().filter(|finding| finding.level > Level::Note);
    let mut points: Vec<_> = points.map(|finding| (finding.check, finding.wording, finding.level)).collect();
    points.sort_unstable();
    points
}

/// A line where the two ways part.
fn differs(what: &str, job: &Job, out: &mut String) {
    let (desk, device) = (job.vet(), on_device::found(job));
    let (desk, device) = (points(&desk.findings), points(&device));
    if desk != device {
        let _ = writeln!(out, "{what}: the desk {desk:?}, the device {device:?}");
    }
}

#[test]
fn sound_jobs_get_the_same_points_on_the_device() {
    let mut wrong = String::new();
    for seed in seeds(1, setting("HOLDPOINT_DEVICE_SOUND", 40)) {
        let draft = sound(seed, Wish::default());
        differs(&draft.what, &draft.job(), &mut wrong);
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn planted_faults_get_the_same_points_on_the_device() {
    let (mut planted, mut wrong) = (0, String::new());
    let each = setting("HOLDPOINT_DEVICE_FAULTS", 1);
    for fault in faults::all() {
        for draft in seeds(2, each).into_iter().filter_map(|seed| faults::planted(&fault, seed)) {
            planted += 1;
            differs(&draft.what, &draft.job(), &mut wrong);
        }
    }
    println!("{planted} faults by both ways");
    assert!(planted > 60, "{planted}");
    assert!(wrong.is_empty(), "{wrong}");
}
