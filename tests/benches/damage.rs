//! How many damaged jobs the checks see: blocks lost, repeated, swapped and scrambled in sound jobs of about 1 MB.
//!
//! `cargo bench -p holdpoint-tests --bench damage`; HOLDPOINT_SEED, HOLDPOINT_JOBS (of each kind) and HOLDPOINT_PLACES
//! (of each damage in a job) change the campaign, HOLDPOINT_KEEP names a folder for the damaged jobs that were CLEAR. It
//! prints the guide's table.

use std::collections::BTreeMap;
use std::path::PathBuf;

use holdpoint_shared::checks::Verdict;
use holdpoint_tests::corpus::{Job, Outcome};
use holdpoint_tests::slices::sliced;
use holdpoint_tests::trade::damage::{Damage, damaged};
use holdpoint_tests::trade::{Feed, Label, Place, Rng, Wish, sound};

const BYTES: usize = 1_000_000;
const SIZES: [usize; 3] = [512, 4096, 32_768];

/// The check that speaks of a job which ends after closing.
const ENDS_LATE: u8 = 76;

/// A sound job, undamaged.
struct Whole {
    what: String,
    place: Place,
    bytes: Vec<u8>,
}

impl Whole {
    fn vet(&self, bytes: Vec<u8>) -> Outcome {
        Job::new(self.what.clone(), bytes, self.place.setup()).vet()
    }
}

fn setting(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

/// A job from the first generator, by which the checks were tuned.
fn first(seed: u64, feed: Feed, label: Label) -> Option<Whole> {
    let wish =
        Wish { feed: Some(feed), label: Some(label), bytes: BYTES, plain_lines: true, ..Wish::default() };
    let draft = sound(seed, wish);
    let bytes = draft.bytes();
    let fits = (BYTES * 7 / 10..BYTES * 2).contains(&bytes.len()) && draft.style.label == label;
    fits.then_some(Whole { what: draft.what, place: draft.place, bytes })
}

/// A job from the second one.
fn second(seed: u64, relative: bool) -> Option<Whole> {
    sliced(seed, relative, BYTES).map(|job| Whole { what: job.what, place: job.place, bytes: job.bytes })
}

type Make = fn(u64) -> Option<Whole>;

/// The table's groups of rows.
const KINDS: [(&str, Make); 5] = [
    ("absolute E", |seed| first(seed, Feed::Absolute, Label::Head)),
    ("relative E", |seed| first(seed, Feed::Relative, Label::Head)),
    ("other habits, absolute E", |seed| second(seed, false)),
    ("other habits, relative E", |seed| second(seed, true)),
    ("with a header", |seed| first(seed, Feed::Relative, Label::Header)),
];

/// Sound jobs of the size that are CLEAR undamaged; and how many were not.
fn jobs(rng: &mut Rng, make: Make, count: u64) -> (Vec<Whole>, u64) {
    let (mut jobs, mut wrong) = (Vec::new(), 0);
    while (jobs.len() as u64) < count && wrong <= 4 * count {
        let Some(job) = make(rng.bits() >> 32) else { continue };
        let outcome = job.vet(job.bytes.clone());
        let points = outcome.points();
        if outcome.verdict == Verdict::Clear {
            jobs.push(job);
        } else if !points.iter().all(|point| point.check == ENDS_LATE) {
            // A job of this size may last into the night, and then that is so.
            wrong += 1;
            let checks: Vec<String> = points
                .iter()
                .map(|point| format!("{} {} {:?}", point.check, point.wording, point.values))
                .collect();
            println!("false alarm, undamaged: {}: {}", job.what, checks.join(", "));
            if let Some(folder) = std::env::var_os("HOLDPOINT_KEEP") {
                let file = format!("undamaged-{}", job.what.split(':').next().unwrap_or_default());
                let _ = std::fs::write(PathBuf::from(folder).join(file), &job.bytes);
            }
        }
    }
    (jobs, wrong)
}

fn main() {
    let (count, places) = (setting("HOLDPOINT_JOBS", 10), setting("HOLDPOINT_PLACES", 4));
    let keep = std::env::var_os("HOLDPOINT_KEEP").map(PathBuf::from);
    let mut rng = Rng::new(setting("HOLDPOINT_SEED", 20_261_130));
    let mut table: BTreeMap<(&str, usize, Damage), (u64, u64)> = BTreeMap::new();
    let (mut sound_jobs, mut alarms) = (0, 0);
    for (name, make) in KINDS {
        let (jobs, wrong) = jobs(&mut rng, make, count);
        sound_jobs += jobs.len() as u64 + wrong;
        alarms += wrong;
        for job in &jobs {
            for size in SIZES {
                for damage in Damage::ALL {
                    for place in 0..places {
                        let broken = damaged(&job.bytes, damage, size, &mut rng);
                        let cell = table.entry((name, size, damage)).or_default();
                        cell.0 += 1;
                        if job.vet(broken.clone()).verdict == Verdict::Clear {
                            cell.1 += 1;
                            println!("CLEAR: {name}, {size} bytes {}, {}", damage.word(), job.what);
                            if let Some(folder) = &keep {
                                let seed = job.what.split(':').next().unwrap_or_default();
                                let file = format!("{size}-{}-{seed}-{place}", damage.word());
                                let _ = std::fs::write(folder.join(file.replace(' ', "-")), &broken);
                            }
                        }
                    }
                }
            }
        }
    }
    println!("| damage, not CLEAR | {} |", Damage::ALL.map(Damage::word).join(" | "));
    println!("| --- | ---: | ---: | ---: | ---: |");
    for (name, _) in KINDS {
        for size in SIZES {
            let cells = Damage::ALL.map(|damage| {
                let (of, clear) = table.get(&(name, size, damage)).copied().unwrap_or_default();
                // Rounded down: nothing that was missed is rounded away.
                format!("{} %", (of - clear) * 100 / of.max(1))
            });
            println!("| {size} bytes, {name} | {} |", cells.join(" | "));
        }
    }
    let cases: u64 = table.values().map(|(of, _)| of).sum();
    println!("{cases} damaged jobs; {alarms} false alarms on {sound_jobs} undamaged ones");
}
