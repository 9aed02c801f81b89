//! Faults of the card and the file (catalogue 1 to 16, 89, 92).

use holdpoint_shared::checks::Value;

use super::{Fault, both, fault, hold, line_of, look, plain, text, um};
use crate::corpus::cases::PLA;
use crate::corpus::plan::Note;
use crate::corpus::rooms::bench;
use crate::corpus::sound::job;
use crate::corpus::{CardFaults, Dialect, Job};

/// The first bytes of a job up to a share of it, cut behind a line's end.
fn cut(job: Job, percent: usize) -> Job {
    job.damaged(|bytes| {
        let mut to = bytes.len() * percent / 100;
        while bytes[to - 1] != b'\n' {
            to -= 1;
        }
        // So far back that the last line lays a bead, as most do.
        loop {
            let line = bytes[..to - 1].iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
            let words = String::from_utf8_lossy(&bytes[line..to]).into_owned();
            if words.starts_with("G1 X") && words.contains('E') {
                break;
            }
            to = line;
        }
        bytes.truncate(to);
    })
}

pub(super) fn jobs() -> Vec<Fault> {
    let mut jobs = cut_jobs();
    jobs.extend(damaged_jobs());
    jobs.extend(text_jobs());
    jobs.extend(names());
    jobs
}

fn cut_jobs() -> Vec<Fault> {
    let header = || job("cut, with a header", &PLA, bench(), |_| {});
    vec![
        fault(cut(plain("cut behind a line", |_| {}), 61), hold(1, 2)),
        fault(
            plain("cut within a word", |_| {}).damaged(|bytes| {
                let at = bytes.len() * 55 / 100;
                let to = at + bytes[at..].iter().position(|byte| *byte == b'E').expect("beads") + 1;
                bytes.truncate(to);
            }),
            hold(1, 2),
        ),
        // The header's count of bytes says how much is there: the body's share, not the file's.
        fault(
            header().damaged(|bytes| {
                let body =
                    bytes.windows(13).position(|part| part == b"; end-header\n").expect("a header") + 13;
                bytes.truncate(body + (bytes.len() - body) * 75 / 100);
            }),
            hold(1, 0).values([Value::Percent(74)]),
        ),
        fault(
            cut(job("cut, comments behind", &PLA, bench(), |plan| plan.note = Note::Head), 80)
                .edited(|text| text + &"; settings = 12 and more of them\n".repeat(800)),
            hold(1, 2),
        ),
        fault(
            plain("leftovers of an older file", |_| {}).edited(|text| {
                let old = text.len() * 2 / 5;
                let rest = text[old..old + 600].split_once('\n').map(|(_, rest)| rest.to_owned());
                text + &rest.unwrap_or_default()
            }),
            hold(3, 0),
        ),
        fault(
            plain("a fragment after the end", |_| {}).edited(|text| text + "3.42 Y88.1 E0.0\n"),
            hold(3, 0),
        ),
        Fault {
            job: header().edited(|text| {
                let old = text.len() / 2;
                let rest = text[old..].split_once('\n').map(|(_, rest)| rest[..500].to_owned());
                text + &rest.unwrap_or_default()
            }),
            raises: vec![hold(3, 0), hold(23, 0)],
            why: "what is left of the older file would drive the head into the part",
        },
    ]
}

fn damaged_jobs() -> Vec<Fault> {
    let middle = |bytes: &mut Vec<u8>, with: u8, count: usize| {
        let at = bytes.len() * 60 / 100 + 1;
        bytes[at..at + count].fill(with);
    };
    let foreign = |bytes: &mut Vec<u8>, high: u8| {
        let at = bytes.len() / 3;
        bytes[at..at + 400]
            .iter_mut()
            .enumerate()
            .for_each(|(at, byte)| *byte = (at * 37 % 256) as u8 | high);
    };
    let bad_line = plain("a bit fell over in a numbered line", |plan| {
        plan.dialect = Dialect { numbered: true, ..Dialect::default() };
    });
    let text = bad_line.text();
    let bead = text.lines().enumerate().skip(150).find(|(_, line)| line.contains("G1 X1")).expect("a bead");
    let (number, bead) = (bead.0 + 1, bead.1.to_owned());
    vec![
        fault(
            plain("erased block", |_| {}).damaged(|bytes| middle(bytes, 0xFF, 512)),
            hold(2, 0).values([Value::Percent(60)]),
        ),
        fault(
            plain("unwritten block", |_| {}).damaged(|bytes| middle(bytes, 0, 512)),
            hold(2, 0).values([Value::Percent(60)]),
        ),
        fault(plain("bytes of something else", |_| {}).damaged(|bytes| foreign(bytes, 0)), hold(2, 0)),
        fault(plain("bytes of another script", |_| {}).damaged(|bytes| foreign(bytes, 0x80)), hold(2, 0)),
        fault(
            bad_line.with(&bead, &bead.replace("G1 X1", "G1 X0")),
            hold(16, 0).values([Value::Count(number as u32)]),
        ),
    ]
}

