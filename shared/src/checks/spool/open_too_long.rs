//! 63: filament that stood open longer than its base bears.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;
use crate::units::Seconds;

/// The thirstiest grades hold the job beyond this many times their hours (judgement).
const HOLD_TIMES: u32 = 3;

pub(crate) const CHECK: Check = Check {
    number: 63,
    id: "open too long",
    group: Group::Spool,
    levels: &[Level::Look, Level::Hold],
    rule: "hours open beyond the room's own row, else the material table's (PVAL/BVOH 8, PA 12, TPU/PC/PET 48, PETG 168, ABS/ASA 336, PLA 720): \
           LOOK; PVAL/BVOH/PA beyond three times as long: HOLD",
    source: "judgement of the room's lead; owners report wet PA, PETG, PVAL and TPU after one night",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
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
    findings.push(63, 0, level, Signal::None, [input.spool_material(), span(open), span(most)]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};

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
