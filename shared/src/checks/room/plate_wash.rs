//! 71: the plate wants a wash.

use crate::checks::prelude::*;

/// Starts between washes (judgement).
const STARTS: u32 = 10;
/// Days between washes (judgement).
const DAYS: u32 = 7;

pub(crate) const CHECK: Check = Check {
    number: 71,
    id: "plate due a wash",
    group: Group::Room,
    levels: &[Level::Look],
    rule: "more than 10 starts or 7 days since the last wash, or the last part came off the plate",
    source: "judgement of the room's lead",
    live: Live::Ledger,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let history = &input.history;
    let (wording, value) = if history.last_came_off {
        (2, Value::None)
    } else if let Some(starts) = history.starts_since_wash.filter(|starts| *starts > STARTS) {
        (0, Value::Count(starts))
    } else if let Some(days) = history.days_since_wash.filter(|days| *days > DAYS) {
        (1, Value::Count(days))
    } else {
        return;
    };
    findings.push(wording, Level::Look, Signal::None, [value]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, levels};

    #[test]
    fn starts_days_and_a_part_that_came_off() {
        let bench = Bench::new();
        let mut input = bench.input();
        (input.history.starts_since_wash, input.history.days_since_wash) = (Some(10), Some(7));
        assert!(levels(&CHECK, &input).is_empty());
        input.history.days_since_wash = Some(8);
        assert_eq!(levels(&CHECK, &input), [(LOOK, 1)]);
        input.history.starts_since_wash = Some(11);
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
        input.history.last_came_off = true;
        assert_eq!(levels(&CHECK, &input), [(LOOK, 2)]);
    }
}
