//! 63: filament that stood open longer than it lasts, or by its ticket is not open yet.

use crate::checks::prelude::*;
use crate::units::Seconds;

/// The thirstiest grades hold the job beyond this many times their hours (judgement).
const HOLD_TIMES: u32 = 3;

pub(crate) const CHECK: Check = Check {
    number: 63,
    id: "open too long",
    group: Group::Spool,
    levels: &[Level::Look, Level::Hold],
    rule: "hours open beyond the room's own row, else the material table's (PVAL/BVOH 8, PA 12, TPU/PC/PET 48, PETG 168, ABS/ASA 336, PLA 720): \
           LOOK; PVAL/BVOH/PA beyond three times as long: HOLD; opened or dried on a day to come by the ticket: LOOK",
    source: "judgement of the room's lead; owners report wet PA, PETG, PVAL and TPU after one night",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    day_to_come(input, findings);
    let Some(open) = input.spool.and_then(|spool| spool.open_hours) else { return };
    let Some(row) = input.spool_grade().map(|grade| input.room.row(grade.base)) else { return };
    let Some(most) = row.open_hours.map(u32::from) else { return };
    let level = if row.damp_spoils && open > most * HOLD_TIMES {
        Level::Hold
    } else if open > most {
        Level::Look
    } else {
        return;
    };
    let span = |hours: u32| Seconds(hours.saturating_mul(3600)).into();
    findings.push(0, level, Signal::None, [input.spool_material(), span(open), span(most)]);
}

/// A day that is still to come was mistyped, and then nobody knows how long the spool stood open. Without a clock that can be
/// right there is no today.
fn day_to_come(input: &CheckInput<'_>, findings: &mut Findings) {
    let (Some(spool), Some(now)) = (input.spool, input.clock()) else { return };
    if spool.opened.max(spool.dried) > Some(now.date()) {
        findings.push(1, Level::Look, Signal::None, [input.spool_material()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK, levels, wednesday};
    use chrono::TimeDelta;

    fn open(material: &str, hours: u32) -> std::vec::Vec<(Level, u8)> {
        let mut bench = Bench::job(material).spool(material);
        bench.ticket().open_hours = Some(hours);
        bench.levels(&CHECK)
    }

    #[test]
    fn each_class_on_both_sides() {
        for (material, hours) in [
            ("PVAL", 8),
            ("PA6", 12),
            ("PA12", 12),
            ("TPU", 48),
            ("PC", 48),
            ("PET", 48),
            ("PETG", 168),
            ("ABS", 336),
            ("PLA", 720),
        ] {
            assert!(open(material, hours).is_empty(), "{material}");
            assert_eq!(open(material, hours + 1), [(LOOK, 0)], "{material}");
        }
    }

    #[test]
    fn three_times_holds_the_thirstiest_alone() {
        assert_eq!(open("PA6", 36), [(LOOK, 0)]);
        assert_eq!(open("PA6", 37), [(HOLD, 0)]);
        assert_eq!(open("PVAL", 25), [(HOLD, 0)]);
        assert_eq!(open("PETG", u32::MAX), [(LOOK, 0)]);
        assert!(open("PP", u32::MAX).is_empty());
    }

    #[test]
    fn a_day_to_come_is_looked_at() {
        let with = |opened: Option<i64>, dried: Option<i64>, now: bool| {
            let mut bench = Bench::job("PLA").spool("PLA");
            let day = |days: Option<i64>| days.map(|days| wednesday(12, 0).date() + TimeDelta::days(days));
            (bench.ticket().opened, bench.ticket().dried) = (day(opened), day(dried));
            let mut input = bench.input();
            input.now = now.then(|| wednesday(12, 0));
            levels(&CHECK, &input)
        };
        assert!(with(Some(0), None, true).is_empty());
        assert_eq!(with(Some(1), None, true), [(LOOK, 1)]);
        assert!(with(Some(-400), Some(0), true).is_empty());
        assert_eq!(with(Some(-400), Some(1), true), [(LOOK, 1)]);
        assert!(with(Some(1), None, false).is_empty(), "without a clock there is no today");
    }

    #[test]
    fn the_rooms_own_row_wins() {
        let mut bench = Bench::job("PLA").spool("Lindenplast");
        bench.ticket().open_hours = Some(101);
        let rules = br#"{"materials":[{"symbol":"PLA","words":["Lindenplast"],"open_hours":100}]}"#;
        bench.room = crate::records::Room::from_json(rules).unwrap();
        assert_eq!(bench.levels(&CHECK), [(LOOK, 0)]);
        bench.ticket().open_hours = Some(100);
        assert!(bench.run(&CHECK).is_empty());
    }
}
