//! 69: the plate does not sit flat on both pins.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 69,
    id: "plate not on pins / missing",
    group: Group::Room,
    levels: &[Level::Hold],
    rule: "the answer is not \"2 pins, flat\"",
    source: "judgement of the room's lead",
    live: Live::Told,
    needs: Needs::Nothing,
    never_silenced: true,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.answers.pins == Some(false) {
        findings.push(69, 0, Level::Hold, Signal::Notice, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, levels};

    #[test]
    fn only_the_answer_no_holds() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.pins = Some(true);
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.pins = Some(false);
        assert_eq!(levels(&CHECK, &input), [(Level::Hold, 0)]);
    }
}
