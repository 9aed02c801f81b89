//! Faults of plate, room and clock (catalogue 70 to 85).

use holdpoint_shared::checks::Value;
use holdpoint_shared::records::{AgeGroup, Attended, Grade, Plate, PlateFace, Room, Staffed};
use holdpoint_shared::units::Seconds;

use super::{Fault, both, clock, fault, hold, look, plain, text};
use crate::corpus::cases::{ABS, PA12, PC, PETG, PETG_CF, PLA, PP, TPU};
use crate::corpus::plan::Note;
use crate::corpus::rooms::{bench, closed_box};
use crate::corpus::sound::job;
use crate::corpus::{Shape, wednesday};

pub(super) fn jobs() -> Vec<Fault> {
    let mut jobs = plates();
    jobs.extend(clocks());
    jobs.extend(fumes());
    jobs
}

fn plates() -> Vec<Fault> {
    vec![
        fault(
            job("PETG on smooth polymer", &PETG, closed_box("smooth", 400), |_| {}),
            look(70, 0).values([text("PETG")]),
        ),
        fault(job("TPU on glass", &TPU, closed_box("glass", 400), |_| {}), look(70, 0).values([text("TPU")])),
        fault(job("PC on smooth polymer", &PC, closed_box("smooth", 400), |_| {}), look(70, 0)),
        fault(
            job("PA12 on a textured plate", &PA12, closed_box("textured", 400), |_| {}),
            hold(70, 1).values([text("PA12")]),
        ),
        fault(job("PP on glass", &PP, closed_box("glass", 600), |_| {}), hold(70, 1).values([text("PP")])),
        fault(
            job("one plate of two suits", &PETG, bench(), |_| {}).machine(|machine| {
                let name = "P2".try_into().expect("short");
                machine
                    .plates
                    .push(Plate { name, face: PlateFace::SmoothPolymer, max_c: None })
                    .expect("room");
            }),
            look(70, 2).values([text("PETG"), text("P1")]),
        ),
    ]
}

fn clocks() -> Vec<Fault> {
    let mut ahead = plain("a clock that fell back", |_| {});
    ahead.files[0].2 = -3 * 24 * 60;
    vec![
        fault(plain("ends after closing", |_| {}).at(17, 50), look(76, 0).value(2, clock(wednesday(18, 0)))),
        fault(
            plain("ends after closing where somebody must be there", |_| {})
                .room(|room| room.attended = Attended::Always)
                .at(17, 50),
            hold(76, 0).value(2, clock(wednesday(18, 0))),
        ),
        fault(
            plain("no day is long enough", |_| {})
                .room(|room| {
                    for day in room.hours.iter_mut().flatten().flatten() {
                        day.closes = day.opens + chrono::TimeDelta::minutes(20);
                    }
                })
                .at(9, 5),
            look(76, 2).value(2, clock(wednesday(9, 20))),
        ),
        fault(plain("nobody there", |_| {}).at(20, 0), look(77, 0)),
        fault(
            plain("the staff goes while it runs", |_| {}).room(|room| staff(room, 9 * 60, 10 * 60 + 5)),
            look(77, 2).value(0, clock(wednesday(10, 5))),
        ),
        fault(
            plain("longer than the room allows", |plan| plan.layers = 80)
                .room(|room| room.longest_job_min = Some(10)),
            hold(78, 0).value(1, Value::Span(Seconds(600))),
        ),
        fault(
            plain("the clocks change while it runs", |_| {}).room(|room| {
                room.clock_changes.push(wednesday(10, 5)).expect("room");
            }),
            super::note(86, 0).value(0, clock(wednesday(10, 5))),
        ),
        fault(
            plain("nobody there where somebody must be", |_| {})
                .room(|room| room.attended = Attended::Always)
                .at(6, 30),
            hold(77, 0).values([clock(wednesday(9, 0))]),
        ),
        fault(
            plain("no clock, longer than any day", |_| {})
                .room(|room| {
                    // Five minutes a day.
                    for day in room.hours.iter_mut().flatten().flatten() {
                        day.closes = day.opens + chrono::TimeDelta::minutes(5);
                    }
                })
                .without_clock(),
            look(85, 0),
        ),
        fault(
            {
                let mut job = ahead;
                job.setup.room.hours = None;
                job
            },
            super::note(85, 1),
        ),
    ]
}

/// Somebody is there from one minute of Wednesday to another.
pub(in crate::corpus) fn staff(room: &mut Room, from_min: u16, to_min: u16) {
    room.staffed.push(Staffed { day: 2, from_min, to_min }).expect("room");
}

fn fumes() -> Vec<Fault> {
    let unvented = |job: crate::corpus::Job| job.room(|room| room.vented = Some(false));
    vec![
        fault(
            unvented(job("ABS, no vent", &ABS, closed_box("textured", 400), |_| {})),
            look(79, 0).values([text("ABS")]),
        ),
        fault(
            unvented(job("nylon, no vent", &PA12, closed_box("laminate", 400), |_| {})),
            look(79, 0).values([text("PA12")]),
        ),
        fault(unvented(job("carbon, no vent", &PETG_CF, closed_box("textured", 600), |_| {})), look(79, 0)),
        fault(
            unvented(job("ABS where children print, no vent", &ABS, closed_box("textured", 400), |_| {}))
                .room(|room| room.age_group = Some(AgeGroup::Children)),
            hold(79, 1).values([text("ABS")]),
        ),
        fault(
            job("what the room bans", &ABS, closed_box("textured", 400), |_| {})
                .room(|room| room.banned.push(Grade::parse("ABS").expect("known")).expect("room")),
            hold(82, 1).values([text("ABS")]),
        ),
        both(
            job("ABS board in the open", &ABS, bench(), |plan| {
                (plan.shape, plan.layers) = (Shape::Block(150.0, 70.0), 2);
            }),
            [look(80, 0).values([text("ABS")]), look(41, 0)],
            "what is long enough to want a warm box is long enough to curl",
        ),
        fault(
            plain("PVC", |plan| (plan.note, plan.nozzle) = (Note::Head, [200, 200]))
                .with("material: PLA", "material: PVC")
                .spool(|ticket| ticket.material = "PVC".try_into().expect("short")),
            hold(82, 0),
        ),
        both(
            job("PVC on the spool", &PLA, bench(), |_| {})
                .spool(|ticket| ticket.material = "PVC".try_into().expect("short")),
            [hold(82, 0), hold(54, 0)],
            "the spool is the wrong one too",
        ),
    ]
}
