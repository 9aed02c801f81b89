//! The time model against a linear-programming solver: `reference/time_lp.csv`, whose maker and version stand in its
//! first line. `reference/time_lp.py` writes it, and solves it again with `--check`.

use holdpoint_shared::records::Corner;
use holdpoint_shared::survey::{Clock, ClockLimits, SettledMove};
use holdpoint_tests::reference_time::{Leg, unbounded};

const TABLE: &str = include_str!("../reference/time_lp.csv");

struct Job {
    limits: ClockLimits,
    solved_s: f64,
    legs: Vec<Leg>,
}

fn jobs() -> Vec<Job> {
    let mut jobs: Vec<Job> = Vec::new();
    for line in TABLE.lines().filter(|line| !line.starts_with('#')) {
        let fields: Vec<&str> = line.split(',').collect();
        match fields[0] {
            "job" => {
                assert_eq!(fields[1], jobs.len().to_string());
                let whole = |at: usize| fields[at].parse::<u32>().unwrap();
                let four = |from: usize| std::array::from_fn(|axis| whole(from + axis));
                jobs.push(Job {
                    limits: ClockLimits {
                        max_speed_um_s: four(7),
                        max_accel_um_s2: four(11),
                        print_accel_um_s2: whole(15),
                        travel_accel_um_s2: whole(16),
                        retract_accel_um_s2: whole(17),
                        corner: match fields[2] {
                            "steps" => Corner::AxisStep(four(3)),
                            "deviation" => Corner::Deviation(whole(3)),
                            other => panic!("corner rule {other}"),
                        },
                        look_ahead: 0,
                    },
                    solved_s: fields[18].parse().unwrap(),
                    legs: Vec::new(),
                });
            }
            "leg" => {
                let number = |at: usize| fields[at].parse::<f64>().unwrap();
                let delta = std::array::from_fn(|axis| number(2 + axis));
                jobs.last_mut().unwrap().legs.push(Leg::line(delta, number(6)));
            }
            other => panic!("row {other}"),
        }
    }
    jobs
}

#[test]
fn the_solver_finds_the_same_times() {
    let jobs = jobs();
    assert!(jobs.len() >= 50, "only {} polylines", jobs.len());
    let (mut worst_plain, mut worst_clock) = (0.0_f64, 0.0_f64);
    for (number, job) in jobs.iter().enumerate() {
        // A buffer that holds the whole polyline is no bound.
        assert!((1..=64).contains(&job.legs.len()), "polyline {number}");
        let plain: f64 = unbounded(&job.legs, &job.limits).iter().sum();
        let mut clock_ns = 0;
        let mut clock = Clock::<(), 64>::new(&job.limits);
        let mut out = |(): &(), settled: SettledMove| clock_ns += settled.duration_ns;
        for leg in &job.legs {
            clock.push(&leg.stretch(), (), &mut out);
        }
        clock.stop(&mut out);
        let off = |given: f64| (given / job.solved_s - 1.0).abs();
        let (plain, clock) = (off(plain), off(clock_ns as f64 * 1e-9));
        assert!(plain < 1e-6, "polyline {number}: the plain reference is off by {plain:.1e}");
        assert!(clock < 1e-4, "polyline {number}: the clock is off by {clock:.1e}");
        worst_plain = worst_plain.max(plain);
        worst_clock = worst_clock.max(clock);
    }
    println!(
        "{} polylines; at worst the plain reference is off by {worst_plain:.1e}, the clock by {worst_clock:.1e}",
        jobs.len()
    );
}
