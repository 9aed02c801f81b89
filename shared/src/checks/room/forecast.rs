//! When the job ends, as a window.

use chrono::TimeDelta;

use crate::checks::heat::window::bed_extremes;
use crate::checks::input::CheckInput;
use crate::header::Source;
use crate::time::WallClock;
use crate::units::{Celsius, Seconds};

/// Forecasts are off by this share either way, percent (owners: "never better than ten percent").
const WINDOW_PERCENT: i64 = 10;
/// And by no less than this (judgement).
const WINDOW_LEAST_S: i64 = 3 * 60;
/// Warming up, where the time given does not hold it (common practice: a bed at 60 °C takes 3 to 5 min).
const WARM_UP_S: i64 = 5 * 60;
/// Cooling until the part may be taken: from 60 °C to 40 °C in a room of 22 °C with a time constant of 15 min
/// (Newton's law of cooling: 15 min x ln(38/18) = 11.2 min).
const COOL_S: i64 = 11 * 60 + 15;
/// The same from 100 °C (15 min x ln(78/18) = 22.0 min).
const COOL_HOT_S: i64 = 22 * 60;
/// From this bed target on the longer one counts.
const HOT_BED: Celsius = Celsius(61);

/// The window in which a job that starts now ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Forecast {
    /// Start.
    pub(crate) start: WallClock,
    /// Earliest end.
    pub(crate) earliest: WallClock,
    /// Latest end.
    pub(crate) latest: WallClock,
    /// Seconds from the latest end until the plate has cooled.
    pub(crate) cool_s: i64,
}

/// How long the job takes, s: earliest, latest.
pub(crate) fn duration_s(input: &CheckInput<'_>) -> Option<(i64, i64)> {
    let time = input.facts.time?;
    let warm = match (time.source, input.survey) {
        // The moves' time holds the waits for heat, where they could be estimated.
        (Source::Moves, Some(survey)) if survey.time.heat_wait_known => 0,
        _ => WARM_UP_S,
    };
    let middle = i64::from(time.value.0);
    let width = (middle * WINDOW_PERCENT / 100).max(WINDOW_LEAST_S);
    Some(((middle - width).max(0) + warm, middle + width + warm))
}

/// How long the job takes at the middle of its window.
pub(crate) fn duration(input: &CheckInput<'_>) -> Option<Seconds> {
    duration_s(input).map(|(least, most)| Seconds(u32::try_from(least.midpoint(most)).unwrap_or(u32::MAX)))
}

/// The window, where time and clock are known.
pub(crate) fn forecast(input: &CheckInput<'_>) -> Option<Forecast> {
    let start = input.clock()?;
    let (least, most) = duration_s(input)?;
    let hot = bed_extremes(input).is_some_and(|(_, highest)| highest >= HOT_BED);
    Some(Forecast {
        start,
        earliest: start.checked_add_signed(TimeDelta::seconds(least))?,
        latest: start.checked_add_signed(TimeDelta::seconds(most))?,
        cool_s: if hot { COOL_HOT_S } else { COOL_S },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, stated, wednesday};

    #[test]
    fn the_window_by_hand() {
        // 9600 s: 10 % are 960 s; 8640 and 10,560 s, and 300 s of warming up: 10:00 + 2:29 and + 3:01.
        let bench = Bench::new();
        let mut input = bench.input();
        input.now = Some(wednesday(10, 0));
        let forecast = forecast(&input).unwrap();
        assert_eq!(forecast.earliest, wednesday(12, 29));
        assert_eq!(forecast.latest, wednesday(13, 1));
        assert_eq!(forecast.cool_s, COOL_S);
        assert_eq!(duration(&input), Some(Seconds(9_900)));
    }

    #[test]
    fn a_short_job_is_off_by_three_minutes() {
        let mut bench = Bench::new();
        bench.facts.time = stated(Seconds(600));
        assert_eq!(duration_s(&bench.input()), Some((720, 1080)));
    }

    #[test]
    fn the_moves_hold_their_waits() {
        let bench = Bench::surveyed(|survey| {
            (survey.time.total_s, survey.time.heat_wait_known) = (10_000, true);
        });
        assert_eq!(duration_s(&bench.input()), Some((9_000, 11_000)));
        let bench = Bench::surveyed(|survey| survey.time.total_s = 10_000);
        assert_eq!(duration_s(&bench.input()), Some((9_300, 11_300)));
    }

    #[test]
    fn a_hot_bed_cools_longer() {
        let cool = |bed| {
            let bench = Bench::with_header(|header| header.bed_c = Some(Celsius(bed)));
            let mut input = bench.input();
            input.now = Some(wednesday(10, 0));
            forecast(&input).unwrap().cool_s
        };
        assert_eq!((cool(60), cool(61)), (COOL_S, COOL_HOT_S));
    }

    #[test]
    fn nothing_without_clock_or_time() {
        assert_eq!(forecast(&Bench::new().input()), None);
        let bench = Bench::with_header(|header| header.time = None);
        let mut input = bench.input();
        input.now = Some(wednesday(10, 0));
        assert_eq!(forecast(&input), None);
    }
}
