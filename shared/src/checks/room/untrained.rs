//! 88: the owner is not trained for the grade.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 88,
    id: "untrained grade",
    group: Group::Room,
    levels: &[Level::Look],
    rule: "the room keeps levels, and the owner's is below the grade's",
    source: "room rules",
    live: Live::Unfed,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.history.owner_trained == Some(false) {
        let symbol = input.grade().map_or(Value::None, |grade| Value::text(grade.base.row().symbol));
        findings.push(88, 0, Level::Look, Signal::None, [symbol]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, levels};

    #[test]
    fn only_below_the_level() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.history.owner_trained = Some(true);
        assert!(levels(&CHECK, &input).is_empty());
        input.history.owner_trained = Some(false);
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
    }
}
