//! Faults of spool and material (catalogue 54 to 63).

use holdpoint_shared::records::{NozzleMetal, Spool};
use holdpoint_shared::units::Milligrams;

use super::{Fault, both, c, fault, grams, hold, hours, look, plain, text, um};
use crate::corpus::Job;
use crate::corpus::Retract;
use crate::corpus::cases::{ABS, HIPS, PA12, PETG, PETG_CF, PLA, Stuff, TPU, WOOD};
use crate::corpus::plan::Note;
use crate::corpus::rooms::{closed_box, fine, round};
use crate::corpus::sound::job;

/// A job of a material with a spool of another in the machine.
fn on_spool(what: &str, stuff: &Stuff, spool: &str) -> Job {
    job(what, stuff, closed_box("textured", 400), |_| {}).spool(|ticket| label(ticket, spool))
}

fn label(ticket: &mut Spool, material: &str) {
    ticket.material = material.try_into().expect("short");
}

pub(super) fn jobs() -> Vec<Fault> {
    let mut jobs = mixed_up();
    jobs.extend(amounts());
    jobs.extend(filled());
    jobs
}

fn mixed_up() -> Vec<Fault> {
    let other = |what: &str, stuff: &Stuff, spool: &str| on_spool(what, stuff, spool);
    vec![
        fault(
            other("PLA job, PETG spool", &PLA, "PETG"),
            hold(54, 1).values([text("PLA"), text("PETG"), c(205), c(220)]),
        ),
        fault(
            other("ABS job, PLA spool", &ABS, "PLA matt white"),
            hold(54, 2).values([text("ABS"), text("PLA"), c(240), c(220)]),
        ),
        fault(other("PETG job, ABS spool", &PETG, "ABS"), hold(54, 0).values([text("PETG"), text("ABS")])),
        fault(
            plain("names no material", |plan| plan.note = Note::Nothing),
            look(55, 0).values([text("PLA")]),
        ),
        fault(
            plain("a word that nobody knows", |_| {}).with("material: PLA", "material: Zantrium"),
            look(55, 1).values([text("Zantrium")]),
        ),
        fault(plain("no ticket", |_| {}).setup(|setup| setup.spool = None), look(55, 2)),
        fault(
            plain("a ticket's word that nobody knows", |_| {}).spool(|ticket| label(ticket, "Mystery 7")),
            look(55, 3).values([text("Mystery 7")]),
        ),
        fault(
            other("PETG job, PET spool", &PETG, "PET").spool(|ticket| ticket.open_hours = Some(1)),
            hold(56, 0).values([text("PETG"), text("PET")]),
        ),
        fault(other("PS-HI job, ABS spool", &HIPS, "ABS"), hold(56, 0)),
        fault(
            job("PA12 job, PA6 spool", &PA12, closed_box("laminate", 400), |_| {})
                .spool(|ticket| label(ticket, "PA6")),
            look(56, 1).values([text("PA12"), text("PA6")]),
        ),
        fault(other("ABS job, ASA spool", &ABS, "ASA"), look(56, 1)),
        fault(
            other("plain job, filled spool", &PETG, "PETG-CF"),
            look(56, 2).values([text("PETG"), text("PETG-CF")]),
        ),
        fault(other("ABS job, blend on the spool", &ABS, "ABS+PC"), look(56, 3)),
        fault(
            job("another hardness", &TPU, closed_box("textured", 400), |_| {})
                .spool(|ticket| label(ticket, "TPU 85A")),
            look(56, 4),
        ),
        fault(
            plain("for thick filament", |_| {}).with("filament diameter = 1.75", "filament diameter = 2.85"),
            hold(57, 0).values([um(2850), um(1750)]),
        ),
        fault(
            plain("thick filament on the spool", |_| {}).spool(|ticket| ticket.diameter_um = Some(2850)),
            hold(57, 1).values([um(2850), um(1750)]),
        ),
    ]
}

