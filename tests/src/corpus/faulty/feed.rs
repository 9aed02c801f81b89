//! Faults of feed and of heat in many dialects, materials and places (catalogue 29 to 57 and 101 to 103).

use super::{Expected, Fault, both, c, fault, hold, line_of, look, note, text, um};
use crate::corpus::cases::{ABS, ASA, HIPS, PA12, PC, PETG, PLA, PLA_SILK, Stuff};
use crate::corpus::plan::{End, Heat, Note, Plan};
use crate::corpus::rooms::{bench, closed_box, round, thick};
use crate::corpus::sound::job;
use crate::corpus::{Dialect, Job, Retract, Shape};
use holdpoint_shared::checks::Value;
use holdpoint_shared::records::Machine;

/// The dialects that feed is written in.
type Turn = fn(&mut Dialect);

const DIALECTS: [(&str, Turn); 4] = [
    ("absolute", |_| {}),
    ("absolute with hops", |dialect| dialect.hop = true),
    ("relative", |dialect| dialect.relative_feed = true),
    ("relative, lower case, CR LF", |dialect| {
        (dialect.relative_feed, dialect.crlf, dialect.bare_point) = (true, true, true);
    }),
];

/// A material's machine.
fn home(stuff: &Stuff) -> Machine {
    match stuff.name {
        "PA12" => closed_box("laminate", 400),
        "ABS" | "ASA" | "PC" | "PS-HI" => closed_box("textured", 400),
        _ => bench(),
    }
}

/// A job of a material that states nothing but it, in a dialect.
fn fed(what: &str, stuff: &Stuff, dialect: usize, change: impl FnOnce(&mut Plan)) -> Job {
    on(what, stuff, home(stuff), dialect, change)
}

fn on(what: &str, stuff: &Stuff, machine: Machine, dialect: usize, change: impl FnOnce(&mut Plan)) -> Job {
    let (name, write) = DIALECTS[dialect];
    job(&format!("{what}, {}, {name}", stuff.name), stuff, machine, |plan| {
        plan.note = Note::MaterialOnly;
        write(&mut plan.dialect);
        change(plan);
    })
}

/// In a few materials and all dialects.
fn everywhere(make: impl Fn(&Stuff, usize) -> Fault) -> Vec<Fault> {
    let dialects = 0..DIALECTS.len();
    let of = |stuff: Stuff| dialects.clone().map(move |dialect| (stuff, dialect));
    of(PLA).chain(of(PETG)).chain([(ABS, 0), (PLA_SILK, 2)]).map(|(stuff, at)| make(&stuff, at)).collect()
}

/// The text with each number after a letter changed, from the first line that holds some words on.
fn numbers(text: &str, letter: char, from: &str, change: impl Fn(f64) -> f64) -> String {
    let mut begun = from.is_empty();
    let mut out = String::new();
    for line in text.lines() {
        begun |= !from.is_empty() && line.contains(from);
        let moves = line.starts_with("G0 ") || line.starts_with("G1 ");
        let word = |word: &str| match word.strip_prefix(letter).and_then(|number| number.parse::<f64>().ok())
        {
            Some(number) if begun && moves => format!("{letter}{:.5}", change(number)),
            _ => word.to_owned(),
        };
        let words: Vec<String> = line.split(' ').map(word).collect();
        out.push_str(&words.join(" "));
        out.push('\n');
    }
    out
}

pub(super) fn jobs() -> Vec<Fault> {
    let mut jobs = diameters();
    jobs.extend(factors());
    jobs.extend(speeds());
    jobs.extend(primes());
    jobs.extend(missing());
    jobs.extend(bursts());
    jobs.extend(modes());
    jobs.extend(beds());
    jobs.extend(nozzles());
    jobs.extend(waits_and_fans());
    jobs
}

fn diameters() -> Vec<Fault> {
    let class = |other: i64, fed: i64| hold(57, 2).values([um(other), um(fed)]);
    let mut faults = everywhere(|stuff, dialect| {
        fault(fed("numbers for 2.85 mm", stuff, dialect, |plan| plan.filament = 2.85), class(2850, 1750))
    });
    for dialect in 0..DIALECTS.len() {
        let job = on("numbers for 1.75 mm", &PLA, thick(), dialect, |plan| {
            (plan.filament, plan.speed) = (1.75, [15, 20, 25, 120]);
        });
        faults.push(fault(job, class(1750, 2850)));
    }
    faults
}

