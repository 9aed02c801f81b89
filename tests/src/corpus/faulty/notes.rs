//! What is only noted: the point must stand in the list, and stop nobody.

use holdpoint_shared::checks::Value;

use super::{Fault, c, fault, note, plain, text, um};
use crate::corpus::cases::{ABS, PA12, PETG, PLA};
use crate::corpus::plan::{Note, Purge};
use crate::corpus::rooms::{bench, closed_box};
use crate::corpus::sound::job;
use crate::corpus::{Job, Start};

pub(super) fn jobs() -> Vec<Fault> {
    let slow = |job: Job| job.machine(|machine| machine.motion.max_speed_mm_s = [120, 120, 12, 60]);
    let long = plain("a line of 257 characters", |_| {})
        .with("M106 S170\n", &format!("M106 S170\nM117 {}\n", "x".repeat(252)));
    let long_line = super::line_of(&long, "M117 xx");
    vec![
        // Travels at 150 mm/s.
        fault(
            slow(plain("faster than the machine", |_| {})),
            note(37, 0).values([super::mm_s(150), super::mm_s(120)]),
        ),
        fault(
            slow(plain("asks for more than the sheet's limits", |plan| {
                (plan.start, plan.speed) = (Start::Limits, [20, 45, 60, 100]);
            })),
            note(37, 1),
        ),
        fault(
            plain("no density on the ticket", |_| {}).spool(|ticket| ticket.density_mg_cm3 = None),
            note(65, 0),
        ),
        fault(job("PLA in the box", &PLA, closed_box("textured", 400), |_| {}), note(81, 0)),
        fault(
            plain("a trade modifier on the spool", |_| {})
                .spool(|ticket| ticket.material = "PLA tough".try_into().expect("short")),
            note(56, 5).values([text("PLA"), text("PLA tough")]),
        ),
        fault(
            job("PETG a little hot", &PETG, bench(), |plan| plan.nozzle = [254; 2]),
            note(46, 1).values([c(254), text("PETG"), c(220), c(250)]),
        ),
        fault(plain("PLA without its fan", |plan| plan.fan = Vec::new()), note(52, 1)),
        fault(
            job("ABS with much fan", &ABS, closed_box("textured", 400), |plan| plan.fan = vec![0, 128]),
            note(52, 2).values([Value::Percent(50)]),
        ),
        fault(job("nylon in a vented room", &PA12, closed_box("laminate", 400), |_| {}), note(79, 0)),
        fault(job("small ABS in the open", &ABS, bench(), |_| {}), note(80, 0)),
        fault(
            plain("purges a little outside", |plan| {
                plan.purge = Purge::Line { x: 10.0, length: 90.0, y: -3.0, z: 0.2 };
            }),
            note(19, 2).values([um(3_000)]),
        ),
        fault(long, note(14, 1).values([long_line])),
        fault(
            job("states a far longer time", &PLA, bench(), |plan| {
                (plan.note, plan.header) = (Note::Header, r#","time_s":9000"#.to_owned());
            }),
            note(6, 1),
        ),
        fault(plain("clock not set", |_| {}).without_clock(), note(85, 0)),
        fault(
            plain("ends after closing where it may", |_| {})
                .room(|room| room.attended = holdpoint_shared::records::Attended::Unattended)
                .at(17, 50),
            note(76, 0),
        ),
    ]
}
