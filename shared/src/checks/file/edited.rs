//! 6: the file is not what its header or comments say.

use super::{blank_gap, cut_short};
use crate::checks::facts::FactKind;
use crate::checks::machine::{feed_mode, inches};
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 6,
    id: "changed after header",
    group: Group::File,
    levels: &[Level::Note, Level::Look],
    rule: "two sources differ: length by more than 5 %, layer by 0.01 mm, nozzle or bed by 10 K, material, diameter or bore at \
           all; or body_bytes or body_crc32 do not fit: LOOK; time by more than 40 %: NOTE",
    source: "length: judgement; heat: common habit of a hotter first layer; CRC-32 (ISO-HDLC)",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    // A file that was cut, damaged or grew an older one's rest differs for that reason.
    let after_end =
        input.survey.is_some_and(|s| s.tail.beads_after_end.any() || s.tail.malformed_after_end.any());
    if after_end || cut_short::why(input).is_some() || blank_gap::gap(input).is_some() {
        return;
    }
    // So does one whose numbers are read in another mode or unit than they were written in.
    let mixed_up = feed_mode::mixed_up(input);
    let unworded = inches::unworded(input);
    for disagreement in &input.facts.disagreements {
        match disagreement.fact {
            FactKind::Length if mixed_up || unworded => continue,
            FactKind::Layer if unworded => continue,
            _ => {}
        }
        let (wording, level) = match disagreement.fact {
            FactKind::Length => (0, Level::Look),
            FactKind::Time => (1, Level::Note),
            FactKind::Layer => (2, Level::Look),
            FactKind::Nozzle => (3, Level::Look),
            FactKind::Bed => (4, Level::Look),
            FactKind::Material => (5, Level::Look),
            FactKind::Diameter => (6, Level::Look),
            FactKind::Bore => (7, Level::Look),
        };
        let values = [disagreement.used.value.clone(), disagreement.other.value.clone()];
        findings.push(wording, level, Signal::None, values);
    }
    let (Some(header), Some(survey)) = (input.header, input.survey) else { return };
    let reading = &survey.reading;
    let longer = header.body_bytes.is_some_and(|bytes| bytes != reading.body_bytes);
    let other = header.body_crc32.is_some_and(|crc| crc != reading.body_crc32);
    if longer || other {
        findings.push(8, Level::Look, Signal::None, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK};

    #[test]
    fn a_length_beyond_five_percent_is_looked_at() {
        // The header says 20,788 mm.
        let with =
            |mm: i64| Bench::surveyed(|survey| survey.filament.tools[0].highest_net_nm = mm * 1_000_000);
        assert!(with(20_788).run(&CHECK).is_empty());
        assert!(with(19_799).run(&CHECK).is_empty(), "20,788 is 4.995 % more");
        assert_eq!(with(19_798).levels(&CHECK), [(LOOK, 0)], "20,788 is 5.0005 % more");
    }

    #[test]
    fn a_body_that_does_not_fit_its_checksum_is_looked_at() {
        let mut bench = Bench::surveyed(|survey| survey.reading.body_crc32 = 0xCBF4_3926);
        bench.header.body_crc32 = Some(0xCBF4_3926);
        bench.header.body_bytes = Some(1_000_000);
        assert!(bench.run(&CHECK).is_empty());
        bench.header.body_crc32 = Some(0xCBF4_3927);
        assert_eq!(bench.levels(&CHECK), [(LOOK, 8)]);
        bench.header.body_crc32 = None;
        bench.header.body_bytes = Some(999_999);
        assert_eq!(bench.levels(&CHECK), [(LOOK, 8)]);
        // Too few bytes are row 1's matter.
        bench.header.body_bytes = Some(1_000_001);
        assert!(bench.run(&CHECK).is_empty());
    }

    #[test]
    fn what_other_rows_explain_is_no_edit() {
        let short = |survey: &mut crate::survey::Survey| {
            survey.filament.tools[0].highest_net_nm = 1_000_000_000;
        };
        assert_eq!(Bench::surveyed(short).levels(&CHECK), [(LOOK, 0)]);
        let rest = Bench::surveyed(|survey| {
            short(survey);
            survey.tail.beads_after_end.add(40_000);
        });
        assert!(rest.run(&CHECK).is_empty(), "row 3");
        let falls = Bench::surveyed(|survey| {
            short(survey);
            survey.motion.absolute_feed.met.count = 100;
            survey.motion.absolute_feed.falls = 50;
            survey.motion.absolute_feed.rises = 50;
            survey.filament.laid_nm = 2_100_000_000;
        });
        assert!(falls.run(&CHECK).is_empty(), "row 29");
    }
}
