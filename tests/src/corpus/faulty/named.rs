//! Faults of materials that comments name, alone or in a list for several tools, and of a header's keys.

use super::{Fault, c, fault, hold, look, plain, text};
use crate::corpus::Job;
use crate::corpus::cases::{ABS, PETG, PLA};
use crate::corpus::plan::Note;
use crate::corpus::rooms::closed_box;
use crate::corpus::sound::job;

/// A job that states nothing but this comment.
pub(in crate::corpus) fn stating(what: &str, comment: &str) -> Job {
    plain(what, |plan| plan.note = Note::Nothing).edited(|text| format!("; {comment}\n{text}"))
}

/// An ABS job for the second tool of two, whose comment lists a material for each, with this spool.
pub(in crate::corpus) fn second_tool(what: &str, comment: &str, spool: &str) -> Job {
    job(what, &ABS, closed_box("textured", 400), |plan| plan.note = Note::Nothing)
        .edited(|text| format!("; {comment}\n{text}"))
        .with("M104 S245\n", "T1\nM104 S245\n")
        .machine(|machine| machine.tools = 2)
        .spool(|ticket| ticket.material = spool.try_into().expect("short"))
}

pub(super) fn jobs() -> Vec<Fault> {
    let on_petg = |comment: &str| {
        let job =
            stating(comment, comment).spool(|ticket| ticket.material = "PETG".try_into().expect("short"));
        fault(job, hold(54, 1).values([text("PLA"), text("PETG"), c(205), c(220)]))
    };
    let mut faults: Vec<Fault> =
        ["filament: PLA", "Spool = PLA", "material: PLA", "filament: [\"PLA\"]", "spool: 'PLA';'ABS'"]
            .map(on_petg)
            .into();
    faults.push(on_petg("filament: black\n; spool: PLA"));
    // What is no name of a material names none.
    for comment in ["filament: S17", "filament: black", "spool: 4"] {
        faults.push(fault(stating(comment, comment), look(55, 0).values([text("PLA")])));
    }
    for comment in ["spool_material = ASA;ABS", "material: [\"ASA\", \"ABS\"]", "filament: 'ASA','ABS'"] {
        let job = second_tool(comment, comment, "ASA");
        faults.push(fault(job, look(56, 1).values([text("ABS"), text("ASA")])));
    }
    for (key, nearest) in [("materail", "material"), ("nozle_c", "nozzle_c"), ("bore", "bore_um")] {
        let job = job(&format!("{key} in the header"), &PLA, crate::corpus::rooms::bench(), |plan| {
            plan.header = format!(r#","{key}":"x""#);
        });
        faults.push(fault(job, look(106, 3).values([text(key), text(nearest)])));
    }
    let petg = job("a mistyped material key alone", &PETG, crate::corpus::rooms::bench(), |_| {})
        .with("\"material\"", "\"materail\"");
    // The one key that a header must have.
    faults.push(super::both(
        petg,
        [look(106, 3).values([text("materail"), text("material")]), look(55, 0)],
        "what is not read names no material",
    ));
    faults
}
