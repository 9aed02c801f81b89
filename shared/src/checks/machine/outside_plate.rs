//! 18: the work goes over the plate's edge.

use super::plate::{self, Over};
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 18,
    id: "outside the plate X/Y",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "a bead of the work goes more than 0.01 mm over the plate's edge or rim, arcs by their true extremes; or any move, once homed, goes through one of the sheet's keep_outs below its height",
    source: "machine sheet",
    live: Live::Moves,
    needs: Needs::Sheet,
    never_silenced: true,
    run,
};

/// How far the work goes over which side.
pub(crate) fn over(input: &CheckInput<'_>) -> Option<Over> {
    let survey = input.survey?;
    if input.machine.round {
        // The survey keeps one farthest bead: with a purge strip, judge the rim by the work's box where that is known.
        let bounds = plate::work(survey);
        let rim = plate::over_rim(input.machine, survey.motion.farthest_bead_nm)?;
        return if survey.purge.is_some() { plate::over(input.machine, &bounds) } else { Some(rim) };
    }
    plate::over(input.machine, &plate::work(survey))
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if let Some((side, distance)) = over(input) {
        findings.push(side.wording(), Level::Hold, Signal::Notice, [distance.into()]);
    }
    if let Some(kept_out) = input.survey.map(|survey| survey.motion.kept_out).filter(|met| met.any()) {
        findings.push(5, Level::Hold, Signal::Notice, [Value::Count(kept_out.first_line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::survey::{Bounds, Part, PurgeStrip};

    fn printed(x1_um: i64) -> Bounds {
        Bounds { min_nm: [0; 3], max_nm: [x1_um * 1000, 0, 0] }
    }

    #[test]
    fn a_hundredth_over_the_edge_holds() {
        // The bench's plate is 220 mm wide.
        assert!(Bench::surveyed(|survey| survey.printed = printed(220_010)).run(&CHECK).is_empty());
        assert_eq!(Bench::surveyed(|survey| survey.printed = printed(220_011)).levels(&CHECK), [(HOLD, 1)]);
    }

    #[test]
    fn a_purge_strip_over_the_edge_is_not_the_work() {
        let bench = Bench::surveyed(|survey| {
            survey.printed = printed(222_000);
            survey.purge = Some(PurgeStrip { bounds: printed(222_000), ..PurgeStrip::default() });
            survey.first_layer.bounds = printed(120_000);
            survey.parts.count = 1;
            survey.parts.list.push(Part { max_um: [120_000, 0], ..Part::default() }).unwrap();
        });
        assert!(bench.run(&CHECK).is_empty());
    }

    #[test]
    fn a_round_plate_ends_at_its_rim() {
        let round = |farthest_nm| {
            let mut bench = Bench::surveyed(|survey| survey.motion.farthest_bead_nm = farthest_nm);
            (bench.machine.round, bench.machine.origin_centre) = (true, true);
            bench.levels(&CHECK)
        };
        assert!(round(110_010_000).is_empty());
        assert_eq!(round(110_011_000), [(HOLD, 4)]);
    }
}
