//! 59: enough, but the job ends in the last turns on the core.

use super::need::{left, need};
use crate::checks::prelude::*;
use crate::units::Milligrams;

/// Below this the last turns may hook in the hub (judgement).
const LAST_TURNS: Milligrams = Milligrams(30_000);
/// The same as a length, m (judgement).
const LAST_METRES: i64 = 10;

pub(crate) const CHECK: Check = Check {
    number: 59,
    id: "ends near the core",
    group: Group::Spool,
    levels: &[Level::Look],
    rule: "enough by row 58, but less than 30 g or 10 m stay on the spool",
    source: "judgement of the room's lead",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(need) = need(input) else { return };
    let Some(left) = left(input, &need) else { return };
    if need.most > left.least() {
        return; // Row 58 says more.
    }
    let after = left.mass.saturating_sub(need.mass);
    let short = need.metre.0.saturating_mul(LAST_METRES);
    if after < LAST_TURNS || after.0 < short {
        findings.push(0, Level::Look, Signal::None, [after.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};

    #[test]
    fn thirty_grams_are_the_limit() {
        // A short job, 3,353 mm or 10.000 g, weighed to 0.5 g: the most it needs is 1.05 * 10.000 + 3 + 14.913 = 28.413 g.
        let mut bench =
            Bench::with_header(|header| header.length = Some(crate::units::Micrometres::from_mm(3_353)));
        bench.ticket().left_error = Some(Milligrams(500));
        bench.ticket().left = Some(Milligrams(39_999));
        assert_eq!(bench.levels(&CHECK), [(LOOK, 0)]);
        bench.ticket().left = Some(Milligrams(40_000));
        assert!(bench.run(&CHECK).is_empty());
    }

    #[test]
    fn ten_metres_are_the_limit_for_heavy_filament() {
        // 2.85 mm PLA weighs 7.910 g a metre: 10 m are 79.1 g.
        let mut bench = Bench::with_header(|header| {
            header.length = Some(crate::units::Micrometres::from_mm(1_000));
            header.diameter_um = Some(2850);
        });
        bench.machine.filament_um = 2850;
        bench.ticket().diameter_um = Some(2850);
        bench.ticket().left_error = Some(Milligrams(500));
        bench.ticket().left = Some(Milligrams(87_009));
        // 87.009 - 7.910 = 79.099 g, below 10 * 7.910 = 79.10 g.
        assert_eq!(bench.levels(&CHECK), [(LOOK, 0)]);
        bench.ticket().left = Some(Milligrams(87_010));
        assert!(bench.run(&CHECK).is_empty());
    }

    #[test]
    fn too_little_is_row_58s_matter() {
        let mut bench = Bench::new();
        bench.ticket().left = Some(Milligrams(70_000));
        assert!(bench.run(&CHECK).is_empty());
    }
}
