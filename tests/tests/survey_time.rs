//! The time of whole generated jobs, from their bytes, against a reference of its own: the text parsed in exact decimals
//! and timed by plain passes in `f64`.

use holdpoint_shared::records::{Corner, Machine};
use holdpoint_shared::survey::{ClockLimits, Survey, Surveyor};
use holdpoint_tests::generate::{Plan, job, sheet};
use holdpoint_tests::reference::{self, Found};
use holdpoint_tests::reference_time::{buffered, unbounded};

fn survey(text: &str, machine: &Machine) -> Survey {
    let mut surveyor = Surveyor::new(machine);
    text.as_bytes().chunks(512).for_each(|block| surveyor.feed(block));
    surveyor.finish()
}

fn machines() -> [(&'static str, Machine); 2] {
    let steps = sheet();
    let mut deviation = sheet();
    deviation.motion.corner = Corner::Deviation(20);
    [("axis steps", steps), ("deviation", deviation)]
}

fn plans() -> [(&'static str, Plan); 7] {
    let plain = Plan { layers: 6, ..Plan::default() };
    [
        ("two parts with arcs", plain),
        ("no hops", Plan { hop: false, seed: 2, ..plain }),
        (
            "relative, dwells",
            Plan { relative_positions: true, relative_feed: true, dwell_ms: 700, seed: 3, ..plain },
        ),
        ("no strip, varied", Plan { purge_um: None, varied: true, seed: 4, ..plain }),
        ("one by one", Plan { one_by_one: true, parts: 3, layers: 3, seed: 5, ..plain }),
        ("inches, no arcs", Plan { inch: true, arcs: false, seed: 6, ..plain }),
        ("spiral", Plan { spiral_from: Some(2), parts: 1, seed: 7, ..plain }),
    ]
}

fn referenced(plan: &Plan, machine: &Machine) -> (String, Found, ClockLimits) {
    let text = job(plan);
    let found = reference::survey(&text, f64::from(machine.home_s));
    (text, found, ClockLimits::from(&machine.motion))
}

/// Within 1e-4 of the reference with the same look-ahead, and each layer's end within that and the second that it is
/// rounded to. Run with `--nocapture` for the figures.
#[test]
fn whole_jobs_take_what_the_reference_says() {
    for (rule, machine) in machines() {
        for (name, plan) in plans() {
            let (text, found, limits) = referenced(&plan, &machine);
            let legs_s = buffered(&found.legs, &limits, usize::from(limits.look_ahead));
            let moves_s: f64 = legs_s.iter().sum();
            let still_s: f64 = found.stills.iter().map(|(_, still)| still).sum();
            let survey = survey(&text, &machine);
            let off = survey.time.moves_ms as f64 / 1000.0 / moves_s - 1.0;
            println!("{rule:<11} {name:<20} {} moves, {moves_s:.3} s; off by {off:.1e}", found.legs.len());
            // The survey's figure is cut to whole milliseconds.
            assert!(
                off.abs() < 1e-4 + 0.001 / moves_s,
                "{name}: {} ms, not {moves_s} s",
                survey.time.moves_ms
            );
            let total = f64::from(survey.time.total_s);
            assert!((total - moves_s - still_s).abs() < 0.51 + 1e-4 * moves_s, "{name}: {total} s");

            // A strip on the first layer's plane belongs to its layer; a spiral's turns are told by another test.
            if plan.spiral_from.is_some() {
                continue;
            }
            let ends = found.ends(&legs_s);
            // A layer ends where the next one's first bead begins.
            let wanted = found.layers.iter().skip(1).map(|&leg| (leg, ends[leg - 1]));
            let given: Vec<u32> = survey.layers.ends.iter().map(|point| point.end_s).collect();
            assert_eq!((survey.layers.stride, given.len()), (1, found.layers.len()), "{name}");
            for (given, (leg, end)) in given.iter().zip(wanted) {
                // Standing still before that bead is the next layer's.
                let apart = f64::from(*given) - end;
                let still = found.stills.iter().find(|(before, _)| *before == leg).map_or(0.0, |(_, s)| *s);
                assert!(apart.abs() < 0.51 + 1e-4 * end + still, "{name}: {given} s, not {end} s");
            }
        }
    }
}

/// 0 in a sheet takes the most that a survey looks ahead at, and the survey tells it.
#[test]
fn the_survey_tells_how_far_it_looks_ahead() {
    for (stated, used) in [(0, 32), (16, 16), (32, 32), (1000, 32)] {
        let mut machine = sheet();
        machine.motion.look_ahead = stated;
        assert_eq!(survey("G28\n", &machine).time.look_ahead, used);
    }
}

/// What the buffer of 32 moves costs on whole ordinary jobs against all moves known at once: at most a hundredth. Run
/// with `--nocapture` for the figures.
#[test]
fn looking_ahead_at_32_moves_costs_less_than_a_hundredth() {
    for (rule, machine) in machines() {
        for (name, plan) in plans() {
            let (_, found, limits) = referenced(&plan, &machine);
            // The plain passes know no stops between moves: from stop to stop.
            let mut all_known = 0.0;
            for run in found.legs.chunk_by(|_, next| !next.after_stop) {
                all_known += unbounded(run, &limits).iter().sum::<f64>();
            }
            let bounded: f64 = buffered(&found.legs, &limits, 32).iter().sum();
            let added = bounded / all_known - 1.0;
            println!("{rule:<11} {name:<20} {all_known:.3} s; a buffer of 32 adds {:.4} %", added * 100.0);
            assert!((-1e-9..=0.01).contains(&added), "{name}: {added}");
        }
    }
}
