//! The clock by hand, with the closed forms of any mechanics textbook.

use super::super::fixed_point::um_s;
use super::*;
use std::vec::Vec;

const ONE: i32 = 1 << 30;
const X: [i32; 4] = [ONE, 0, 0, 0];
const Y: [i32; 4] = [0, ONE, 0, 0];

fn limits(corner: Corner, look_ahead: u16) -> ClockLimits {
    ClockLimits {
        max_speed_um_s: [500_000, 500_000, 10_000, 50_000],
        max_accel_um_s2: [5_000_000, 5_000_000, 100_000, 5_000_000],
        print_accel_um_s2: 1_000_000,
        travel_accel_um_s2: 2_000_000,
        retract_accel_um_s2: 1_500_000,
        corner,
        look_ahead,
    }
}

fn line(direction: [i32; 4], mm: u64, mm_s: u32) -> Stretch {
    Stretch {
        length_nm: mm * 1_000_000,
        enter: direction,
        exit: direction,
        share: direction.map(|part| part.saturating_abs()),
        feed_nm_s: mm_s * 1_000_000,
        class: Class::Print,
        radius_nm: None,
    }
}

fn run(clock: &mut Clock<usize, 8>, moves: &[Stretch]) -> Vec<SettledMove> {
    let mut settled = Vec::new();
    let mut out = |&tag: &usize, each: SettledMove| {
        assert_eq!(tag, settled.len(), "moves come back in order");
        settled.push(each);
    };
    for (tag, each) in moves.iter().enumerate() {
        clock.push(each, tag, &mut out);
    }
    clock.stop(&mut out);
    settled
}

fn times(corner: Corner, look_ahead: u16, moves: &[Stretch]) -> Vec<u64> {
    let mut clock = Clock::new(&limits(corner, look_ahead));
    run(&mut clock, moves).iter().map(|each| each.duration_ns).collect()
}

const STEPS: Corner = Corner::AxisStep([10_000, 10_000, 400, 5_000]);

/// By hand, with the trapezoid of any mechanics textbook: 100 mm along X, then along Y, at 100 mm/s and
/// 1000 mm/s², 10 mm/s of step: the corner at 10 mm/s. 0.1 s and 5 mm to speed up from rest, 0.09 s and
/// (100² − 10²)/2000 = 4.95 mm to come down to 10 mm/s, 90.05 mm in 0.9005 s between: 1.0905 s each.
#[test]
fn two_moves_and_their_corner() {
    let moves = [line(X, 100, 100), line(Y, 100, 100)];
    assert_eq!(times(STEPS, 8, &moves), [1_090_500_000; 2]);
    // By deviation, 0.05 mm at 90°: 10.9868 mm/s. 1.1 s − v²-terms: 100 mm/100 + 0.1²·… as above with 10.9868:
    // 0.1 + 0.0890132 + (100 − 5 − (10000 − 120.7107)/2000)/100 = 1.0896168 s.
    for time in times(Corner::Deviation(50), 8, &moves) {
        assert!(time.abs_diff(1_089_616_800) < 100, "{time}");
    }
}

/// 1 mm pieces of a straight line at 1000 mm/s²: looking ahead at 3 moves, the machine can always stop within
/// the 2 mm behind the leaving one: √(2·1000·2) = 63.25 mm/s.
#[test]
fn the_buffer_ends_in_a_stop() {
    let moves = [line(X, 1, 100); 40];
    let mut clock = Clock::new(&limits(STEPS, 3));
    let settled = run(&mut clock, &moves);
    let peak = settled.iter().map(|each| um_s(each.peak_nm_s)).max();
    // Entering and leaving at 63.25 mm/s, the peak inside a move: √(4000 + 1000·1) = 70.71 mm/s.
    assert_eq!(peak, Some(70_711));
    // From one such speed to the next: T = 2·(√5000 − √4000)/1000 s.
    assert_eq!(settled.get(20).map(|each| each.duration_ns), Some(14_930_250));
    // Looking at one alone, each stops: 2·√(0.001/1) s = 63,245,553.2 ns; the peak is a whole number of nm/s.
    assert_eq!(times(STEPS, 1, &moves), [63_245_554; 40]);
    // 0 and more than the clock holds are what it holds.
    assert_eq!(times(STEPS, 0, &moves), times(STEPS, 8, &moves));
    assert_eq!(times(STEPS, 999, &moves), times(STEPS, 8, &moves));
}

#[test]
fn a_stop_is_a_stop() {
    let mut clock = Clock::<(), 8>::new(&limits(STEPS, 8));
    let mut total = 0;
    let mut out = |(): &(), settled: SettledMove| total += settled.duration_ns;
    for _ in 0..2 {
        clock.push(&line(X, 100, 100), (), &mut out);
        clock.stop(&mut out);
    }
    assert_eq!(total, 2_200_000_000, "twice 1.1 s");
}

