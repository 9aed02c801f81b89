//! The checks on whole jobs: sound ones pass in silence, one planted fault gives that fault.
//!
//! The jobs are made from seeds; what each planted fault must give stands beside it.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime};
use holdpoint_shared::checks::{CheckInput, Findings, JobFacts, Level, Verdict, check};
use holdpoint_shared::header::JobHeader;
use holdpoint_shared::records::{Machine, OpenHours, Room, Spool};
use holdpoint_shared::survey::Surveyor;
use holdpoint_shared::units::Milligrams;
use holdpoint_tests::generate::{Plan, job, sheet};

struct World {
    machine: Machine,
    spool: Spool,
    room: Room,
    header: JobHeader,
    now: NaiveDateTime,
}

fn at(hour: u32) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 11, 25).unwrap().and_hms_opt(hour, 0, 0).unwrap()
}

impl World {
    fn new() -> Self {
        let mut machine = sheet();
        machine.clearance_radius_um = Some(15_000);
        machine.clearance_height_um = Some(60_000);
        machine.overrun_um = 5_000;
        let time = |hour| NaiveTime::from_hms_opt(hour, 0, 0).unwrap();
        let hours = OpenHours { opens: time(8), closes: time(20) };
        Self {
            machine,
            spool: Spool {
                material: "PLA".try_into().unwrap(),
                density_mg_cm3: Some(1240),
                diameter_um: Some(1750),
                left: Some(Milligrams(900_000)),
                ..Spool::default()
            },
            room: Room { hours: Some([Some(hours); 7]), ..Room::default() },
            header: JobHeader {
                material: Some("PLA".try_into().unwrap()),
                bore_um: Some(400),
                ..JobHeader::default()
            },
            now: at(9),
        }
    }

    fn vet(&self, text: &str) -> Findings {
        let mut surveyor = Surveyor::new(&self.machine);
        // In blocks of a card.
        for block in text.as_bytes().chunks(512) {
            surveyor.feed(block);
        }
        let survey = surveyor.finish();
        let facts = JobFacts::merge(Some(&self.header), None, Some(&survey));
        let mut input = CheckInput::new(&facts, &self.machine, Some(&self.spool), &self.room);
        input.header = Some(&self.header);
        input.survey = Some(&survey);
        input.now = Some(self.now);
        check(&input)
    }
}

fn above_note(findings: &Findings) -> Vec<(u8, Level)> {
    let above = findings.iter().filter(|finding| finding.level > Level::Note);
    above.map(|finding| (finding.check, finding.level)).collect()
}

/// Sixty-four plans: every habit with every other in turn.
fn sound_plans() -> impl Iterator<Item = Plan> {
    (0..64_u64).map(|seed| {
        let bit = |place: u32| seed >> place & 1 == 1;
        let one_by_one = bit(4);
        Plan {
            seed: seed + 1,
            layers: 6 + (seed % 7) as u32 * 3,
            parts: 1 + (seed % 5) as u32,
            one_by_one,
            purge_um: if bit(5) { Some(200 + 100 * (seed as i64 % 2)) } else { None },
            relative_positions: bit(3) && seed % 3 == 0,
            relative_feed: bit(0),
            arcs: bit(1),
            spiral_from: (bit(2) && !one_by_one && seed % 5 == 0).then_some(3),
            varied: seed % 11 == 4,
            hop: bit(2),
            ..Plan::default()
        }
    })
}

/// Materials with a nozzle and a bed target of their window (common practice), density of a usual ticket.
const MATERIALS: [(&str, u16, u16, u32); 4] =
    [("PLA", 210, 60, 1240), ("PETG", 240, 80, 1270), ("ABS", 245, 100, 1050), ("Tough PLA", 215, 60, 1220)];

