//! 57: filament of another diameter than the machine feeds.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;
use crate::units::Micrometres;

/// Diameters of one class lie within this, µm: 1.75 mm and 2.85 mm are held to 0.05 to 0.10 mm, and "3 mm" stands
/// for 2.85 mm (common practice, no standard found).
const SAME_CLASS_UM: u32 = 200;

pub(crate) const CHECK: Check = Check {
    number: 57,
    id: "wrong filament diameter",
    group: Group::Spool,
    levels: &[Level::Hold],
    rule: "the job's or the spool's diameter is more than 0.20 mm from the one the machine feeds",
    source: "common practice, no standard: 1.75 mm and 2.85 mm (also called 3 mm), each within 0.05 to 0.10 mm",
    live: Live::Header,
    needs: Needs::Sheet,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let fed = input.machine.filament_um;
    let length = |um: u32| Micrometres(um.into()).into();
    let job = input.facts.diameter_um.map(|stated| stated.value);
    let spool = input.spool.and_then(|spool| spool.diameter_um);
    for (wording, stated) in [(0, job), (1, spool)] {
        if let Some(stated) = stated.filter(|stated| stated.abs_diff(fed) > SAME_CLASS_UM) {
            findings.push(57, wording, Level::Hold, Signal::Notice, [length(stated), length(fed)]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn the_other_class_holds_and_a_tolerance_does_not() {
        let job = |um| Bench::with_header(|header| header.diameter_um = Some(um)).levels(&CHECK);
        assert!(job(1750).is_empty());
        assert!(job(1950).is_empty());
        assert_eq!(job(1951), [(HOLD, 0)]);
        assert!(job(1550).is_empty());
        assert_eq!(job(1549), [(HOLD, 0)]);
        assert_eq!(job(2850), [(HOLD, 0)]);
        assert!(Bench::with_header(|header| header.diameter_um = None).run(&CHECK).is_empty());
        let mut bench = Bench::new();
        bench.ticket().diameter_um = Some(2850);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 1)]);
    }
}