fn factors() -> Vec<Fault> {
    let slow = |plan: &mut Plan| plan.speed = [12, 20, 22, 120];
    let mut faults = Vec::new();
    for dialect in 0..DIALECTS.len() {
        for (words, level) in
            [("M221 S200", look(32, 1)), ("M221 S50", look(32, 1)), ("M221 S40", hold(32, 1))]
        {
            let job = fed(words, &PLA, dialect, |plan| {
                slow(plan);
                plan.insert = vec![(0, words.to_owned())];
            });
            // Stated or not, the bore is the one that is fitted.
            let job = if dialect == 0 {
                job.edited(|text| "; nozzle diameter = 0.4\n".to_owned() + &text)
            } else {
                job
            };
            faults.push(fault(job, level));
        }
        faults.push(fault(
            fed("flow up from layer 10 on", &PLA, dialect, |plan| {
                slow(plan);
                plan.insert = vec![(9, "M221 S250".to_owned())];
            }),
            look(39, 0),
        ));
        faults.push(fault(
            fed("lengths taken for volumes", &PETG, dialect, |plan| {
                slow(plan);
                plan.insert = vec![(0, "M200 D1.75".to_owned())];
            }),
            hold(32, 1),
        ));
        faults.push(fault(
            fed("volumes of thick filament", &PLA, dialect, |plan| {
                slow(plan);
                plan.insert = vec![(0, "M200 D2.85".to_owned())];
            })
            .edited(|text| numbers(&text, 'E', "layer 1 of", |mm| mm * 2.405)),
            hold(57, 0).values([um(2850), um(1750)]),
        ));
    }
    faults
}

fn speeds() -> Vec<Fault> {
    let small = |what: &str, stuff: &Stuff, dialect: usize| {
        fed(what, stuff, dialect, |plan| (plan.shape, plan.layers) = (Shape::Block(12.0, 10.0), 3))
    };
    let mut faults = Vec::new();
    for dialect in [0, 1, 2] {
        for (stuff, from) in [(PLA, ""), (PETG, ""), (PLA, "layer 1 of"), (ABS, "layer 1 of")] {
            let job = small("feeds in mm/s", &stuff, dialect)
                .edited(|text| numbers(&text, 'F', from, |feed| feed / 60.0));
            faults.push(fault(job, hold(101, 0)));
        }
        let first = fed("first layer at a tenth", &PLA, dialect, |plan| {
            (plan.shape, plan.layers) = (Shape::Block(16.0, 14.0), 30);
        })
        .edited(|text| {
            let (first, rest) = text.split_once("; layer 2 of").expect("a second layer");
            numbers(first, 'F', "layer 1 of", |feed| if feed == 1200.0 { 120.0 } else { feed })
                + "; layer 2 of"
                + rest
        });
        faults.push(fault(first, look(101, 1)));
    }
    faults
}

/// Takes the first prime of a layer away.
fn without_prime(text: &str, layer: u32, relative: bool) -> String {
    let mut out = String::new();
    let (mut begun, mut alone) = (false, 0);
    for line in text.lines() {
        begun |= line.contains(&format!("layer {layer} of"));
        if begun && line.starts_with("G1 E") {
            alone += 1;
            if alone == 2 {
                if !relative {
                    // The count goes on as if it had come back.
                    let count = line.split(' ').nth(1).expect("an E word");
                    out.push_str(&format!("G92 {count}\n"));
                }
                continue;
            }
        }
        out.push_str(line);
        out.push('\n');
    }
    out
}

