//! 77: the machine would run with nobody there.

use super::closing::unattended;
use super::forecast::forecast;
use super::hours::{self, Opening};
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 77,
    id: "runs with nobody there",
    group: Group::Room,
    levels: &[Level::Note, Level::Look, Level::Hold],
    rule: "the room is shut when the job starts, or the rules' staffed spans leave a gap before it ends or the room shuts: by the room's rule HOLD (attended), LOOK, or NOTE (unattended)",
    source: "room rules",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(now) = input.clock() else { return };
    let level = unattended(input.room.attended);
    let forecast = forecast(input);
    match (hours::at(input.room, now), forecast) {
        (Opening::Shut(Some(opens)), Some(forecast)) => {
            findings.push(0, level, Signal::None, [opens.into(), forecast.latest.into()]);
        }
        (Opening::Shut(Some(opens)), None) => findings.push(0, level, Signal::None, [opens.into()]),
        (Opening::Shut(None), _) => findings.push(1, level, Signal::None, []),
        (open, Some(forecast)) => {
            // Past closing is row 76's matter.
            let end = match open {
                Opening::Until(close) => forecast.latest.min(close),
                _ => forecast.latest,
            };
            if let Some(from) = hours::left_alone(input.room, now, end) {
                findings.push(2, level, Signal::None, [from.into()]);
            }
        }
        (_, None) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK, levels, wednesday};
    use crate::records::{Attended, OpenHours};
    use chrono::NaiveTime;

    #[test]
    fn a_shut_room_by_its_rule() {
        let time = |hour| NaiveTime::from_hms_opt(hour, 0, 0).unwrap();
        let mut bench = Bench::new();
        let at = |bench: &Bench, hour| {
            let mut input = bench.input();
            input.now = Some(wednesday(hour, 0));
            levels(&CHECK, &input)
        };
        assert!(at(&bench, 20).is_empty(), "no hours stated");
        bench.room.hours = Some([Some(OpenHours { opens: time(9), closes: time(18) }); 7]);
        assert!(at(&bench, 17).is_empty());
        assert_eq!(at(&bench, 18), [(LOOK, 0)]);
        bench.room.attended = Attended::Always;
        assert_eq!(at(&bench, 18), [(HOLD, 0)]);
        bench.room.hours = Some([None; 7]);
        assert_eq!(at(&bench, 12), [(HOLD, 1)]);
    }

    #[test]
    fn a_gap_in_the_staff_while_it_runs() {
        use crate::records::Staffed;
        let mut bench = Bench::new();
        let at = |bench: &Bench, hour, minute| {
            let mut input = bench.input();
            input.now = Some(wednesday(hour, minute));
            levels(&CHECK, &input)
        };
        // 3:01 at the latest (worked in `forecast`).
        bench.room.staffed.push(Staffed { day: 2, from_min: 9 * 60, to_min: 13 * 60 }).unwrap();
        assert!(at(&bench, 9, 59).is_empty());
        assert_eq!(at(&bench, 10, 0), [(LOOK, 2)]);
        bench.room.attended = Attended::Always;
        assert_eq!(at(&bench, 10, 0), [(HOLD, 2)]);
        // The room shuts with the staff: row 76 says so.
        let time = |hour| NaiveTime::from_hms_opt(hour, 0, 0).unwrap();
        bench.room.hours = Some([Some(OpenHours { opens: time(9), closes: time(13) }); 7]);
        assert!(at(&bench, 10, 0).is_empty());
    }
}
