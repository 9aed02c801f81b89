//! 58: whether the filament on the spool is enough.

use super::need::{left, need};
use crate::checks::machine::feed_mode;
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 58,
    id: "not enough left",
    group: Group::Spool,
    levels: &[Level::Note, Level::Look, Level::Hold],
    rule: "m = length x area x density; most = 1.05 m + 3 g + 5 m of filament; error = root of the squares of 3 % of what was \
           used since weighing, 5 g a loading, and the tare (5 g own, 20 g usual, or as stated); most <= left - error is \
           clear, m > left + error HOLD, between LOOK",
    source: "common practice: 5 % and 5 m reserve, 20 g tare scatter; errors: judgement",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if input.spool.is_none() {
        return; // Row 55 says that there is no ticket.
    }
    if feed_mode::mixed_up(input) {
        return; // Row 29 says that the feed's numbers mean something else.
    }
    let Some(need) = need(input) else {
        findings.push(3, Level::Note, Signal::None, []);
        return;
    };
    let Some(left) = left(input, &need) else {
        findings.push(2, Level::Look, Signal::None, [need.mass.into()]);
        return;
    };
    let values = [need.mass.into(), need.most.into(), left.least().into(), left.most().into()];
    if need.mass > left.most() {
        findings.push(0, Level::Hold, Signal::Notice, values);
    } else if need.most > left.least() {
        findings.push(1, Level::Look, Signal::None, values);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK, NOTE};
    use crate::units::Milligrams;

    fn with_left(milligrams: i64) -> Bench {
        let mut bench = Bench::new();
        bench.ticket().left = Some(Milligrams(milligrams));
        bench
    }

    #[test]
    fn both_limits_to_the_milligram() {
        // Needs 62.001 g, at most 83.014 g (worked in `need`); give or take 20 g.
        assert!(with_left(83_014 + 20_000).run(&CHECK).is_empty());
        assert_eq!(with_left(83_014 + 19_999).levels(&CHECK), [(LOOK, 1)]);
        assert_eq!(with_left(62_001 - 20_000).levels(&CHECK), [(LOOK, 1)]);
        assert_eq!(with_left(62_001 - 20_001).levels(&CHECK), [(HOLD, 0)]);
    }

    #[test]
    fn the_catalogues_example() {
        // "Needs 234 g, left 180-220": 234 g = 78,456 mm; 200 g give or take 20 g.
        let mut bench =
            Bench::with_header(|header| header.length = Some(crate::units::Micrometres::from_mm(78_456)));
        bench.ticket().left = Some(Milligrams(200_000));
        let found = bench.run(&CHECK);
        assert_eq!(found[0].level, HOLD);
        assert_eq!(found[0].values[0], Milligrams(233_999).into());
        assert_eq!(found[0].values[2], Milligrams(180_000).into());
        assert_eq!(found[0].values[3], Milligrams(220_000).into());
    }

    #[test]
    fn missing_numbers_never_hold() {
        let mut bench = Bench::new();
        bench.ticket().left = None;
        assert_eq!(bench.levels(&CHECK), [(LOOK, 2)]);
        assert_eq!(Bench::with_header(|header| header.length = None).levels(&CHECK), [(NOTE, 3)]);
        bench.spool = None;
        assert!(bench.run(&CHECK).is_empty());
    }
}
