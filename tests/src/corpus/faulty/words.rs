//! Words outside the moves, one on a line of its own in the middle of a sound job.

use holdpoint_shared::checks::Value;

use super::{Expected, Fault, fault, hold, line_of, look, plain, text};

pub(super) fn jobs() -> Vec<Fault> {
    let mut jobs = classed();
    jobs.extend(spelled());
    jobs.extend(motors());
    jobs
}

/// A job with the line in its part, and the point that it must raise: its name and line first.
fn planted(line: &str, name: &str, point: Expected, at: usize) -> Fault {
    let job = plain(&format!("has the line {line}"), |plan| {
        (plan.layers, plan.insert) = (8, vec![(3, format!("; planted\n{line}"))]);
    });
    let Value::Count(before) = line_of(&job, "; planted") else { unreachable!() };
    let point = point.value(at, text(name)).value(at + 1, Value::Count(before + 1));
    fault(job, point)
}

/// What changes the machine's memory or guards.
const STORES: &[&str] = &[
    "M500",
    "M501",
    "M502",
    "M504",
    "M92 X80.1",
    "M301 P20 I2 D90",
    "M304 P60",
    "M303 E0 S210 C5",
    "M302 S0",
    "M302 P1",
    "M302 S100",
    "M211 S0",
    "M564 S0",
    "M564 H0",
    "M121",
    "M111 S8",
    "M37 S1",
    "M143 S300",
    "M145 S0 H210",
    "M208 X400",
    "M350 X16",
    "M421 I1 J1 Z0.2",
    "M425 X0.1",
    "M512",
    "M569 P0 S1",
    "M574 X1",
    "M665 L200",
    "M666 X0.2",
    "M906 X800",
    "M907 X800",
    "M914 X40",
    "G33",
    "G425",
    "G28.1",
];

/// What changes how the machine works.
const ADJUSTS: &[&str] = &[
    "M84 S60",
    "M18 S30",
    "M85 S600",
    "M605 S1",
    "M106 P1 H1 T45",
    "M412 S0",
    "M591 S0",
    "M404 W2.85",
    "M163 S0 P0.5",
    "M557 X10",
    "G60 S0",
    "M209 S1",
];

/// What reaches for other things than this job.
const REACHES: &[&str] = &[
    "M22",
    "M23 OTHER.GCO",
    "M24 S100",
    "M26 S4000",
    "M28 NEW.GCO",
    "M29",
    "M30 OLD.GCO",
    "M32 OTHER.GCO",
    "M33 OTHER.GCO",
    "M40",
    "M41",
    "M42 P4 S255",
    "M43",
    "M80",
    "M81",
    "M112",
    "M118 A1 //action:cancel",
    "M126",
    "M260 A1",
    "M3 S255",
    "M380",
    "M410",
    "M452",
    "M471 A",
    "M472 OLD.GCO",
    "M486 C",
    "M524",
    "M808 L5",
    "M876 S0",
    "M928 LOG.TXT",
    "M997",
    "M999",
    "M1000",
];

/// What switches a part of the machine.
const TOUCHES: &[&str] = &["M21", "M24", "M280 P0 S10", "M7", "M245"];

/// What shifts, turns or scales by numbers that are not in the job.
const SHIFTS: &[&str] = &[
    "G10 L2 P1 X1",
    "G10 L20 P1 Z0",
    "G55",
    "G59.3",
    "G68 X0 Y0 R30",
    "G51 X2",
    "G52 Z1",
    "G43 H1",
    "G92.3",
    "M206 Z1",
    "M428",
    "M851 Z-1.2",
    "M218 T1 X20",
    "M852 I0.01",
    "M579 X1.01",
    "G41 D1",
];

/// What moves, feeds or heats by a rule of the machine's own.
const UNFOLLOWED: &[&str] = &[
    "G5 X112 Y112 I1 J1 P1 Q1",
    "G6 I1 X10",
    "G12",
    "G26",
    "G27",
    "G16",
    "G81 X10 Y10 Z0 R2",
    "G10 P0 S230 R150",
    "M98 P1",
    "M101",
    "M104 S200 F1 B230",
    "M140 I1",
    "M149 F",
    "M144",
    "M568 P0 S230",
    "M701",
    "M810",
    "M360",
];

/// What is in no class.
const UNKNOWN: &[&str] = &["M870", "G777", "M123.4", "G38.6", "M1999", "G999.9 X1", "MAKE_IT_SO"];

fn classed() -> Vec<Fault> {
    let name = |line: &str| line.split(' ').next().unwrap_or_default().to_owned();
    let all = |lines: &[&str], point: fn() -> Expected, at: usize| {
        lines.iter().map(|line| planted(line, &name(line), point(), at)).collect::<Vec<_>>()
    };
    [
        all(STORES, || hold(15, 0), 0),
        all(ADJUSTS, || look(15, 1), 0),
        all(REACHES, || hold(96, 0), 0),
        all(TOUCHES, || look(96, 1), 0),
        all(SHIFTS, || hold(97, 0), 0),
        all(UNFOLLOWED, || hold(14, 2), 0),
        all(UNKNOWN, || look(14, 0), 1),
    ]
    .concat()
}

/// The same words in other spellings, and more than one on a line.
fn spelled() -> Vec<Fault> {
    let of = |line: &str, name: &str, point: Expected| planted(line, name, point, 0);
    // Some controllers take one command a line.
    let with_many = |line: &str, name: &str, point: Expected| {
        let mut fault = of(line, name, point);
        fault.raises.push(look(92, 0));
        fault
    };
    vec![
        of("m00112", "M112", hold(96, 0)),
        of("M 0500", "M500", hold(15, 0)),
        of("m 1 1 2", "M112", hold(96, 0)),
        of("N70 M500", "M500", hold(15, 0)),
        of("g0055", "G55", hold(97, 0)),
        of("g59.30", "G59.3", hold(97, 0)),
        with_many("M105 M114 M112", "M112", hold(96, 0)),
        with_many("M500 M117 done", "M500", hold(15, 0)),
        of("M42P4S255", "M42", hold(96, 0)),
    ]
}

fn motors() -> Vec<Fault> {
    let of = |line: &str, point: Expected| {
        let job = plain(&format!("has the line {line}"), |plan| {
            (plan.layers, plan.insert) = (8, vec![(3, format!("; planted\n{line}"))]);
        });
        let Value::Count(before) = line_of(&job, "; planted") else { unreachable!() };
        fault(job, point.value(0, Value::Count(before + 1)))
    };
    let baby = |line: &str, um: i64| {
        let job = plain(&format!("has the line {line}"), |plan| {
            (plan.layers, plan.insert) = (8, vec![(3, line.to_owned())]);
        });
        let at = line_of(&job, line.lines().next().unwrap_or_default());
        fault(job, hold(97, 1).values([super::um(um), at]))
    };
    vec![
        of("M84", hold(98, 0)),
        of("M18", hold(98, 0)),
        of("M84 X", hold(98, 0)),
        of("M18 Z E", hold(98, 0)),
        of("M84 X Y Z", hold(98, 0)),
        of("M84 E", look(98, 1)),
        baby("M290 X0.3", 300),
        baby("M290 Z0.11", 110),
        baby("M290 Z-0.05\nM290 S-0.06", 110),
    ]
}
