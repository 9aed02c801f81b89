//! 85: the clock is not set, or cannot be right.

use super::forecast::duration;
use super::hours;
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 85,
    id: "clock wrong",
    group: Group::Room,
    levels: &[Level::Note, Level::Look],
    rule: "no clock, or one that lost its power, or before the last logged event or the day of this version, or a job of the card more than 24 h ahead of it: no times \
           of day are shown; LOOK if the job takes longer than the room's longest opening, else NOTE",
    source: "judgement of the room's lead",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.clock().is_some() {
        return;
    }
    let takes = duration(input);
    let wording = u8::from(input.now.is_some());
    let level = match (takes, hours::longest_opening_s(input.room)) {
        (Some(takes), Some(longest)) if i64::from(takes.0) > longest => Level::Look,
        _ => Level::Note,
    };
    findings.push(wording, level, Signal::None, [takes.map_or(Value::None, Value::from)]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, NOTE, levels, wednesday};
    use crate::records::OpenHours;
    use chrono::{NaiveTime, TimeDelta};

    #[test]
    fn no_clock() {
        let time = |minutes: u32| NaiveTime::from_num_seconds_from_midnight_opt(minutes * 60, 0).unwrap();
        let mut bench = Bench::new();
        assert_eq!(bench.levels(&CHECK), [(NOTE, 0)]);
        // The job takes 165 min.
        bench.room.hours = Some([Some(OpenHours { opens: time(0), closes: time(165) }); 7]);
        assert_eq!(bench.levels(&CHECK), [(NOTE, 0)]);
        bench.room.hours = Some([Some(OpenHours { opens: time(0), closes: time(164) }); 7]);
        assert_eq!(bench.levels(&CHECK), [(LOOK, 0)]);
    }

    #[test]
    fn a_clock_that_cannot_be_right() {
        let bench = Bench::new();
        let mut input = bench.input();
        input.now = Some(wednesday(12, 0));
        assert!(levels(&CHECK, &input).is_empty());
        input.card.newest = Some(wednesday(12, 0) + TimeDelta::hours(24));
        assert!(levels(&CHECK, &input).is_empty());
        input.card.newest = Some(wednesday(12, 0) + TimeDelta::hours(24) + TimeDelta::seconds(1));
        assert_eq!(levels(&CHECK, &input), [(NOTE, 1)]);
        input.card.newest = None;
        input.history.no_earlier_than = Some(wednesday(12, 0));
        assert!(levels(&CHECK, &input).is_empty());
        input.history.no_earlier_than = Some(wednesday(12, 1));
        assert_eq!(levels(&CHECK, &input), [(NOTE, 1)]);
    }
}
