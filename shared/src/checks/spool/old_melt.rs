//! 64: a hotter grade's melt is still in the nozzle.

use crate::checks::heat::window::nozzle_asked;
use crate::checks::prelude::*;
use crate::units::Celsius;

/// The old melt still flows this far below its window (judgement).
const BELOW_K: i16 = 5;

pub(crate) const CHECK: Check = Check {
    number: 64,
    id: "old melt in nozzle",
    group: Group::Spool,
    levels: &[Level::Look],
    rule: "the job's nozzle target is more than 5 K below the window of the grade that ran last",
    source: "judgement of the room's lead",
    live: Live::Ledger,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let (Some(last), Some(asked)) = (input.history.last_grade, nozzle_asked(input)) else { return };
    let row = input.room.row(last.base);
    if i32::from(asked.0) >= i32::from(row.nozzle_c.0.0) - i32::from(BELOW_K) {
        return;
    }
    // Flush at the hotter of the two, within what the hot end may do.
    let flush: Celsius = row.nozzle_c.0.max(asked).min(input.machine.nozzle_max_c);
    findings.push(0, Level::Look, Signal::None, [Value::text(row.symbol), flush.into(), asked.into()]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, grade, levels};

    #[test]
    fn five_kelvin_below_the_last_window() {
        // ABS's window begins at 230 (common practice).
        let at = |celsius| {
            let bench = Bench::with_header(|header| header.nozzle_c = Some(Celsius(celsius)));
            let mut input = bench.input();
            input.history.last_grade = Some(grade("ABS"));
            levels(&CHECK, &input)
        };
        assert!(at(225).is_empty());
        assert_eq!(at(224), [(LOOK, 0)]);
        assert!(Bench::new().run(&CHECK).is_empty(), "nothing is known of the last job");
    }
}
