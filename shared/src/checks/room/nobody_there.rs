//! 77: the machine would run with nobody there.

use super::closing::unattended;
use super::forecast::forecast;
use super::hours::{self, Opening};
use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 77,
    id: "runs with nobody there",
    group: Group::Room,
    levels: &[Level::Note, Level::Look, Level::Hold],
    rule: "the room is shut when the job starts: by the room's rule HOLD (attended), LOOK, or NOTE (unattended)",
    source: "room rules",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(now) = input.clock() else { return };
    let Opening::Shut(opens) = hours::at(input.room, now) else { return };
    let level = unattended(input.room.attended);
    match (opens, forecast(input)) {
        (Some(opens), Some(forecast)) => {
            findings.push(77, 0, level, Signal::None, [opens.into(), forecast.latest.into()]);
        }
        (Some(opens), None) => findings.push(77, 0, level, Signal::None, [opens.into()]),
        (None, _) => findings.push(77, 1, level, Signal::None, []),
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
}
