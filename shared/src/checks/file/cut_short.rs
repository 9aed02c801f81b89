//! 1: the file ends before the job does.

use crate::checks::no_job::{NotAJob, not_a_job};
use crate::checks::prelude::*;
use crate::survey::Survey;
use crate::units::mul_div;

pub(crate) const CHECK: Check = Check {
    number: 1,
    id: "file cut short",
    group: Group::File,
    levels: &[Level::Hold],
    rule: "fewer bytes than the header promises, or the chain on the card breaks off before the entry's size; or the last line cannot be read; or nothing closes the job after \
           the last bead: no heater off, no motors off, no end word or macro, and no park move with all heat off",
    source: "owners' reports of cut copies; comments after the end may be of any length",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: true,
    run,
};

/// What shows that the file was cut, as the share of the job that is there where that is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Cut {
    /// This percent of the job is there.
    At(u16),
    /// How much is there is not known.
    Somewhere,
}

fn percent(part: u64, whole: u64) -> u16 {
    let share = mul_div(part, 100, whole.max(1)).unwrap_or(0);
    u16::try_from(share).unwrap_or(u16::MAX).min(99)
}

/// Whether and where the file was cut.
pub(crate) fn why(input: &CheckInput<'_>) -> Option<Cut> {
    let entry = input.file.size_bytes;
    if let Some(chain) = input.file.chain_bytes.filter(|chain| *chain < entry) {
        return Some(Cut::At(percent(chain, entry)));
    }
    let survey = input.survey?;
    if let Some(promised) = input.header.and_then(|header| header.body_bytes)
        && survey.reading.body_bytes < promised
    {
        return Some(Cut::At(percent(survey.reading.body_bytes, promised)));
    }
    if not_a_job(survey) == Some(NotAJob::OtherText) {
        return None;
    }
    let tail = &survey.tail;
    // A fragment behind the end is row 3's.
    let behind = tail.malformed_after_end.any() || tail.beads_after_end.any();
    let broken_off = !tail.last_line_readable && !behind;
    if broken_off || (tail.last_bead_line > 0 && !is_closed(input, survey)) {
        let promised =
            input.header.and_then(|header| header.length).and_then(|length| u64::try_from(length.0).ok());
        let there = u64::try_from(survey.filament.needed().0).unwrap_or(0);
        return Some(match promised.filter(|promised| there < *promised) {
            Some(promised) => Cut::At(percent(there, promised)),
            None => Cut::Somewhere,
        });
    }
    None
}

