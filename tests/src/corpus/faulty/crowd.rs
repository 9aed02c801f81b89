//! One job with more faults than the list of points has places (check 90). It is no job of [`jobs`](super::jobs): its
//! other points are the business of the jobs that plant them one by one.

use holdpoint_shared::records::Grade;

use super::{Fault, fault, look};
use crate::corpus::CardFaults;
use crate::corpus::cases::PLA;
use crate::corpus::rooms::bench;
use crate::corpus::sound::job;

/// Lines each of which is a fault of its own.
const LINES: &str = "; planted\nM500\nM23 OTHER.GCO\nM206 X30\nM0\nM5701\nM5702\nM5703\nM84\nG4 S700\nG28\nM140 S130\nM104 S320\n\
    G1 X300 Y50\nG1 Z300\nG1 X60 Y60 Z-1\nG1 X70 Y60 E-15 F1800\nG1 X1..2\nN7 G1 X80*1\nT1\nG1 X90 Y60 E9 F600\n";

/// More than 24 points of LOOK and HOLD: the least of them, a LOOK, finds no place.
#[must_use]
pub fn jobs() -> Vec<Fault> {
    let crowd = job("a fault in everything", &PLA, bench(), |plan| {
        plan.header = r#","machine":"OTHER","time_s":90000"#.to_owned();
        (plan.bore, plan.filament, plan.first) = (0.6, 2.85, 0.32);
        plan.speed = [90, 240, 240, 400];
        plan.insert = vec![(3, LINES.to_owned())];
        plan.end = crate::corpus::End::Macro("DONE");
    })
    .spool(|ticket| {
        ticket.material = "ABS".try_into().expect("short");
        (ticket.density_mg_cm3, ticket.open_hours) = (None, Some(5_000));
        ticket.left = Some(holdpoint_shared::units::Milligrams(100));
    })
    .room(|room| {
        room.longest_job_min = Some(1);
        room.banned.push(Grade::parse("PLA").expect("known")).expect("room");
    })
    .machine(|machine| machine.start_words.clear())
    .on(CardFaults { dirty: true, worn: false })
    .named("Größe_v1.gco")
    .beside("Größe_v2.gco", 10)
    .at(20, 0);
    vec![fault(crowd, look(90, 0))]
}
