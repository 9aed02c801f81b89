//! The false alarms and the misses of the checks over jobs that share no code with the program's own corpus.
//!
//! `cargo test -p holdpoint-tests --test trade -- --nocapture` takes a part of them, `HOLDPOINT_SOUND=420
//! HOLDPOINT_FAULTS=5` before it the whole; HOLDPOINT_SEED, HOLDPOINT_SOUND (jobs),
//! HOLDPOINT_FAULTS (of each), HOLDPOINT_ONE (a job's seed), HOLDPOINT_FAULT (a fault's name) and HOLDPOINT_KEEP (a
//! folder for the jobs that failed) change it.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

use holdpoint_shared::checks::{Level, Verdict};
use holdpoint_tests::trade::{Draft, Rng, Wish, faults, sound};

fn setting(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

fn seeds(count: u64) -> Vec<u64> {
    let one = std::env::var("HOLDPOINT_ONE").ok().and_then(|text| u64::from_str_radix(&text, 16).ok());
    if let Some(one) = one {
        return vec![one];
    }
    let mut rng = Rng::new(setting("HOLDPOINT_SEED", 20_261_130));
    (0..count).map(|_| rng.bits() >> 32).collect()
}

fn keep(draft: &Draft, name: &str) {
    if let Ok(folder) = std::env::var("HOLDPOINT_KEEP") {
        draft.keep(&Path::new(&folder).join(name));
    }
}

#[test]
fn sound_jobs_of_the_trade_are_clear() {
    let count = setting("HOLDPOINT_SOUND", 200);
    let (mut looks, mut holds, mut bytes) = (0_u64, 0_u64, 0_usize);
    let mut by_check: BTreeMap<(Level, u8), (u32, String)> = BTreeMap::new();
    for seed in seeds(count) {
        let draft = sound(seed, Wish::default());
        let job = draft.job();
        bytes += job.files[0].1.len();
        let outcome = job.vet();
        let wrong: Vec<_> =
            outcome.points().into_iter().filter(|point| !draft.due.contains(&point.check)).collect();
        let worst = wrong.iter().map(|point| point.level).max();
        looks += u64::from(worst == Some(Level::Look));
        holds += u64::from(worst == Some(Level::Hold));
        for point in wrong {
            let entry = by_check.entry((point.level, point.check)).or_default();
            entry.0 += 1;
            if entry.0 <= 12 {
                let _ = writeln!(entry.1, "    {} {:?} {:?}", draft.what, point.wording, point.values);
            }
            keep(&draft, &format!("sound-{}-{seed:x}", point.check));
        }
    }
    for ((level, check), (times, where_)) in &by_check {
        println!("{level:?} {check}: {times} jobs\n{where_}");
    }
    println!(
        "{count} sound jobs of {} bytes: {looks} with a wrong LOOK, {holds} with a wrong HOLD",
        bytes / count as usize
    );
    // The most false alarms that people would live with (judgement): one in 200 on a wrong HOLD, one in 20 on a wrong LOOK.
    assert!(holds * 200 <= count && looks * 20 <= count);
}

#[test]
fn planted_faults_are_never_clear() {
    let each = setting("HOLDPOINT_FAULTS", 2);
    let (mut planted, mut missed, mut barren) = (0, Vec::new(), Vec::new());
    let mut by_class: BTreeMap<&str, (u32, u32)> = BTreeMap::new();
    let only = std::env::var("HOLDPOINT_FAULT").ok();
    for fault in faults::all().into_iter().filter(|fault| only.as_ref().is_none_or(|name| name == fault.name))
    {
        let mut found = 0;
        for seed in seeds(each) {
            let Some(draft) = faults::planted(&fault, seed) else { continue };
            found += 1;
            let job = draft.job();
            let clear = job.vet().verdict == Verdict::Clear;
            let class = by_class.entry(fault.class).or_default();
            class.0 += 1;
            if clear {
                class.1 += 1;
                missed.push(draft.what.clone());
                println!("CLEAR: {}", draft.what);
                let name = fault.name.replace(|c: char| !c.is_ascii_alphanumeric(), "-");
                keep(&draft, &format!("fault-{name}-{seed:x}"));
            }
        }
        planted += found;
        if found == 0 {
            barren.push(fault.name);
        }
    }
    for (class, (of, clear)) in &by_class {
        println!("class {class}: {of} planted, {clear} CLEAR");
    }
    println!("{planted} faults planted, {} CLEAR; not one job for {barren:?}", missed.len());
    assert!(missed.is_empty() && barren.is_empty(), "{missed:?}");
}

#[test]
fn sound_jobs_stay_on_their_plates() {
    // The generator's own promise: a job that leaves the plate is no false alarm.
    for seed in seeds(setting("HOLDPOINT_SOUND", 200)) {
        let draft = sound(seed, Wish::default());
        let off = draft.rows.iter().find(|row| row.lays && !draft.place.holds((row.to[0], row.to[1])));
        assert!(off.is_none(), "{}: {off:?}", draft.what);
    }
}