/// Whether something closes the job after its last bead. Lines of an older file behind the end (row 3) open none.
fn is_closed(input: &CheckInput<'_>, survey: &Survey) -> bool {
    let (heat, tail) = (&survey.heat, &survey.tail);
    let [nozzle, bed, _] = heat.highest;
    // One heater off and another not is a forgotten word (row 50), not a cut.
    let one_off = (nozzle.0 > 0 && heat.nozzle_end.0 <= 0) || (bed.0 > 0 && heat.bed_end.0 <= 0);
    let none_on = heat.nozzle_end.0 <= 0 && heat.bed_end.0 <= 0;
    tail.heat_off
        || tail.end_word
        || tail.motors_off
        || tail.beads_after_end.any()
        || one_off
        || (tail.parked && none_on)
        || input.ends_by_macro()
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(cut) = why(input) else { return };
    let heat_on =
        input.survey.is_some_and(|survey| survey.heat.nozzle_end.0 > 0 || survey.heat.bed_end.0 > 0);
    let signal = if heat_on { Signal::Warning } else { Signal::Notice };
    match (cut, heat_on) {
        (Cut::At(percent), true) => findings.push(0, Level::Hold, signal, [Value::Percent(percent)]),
        (Cut::At(percent), false) => findings.push(1, Level::Hold, signal, [Value::Percent(percent)]),
        (Cut::Somewhere, true) => findings.push(2, Level::Hold, signal, []),
        (Cut::Somewhere, false) => findings.push(3, Level::Hold, signal, []),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, levels};
    use crate::survey::Tail;
    use crate::units::Celsius;

    fn open_end(survey: &mut Survey) {
        let tail = &mut survey.tail;
        (tail.heat_off, tail.motors_off, tail.parked, tail.last_move_lays) = (false, false, false, true);
    }

    #[test]
    fn a_closed_job_passes_even_without_its_last_line_end() {
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
        assert!(Bench::surveyed(|survey| survey.tail.last_line_ended = false).run(&CHECK).is_empty());
        assert!(Bench::new().run(&CHECK).is_empty(), "nothing was read yet");
    }

    #[test]
    fn a_fragment_behind_the_end_is_no_cut() {
        let with = |behind| {
            Bench::surveyed(|survey| {
                survey.tail.last_line_readable = false;
                if behind {
                    survey.tail.malformed_after_end.add(41_000);
                }
            })
            .levels(&CHECK)
        };
        assert!(with(true).is_empty());
        assert_eq!(with(false), [(HOLD, 1)]);
    }

    #[test]
    fn each_way_of_closing_is_enough() {
        for close in [
            (|tail| tail.heat_off = true) as fn(&mut Tail),
            |tail| tail.end_word = true,
            |tail| tail.motors_off = true,
            |tail| tail.parked = true,
        ] {
            let bench = Bench::surveyed(|survey| {
                open_end(survey);
                close(&mut survey.tail);
            });
            assert!(bench.run(&CHECK).is_empty());
        }
    }

    #[test]
    fn a_park_move_with_heat_on_closes_nothing() {
        let bench = Bench::surveyed(|survey| {
            open_end(survey);
            survey.tail.parked = true;
            survey.heat.highest = [Celsius(205), Celsius(60), Celsius(0)];
            (survey.heat.nozzle_end, survey.heat.bed_end) = (Celsius(205), Celsius(60));
        });
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
        // One heater off: the other was forgotten.
        let bench = Bench::surveyed(|survey| {
            open_end(survey);
            survey.heat.highest = [Celsius(205), Celsius(60), Celsius(0)];
            survey.heat.bed_end = Celsius(60);
        });
        assert!(bench.run(&CHECK).is_empty());
    }

    #[test]
    fn an_open_end_holds_and_warns_of_heat() {
        let length = |survey: &mut Survey| survey.filament.tools[0].highest_net_nm = 12_680_680_000;
        let bench = Bench::surveyed(|survey| {
            open_end(survey);
            length(survey);
        });
        // 12,680.68 of 20,788 mm: 61 %.
        let found = bench.run(&CHECK);
        assert_eq!((found[0].wording, found[0].signal), (1, Signal::Notice));
        assert_eq!(found[0].values[0], Value::Percent(61));
        let bench = Bench::surveyed(|survey| {
            open_end(survey);
            length(survey);
            survey.heat.nozzle_end = Celsius(205);
        });
        let found = bench.run(&CHECK);
        assert_eq!((found[0].wording, found[0].signal), (0, Signal::Warning));
    }

    #[test]
    fn fewer_bytes_than_promised_hold() {
        let with_body = |bytes| {
            let mut bench = Bench::surveyed(|_| {});
            bench.header.body_bytes = Some(bytes);
            bench.levels(&CHECK)
        };
        assert!(with_body(1_000_000).is_empty());
        assert_eq!(with_body(1_000_001), [(HOLD, 1)]);
        let bench = Bench::new();
        let mut input = bench.input();
        input.file.size_bytes = 100;
        input.file.chain_bytes = Some(100);
        assert!(levels(&CHECK, &input).is_empty());
        input.file.chain_bytes = Some(99);
        assert_eq!(levels(&CHECK, &input), [(HOLD, 1)]);
    }

    #[test]
    fn a_last_line_that_cannot_be_read_holds() {
        let mut bench = Bench::surveyed(|survey| survey.tail.last_line_readable = false);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 1)]);
        bench.header.length = None;
        assert_eq!(bench.levels(&CHECK), [(HOLD, 3)]);
        bench.survey.as_mut().unwrap().heat.bed_end = Celsius(60);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 2)]);
    }
}
