//! 20: the work is taller than the machine.

use crate::checks::prelude::*;
use crate::units::Micrometres;

/// The last half millimetre of travel is not counted on (judgement).
const MARGIN_UM: i64 = 500;

pub(crate) const CHECK: Check = Check {
    number: 20,
    id: "too tall",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "the highest bead is above the usable height less 0.5 mm, or any move is above the usable height",
    source: "machine sheet; margin: judgement",
    live: Live::Moves,
    needs: Needs::Sheet,
    never_silenced: false,
    run,
};

/// How much too tall the work is, or how far a move goes too high (then `true`).
pub(crate) fn over(input: &CheckInput<'_>) -> Option<(Micrometres, bool)> {
    let survey = input.survey?;
    let [_, _, laid] = survey.printed.max_nm.map(|nm| nm.div_euclid(1000));
    let [_, _, reached] = survey.reached.max_nm.map(|nm| nm.div_euclid(1000));
    let limit = input.machine.height_um;
    if !survey.printed.is_empty() && laid > limit - MARGIN_UM {
        return Some((Micrometres(laid - (limit - MARGIN_UM)), false));
    }
    (!survey.reached.is_empty() && reached > limit).then(|| (Micrometres(reached - limit), true))
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if let Some((distance, only_move)) = over(input) {
        let height = Micrometres(input.machine.height_um);
        findings.push(u8::from(only_move), Level::Hold, Signal::Notice, [distance.into(), height.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::survey::Bounds;

    fn levels(laid_um: i64, reached_um: i64) -> std::vec::Vec<(Level, u8)> {
        let up_to = |um: i64| Bounds { min_nm: [0; 3], max_nm: [0, 0, um * 1000] };
        Bench::surveyed(|survey| (survey.printed, survey.reached) = (up_to(laid_um), up_to(reached_um)))
            .levels(&CHECK)
    }

    #[test]
    fn beads_to_half_a_millimetre_below_and_moves_to_the_height() {
        // The bench's machine is 250 mm high.
        assert!(levels(249_500, 250_000).is_empty());
        assert_eq!(levels(249_501, 250_000), [(HOLD, 0)]);
        assert_eq!(levels(249_500, 250_001), [(HOLD, 1)]);
        assert!(Bench::new().run(&CHECK).is_empty());
    }
}
