//! The survey's clock against the plain reference in `f64`, on moves that nobody tuned it to.

use holdpoint_shared::records::Corner;
use holdpoint_shared::survey::{Clock, ClockLimits, SettledMove};
use holdpoint_tests::reference_time::{Leg, buffered, unbounded};
use proptest::prelude::*;

/// Seconds of each leg by the core's clock.
fn clocked<const N: usize>(legs: &[Leg], limits: &ClockLimits) -> Vec<f64> {
    let mut times = Vec::new();
    let mut clock = Clock::<usize, N>::new(limits);
    let mut out = |&tag: &usize, settled: SettledMove| {
        assert_eq!(tag, times.len());
        times.push(settled.duration_ns as f64 * 1e-9);
    };
    for (tag, leg) in legs.iter().enumerate() {
        if leg.after_stop {
            clock.stop(&mut out);
        }
        clock.push(&leg.stretch(), tag, &mut out);
    }
    clock.stop(&mut out);
    times
}

fn limits(corner: Corner, look_ahead: u16) -> ClockLimits {
    ClockLimits {
        max_speed_um_s: [300_000, 300_000, 12_000, 60_000],
        max_accel_um_s2: [3_000_000, 3_000_000, 200_000, 5_000_000],
        print_accel_um_s2: 1_000_000,
        travel_accel_um_s2: 1_500_000,
        retract_accel_um_s2: 2_000_000,
        corner,
        look_ahead,
    }
}

const STEPS: Corner = Corner::AxisStep([8_000, 8_000, 400, 5_000]);
const DEVIATION: Corner = Corner::Deviation(20);

fn corners() -> impl Strategy<Value = Corner> {
    prop_oneof![
        (500_u32..20_000, 500_u32..20_000, 100_u32..1_000, 1_000_u32..10_000)
            .prop_map(|(x, y, z, e)| Corner::AxisStep([x, y, z, e])),
        (1_u32..200).prop_map(Corner::Deviation),
    ]
}

fn any_limits() -> impl Strategy<Value = ClockLimits> {
    (
        [50_000_u32..600_000, 50_000_u32..600_000, 5_000_u32..40_000, 20_000_u32..100_000],
        [500_000_u32..20_000_000, 500_000_u32..20_000_000, 50_000_u32..1_000_000, 500_000_u32..10_000_000],
        [300_000_u32..10_000_000, 300_000_u32..10_000_000, 300_000_u32..10_000_000],
        corners(),
        0_u16..33,
    )
        .prop_map(|(max_speed_um_s, max_accel_um_s2, [print, travel, retract], corner, look_ahead)| {
            ClockLimits {
                max_speed_um_s,
                max_accel_um_s2,
                print_accel_um_s2: print,
                travel_accel_um_s2: travel,
                retract_accel_um_s2: retract,
                corner,
                look_ahead,
            }
        })
}

