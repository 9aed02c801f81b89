//! 53: the head stays hot on the part when the job ends.

use crate::checks::file::cut_short;
use crate::checks::prelude::*;
use crate::units::{Micrometres, Seconds};

/// Heat off later than this after the last bead (judgement).
const LATEST: Seconds = Seconds(60);
/// A head lifted less than this stands on the part (judgement).
const CLEARANCE: Micrometres = Micrometres::from_mm(2);

pub(crate) const CHECK: Check = Check {
    number: 53,
    id: "head parks hot on part",
    group: Group::Heat,
    levels: &[Level::Look],
    rule: "heat goes off later than 60 s after the last bead, and the head ends over the part, lifted less than 2 mm",
    source: "judgement of the room's lead",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(tail) = input.survey.map(|survey| survey.tail) else { return };
    if cut_short::why(input).is_some() {
        return;
    }
    // Never off is row 50's matter.
    let late = tail.heat_off_after_s.is_some_and(|after| Seconds(after) > LATEST);
    if late && tail.ends_over_part && tail.lift_nm < CLEARANCE.0 * 1000 {
        let lift = Micrometres(tail.lift_nm / 1000);
        findings.push(
            0,
            Level::Look,
            Signal::None,
            [Seconds(tail.heat_off_after_s.unwrap_or(0)).into(), lift.into()],
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};
    use crate::survey::Survey;

    fn levels(after_s: u32, lift_nm: i64, over_part: bool) -> std::vec::Vec<(Level, u8)> {
        let mut survey = Survey::default();
        let tail = &mut survey.tail;
        (tail.last_line_ended, tail.last_line_readable, tail.parked) = (true, true, true);
        (tail.heat_off_after_s, tail.lift_nm, tail.ends_over_part) = (Some(after_s), lift_nm, over_part);
        let mut bench = Bench::new();
        bench.survey = Some(survey);
        bench.levels(&CHECK)
    }

    #[test]
    fn late_low_and_over_the_part() {
        assert_eq!(levels(61, 1_999_999, true), [(LOOK, 0)]);
        assert!(levels(60, 1_999_999, true).is_empty());
        assert!(levels(61, 2_000_000, true).is_empty());
        assert!(levels(61, 0, false).is_empty());
    }
}
