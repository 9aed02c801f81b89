//! 83: the card was pulled before the verdict.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 83,
    id: "card pulled early",
    group: Group::Room,
    levels: &[Level::Note],
    rule: "a card left while it was read, before it was put in again: noted, and read from its beginning",
    source: "judgement of the room's lead",
    live: Live::Card,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.card.pulled_early {
        findings.push(83, 0, Level::Note, Signal::None, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, levels};

    #[test]
    fn a_pulled_card_is_noted() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.card.pulled_early = true;
        assert_eq!(levels(&CHECK, &input), [(Level::Note, 0)]);
    }
}
