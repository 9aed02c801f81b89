//! Faults of heat (catalogue 43 to 53).

use super::{Fault, both, c, fault, hold, line_of, look, plain, text};
use crate::corpus::Job;
use crate::corpus::cases::{ABS, PETG, PLA, Stuff};
use crate::corpus::near_room::own_pla;
use crate::corpus::plan::{End, Heat, Note};
use crate::corpus::rooms::{bench, closed_box};
use crate::corpus::sound::job;

/// A material on the bench at another heat of the nozzle.
fn nozzle(what: &str, stuff: &Stuff, celsius: i32) -> Job {
    job(what, stuff, bench(), |plan| plan.nozzle = [celsius; 2])
}

pub(super) fn jobs() -> Vec<Fault> {
    let mut jobs = targets();
    jobs.extend(waits());
    jobs.extend(ends());
    jobs
}

fn targets() -> Vec<Fault> {
    vec![
        fault(
            nozzle("PETG far too cold", &PETG, 185),
            hold(46, 0).values([c(185), text("PETG"), c(220), c(250)]),
        ),
        fault(
            nozzle("PETG a little cold", &PETG, 215),
            look(46, 0).values([c(215), text("PETG"), c(220), c(250)]),
        ),
        fault(
            nozzle("PLA hot by the room's own row", &PLA, 210)
                .setup(|setup| setup.room.materials.push(own_pla([190, 200])).expect("room")),
            look(46, 1).values([c(210), text("PLA"), c(190), c(200)]),
        ),
        fault(nozzle("PLA hot", &PLA, 232), look(46, 1).values([c(232), text("PLA"), c(190), c(220)])),
        fault(
            nozzle("PLA far too hot", &PLA, 240),
            hold(46, 2).values([c(240), text("PLA"), c(190), c(220)]),
        ),
        fault(
            job("no machine sheet", &PLA, bench(), |_| {})
                .machine(|machine| *machine = holdpoint_shared::records::Machine::default()),
            look(94, 0),
        ),
        fault(
            job("above the hot end's limit", &ABS, bench(), |_| {}).machine(|machine| {
                machine.nozzle_max_c = holdpoint_shared::units::Celsius(240);
            }),
            hold(47, 0).values([c(245), c(240)]),
        ),
        fault(
            nozzle("a lined throat at its edge", &PETG, 245).machine(|machine| machine.lined_throat = true),
            look(47, 1).values([c(245), c(240)]),
        ),
        fault(
            job("a lined throat over its edge", &ABS, bench(), |plan| plan.nozzle = [255, 255])
                .machine(|machine| machine.lined_throat = true),
            hold(47, 1).values([c(255), c(240)]),
        ),
        fault(
            job("above the bed's limit", &ABS, bench(), |_| {}).machine(|machine| {
                machine.bed_max_c = holdpoint_shared::units::Celsius(100);
            }),
            hold(48, 0).values([c(105), c(100)]),
        ),
        fault(
            job("above the plate's limit", &ABS, bench(), |_| {}).machine(|machine| {
                machine.plates[0].max_c = Some(holdpoint_shared::units::Celsius(90));
            }),
            hold(48, 1).values([c(105), c(90), text("P1")]),
        ),
        fault(
            job("PETG on a cold bed", &PETG, bench(), |plan| plan.bed = [40, 40]),
            look(49, 0).values([c(40), text("PETG"), c(70)]),
        ),
        fault(
            job("PLA on a hot bed", &PLA, bench(), |plan| plan.bed = [85, 85]),
            look(49, 1).values([c(85), text("PLA"), c(60)]),
        ),
        fault(
            plain("fan full on the first layer", |_| {})
                .with("M107\n", "M107\n")
                .edited(|text| text.replacen("; layer 1 of", "M106 S255\n; layer 1 of", 1)),
            look(52, 0),
        ),
    ]
}

fn waits() -> Vec<Fault> {
    let cold = plain("cold in the middle", |plan| {
        plan.insert = vec![(6, "M104 S120".to_owned()), (7, "M104 S205".to_owned())];
    });
    let unheated =
        plain("never heats", |_| {}).with("M104 S210\n", "").with("M109 S210\n", "").with("M104 S205\n", "");
    let nothing = plain("waits for nothing", |plan| plan.insert = vec![(6, "M109 R0\nM109 S205".to_owned())]);
    let nothing_line = line_of(&nothing, "M109 R0");
    let forever = plain("waits to be colder than the room", |plan| {
        plan.insert = vec![(12, "M190 R15".to_owned())];
    });
    let forever_line = line_of(&forever, "M190 R15");
    vec![
        fault(unheated, hold(43, 0)),
        both(
            cold,
            [hold(44, 0).values([c(120)]).value(2, c(170)), hold(46, 0).values([c(120), text("PLA")])],
            "what is too cold to be fed at all is too cold for the material too",
        ),
        fault(plain("feeds at once, no wait", |_| {}).with("M109 S210\n", ""), look(44, 1)),
        fault(
            plain("a minute is too short for its heater", |_| {}).with("M109 S210\n", "G4 S35\n"),
            look(44, 1),
        ),
        fault(
            plain("waits for the bed alone, which may still be warm", |_| {})
                .with("M109 S210\n", "")
                .with("M104 S210\n", "")
                .with("M190 S60\n", "M104 S210\nM190 S60\n"),
            look(44, 1),
        ),
        fault(nothing, hold(45, 0).values([nothing_line])),
        fault(forever, hold(45, 1).values([forever_line, c(15)])),
        fault(
            plain("stands hot before it begins", |plan| plan.insert = vec![(0, "G4 S900".to_owned())])
                .edited(before_purge),
            look(51, 0),
        ),
        fault(plain("stands hot inside", |plan| plan.insert = vec![(6, "G4 S720".to_owned())]), look(51, 1)),
    ]
}

/// Moves the long rest before the purge strip: it comes before anything is fed then.
fn before_purge(text: String) -> String {
    text.replacen("G4 S900\n", "", 1).replacen("G92 E0\n", "G4 S900\nG92 E0\n", 1)
}

fn ends() -> Vec<Fault> {
    vec![
        fault(
            job("nozzle stays on", &PLA, bench(), |plan| plan.note = Note::Head).with_all("M104 S0\n", ""),
            hold(50, 0).values([c(205)]),
        ),
        fault(
            job("bed stays on", &PETG, closed_box("textured", 400), |plan| {
                (plan.note, plan.heat) = (Note::Head, Heat::BedFirst);
            })
            .with_all("M140 S0\n", ""),
            hold(50, 1).values([c(75)]),
        ),
        fault(
            plain("bed on again at the end", |plan| plan.insert = vec![(13, "M140 S45".to_owned())]),
            hold(50, 1).values([c(45)]),
        ),
        fault(
            plain("rests hot on the part", |plan| {
                plan.insert = vec![(12, "G4 S90".to_owned())];
                plan.end = End::Park;
            })
            .edited(|text| {
                text.replace("G0 Z12.4\n", "")
                    .replace("G0 X10 Y210 F6000\n", "")
                    .replace("G0 Z12.4 F600\n", "")
            }),
            look(53, 0),
        ),
    ]
}
