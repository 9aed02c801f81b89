//! Without a probe the model is the closed form, whatever the steps; and no numbers bring it down.

use holdpoint_shared::heat::{
    Body, EndWindow, Evidence, HeatModel, Learned, MilliCelsius, ProbeReading, TimeLeft,
};
use proptest::prelude::*;

const AIR_C: f64 = 22.0;
const TAU_S: f64 = 364.0;
const RISE_K: f64 = 199.0;

fn mc(degrees: f64) -> MilliCelsius {
    MilliCelsius((degrees * 1000.0).round() as i32)
}

fn model() -> HeatModel {
    HeatModel::new(Body::new(TAU_S as u32, RISE_K as u32), mc(AIR_C), mc(AIR_C))
}

fn celsius(model: &HeatModel) -> f64 {
    f64::from(model.temperature().0) / 1000.0
}

#[test]
fn warming_holding_and_cooling_follow_the_closed_form() {
    for step_ms in [100_u32, 250, 1000, 7_000] {
        let mut model = model();
        let steps = 210_000 / step_ms;
        for step in 1..=steps {
            let verdict = model.step(step_ms, None, Some(mc(60.0)));
            assert_eq!((verdict.evidence, verdict.alarm, verdict.turn), (Evidence::Estimated, None, None));
            let t = f64::from(step) * f64::from(step_ms) / 1000.0;
            let expected = (AIR_C + RISE_K * (1.0 - (-t / TAU_S).exp())).min(60.0);
            assert!(
                (celsius(&model) - expected).abs() < 0.01,
                "{step_ms}: {} for {expected}",
                celsius(&model)
            );
        }
        assert_eq!(model.temperature(), mc(60.0));
        for step in 1..=1_200_000 / step_ms {
            model.step(step_ms, None, None);
            let t = f64::from(step) * f64::from(step_ms) / 1000.0;
            // Nothing was measured: it cools 1.3 times as slowly.
            let expected = AIR_C + 38.0 * (-t / (1.3 * TAU_S)).exp();
            assert!(
                (celsius(&model) - expected).abs() < 0.02,
                "{step_ms}: {} for {expected}",
                celsius(&model)
            );
        }
    }
}

#[test]
fn times_left_follow_the_closed_form() {
    let mut model = model();
    model.step(1, None, Some(mc(60.0)));
    let seconds = |left| {
        let TimeLeft::In(ms) = left else { panic!("{left:?}") };
        f64::from(ms) / 1000.0
    };
    let warm = TAU_S * (RISE_K / (RISE_K - 38.0)).ln();
    assert!((seconds(model.time_to_target()) - warm).abs() < 0.05);
    model.step(1000, Some(ProbeReading::At(mc(60.0))), Some(mc(60.0)));
    let cool = TAU_S * (38.0_f64 / 18.0).ln();
    assert!((seconds(model.time_to_cool(mc(40.0))) - cool).abs() < 0.05);
    // Ten seconds later the reading is stale, and the same time is three tenths longer.
    model.step(10_001, None, Some(mc(60.0)));
    assert!((seconds(model.time_to_cool(mc(40.0))) - 1.3 * cool).abs() < 0.05);
    model.set_air(mc(40.0), false);
    assert_eq!(model.time_to_cool(mc(40.0)), TimeLeft::Never);
    assert_eq!(model.time_to_cool(mc(60.0)), TimeLeft::Now);
}

/// Two of them stand in a board's RAM, and what they learned in its ledger: bytes, the same on every target.
#[test]
fn values_are_small() {
    assert!(size_of::<HeatModel>() <= 176, "{}", size_of::<HeatModel>());
    assert!(size_of::<Learned>() <= 16);
}

fn reading() -> impl Strategy<Value = Option<ProbeReading>> {
    prop_oneof![
        Just(None),
        any::<i32>().prop_map(|t| Some(ProbeReading::At(MilliCelsius(t)))),
        (15_000..80_000).prop_map(|t| Some(ProbeReading::At(MilliCelsius(t)))),
        prop::sample::select(vec![
            ProbeReading::Open,
            ProbeReading::Shorted,
            ProbeReading::TooCold,
            ProbeReading::TooHot
        ])
        .prop_map(Some),
    ]
}

fn elapsed() -> impl Strategy<Value = u32> {
    prop_oneof![0_u32..20_000, any::<u32>()]
}

proptest! {
    #[test]
    fn nothing_brings_it_down(
        tau: u32, rise: u32, start: i32, airs in prop::collection::vec((any::<i32>(), any::<bool>()), 1..4),
        steps in prop::collection::vec((elapsed(), reading(), prop::option::of(any::<i32>())), 0..60), limit: i32,
    ) {
        let mut model = HeatModel::new(Body::new(tau, rise), MilliCelsius(start), MilliCelsius(start));
        for ((ms, reading, target), (air, measured)) in steps.into_iter().zip(airs.into_iter().cycle()) {
            model.set_air(MilliCelsius(air), measured);
            let verdict = model.step(ms, reading, target.map(MilliCelsius));
            prop_assert!((-273_150..=2_000_000).contains(&verdict.temperature.0));
            if let (Some(alarm), Some(_)) = (verdict.alarm, reading) {
                prop_assert!(!alarm.doubts_probe() || verdict.turn.is_none());
            }
            let _ = (model.time_to_target(), model.time_to_cool(MilliCelsius(limit)), model.warm_up_ms());
            let _ = (model.against(EndWindow::Before), model.against(EndWindow::PastBy(ms)));
            model.set_body(Body::new(rise, tau));
        }
    }

    /// The same seconds in other steps come to the same temperature.
    #[test]
    fn steps_do_not_matter(cuts in prop::collection::vec(20_u32..5_000, 1..200), target in 30.0..110.0) {
        let (mut fine, mut whole) = (model(), model());
        cuts.iter().for_each(|ms| { fine.step(*ms, None, Some(mc(target))); });
        whole.step(cuts.iter().sum(), None, Some(mc(target)));
        prop_assert!((celsius(&fine) - celsius(&whole)).abs() < 0.005);
    }

    /// Without readings it is never said to be colder than with the last one just taken, and never ready to be
    /// touched sooner.
    #[test]
    fn a_stale_reading_is_more_careful(from in 45.0..110.0, wait_ms in 10_001_u32..1_000_000) {
        let mut stale = model();
        stale.step(0, Some(ProbeReading::At(mc(from))), None);
        stale.step(10_001, None, None);
        stale.step(wait_ms, None, None);
        let t = (f64::from(wait_ms) + 10_001.0) / 1000.0;
        let true_c = AIR_C + (from - AIR_C) * (-t / TAU_S).exp();
        prop_assert!(celsius(&stale) >= true_c - 0.01, "{} for {true_c}", celsius(&stale));
        let mut fresh = model();
        fresh.step(0, Some(ProbeReading::At(mc(true_c))), None);
        prop_assert!(stale.time_to_cool(mc(40.0)) >= fresh.time_to_cool(mc(40.0)));
    }
}