/// A Z lift of 1 mm: 10 mm/s and 100 mm/s² are the axis's. 0.1 s and 0.5 mm to speed up, the same down: 0.2 s.
#[test]
fn an_axis_bounds_its_share() {
    let mut lift = line([0, 0, ONE, 0], 1, 100);
    lift.class = Class::Travel;
    assert_eq!(times(STEPS, 8, &[lift]), [200_000_000]);
    // On a slope that rises 3 in 5 the path may do 10/0.6 mm/s and 100/0.6 mm/s²: the 1 mm rise takes as long.
    let slope = [ONE / 5 * 4, 0, ONE / 5 * 3, 0];
    let [time] = times(STEPS, 8, &[Stretch { length_nm: 1_666_667, ..line(slope, 1, 100) }])[..] else {
        panic!("one move")
    };
    // 166,666 2/3 µm/s² is held in whole ones: 4e-6 of it.
    assert!(time.abs_diff(200_000_000) < 500, "{time}");
}

/// v = √(a·r): 10 mm of radius, 1000 mm/s²: 100 mm/s.
#[test]
fn an_arc_bounds_its_speed() {
    let arc = Stretch { radius_nm: Some(10_000_000), ..line(X, 100, 200) };
    assert_eq!(times(STEPS, 8, &[arc]), [1_100_000_000]);
}

#[test]
fn a_file_can_only_lower_limits() {
    let moves = [line(X, 100, 100), line(Y, 100, 100)];
    let mut clock = Clock::new(&limits(STEPS, 8));
    let sum = |settled: Vec<SettledMove>| settled.iter().map(|each| each.duration_ns).sum::<u64>();
    clock.limits_mut().lower_speeds([Some(50_000), None, None, None]);
    clock.limits_mut().lower_accels([None, Some(500_000), None, None]);
    clock.limits_mut().lower_steps([Some(0), Some(99_000), None, None]);
    clock.limits_mut().lower_deviation(1);
    // X at 50 mm/s: 100/50 + 50/1000; Y at 500 mm/s²: 100/100 + 100/500; a stop between.
    assert_eq!(sum(run(&mut clock, &moves)), 2_050_000_000 + 1_200_000_000);
    // Raising them again goes no higher than the sheet: as in the two moves above.
    clock.limits_mut().lower_speeds([Some(u32::MAX), Some(0), None, None]);
    clock.limits_mut().lower_accels([Some(0), Some(u32::MAX), None, None]);
    clock.limits_mut().lower_steps([Some(u32::MAX), None, None, None]);
    clock.limits_mut().lower_class_accel(Class::Print, u32::MAX);
    assert_eq!(sum(run(&mut clock, &moves)), 2 * 1_090_500_000);
    clock.limits_mut().lower_class_accel(Class::Print, 500_000);
    assert_eq!(sum(run(&mut clock, &[line(X, 100, 50)])), 2_100_000_000);
}

proptest::proptest! {
    /// Whatever comes in, it comes back once, in order and without a panic.
    #[test]
    fn nothing_panics(
        moves in proptest::collection::vec(
            (proptest::num::u64::ANY, proptest::array::uniform12(proptest::num::i32::ANY),
             proptest::num::u32::ANY, 0..3_u8, proptest::option::of(proptest::num::u64::ANY)),
            0..40),
        speeds in proptest::array::uniform8(proptest::num::u32::ANY),
        accels in proptest::array::uniform3(proptest::num::u32::ANY),
        corner in proptest::array::uniform5(proptest::num::u32::ANY),
        look_ahead in 0..12_u16,
    ) {
        let [a, b, c, d, e, f, g, h] = speeds;
        let [x, y, z, filament, deviation_um] = corner;
        let corner = if deviation_um % 2 == 0 { Corner::AxisStep([x, y, z, filament]) }
            else { Corner::Deviation(deviation_um) };
        let mut clock = Clock::new(&ClockLimits {
            max_speed_um_s: [a, b, c, d],
            max_accel_um_s2: [e, f, g, h],
            print_accel_um_s2: accels[0],
            travel_accel_um_s2: accels[1],
            retract_accel_um_s2: accels[2],
            corner,
            look_ahead,
        });
        let moves: Vec<Stretch> = moves.into_iter().map(|(length_nm, axes, feed_nm_s, class, radius_nm)| Stretch {
            length_nm,
            enter: [axes[0], axes[1], axes[2], axes[3]],
            exit: [axes[4], axes[5], axes[6], axes[7]],
            share: [axes[8], axes[9], axes[10], axes[11]],
            feed_nm_s,
            class: match class { 0 => Class::Print, 1 => Class::Travel, _ => Class::Retract },
            radius_nm,
        }).collect();
        proptest::prop_assert_eq!(run(&mut clock, &moves).len(), moves.len());
    }
}