/// A job of just under so many metres of filament, by its own statement from before the survey: a 40 × 40 mm block.
fn amounts() -> Vec<Fault> {
    let left = |what: &str, grams: i64, error: i64| {
        plain(what, |plan| (plan.shape, plan.layers) = (crate::corpus::Shape::Block(40.0, 40.0), 20)).spool(
            |ticket| {
                (ticket.left, ticket.left_error) =
                    (Some(Milligrams(grams * 1000)), Some(Milligrams(error * 1000)));
                ticket.loads = None;
            },
        )
    };
    vec![
        // The block takes about 3 g, with its reserve some 20 g.
        fault(left("far too little left", 1, 1), hold(58, 0).value(2, grams(0)).value(3, grams(2))),
        fault(left("perhaps too little left", 22, 8), look(58, 1).value(2, grams(14)).value(3, grams(30))),
        fault(plain("balance not known", |_| {}).spool(|ticket| ticket.left = None), look(58, 2)),
        fault(left("ends in the last turns", 31, 2), look(59, 0)),
    ]
}

fn filled() -> Vec<Fault> {
    let soft_nozzle = |job: Job| job.machine(|machine| machine.nozzle_metal = NozzleMetal::Brass);
    let open = |what: &str, stuff: &Stuff, face: &str, count: u32| {
        job(what, stuff, closed_box(face, 400), |_| {}).spool(|ticket| ticket.open_hours = Some(count))
    };
    vec![
        fault(
            soft_nozzle(job("carbon through brass", &PETG_CF, closed_box("textured", 600), |_| {})),
            hold(60, 0).values([text("PETG-CF")]),
        ),
        fault(
            soft_nozzle(job("wood through brass", &WOOD, closed_box("textured", 600), |_| {})),
            look(60, 1).values([text("PLA-WD")]),
        ),
        fault(
            job("wood through 0.4", &WOOD, closed_box("textured", 400), |_| {}),
            look(61, 0).values([text("PLA-WD"), um(400)]),
        ),
        fault(
            job("carbon through 0.25", &PETG_CF, fine(), |plan| plan.bed = [75, 75]).machine(|machine| {
                machine.nozzle_metal = NozzleMetal::Hardened;
                machine.lined_throat = false;
                machine.plates[0].face = holdpoint_shared::records::PlateFace::Textured;
            }),
            hold(61, 0).values([text("PETG-CF"), um(250)]),
        ),
        fault(
            job("soft through a tube, long pulls", &TPU, round(), |plan| {
                plan.dialect.retract = Retract::Moves(4.0);
                plan.speed = [12, 14, 15, 100];
            }),
            look(62, 1).values([um(4_000), um(2_000)]),
        ),
        fault(
            job("soft through a tube, fast", &TPU, round(), |plan| {
                plan.dialect.retract = Retract::Moves(1.0);
                (plan.speed, plan.width, plan.layer) = ([20, 60, 70, 100], 0.6, 0.28);
            })
            .machine(|machine| machine.flow_max_mm3_s = Some(60)),
            look(62, 0).value(1, super::mm_s(3)),
        ),
        fault(
            open("PETG open for two weeks", &PETG, "textured", 336),
            look(63, 0).values([text("PETG"), hours(336), hours(168)]),
        ),
        fault(
            open("nylon open for a day and a half", &PA12, "laminate", 36),
            look(63, 0).values([text("PA12"), hours(36), hours(12)]),
        ),
        fault(
            open("nylon open for two days", &PA12, "laminate", 48),
            hold(63, 0).values([text("PA12"), hours(48), hours(12)]),
        ),
        both(
            on_spool("carbon spool in brass, plain job", &PETG, "PETG-CF")
                .machine(|machine| machine.nozzle_metal = NozzleMetal::Brass),
            [look(56, 2), hold(60, 0).values([text("PETG-CF")])],
            "the wrong spool is close to the right one, and eats the nozzle too",
        ),
    ]
}
