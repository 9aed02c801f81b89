//! 82: a grade that must never be printed.

use crate::checks::prelude::*;
use crate::records::Grade;

pub(crate) const CHECK: Check = Check {
    number: 82,
    id: "forbidden grade",
    group: Group::Room,
    levels: &[Level::Hold],
    rule: "PVC in the job or on the spool: it gives off hydrogen chloride; or a grade that the room rules ban",
    source: "room rules; PVC: from memory; the ISO emission test for desktop machines does not detect chlorinated compounds",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let forbidden =
        |grade: Grade| grade.base.row().forbidden || grade.blend.is_some_and(|blend| blend.row().forbidden);
    if input.facts.grade.is_some_and(forbidden) || input.spool_grade().is_some_and(forbidden) {
        findings.push(0, Level::Hold, Signal::Warning, []);
        return;
    }
    let banned = |grade: &Grade| input.room.banned.iter().any(|ban| is_meant(ban, grade));
    let spool = input.spool_grade();
    let named =
        [(input.facts.grade, CheckInput::job_material as fn(&_) -> _), (spool, CheckInput::spool_material)];
    if let Some((_, name)) = named.into_iter().find(|(grade, _)| grade.as_ref().is_some_and(banned)) {
        findings.push(1, Level::Hold, Signal::None, [name(input)]);
    }
}

/// A ban of a plain grade means the base with any filler and in any blend; one with a filler means that filler alone.
fn is_meant(ban: &Grade, grade: &Grade) -> bool {
    let base = grade.base == ban.base || grade.blend == Some(ban.base);
    base && (ban.filler.is_none() || ban.filler == grade.filler)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, grade};

    #[test]
    fn pvc_in_job_or_spool_is_a_warning() {
        assert!(Bench::new().run(&CHECK).is_empty());
        assert_eq!(Bench::job("PVC").levels(&CHECK), [(HOLD, 0)]);
        let found = Bench::new().spool("PVC").run(&CHECK);
        assert_eq!((found[0].level, found[0].signal), (HOLD, Signal::Warning));
    }

    #[test]
    fn what_the_room_bans() {
        let found = |ban: &str, job: &str, spool: &str| {
            let mut bench = Bench::job(job).spool(spool);
            bench.room.banned.push(grade(ban)).unwrap();
            bench.levels(&CHECK)
        };
        assert_eq!(found("ABS", "ABS", "ABS"), [(HOLD, 1)]);
        assert_eq!(found("ABS", "PC+ABS", "PC+ABS"), [(HOLD, 1)]);
        assert_eq!(found("ABS", "PLA", "ABS"), [(HOLD, 1)]);
        assert!(found("ABS", "ASA", "PLA").is_empty());
        assert_eq!(found("PLA-CF", "PLA-CF15", "PLA"), [(HOLD, 1)]);
        assert!(found("PLA-CF", "PLA", "PLA-WD30").is_empty());
        assert_eq!(found("PVC", "PVC", "PVC"), [(HOLD, 0)], "the warning stands, once");
    }
}
