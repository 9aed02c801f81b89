//! 46: the nozzle target lies outside the grade's window.

use super::window::{FUMES_OVER_K, judged_symbol, nozzle_extremes, nozzle_window};
use crate::checks::prelude::*;

/// Colder than the window by more than this jams (judgement).
const COLD_HOLD_K: i32 = 10;
/// Hotter by more than this is worth a look (judgement).
const HOT_LOOK_K: i32 = 5;

pub(crate) const CHECK: Check = Check {
    number: 46,
    id: "nozzle outside window",
    group: Group::Heat,
    levels: &[Level::Note, Level::Look, Level::Hold],
    rule: "below the window by 1 to 10 K LOOK, more HOLD; above by 1 to 5 K NOTE, 6 to 15 K LOOK, more HOLD (fumes); a filled, \
           blended or modified grade without its maker's window: LOOK at most",
    source: "windows: spool ticket, else common practice by base, no standard; steps: judgement, and a teaching protocol's \
             \"not more than 15 degrees above\"",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let (Some(window), Some((lowest, highest))) = (nozzle_window(input), nozzle_extremes(input)) else {
        return;
    };
    let most_level = if window.exact { Level::Hold } else { Level::Look };
    let cold = i32::from(window.least.0) - i32::from(lowest.0);
    let hot = i32::from(highest.0) - i32::from(window.most.0);
    let symbol = || Value::text(judged_symbol(input));
    if cold > 0 {
        let level = if cold > COLD_HOLD_K { Level::Hold } else { Level::Look };
        let values = [lowest.into(), symbol(), window.least.into(), window.most.into()];
        findings.push(0, level.min(most_level), Signal::Notice, values);
    }
    if hot > 0 {
        let fumes = hot > i32::from(FUMES_OVER_K);
        let level = if fumes {
            Level::Hold
        } else if hot > HOT_LOOK_K {
            Level::Look
        } else {
            Level::Note
        };
        let (wording, signal) = if fumes { (2, Signal::Warning) } else { (1, Signal::None) };
        let values = [highest.into(), symbol(), window.least.into(), window.most.into()];
        findings.push(wording, level.min(most_level), signal, values);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK, NOTE};
    use crate::units::Celsius;

    fn at(celsius: i16) -> std::vec::Vec<(Level, u8)> {
        // The ticket's own window, so that no table stands between the rule and this test.
        let mut bench = Bench::with_header(|header| header.nozzle_c = Some(Celsius(celsius)));
        bench.ticket().nozzle_c = Some((Celsius(190), Celsius(220)));
        bench.levels(&CHECK)
    }

    #[test]
    fn every_step_on_both_sides() {
        assert!(at(190).is_empty());
        assert_eq!(at(189), [(LOOK, 0)]);
        assert_eq!(at(180), [(LOOK, 0)]);
        assert_eq!(at(179), [(HOLD, 0)]);
        assert!(at(220).is_empty());
        assert_eq!(at(221), [(NOTE, 1)]);
        assert_eq!(at(225), [(NOTE, 1)]);
        assert_eq!(at(226), [(LOOK, 1)]);
        assert_eq!(at(235), [(LOOK, 1)]);
        assert_eq!(at(236), [(HOLD, 2)]);
    }

    #[test]
    fn fumes_are_a_warning() {
        let bench = Bench::with_header(|header| header.nozzle_c = Some(Celsius(240)));
        assert_eq!(bench.run(&CHECK)[0].signal, Signal::Warning);
    }

    #[test]
    fn the_first_layer_counts_too() {
        let bench = Bench::with_header(|header| header.nozzle_first_c = Some(Celsius(170)));
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
    }

    #[test]
    fn on_a_wrong_spool_the_job_is_held_to_its_own_grade() {
        assert!(Bench::new().spool("PETG").run(&CHECK).is_empty());
    }

    #[test]
    fn a_modified_grade_without_its_makers_window_never_holds() {
        let mut bench = Bench::with_header(|header| {
            header.material = Some("Tough PLA".try_into().unwrap());
            header.nozzle_c = Some(Celsius(250));
        })
        .spool("Tough PLA");
        assert_eq!(bench.levels(&CHECK), [(LOOK, 2)]);
        bench.ticket().nozzle_c = Some((Celsius(200), Celsius(230)));
        assert_eq!(bench.levels(&CHECK), [(HOLD, 2)]);
    }

    #[test]
    fn without_a_target_or_a_grade_it_is_silent() {
        assert!(Bench::with_header(|header| header.nozzle_c = None).run(&CHECK).is_empty());
        let mut bench = Bench::with_header(|header| header.material = None);
        bench.spool = None;
        assert!(bench.run(&CHECK).is_empty());
    }
}