fn text_jobs() -> Vec<Fault> {
    let memory = plain("stores settings", |_| {}).with("G28\n", "G28\nM500\n");
    let memory_line = line_of(&memory, "M500");
    let guard = plain("guard against cold feeding off", |_| {}).with("G28\n", "M302 P1\nG28\n");
    let guard_line = line_of(&guard, "M302");
    let plane = plain("an arc in another plane", |_| {})
        .with("M106 S255\n", "M106 S255\nG18\nG2 X112 Z3 I1 K0\nG17\n");
    let plane_line = line_of(&plane, "G2 ");
    vec![
        fault(memory, hold(15, 0).values([text("M500"), memory_line])),
        fault(guard, hold(15, 0).values([text("M302"), guard_line])),
        fault(
            plain("steps a millimetre", |_| {}).with("G28\n", "M92 E415\nG28\n"),
            hold(15, 0).values([text("M92")]),
        ),
        fault(
            plain("made for another family", |_| {}).with("G28\n", "M870\nM871 S2\nG12.5 P1\nG28\n"),
            look(14, 0).values([Value::Count(3), text("M870")]),
        ),
        fault(
            plain("byte-order mark", |_| {}).damaged(|bytes| {
                bytes.splice(0..0, *b"\xEF\xBB\xBF");
            }),
            look(11, 0),
        ),
        fault(
            plain("byte-order mark where the room holds it", |_| {})
                .damaged(|bytes| {
                    bytes.splice(0..0, *b"\xEF\xBB\xBF");
                })
                .room(|room| room.byte_mark_holds = true),
            hold(11, 0),
        ),
        fault(
            job("length edited", &PLA, bench(), |plan| plan.note = Note::Head).edited(|text| {
                let line =
                    text.lines().find(|line| line.starts_with("; filament used")).expect("stated").to_owned();
                text.replacen(&line, "; filament used = 2.50 m", 1)
            }),
            look(6, 0).value(1, um(2_500_000)),
        ),
        fault(
            plain("another layer than stated", |_| {}).with("layer height = 0.2", "layer height = 0.28"),
            look(6, 2).values([um(200), um(280)]),
        ),
        fault(
            plain("another heat than stated", |_| {})
                .with("nozzle temperature = 205", "nozzle temperature = 220"),
            look(6, 3),
        ),
        fault(job("body edited", &PLA, bench(), |_| {}).with("F2700", "F2760"), look(6, 8)),
        both(
            job("header and comment of two materials", &PLA, bench(), |_| {})
                .with("; end-header\n", "; end-header\n; material: PETG\n"),
            [look(6, 5), look(6, 8)],
            "the comment stands in the body, which the header's check covers",
        ),
        fault(
            plain("broken header", |_| {})
                .edited(|text| format!("; job-header 1\n; {{\"material\":\"PLA\",\n; end-header\n{text}")),
            look(89, 0),
        ),
        fault(plane, hold(92, 1).values([Value::Count(1), plane_line])),
        fault(
            plain("words garbled", |_| {}).with("M106 S170\n", "M106 S170\nG1 X11O.5 Y1OO.2\n"),
            hold(92, 1),
        ),
    ]
}

fn names() -> Vec<Fault> {
    let card = CardFaults::default();
    vec![
        fault(plain("a worn card", |_| {}).on(CardFaults { worn: true, ..card }), hold(4, 0)),
        fault(plain("pulled out too early", |_| {}).on(CardFaults { dirty: true, ..card }), look(5, 0)),
        fault(
            plain("umlaut in the name", |_| {}).named("B\u{fc}gel.gcode"),
            look(10, 0).values([text("B\u{fc}gel.gcode")]),
        ),
        fault(
            plain("name too long for the machine", |_| {}).named("bracket-for-the-lamp.gcode"),
            look(10, 1).values([Value::Count(26), Value::Count(20)]),
        ),
        fault(
            plain("older version", |_| {}).named("CLIP_v2.GCO").beside("CLIP_v3.GCO", 5),
            look(8, 0).values([text("CLIP_v3.GCO")]),
        ),
        fault(
            plain("a copy that is newer", |_| {}).named("clip.gcode").beside("clip (2).gcode", 1),
            look(8, 0).values([text("clip (2).gcode")]),
        ),
        fault(
            plain("two that look the same", |_| {})
                .machine(|machine| machine.name_max = Some(12))
                .named("HOLDER_L.GCO")
                .beside("HOLDER_L.GCODE", 400),
            look(9, 0).values([text("HOLDER_L.GCODE")]),
        ),
        both(
            plain("empty file", |_| {}).damaged(Vec::clear),
            [hold(5, 1), look(55, 0)],
            "where nothing stands, no material stands either",
        ),
    ]
}