fn primes() -> Vec<Fault> {
    let mut faults = Vec::new();
    for layer in [2, 5, 9] {
        faults.extend(everywhere(|stuff, dialect| {
            let what = format!("no prime in layer {layer}");
            let job =
                fed(&what, stuff, dialect, |_| {}).edited(|text| without_prime(&text, layer, dialect >= 2));
            fault(job, look(102, 0).value(1, Value::Count(1)))
        }));
    }
    for (pull, machine) in [(0.8, bench()), (3.0, bench()), (6.0, round())] {
        let job = on("never primed again", &PLA, machine, 2, |plan| {
            plan.dialect.retract = Retract::Moves(pull);
        })
        .edited(|text| {
            let (head, body) = text.split_once("; layer 3 of").expect("a third layer");
            format!("{head}; layer 3 of{}", body.replace(&format!("G1 E{pull} F2100\n"), ""))
        });
        faults.push(fault(job, hold(102, 0)));
    }
    for dialect in [0, 2] {
        let words = |what: &str| fed(what, &PLA, dialect, |plan| plan.dialect.retract = Retract::Words);
        let (one, all) = (words("one return missing"), words("all returns missing"));
        let one = one.edited(|text| {
            let (head, body) = text.split_once("; layer 5 of").expect("a fifth layer");
            format!("{head}; layer 5 of{}", body.replacen("G11\n", "", 1))
        });
        faults.push(fault(one, look(102, 0)));
        faults.push(fault(all.with_all("G11\n", ""), hold(102, 0)));
    }
    faults
}

/// The text without the E words of moves in X and Y from a layer on; `constant` = with the last count instead.
fn without_feed(text: &str, layer: u32, constant: bool) -> String {
    let mut out = String::new();
    let mut begun = false;
    for line in text.lines() {
        begun |= line.contains(&format!("layer {layer} of"));
        let line = if begun && line.starts_with("G1 X") {
            let e = if constant { "E0" } else { "" };
            let words = line.trim_end().split(' ').map(|word| if word.starts_with('E') { e } else { word });
            words.filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
        } else if begun && constant && line.starts_with("G1 E") {
            continue;
        } else {
            line.to_owned()
        };
        out.push_str(&line);
        out.push('\n');
    }
    out
}

fn missing() -> Vec<Fault> {
    let mut faults = Vec::new();
    for layer in [5, 8, 11] {
        for dialect in 0..DIALECTS.len() {
            let what = format!("no feed from layer {layer} on");
            let job = fed(&what, &PLA, dialect, |plan| plan.end = End::HomeXy)
                .edited(|text| without_feed(&text, layer, false));
            faults.push(fault(job, hold(103, 0)));
        }
        for dialect in [0, 1] {
            let what = format!("feed stands still from layer {layer} on");
            let job = fed(&what, &PETG, dialect, |_| {}).edited(|text| without_feed(&text, layer, true));
            faults.push(fault(job, hold(103, 0)));
        }
        let none = fed(&format!("flow 0 from layer {layer} on"), &PLA, 2, |plan| {
            plan.insert = vec![(layer - 1, "M221 S0".to_owned())];
        });
        faults.push(fault(none, hold(103, 0)));
    }
    faults
}

fn bursts() -> Vec<Fault> {
    let mut faults = Vec::new();
    for (dialect, pull, push) in [
        (0, "G92 E0\nG1 E-{} F2100\nG1 E0 F2100", "G92 E0\nG1 E{} F300\nG92 E0"),
        (2, "G1 E-{} F2100\nG1 E{} F2100", "G1 E{} F300"),
    ] {
        for layer in [3, 8] {
            for (mm, level) in [(5, look(38, 0)), (12, look(38, 0)), (31, hold(38, 0)), (57, hold(38, 0))] {
                let job = fed(&format!("pull of {mm} at layer {layer}"), &PLA, dialect, |plan| {
                    plan.insert = vec![(layer, pull.replace("{}", &mm.to_string()))];
                });
                faults.push(fault(job, level.values([um(mm * 1000)]).value(2, um(4000))));
            }
            for mm in [22, 57] {
                let job = fed(&format!("push of {mm} at layer {layer}"), &PLA, dialect, |plan| {
                    plan.insert = vec![(layer, push.replace("{}", &mm.to_string()))];
                });
                faults.push(fault(job, look(38, 1).values([um(mm * 1000)])));
            }
        }
    }
    let halves = fed("pull of 57 in two", &PLA, 2, |plan| {
        plan.insert = vec![(4, "G1 E-28 F2100\nG1 E-29 F2100\nG1 E57 F2100".to_owned())];
    });
    let line = line_of(&halves, "G1 E-29");
    faults.push(fault(halves, hold(38, 0).values([um(57_000), line])));
    faults
}

