//! How many damaged jobs the checks see: blocks lost, repeated, swapped and scrambled in sound jobs of about 1 MB.
//!
//! `cargo bench -p holdpoint-tests --bench damage`; HOLDPOINT_SEED, HOLDPOINT_JOBS (of each kind) and HOLDPOINT_PLACES
//! (of each damage in a job) change the campaign. It prints the guide's table.

use std::collections::BTreeMap;
use std::path::PathBuf;

use holdpoint_shared::checks::Verdict;
use holdpoint_tests::corpus::{Job, Outcome};
use holdpoint_tests::trade::damage::{Damage, damaged};
use holdpoint_tests::trade::{Draft, Feed, Label, Rng, Wish, sound};

const BYTES: usize = 1_000_000;
const SIZES: [usize; 3] = [512, 4096, 32_768];

/// The check that speaks of a job which ends after closing.
const ENDS_LATE: u8 = 76;

fn setting(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

fn vet(draft: &Draft, bytes: Vec<u8>) -> Outcome {
    Job::new(draft.what.clone(), bytes, draft.place.setup()).vet()
}

/// Sound jobs of the size that are CLEAR undamaged; and how many were not.
fn jobs(rng: &mut Rng, feed: Feed, label: Label, count: u64) -> (Vec<Draft>, u64) {
    let (mut drafts, mut wrong) = (Vec::new(), 0);
    while (drafts.len() as u64) < count {
        let wish =
            Wish { feed: Some(feed), label: Some(label), bytes: BYTES, plain_lines: true, ..Wish::default() };
        let draft = sound(rng.bits() >> 32, wish);
        let bytes = draft.bytes();
        let fits = (BYTES * 7 / 10..BYTES * 2).contains(&bytes.len()) && draft.style.label == label;
        if !fits {
            continue;
        }
        let outcome = vet(&draft, bytes);
        let points = outcome.points();
        if outcome.verdict == Verdict::Clear {
            drafts.push(draft);
        } else if points.iter().all(|point| point.check == ENDS_LATE) {
            // A job of this size may last into the night, and then that is so.
            continue;
        } else {
            wrong += 1;
            let checks: Vec<String> =
                points.iter().map(|point| format!("{} {:?}", point.check, point.values)).collect();
            println!("false alarm, undamaged: {}: {}", draft.what, checks.join(", "));
            if wrong > 4 * count {
                break;
            }
        }
    }
    (drafts, wrong)
}

fn main() {
    let (count, places) = (setting("HOLDPOINT_JOBS", 10), setting("HOLDPOINT_PLACES", 4));
    let keep = std::env::var("HOLDPOINT_KEEP").ok().map(PathBuf::from);
    let mut rng = Rng::new(setting("HOLDPOINT_SEED", 20_261_130));
    let mut table: BTreeMap<(&str, usize, Damage), (u64, u64)> = BTreeMap::new();
    let (mut sound_jobs, mut alarms) = (0, 0);
    for (name, feed, label) in [
        ("absolute E", Feed::Absolute, Label::Head),
        ("relative E", Feed::Relative, Label::Head),
        ("with a header", Feed::Relative, Label::Header),
    ] {
        let (drafts, wrong) = jobs(&mut rng, feed, label, count);
        sound_jobs += drafts.len() as u64 + wrong;
        alarms += wrong;
        for draft in &drafts {
            let bytes = draft.bytes();
            for size in SIZES {
                for damage in Damage::ALL {
                    for place in 0..places {
                        let broken = damaged(&bytes, damage, size, &mut rng);
                        let cell = table.entry((name, size, damage)).or_default();
                        cell.0 += 1;
                        if vet(draft, broken.clone()).verdict == Verdict::Clear {
                            cell.1 += 1;
                            println!("CLEAR: {name}, {size} bytes {}, {}", damage.word(), draft.what);
                            if let Some(folder) = &keep {
                                let file = format!("{size}-{}-{}-{place}", damage.word(), &draft.what[..8]);
                                let _ = std::fs::write(folder.join(file.replace([' ', ':'], "-")), &broken);
                            }
                        }
                    }
                }
            }
        }
    }
    println!("| damage, not CLEAR | {} |", Damage::ALL.map(Damage::word).join(" | "));
    println!("| --- | ---: | ---: | ---: | ---: |");
    for name in ["absolute E", "relative E", "with a header"] {
        for size in SIZES {
            let cells = Damage::ALL.map(|damage| {
                let (of, clear) = table.get(&(name, size, damage)).copied().unwrap_or_default();
                format!("{:.0} %", (of - clear) as f64 * 100.0 / of.max(1) as f64)
            });
            println!("| {size} bytes, {name} | {} |", cells.join(" | "));
        }
    }
    println!("{alarms} false alarms on {sound_jobs} undamaged jobs");
}
