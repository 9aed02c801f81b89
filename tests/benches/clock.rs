//! What the survey's clock costs a move: `cargo bench -p holdpoint-tests --bench clock`.

use std::hint::black_box;
use std::time::Instant;

use holdpoint_shared::records::Corner;
use holdpoint_shared::survey::{Clock, ClockLimits, SettledMove, Stretch};
use holdpoint_tests::reference_time::Leg;

/// The machine's buffer, as the device has it.
const LOOK_AHEAD: u16 = 32;

/// Sets of the same moves; the fastest counts, the others met something else on the machine.
const ROUNDS: usize = 9;

fn limits(corner: Corner) -> ClockLimits {
    ClockLimits {
        max_speed_um_s: [300_000, 300_000, 12_000, 60_000],
        max_accel_um_s2: [3_000_000, 3_000_000, 200_000, 5_000_000],
        print_accel_um_s2: 1_000_000,
        travel_accel_um_s2: 1_500_000,
        retract_accel_um_s2: 2_000_000,
        corner,
        look_ahead: LOOK_AHEAD,
    }
}

fn line(x: f64, y: f64, feed: f64) -> Leg {
    Leg::line([x, y, 0.0, 0.037 * x.hypot(y)], feed)
}

/// Rows of 8 mm with 0.45 mm between them: every corner is sharp.
fn infill(moves: usize) -> Vec<Leg> {
    (0..moves)
        .map(|i| match i % 4 {
            0 => line(8.0, 0.0, 100.0),
            2 => line(-8.0, 0.0, 100.0),
            _ => line(0.0, 0.45, 100.0),
        })
        .collect()
}

/// Rings of `side` mm: every corner is nearly straight.
fn rings(moves: usize, side: f64) -> Vec<Leg> {
    (0..moves)
        .map(|i| {
            let (sin, cos) = (i as f64 * side / 10.0).sin_cos();
            line(side * cos, side * sin, 60.0)
        })
        .collect()
}

/// Walls of 5 to 30 mm and a drawn-back, lifted travel after every eighth.
fn walls(moves: usize) -> Vec<Leg> {
    (0..moves)
        .map(|i| match i % 13 {
            8 => Leg::line([0.0, 0.0, 0.0, -0.8], 40.0),
            9 => Leg::line([0.0, 0.0, 0.2, 0.0], 10.0),
            10 => Leg::line([11.0, 7.0, 0.0, 0.0], 150.0),
            11 => Leg::line([0.0, 0.0, -0.2, 0.0], 10.0),
            12 => Leg::line([0.0, 0.0, 0.0, 0.8], 40.0),
            side => {
                let (sin, cos) = (side as f64 * 1.3).sin_cos();
                line(5.0 * side as f64 * cos, 5.0 * side as f64 * sin, 60.0)
            }
        })
        .collect()
}

/// Bending at random by up to 40 degrees, 0.05 to 2 mm, feeds that change: nothing repeats.
fn wander(moves: usize) -> Vec<Leg> {
    let mut seed = 1_u64;
    let mut random = move || {
        // Steele and Vigna's constant for a 64-bit linear congruential generator (2021).
        seed = seed.wrapping_mul(0xD134_2543_DE82_EF95).wrapping_add(1);
        (seed >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut heading = 0.0;
    (0..moves)
        .map(|_| {
            heading += (random() - 0.5) * 1.4;
            let (sin, cos) = f64::sin_cos(heading);
            let length = 0.05 * 40_f64.powf(random());
            line(length * cos, length * sin, 40.0 + (random() * 4.0).floor() * 20.0)
        })
        .collect()
}

fn main() {
    const MOVES: usize = 200_000;
    for (rule, corner) in
        [("axis steps", Corner::AxisStep([8_000, 8_000, 400, 5_000])), ("deviation", Corner::Deviation(20))]
    {
        for (name, legs) in [
            ("infill", infill(MOVES)),
            ("walls", walls(MOVES)),
            ("rings, 0.5 mm sides", rings(MOVES, 0.5)),
            ("rings, 0.05 mm sides", rings(MOVES, 0.05)),
            ("wandering", wander(MOVES)),
        ] {
            let stretches: Vec<Stretch> = legs.iter().map(Leg::stretch).collect();
            let mut total_ns = 0;
            let fastest = (0..ROUNDS)
                .map(|_| {
                    let mut clock = Clock::<(), { LOOK_AHEAD as usize }>::new(&limits(corner));
                    total_ns = 0;
                    let mut out = |(): &(), settled: SettledMove| total_ns += settled.duration_ns;
                    let start = Instant::now();
                    for stretch in &stretches {
                        clock.push(black_box(stretch), (), &mut out);
                    }
                    clock.stop(&mut out);
                    start.elapsed()
                })
                .min()
                .unwrap_or_default();
            println!(
                "{rule:<11} {name:<21} {:>6.1} ns a move   ({:.1} s of printing)",
                fastest.as_nanos() as f64 / MOVES as f64,
                black_box(total_ns) as f64 * 1e-9
            );
        }
    }
}
