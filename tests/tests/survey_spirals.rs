//! Layers, first layer and purge strip of vases and of first layers with strips and feet, against what was drawn.
//!
//! `HOLDPOINT_SEED` draws others.

use std::fmt::Write;

use holdpoint_shared::checks::Level;
use holdpoint_shared::survey::{MarkKind, Survey, Surveyor};
use holdpoint_tests::corpus::sketch::{Blur, FIRST_MM_S};
use holdpoint_tests::corpus::{Sketched, spirals, strips};

fn seed() -> u64 {
    std::env::var("HOLDPOINT_SEED").ok().and_then(|seed| seed.parse().ok()).unwrap_or(2026)
}

fn survey(job: &Sketched) -> Survey {
    let mut surveyor = Surveyor::new(&job.job.setup.machine);
    surveyor.feed(job.bytes());
    surveyor.finish()
}

/// Whether two are so near.
fn near(found: &[i64], expected: &[i64], by: i64) -> bool {
    found.len() == expected.len()
        && found.iter().zip(expected).all(|(a, b)| a.abs_diff(*b) <= by.unsigned_abs())
}

/// What is wrong with the survey of a job.
fn wrong(job: &Sketched) -> Vec<String> {
    let (found, expected) = (survey(job), &job.expected);
    let mut wrong = Vec::new();
    let mut hold = |what: &str, found: &[i64], expected: &[i64], by: i64| {
        if !near(found, expected, by) {
            wrong.push(format!("{what} {found:?}, not {expected:?}"));
        }
    };
    let layers = i64::from(expected.layers);
    hold("layers", &[found.layers.count.into()], &[layers], 0);
    hold("passes", &[found.layers.passes.into()], &[layers], 0);
    let (first, laid) = (found.first_layer, expected.first);
    let plane = first.plane.unwrap_or_default();
    // Where a spiral begins on the plate its first turn ends within a bead, which counts to the first layer or not.
    let (beads, blur) = match expected.blur {
        Some(blur) => (1, blur),
        None => (0, Blur { percent: 0, rise_um: 0, apart_um: 0 }),
    };
    let filament = laid.filament * 10;
    hold("height", &[plane.z_um.into()], &[expected.first_um.into()], blur.rise_um);
    hold("first layer's filament", &[first.filament_nm], &[filament], filament * blur.percent / 100);
    hold("first bead", &[plane.line.into()], &[laid.line.into()], 0);
    let corners = |min: [i64; 3], max: [i64; 3]| [min, max].concat();
    let um = |nm: [i64; 3]| nm.map(|nm| nm / 1000);
    let box_of = |bounds: holdpoint_shared::survey::Bounds| corners(um(bounds.min_nm), um(bounds.max_nm));
    hold(
        "first layer's box",
        &box_of(first.bounds),
        &corners(laid.min_um, laid.max_um),
        blur.rise_um + blur.apart_um,
    );
    let second = found.marks.iter().find(|mark| mark.kind == MarkKind::SecondLayer);
    let lines = |line: Option<u32>| line.map(i64::from).into_iter().collect::<Vec<_>>();
    hold("second layer", &lines(second.map(|mark| mark.line)), &lines(expected.second_line), beads);
    match (found.purge, expected.strip) {
        (Some(purge), Some(strip)) => {
            hold("strip's box", &box_of(purge.bounds), &corners(strip.min_um, strip.max_um), 0);
            hold("strip's filament", &[purge.filament_nm], &[strip.filament * 10], 0);
            hold("strip's first bead", &[purge.line.into()], &[strip.line.into()], 0);
        }
        (found, expected) => {
            hold("strips", &[found.is_some().into()], &[expected.is_some().into()], 0);
        }
    }
    // No faster than its beads allow; travels and corners are less than all of it again.
    let least_s = laid.path_mm / FIRST_MM_S;
    let lasts_s = f64::from(first.end_s) - f64::from(first.start_s);
    let begun_s = found.marks.iter().find(|mark| mark.kind == MarkKind::FirstLayer).map(|mark| mark.at_s);
    if !(least_s * (1.0 - blur.percent as f64 / 100.0) - 1.0..least_s * 2.0 + 10.0).contains(&lasts_s)
        || second.is_some_and(|second| second.at_s != first.end_s)
        || begun_s != Some(first.start_s)
    {
        wrong.push(format!("first layer takes {lasts_s} s, not {least_s:.0} s or a little more"));
    }
    wrong
}

fn hold_all(jobs: &[Sketched]) {
    let (mut text, mut bad, mut seen) = (String::new(), 0, 0);
    for job in jobs {
        let mut wrong = wrong(job);
        let outcome = job.vet();
        let points: Vec<_> =
            outcome.points().iter().map(|point| (point.check, point.level, point.wording)).collect();
        seen += u32::from(!points.is_empty());
        if !points.is_empty() {
            wrong.push(format!("points {points:?}"));
        }
        if !wrong.is_empty() {
            bad += 1;
            let _ = writeln!(text, "{}\n    {}", job.job.what, wrong.join("\n    "));
        }
    }
    println!("{} jobs, seed {}: {bad} wrong, {seen} with a wrong point", jobs.len(), seed());
    assert!(text.is_empty(), "{bad} of {}\n{text}", jobs.len());
}

#[test]
fn vases_with_sharp_corners() {
    hold_all(&spirals::jobs(seed(), 2));
}

#[test]
fn strips_and_feet() {
    hold_all(&strips::jobs(seed()));
}

#[test]
fn a_foot_over_the_edge_is_held() {
    for job in strips::over_the_edge(seed()) {
        let outcome = job.vet();
        let holds = outcome.points().iter().any(|point| point.check == 18 && point.level == Level::Hold);
        assert!(holds, "{}: {:?}", job.job.what, outcome.points());
    }
}