/// Moves whose lengths span 0.01 to 100 mm, straight on, bending, sharp, up, or of the filament alone, and arcs.
fn any_legs() -> impl Strategy<Value = Vec<Leg>> {
    let leg = (-2.0..2.0, -1.0..1.0, 0_u8..20, 0.0..0.08, 0.05..3.0, any::<bool>());
    prop::collection::vec(leg, 1..200).prop_map(|raw: Vec<(f64, f64, u8, f64, f64, bool)>| {
        let mut heading = 0.0_f64;
        let mut feed = 50.0_f64;
        raw.into_iter()
            .map(|(decades, turn, kind, ratio, faster, stays)| {
                let length = 10_f64.powf(decades);
                if !stays {
                    feed = (feed * faster).clamp(0.5, 500.0);
                }
                heading += match kind {
                    0..8 => turn * 0.1,
                    8..12 => turn * std::f64::consts::PI,
                    12 => std::f64::consts::PI,
                    _ => 0.0,
                };
                let (sin, cos) = heading.sin_cos();
                let mut leg = match kind {
                    17 => Leg::line([0.0, 0.0, 0.02 + length * 0.1, 0.0], feed),
                    18 => Leg::line([0.0, 0.0, 0.0, if stays { 1.0 } else { -1.0 }], feed),
                    16 => {
                        let from = heading - std::f64::consts::FRAC_PI_2;
                        let sweep = 0.1 + turn.abs() * 6.0;
                        heading += sweep;
                        Leg::arc(length, from, sweep, ratio * length, feed)
                    }
                    15 => Leg::line([length * cos, length * sin, length * 0.01, 0.0], feed),
                    _ => Leg::line([length * cos, length * sin, 0.0, length * ratio], feed),
                };
                leg.after_stop = kind == 19;
                leg
            })
            .collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    /// The moment at which each move ends, within 1e-4 of it.
    #[test]
    fn as_the_reference_with_the_same_buffer(legs in any_legs(), limits in any_limits()) {
        let look_ahead = if limits.look_ahead == 0 { 32 } else { usize::from(limits.look_ahead) };
        let wanted = buffered(&legs, &limits, look_ahead);
        let given = clocked::<32>(&legs, &limits);
        let (mut sum, mut wanted_sum) = (0.0, 0.0);
        for (i, (given, wanted)) in given.iter().zip(&wanted).enumerate() {
            sum += given;
            wanted_sum += wanted;
            prop_assert!((sum - wanted_sum).abs() <= 1e-4 * wanted_sum + 1e-8, "move {i}: {sum} s, not {wanted_sum} s");
        }
    }

    /// More moves in the buffer never make a job slower, and all of them are what the two passes give.
    #[test]
    fn a_longer_buffer_is_no_slower(legs in any_legs(), limits in any_limits()) {
        let total = |look_ahead| clocked::<256>(&legs, &ClockLimits { look_ahead, ..limits }).iter().sum::<f64>();
        let sums = [1, 2, 5, 32, 200].map(total);
        prop_assert!(sums.is_sorted_by(|a, b| b <= &(a * (1.0 + 1e-7) + 1e-8)), "{sums:?}");
        let wanted: f64 = unbounded(&legs, &limits).iter().sum();
        prop_assert!((sums[4] - wanted).abs() <= 1e-4 * wanted + 1e-8, "{} s, not {wanted} s", sums[4]);
    }
}

/// Filament a mm of path for a bead of 0.45 by 0.2 mm out of 1.75 mm.
const BEAD: f64 = 0.45 * 0.2 / (std::f64::consts::PI * 1.75 * 1.75 / 4.0);

fn path(points: &[[f64; 2]], feed: f64, legs: &mut Vec<Leg>) {
    for pair in points.windows(2) {
        let (x, y) = (pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]);
        legs.push(Leg::line([x, y, 0.0, BEAD * x.hypot(y)], feed));
    }
}

/// Drawn back, lifted, across, down, pushed again.
fn travel(by: [f64; 2], legs: &mut Vec<Leg>) {
    legs.push(Leg::line([0.0, 0.0, 0.0, -0.8], 40.0));
    legs.push(Leg::line([0.0, 0.0, 0.2, 0.0], 10.0));
    legs.push(Leg::line([by[0], by[1], 0.0, 0.0], 150.0));
    legs.push(Leg::line([0.0, 0.0, -0.2, 0.0], 10.0));
    legs.push(Leg::line([0.0, 0.0, 0.0, 0.8], 40.0));
}

fn walls() -> Vec<Leg> {
    let mut legs = Vec::new();
    for loop_no in 0..3 {
        let side = 40.0 - 0.9 * f64::from(loop_no);
        path(&[[0.0, 0.0], [side, 0.0], [side, side], [0.0, side], [0.0, 0.0]], 60.0, &mut legs);
        travel([0.45, 0.45], &mut legs);
    }
    legs
}

fn infill() -> Vec<Leg> {
    let points: Vec<[f64; 2]> = (0..80)
        .map(|row| {
            let along = f64::from(row / 2) * 1.8 + if row % 2 == 1 { 0.9 } else { 0.0 };
            if (row / 2) % 2 == row % 2 { [along, 0.0] } else { [along, 38.0] }
        })
        .collect();
    let mut legs = Vec::new();
    path(&points, 100.0, &mut legs);
    legs
}

/// A ring as a polygon whose sides miss the circle by `chord` mm at most.
fn ring(radius: f64, chord: f64, feed: f64) -> Vec<Leg> {
    let sides = (std::f64::consts::PI / (1.0 - chord / radius).acos()).ceil() as u32;
    let points: Vec<[f64; 2]> = (0..=sides)
        .map(|i| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / f64::from(sides)).sin_cos();
            [radius * cos, radius * sin]
        })
        .collect();
    let mut legs = Vec::new();
    path(&points, feed, &mut legs);
    legs
}

/// What a buffer of 32 costs against all moves known, and the device's error. Run with `--nocapture` for the figures.
#[test]
fn a_buffer_of_32_costs_less_than_a_hundredth() {
    let rings =
        || [3.0, 8.0, 20.0].into_iter().flat_map(|radius| ring(radius, 0.0125, 60.0)).collect::<Vec<_>>();
    let fine =
        || [3.0, 8.0, 20.0].into_iter().flat_map(|radius| ring(radius, 0.002, 60.0)).collect::<Vec<_>>();
    let job: Vec<Leg> = [walls(), infill(), rings(), fine()].concat();
    let figure = |name: &str, legs: &[Leg], corner| {
        let limits = limits(corner, 32);
        let all_known: f64 = unbounded(legs, &limits).iter().sum();
        let bounded: f64 = buffered(legs, &limits, 32).iter().sum();
        let device: f64 = clocked::<32>(legs, &limits).iter().sum();
        println!(
            "{name:<24} {corner:?}: {} moves, {all_known:.3} s; a buffer of 32 adds {:.4} %; the clock is off by {:.1e}",
            legs.len(),
            (bounded / all_known - 1.0) * 100.0,
            device / bounded - 1.0,
        );
        assert!((device / bounded - 1.0).abs() < 1e-5, "{name}");
        bounded / all_known - 1.0
    };
    for corner in [STEPS, DEVIATION] {
        for (name, legs) in [
            ("walls", walls()),
            ("infill", infill()),
            ("rings", rings()),
            ("fine rings", fine()),
            ("all together", job.clone()),
        ] {
            let added = figure(name, &legs, corner);
            assert!((-1e-9..=0.01).contains(&added), "{name}: {added}");
        }
        // Not an ordinary job: sides of 0.09 mm, 32 of which are shorter than the way to a stop from 100 mm/s.
        let added = figure("ring of 0.09 mm sides", &ring(20.0, 0.00005, 100.0), corner);
        assert!(added > 0.01, "the buffer must be felt here: {added}");
    }
}