#[test]
fn sound_jobs_pass_in_silence() {
    let mut wrong = Vec::new();
    for (index, plan) in sound_plans().enumerate() {
        let (material, nozzle, bed, density) = MATERIALS[index / 3 % MATERIALS.len()];
        let mut world = World::new();
        world.header.material = Some(material.try_into().unwrap());
        world.spool.material = material.try_into().unwrap();
        world.spool.density_mg_cm3 = Some(density);
        world.room.vented = Some(true);
        world.machine.enclosed = index % 2 == 0;
        let text = job(&plan)
            .replace("S215", &format!("S{nozzle}"))
            .replace("S210", &format!("S{}", nozzle - 5))
            .replace("S60", &format!("S{bed}"));
        let findings = world.vet(&text);
        if findings.verdict() != Verdict::Clear {
            wrong.push(format!("{material} {plan:?}: {:?}", above_note(&findings)));
        }
    }
    assert!(wrong.is_empty(), "{} of 64 sound jobs are not CLEAR:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn a_purge_strip_just_outside_the_plate_passes() {
    let text = job(&Plan::default())
        .replace("X20 Y4 ", "X20 Y-2 ")
        .replace("X120 Y4 ", "X120 Y-2 ")
        .replace("Y4.5", "Y-1.5");
    let findings = World::new().vet(&text);
    assert_eq!(above_note(&findings), []);
    let notes: Vec<u8> = findings.iter().map(|finding| finding.check).collect();
    assert!(notes.contains(&19), "it is noted: {notes:?}");
}

/// A job with one fault planted, and what it must give.
struct Planted {
    name: &'static str,
    check: u8,
    level: Level,
    plan: fn(Plan) -> Plan,
    text: fn(String) -> String,
    world: fn(&mut World),
}

const NOTHING: Planted =
    Planted { name: "", check: 0, level: Level::Hold, plan: |plan| plan, text: |text| text, world: |_| {} };

/// Puts a line before the first bead of the middle of a text.
fn in_the_middle(text: &str, line: &str) -> String {
    let middle = text.len() / 2;
    let at = middle + text[middle..].find("\nG1 X").unwrap() + 1;
    format!("{}{line}\n{}", &text[..at], &text[at..])
}

fn planted() -> Vec<Planted> {
    use Level::Look;
    vec![
        Planted { name: "cut in the middle", check: 1, text: |t| t[..t.len() / 2].into(), ..NOTHING },
        Planted {
            name: "cut after the last bead",
            check: 1,
            text: |t| t[..t.rfind("M104 S0").unwrap() - 40].into(),
            ..NOTHING
        },
        Planted {
            name: "blank block",
            check: 2,
            text: |t| {
                let middle = t.len() / 2;
                format!("{}{}{}", &t[..middle], "\0".repeat(512), &t[middle + 512..])
            },
            ..NOTHING
        },
        Planted {
            name: "old lines after the end",
            check: 3,
            text: |t| format!("{t}G1 X60 Y60 E900.5\nG1 X70 Y60 E901\n"),
            ..NOTHING
        },
        Planted { name: "stores settings", check: 15, text: |t| in_the_middle(&t, "M500"), ..NOTHING },
        Planted { name: "wrong line check", check: 16, text: |t| in_the_middle(&t, "N3 M105*40"), ..NOTHING },
        Planted {
            name: "other machine",
            check: 17,
            level: Look,
            world: |w| w.header.machine = Some("M-LARGE".try_into().unwrap()),
            ..NOTHING
        },
        Planted { name: "small plate", check: 18, world: |w| w.machine.bed_um[0] = 100_000, ..NOTHING },
        Planted {
            name: "low ceiling",
            check: 20,
            world: |w| w.machine.height_um = 10_000,
            plan: |plan| Plan { layers: 60, ..plan },
            ..NOTHING
        },
        Planted {
            name: "moves before homing",
            check: 25,
            text: |t| t.replace("G28\n", "G0 X20 Y20 Z10 F3000\nG28\n"),
            ..NOTHING
        },
        Planted { name: "homes over the part", check: 26, text: |t| in_the_middle(&t, "G28"), ..NOTHING },
        Planted { name: "inches", check: 27, plan: |plan| Plan { inch: true, ..plan }, ..NOTHING },
        Planted {
            name: "absolute feed read as relative",
            check: 29,
            text: |t| t.replace("M82\n", "M83\n"),
            // The flood takes its time: without hours to end in, only the mix-up itself is left.
            world: |w| w.room.hours = None,
            ..NOTHING
        },
        Planted {
            name: "relative feed read as absolute",
            check: 29,
            plan: |plan| Plan { relative_feed: true, ..plan },
            text: |t| t.replace("M83\n", "M82\n"),
            ..NOTHING
        },
        Planted {
            name: "stop for a person",
            check: 31,
            level: Look,
            text: |t| in_the_middle(&t, "M0"),
            ..NOTHING
        },
        Planted { name: "other nozzle", check: 32, world: |w| w.header.bore_um = Some(600), ..NOTHING },
        Planted {
            name: "tired hot end",
            check: 36,
            world: |w| w.machine.flow_max_mm3_s = Some(3),
            ..NOTHING
        },
        Planted {
            name: "no heat",
            check: 43,
            text: |t| t.replace("M104 S215\n", "").replace("M109 S215\n", "").replace("M104 S210\n", ""),
            ..NOTHING
        },
        Planted {
            name: "cold",
            check: 46,
            text: |t| t.replace("S215", "S175").replace("S210", "S175"),
            ..NOTHING
        },
        Planted { name: "hot end too weak", check: 47, world: |w| w.machine.nozzle_max_c.0 = 200, ..NOTHING },
        Planted { name: "bed too weak", check: 48, world: |w| w.machine.bed_max_c.0 = 50, ..NOTHING },
        Planted { name: "heat left on", check: 50, text: |t| t.replace("M140 S0\n", ""), ..NOTHING },
        Planted {
            name: "fan full on in the first layer",
            check: 52,
            level: Look,
            text: |t| t.replace("G92 E0\n", "G92 E0\nM106 S255\n"),
            ..NOTHING
        },
        Planted {
            name: "wrong spool",
            check: 54,
            world: |w| w.spool.material = "PETG".try_into().unwrap(),
            ..NOTHING
        },
        Planted {
            name: "no material",
            check: 55,
            level: Look,
            world: |w| w.header.material = None,
            ..NOTHING
        },
        Planted {
            name: "other filament diameter",
            check: 57,
            world: |w| w.header.diameter_um = Some(2850),
            ..NOTHING
        },
        Planted {
            name: "nearly empty spool",
            check: 58,
            world: |w| (w.spool.left, w.spool.left_error) = (Some(Milligrams(0)), Some(Milligrams(500))),
            ..NOTHING
        },
        Planted {
            name: "damp spool",
            check: 63,
            level: Look,
            world: |w| w.spool.open_hours = Some(721),
            ..NOTHING
        },
        Planted { name: "shut room", check: 77, level: Look, world: |w| w.now = at(21), ..NOTHING },
        Planted {
            name: "shortly before closing",
            check: 76,
            level: Look,
            world: |w| w.now = at(20) - chrono::TimeDelta::minutes(15),
            ..NOTHING
        },
        Planted {
            name: "nozzle far below the plate",
            check: 21,
            text: |t| t.replace("G28\n", "G28\nG0 X10 Y10 Z-0.5 F3000\n"),
            ..NOTHING
        },
    ]
}

#[test]
fn one_planted_fault_gives_that_fault() {
    let mut wrong = Vec::new();
    let mut jobs = 0;
    for fault in planted() {
        for seed in [3, 4] {
            let plan = Plan { seed, layers: 24, relative_feed: false, arcs: seed == 3, ..Plan::default() };
            let mut world = World::new();
            (fault.world)(&mut world);
            let text = (fault.text)(job(&(fault.plan)(plan)));
            let found = above_note(&world.vet(&text));
            jobs += 1;
            if found != [(fault.check, fault.level)] {
                wrong.push(format!("{} (seed {seed}): wants {}, found {found:?}", fault.name, fault.check));
            }
        }
    }
    assert!(jobs >= 60, "{jobs} jobs");
    assert!(wrong.is_empty(), "{} of {jobs}:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn a_job_cut_anywhere_after_its_first_bead_is_on_hold_as_cut() {
    let world = World::new();
    let text = job(&Plan { layers: 8, ..Plan::default() });
    let end = text.rfind("M104 S0").unwrap();
    let mut wrong = Vec::new();
    for twentieth in 1..20 {
        let cut = end * twentieth / 20;
        let found = world.vet(&text[..cut]);
        if found.iter().next().is_none_or(|first| (first.check, first.level) != (1, Level::Hold)) {
            wrong.push(format!("{cut} of {end}: {:?}", above_note(&found)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_start_macro_of_the_sheet_heats_and_homes() {
    let plan = Plan::default();
    let start = "M140 S60\nM104 S215\nG21\nG90\nM82\nG28\nM190 S60\nM109 S215\n";
    let text = job(&plan)
        .replace(start, "BEGIN_WORK\nG21\nG90\nM82\n")
        .replace("M106 S255\nM104 S210\n", "M106 S255\n");
    let mut world = World::new();
    let holds: Vec<u8> = above_note(&world.vet(&text)).iter().map(|(check, _)| *check).collect();
    assert!(holds.contains(&25) && holds.contains(&43), "unlisted, the word does nothing: {holds:?}");
    world.machine.start_words.push("begin_work".try_into().unwrap()).unwrap();
    assert_eq!(above_note(&world.vet(&text)), []);
}

#[test]
fn the_verdict_from_the_header_alone_agrees_on_the_spool() {
    // Before the moves were read, and after: the wrong spool is on HOLD both times.
    let mut world = World::new();
    world.spool.material = "PETG".try_into().unwrap();
    let facts = JobFacts::merge(Some(&world.header), None, None);
    let mut input = CheckInput::new(&facts, &world.machine, Some(&world.spool), &world.room);
    input.now = Some(world.now);
    let early: Vec<u8> = above_note(&check(&input)).iter().map(|(check, _)| *check).collect();
    assert_eq!(early, [54]);
    let late = world.vet(&job(&Plan::default()));
    assert_eq!(above_note(&late), [(54, Level::Hold)]);
    // The moves add why: 210 is too cold for PETG.
    assert_eq!(late.get(0).map(|finding| finding.wording), Some(1));
}

#[test]
fn a_settled_look_leaves_a_job_clear_and_stays_in_sight() {
    use holdpoint_shared::checks::{Scope, Settlement};
    use holdpoint_tests::corpus::faulty;

    let named =
        faulty::jobs().into_iter().find(|fault| fault.raises[0].check == 10).expect("a name with accents");
    let mut job = named.job;
    assert_eq!(job.vet().verdict, Verdict::Look);
    let settle = |of: &str| Settlement {
        check: 10,
        scope: Scope::Machine,
        of: of.try_into().unwrap(),
        day: Some(at(9).date()),
    };
    job.setup.settled.settle(settle("another")).unwrap();
    assert_eq!(job.vet().verdict, Verdict::Look, "it holds for its own machine");
    job.setup.settled.settle(settle(&job.setup.machine.tag)).unwrap();
    let outcome = job.vet();
    assert_eq!(outcome.verdict, Verdict::Clear);
    assert!(outcome.findings.iter().any(|finding| finding.check == 10));
    assert_eq!(job.setup.settlement(10).and_then(|held| held.day), Some(at(9).date()));
}
