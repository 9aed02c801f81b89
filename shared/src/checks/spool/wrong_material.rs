//! 54: the spool's base material is another one than the job's.

use super::compare::{Relation, relation};
use crate::checks::heat::window::{FUMES_OVER_K, nozzle_asked, spool_nozzle_window};
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 54,
    id: "wrong material",
    group: Group::Spool,
    levels: &[Level::Hold],
    rule: "base of the job differs from the base of the spool (sticker before ticket), and is no near-miss of row 56",
    source: "ISO 1043-1 symbols; windows: common practice, no standard",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: true,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let (Some(job), Some(spool)) = (input.facts.grade, input.spool_grade()) else { return };
    if relation(job, spool) != Relation::Different {
        return;
    }
    let names = (input.job_material(), input.spool_material());
    let window = spool_nozzle_window(input);
    // Why it fails, in temperatures: the job's target against the spool's window.
    let (wording, signal, asked, limit) = match (nozzle_asked(input), window) {
        (Some(asked), Some((least, _))) if asked < least => (1, Signal::Notice, asked, least),
        (Some(asked), Some((_, most))) if asked > most => {
            let fumes = i32::from(asked.0) - i32::from(most.0) > i32::from(FUMES_OVER_K);
            (2, if fumes { Signal::Warning } else { Signal::Notice }, asked, most)
        }
        _ => {
            findings.push(0, Level::Hold, Signal::Notice, [names.0, names.1]);
            return;
        }
    };
    let numbers: [Value; 2] = [asked.into(), limit.into()];
    let [asked, limit] = numbers;
    findings.push(wording, Level::Hold, signal, [names.0, names.1, asked, limit]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::units::Celsius;

    #[test]
    fn another_base_holds_and_the_reason_is_a_temperature() {
        // PLA at 205 on a PETG spool (220 to 250): too cold.
        let found = Bench::new().spool("PETG").run(&CHECK);
        assert_eq!((found[0].level, found[0].wording), (HOLD, 1));
        assert_eq!(found[0].values[0], Value::text("PLA"));
        assert_eq!(found[0].values[1], Value::text("PETG"));
        assert_eq!(found[0].values[2], Value::Temperature(Celsius(205)));
        // ABS at 250 on a PLA spool (to 220): too hot, by more than 15 K.
        let mut hot = Bench::with_header(|header| {
            header.material = Some("ABS".try_into().unwrap());
            header.nozzle_c = Some(Celsius(250));
        });
        let found = hot.run(&CHECK);
        assert_eq!((found[0].wording, found[0].signal), (2, Signal::Warning));
        // The ticket's own window counts: up to 240, so 250 is 10 K over.
        hot.ticket().nozzle_c = Some((Celsius(190), Celsius(240)));
        assert_eq!(hot.run(&CHECK)[0].signal, Signal::Notice);
        hot.ticket().nozzle_c = Some((Celsius(190), Celsius(250)));
        assert_eq!(hot.levels(&CHECK), [(HOLD, 0)]);
    }

    #[test]
    fn the_same_base_or_an_unknown_one_is_silent() {
        assert!(Bench::new().run(&CHECK).is_empty());
        assert!(Bench::job("PET").spool("PETG").run(&CHECK).is_empty(), "row 56 names it");
        assert!(Bench::job("unobtainium").run(&CHECK).is_empty(), "row 55 names it");
        assert!(Bench::with_header(|header| header.material = None).run(&CHECK).is_empty());
    }

    #[test]
    fn the_sticker_wins_over_the_ticket() {
        let bench = Bench::new().spool("PETG");
        let mut input = bench.input();
        input.answers.sticker = Some(crate::checks::bench::grade("PLA"));
        assert!(crate::checks::bench::run(&CHECK, &input).is_empty());
    }
}
