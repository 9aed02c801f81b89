//! 76: the job ends after the room has closed.

use chrono::TimeDelta;

use super::forecast::{Forecast, forecast};
use super::hours::{self, Opening};
use crate::checks::prelude::*;
use crate::records::Attended;
use crate::time::WallClock;

/// What stays for taking the part off and for putting the plate back (judgement).
const CLEARING_S: i64 = 10 * 60;

pub(crate) const CHECK: Check = Check {
    number: 76,
    id: "ends after closing",
    group: Group::Room,
    levels: &[Level::Note, Level::Look, Level::Hold],
    rule: "latest end (10 % or 3 min late, warm-up counted) + cooling (11 min, bed above 60 °C 22 min) + 10 min is after \
           closing: by the room's rule HOLD (attended), LOOK, or NOTE (unattended)",
    source: "room rules; windows: owners' reports; cooling: Newton's law with a time constant of 15 min",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

/// The level of a run that somebody should attend and nobody will.
pub(crate) const fn unattended(rule: Attended) -> Level {
    match rule {
        Attended::Always => Level::Hold,
        Attended::Looks => Level::Look,
        Attended::Unattended => Level::Note,
    }
}

/// Wordings: 0 later the same day, 1 on another day, 2 on no day: the room is never open for so long.
fn wording(input: &CheckInput<'_>, forecast: &Forecast) -> u8 {
    let takes = (forecast.latest - forecast.start).num_seconds() + forecast.cool_s + CLEARING_S;
    if hours::longest_opening_s(input.room).is_some_and(|longest| takes > longest) {
        2
    } else {
        u8::from(forecast.latest.date() != forecast.start.date())
    }
}

fn latest_start(forecast: &Forecast, close: WallClock) -> Option<WallClock> {
    let after = TimeDelta::try_seconds(forecast.cool_s.saturating_add(CLEARING_S))?;
    close.checked_sub_signed(forecast.latest.signed_duration_since(forecast.start).checked_add(&after)?)
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(forecast) = forecast(input) else { return };
    let Opening::Until(close) = hours::at(input.room, forecast.start) else { return };
    let Some(latest_start) = latest_start(&forecast, close) else { return };
    if forecast.start > latest_start {
        let values = [forecast.earliest.into(), forecast.latest.into(), close.into(), latest_start.into()];
        findings.push(wording(input, &forecast), unattended(input.room.attended), Signal::None, values);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK, NOTE, levels, wednesday};
    use crate::records::OpenHours;
    use chrono::NaiveTime;

    fn bench(from: u32, to: u32) -> Bench {
        let time = |hour| NaiveTime::from_hms_opt(hour, 0, 0).unwrap();
        let mut bench = Bench::new();
        bench.room.hours = Some([Some(OpenHours { opens: time(from), closes: time(to) }); 7]);
        bench
    }

    fn at(bench: &Bench, hour: u32, minute: u32) -> std::vec::Vec<(Level, u8)> {
        let mut input = bench.input();
        input.now = Some(wednesday(hour, minute));
        levels(&CHECK, &input)
    }

    #[test]
    fn the_latest_start_to_the_minute() {
        // Runs 3:01 at the latest, cools 0:11:15, clearing 0:10: 3:22:15 before 18:00 is 14:37:45.
        let mut bench = bench(9, 18);
        assert!(at(&bench, 14, 37).is_empty());
        assert_eq!(at(&bench, 14, 38), [(LOOK, 0)]);
        bench.room.attended = Attended::Always;
        assert_eq!(at(&bench, 14, 38), [(HOLD, 0)]);
        bench.room.attended = Attended::Unattended;
        assert_eq!(at(&bench, 14, 38), [(NOTE, 0)]);
    }

    #[test]
    fn closing_after_midnight() {
        // Open 16:00 to 02:00: 3:22:15 before is 22:37:45.
        let bench = bench(16, 2);
        assert!(at(&bench, 22, 37).is_empty());
        assert_eq!(at(&bench, 22, 38), [(LOOK, 1)]);
        // Before midnight of the day after, still the same evening's hours.
        assert_eq!(at(&bench, 1, 0), [(LOOK, 0)]);
    }

    #[test]
    fn what_no_day_is_long_enough_for() {
        // 3:22:15 in all (worked above).
        assert_eq!(at(&bench(9, 12), 9, 0), [(LOOK, 2)]);
        assert_eq!(at(&bench(9, 13), 9, 38), [(LOOK, 0)], "tomorrow by 9:37");
    }

    #[test]
    fn without_clock_or_hours_it_is_silent() {
        assert!(bench(9, 18).run(&CHECK).is_empty());
        assert!(at(&Bench::new(), 23, 0).is_empty());
        assert!(at(&bench(9, 18), 20, 0).is_empty(), "a room that is shut is row 77's matter");
    }
}
