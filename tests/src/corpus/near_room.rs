//! Jobs that come close to a check of the spool, the plate or the room.

use holdpoint_shared::records::{AgeGroup, Grade, KeepOut, OwnMaterial, PlateFace};
use holdpoint_shared::units::{Celsius, Milligrams};

use super::cases::{ABS, PETG, PLA, PVAL, Stuff, TPU};
use super::faulty::plain;
use super::faulty::room::staff;
use super::near::{Near, near};
use super::plan::Note;
use super::rooms::{bench, closed_box, round};
use super::sound::job;
use super::{Job, Retract, Shape, wednesday};

pub(super) fn jobs() -> Vec<Near> {
    let mut jobs = material();
    jobs.extend(rooms());
    jobs
}

fn material() -> Vec<Near> {
    let labelled = |what: &str, stuff: &Stuff, spool: &str| {
        job(what, stuff, bench(), |_| {}).spool(|ticket| ticket.material = spool.try_into().expect("short"))
    };
    vec![
        near(54, labelled("the same in the trade's long words", &PLA, "Polylactide, black")),
        near(55, plain("material in trade words", |_| {}).with("material: PLA", "material: pla matt")),
        near(56, labelled("a trade modifier", &PLA, "PLA+ tough")),
        near(
            56,
            job("hardness as good as the same", &TPU, closed_box("textured", 400), |_| {}).spool(|ticket| {
                ticket.material = "TPU 90A".try_into().expect("short");
            }),
        ),
        near(
            57,
            plain("diameter a little off", |_| {})
                .with("filament diameter = 1.75", "filament diameter = 1.85"),
        ),
        near(
            58,
            plain("just enough left", |_| {}).spool(|ticket| {
                (ticket.left, ticket.left_error, ticket.loads) =
                    (Some(Milligrams(36_000)), Some(Milligrams(5_000)), None);
            }),
        ),
        near(60, labelled("carbon black is a colour", &PLA, "PLA carbon black")),
        near(
            62,
            job("soft through a tube, gently", &TPU, round(), |plan| {
                plan.dialect.retract = Retract::Moves(2.0);
                plan.speed = [12, 14, 15, 100];
            }),
        ),
        near(
            63,
            job("open as long as it may", &PETG, bench(), |_| {})
                .spool(|ticket| ticket.open_hours = Some(168)),
        ),
        near(
            65,
            plain("no density on the ticket: a note", |_| {}).spool(|ticket| ticket.density_mg_cm3 = None),
        ),
        near(82, labelled("PVAL is no PVC", &PVAL, "PVA natural")),
    ]
}

/// A room's own row for PLA with this nozzle window.
pub(super) fn own_pla(window: [i16; 2]) -> OwnMaterial {
    let [least, most] = window.map(Celsius);
    OwnMaterial {
        base: Grade::parse("PLA").expect("known").base,
        words: [].into_iter().collect::<heapless::Vec<heapless::String<16>, 2>>(),
        density_mg_cm3: None,
        nozzle_c: Some((least, most)),
        bed_c: None,
        glass_transition: None,
        release: None,
        open_hours: None,
    }
}

fn rooms() -> Vec<Near> {
    let face = |job: Job, face: PlateFace| job.machine(|machine| machine.plates[0].face = face);
    vec![
        near(70, face(job("ABS on smooth polymer", &ABS, bench(), |_| {}), PlateFace::SmoothPolymer)),
        near(70, face(job("PLA on glass", &PLA, bench(), |_| {}), PlateFace::Glass)),
        near(76, plain("ends shortly before closing", |_| {}).at(17, 15)),
        near(77, plain("the door has just opened", |_| {}).at(9, 0)),
        near(
            63,
            plain("a spool opened today and dried today", |_| {}).spool(|ticket| {
                ticket.opened = Some(wednesday(0, 0).date());
                ticket.dried = ticket.opened;
            }),
        ),
        near(77, plain("somebody is there to the end", |_| {}).room(|room| staff(room, 10 * 60, 11 * 60))),
        near(
            78,
            plain("no longer than the room allows", |_| {}).room(|room| room.longest_job_min = Some(60)),
        ),
        near(
            86,
            plain("the clocks change once it has ended", |_| {})
                .room(|room| room.clock_changes.push(wednesday(11, 0)).expect("room")),
        ),
        near(
            79,
            job("ABS where children print, vented", &ABS, closed_box("textured", 400), |_| {})
                .room(|room| room.age_group = Some(AgeGroup::Children)),
        ),
        near(
            82,
            plain("another filler than the banned one", |_| {})
                .room(|room| room.banned.push(Grade::parse("PLA-CF").expect("known")).expect("room")),
        ),
        near(
            46,
            job("hotter than the table, not than the room's own row", &PLA, bench(), |plan| {
                plan.nozzle = [230, 230];
            })
            .setup(|setup| setup.room.materials.push(own_pla([195, 232])).expect("room")),
        ),
        near(
            10,
            plain("accents on a machine that takes them", |_| {})
                .named("Halter-\u{fc}ber.gcode")
                .machine(|machine| machine.name_accents = true),
        ),
        near(
            18,
            plain("past a clip, and high above another", |_| {}).machine(|machine| {
                let clips = [([0, 6], [100, 120], 12), ([90, 130], [212, 220], 5)];
                machine.keep_outs = clips
                    .map(|(x_mm, y_mm, height_mm)| KeepOut { x_mm, y_mm, height_mm })
                    .into_iter()
                    .collect();
            }),
        ),
        near(79, job("PETG, no vent", &PETG, bench(), |_| {}).room(|room| room.vented = Some(false))),
        near(
            80,
            job("ABS in the open, as long as may be", &ABS, bench(), |plan| {
                (plan.note, plan.shape, plan.layers) = (Note::Head, Shape::Block(120.0, 30.0), 2);
            }),
        ),
        near(81, job("PLA in the box: a note", &PLA, closed_box("textured", 400), |_| {})),
    ]
}