fn modes() -> Vec<Fault> {
    let mut faults = Vec::new();
    for stuff in [PLA, PETG, ABS] {
        for pull in [0.8, 2.0] {
            let absolute = fed("relative numbers, absolute feed", &stuff, 2, |plan| {
                plan.dialect.retract = Retract::Moves(pull);
            });
            faults.push(fault(absolute.with("M83\n", "M82\n"), hold(29, 0)));
        }
        let relative = fed("absolute numbers, relative feed", &stuff, 0, |plan| {
            (plan.dialect.reset_feed, plan.end) = (false, End::HomeXy);
        });
        faults.push(fault(relative.with("M82\n", "M83\n"), hold(29, 1)));
    }
    faults
}

fn bed_is_off(stuff: &Stuff) -> Expected {
    look(49, 2).values([text(stuff.name)])
}

fn beds() -> Vec<Fault> {
    let mut faults = Vec::new();
    for stuff in [PETG, ABS, ASA, PC, HIPS, PA12] {
        let never = fed("no bed heat", &stuff, 0, |plan| (plan.heat, plan.bed) = (Heat::NoBed, [0, 0]));
        faults.push(fault(never, bed_is_off(&stuff)));
        let told = fed("bed told 0", &stuff, 2, |plan| plan.bed = [0, 0]).with("M190 S0\n", "");
        faults.push(fault(told, bed_is_off(&stuff)));
        let before = fed("bed off before the first layer", &stuff, 0, |plan| {
            plan.insert = vec![(0, "M140 S0".to_owned())];
        });
        faults.push(fault(before, bed_is_off(&stuff)));
        let within = fed("bed off in the first layer", &stuff, 2, |_| {}).edited(|text| {
            let (head, body) = text.split_once("; layer 1 of").expect("a first layer");
            let lines: Vec<&str> = body.lines().collect();
            let (first, rest) = lines.split_at(12);
            format!("{head}; layer 1 of{}\nM140 S0\n{}\n", first.join("\n"), rest.join("\n"))
        });
        faults.push(fault(within, bed_is_off(&stuff)));
    }
    faults
}

fn nozzles() -> Vec<Fault> {
    let mut faults = everywhere(|stuff, dialect| {
        let off = fed("nozzle off in the middle", stuff, dialect, |plan| {
            plan.insert = vec![(6, "M104 S0".to_owned())];
        });
        fault(off, hold(44, 0).values([c(0)]))
    });
    for layer in [3, 8] {
        let down = fed("nozzle down in the middle", &PLA, 0, |plan| {
            plan.insert = vec![(layer, "M104 S150".to_owned())];
        });
        faults.push(both(
            down,
            [hold(44, 0).values([c(150)]), hold(46, 0).values([c(150)])],
            "what is too cold to be fed is too cold for the material too",
        ));
        let by_macro = on("nozzle off after the machine's own start", &PLA, bench(), 0, |plan| {
            plan.heat = Heat::Macro("WARM_UP");
            plan.insert = vec![(layer, "M104 S0".to_owned())];
        });
        faults.push(fault(by_macro, hold(44, 0).values([c(0)])));
    }
    let other = fed("heat for another tool", &PLA, 0, |_| {})
        .with("M104 S210\n", "M104 T1 S210\n")
        .with("M109 S210\n", "M109 T1 S210\n");
    faults.push(both(
        other,
        [hold(44, 0).values([c(0)]), hold(50, 0).values([c(210)])],
        "the tool that prints is cold, and the other one stays hot",
    ));
    faults
}

fn waits_and_fans() -> Vec<Fault> {
    let mut faults = Vec::new();
    for dialect in [0, 2] {
        let of = |what: &str, at: u32, words: &str| {
            fed(what, &PLA, dialect, |plan| {
                plan.insert = vec![(at, words.to_owned()), (13, "M141 S0".to_owned())]
            })
        };
        faults.push(fault(of("waits for no number", 4, "M109"), hold(45, 0)));
        faults.push(fault(of("bed waits for no number", 4, "M190"), hold(45, 0)));
        faults.push(fault(of("waits for a chamber", 0, "M191 S50"), look(45, 2).value(1, c(50))));
        let fan = |what: &str, fan: &[u32]| fed(what, &PLA, dialect, |plan| plan.fan = fan.to_vec());
        faults.push(fault(fan("fan at 1 of 255", &[1]), note(52, 1)));
        faults.push(fault(fan("fan at 20 of 255", &[20]), note(52, 1)));
        faults.push(fault(fan("fan for one layer", &[255, 0]), note(52, 1)));
    }
    faults
}
