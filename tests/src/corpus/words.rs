//! Sound jobs with every word that changes no geometry, and words that are followed.

use super::Job;
use super::faulty::plain;

/// Lines that tune or report, in the forms that jobs have them.
const SILENT: &[&str] = &[
    "G54",
    "G40",
    "G49",
    "G69",
    "G50",
    "G15",
    "G52 X0 Y0 Z0",
    "G61",
    "G64",
    "G91.1",
    "G9",
    "M5",
    "M9",
    "M16 BENCH",
    "M17",
    "M20",
    "M27",
    "M31",
    "M34 S1",
    "M36",
    "M37 S0",
    "M70 P2 halfway",
    "M73 P45 R12",
    "M73 Q50 S10",
    "M75",
    "M76",
    "M77",
    "M78",
    "M92",
    "M100",
    "M105",
    "M106 P1 S255",
    "M107 P1",
    "M108",
    "M110 N1",
    "M111 S6",
    "M113 S2",
    "M114",
    "M115",
    "M115 U3.10.1",
    "M117 Layer 3 of 8; M112",
    "M118 layer 3 is done",
    "M119",
    "M122",
    "M123",
    "M149 C",
    "M150 R255 U0 B0",
    "M154 S0",
    "M155 S1",
    "M202 X1000",
    "M207 S0.8 F2100",
    "M208 S0 F2100",
    "M209 S0",
    "M206",
    "M211 S1",
    "M211",
    "M218",
    "M240",
    "M250 C20",
    "M256 B100",
    "M300 S440 P20",
    "M301",
    "M302 P0",
    "M302",
    "M304",
    "M320",
    "M355 S1",
    "M376 Z10",
    "M400",
    "M403 E0 F0",
    "M406",
    "M407",
    "M408 S0",
    "M412 S1",
    "M413 S1",
    "M414 S1",
    "M420 S1 Z10",
    "M420 L0",
    "M425",
    "M430",
    "M451",
    "M486 T3",
    "M486 S0",
    "M486 AClip_M112_G55",
    "M486 S-1",
    "M493 S1",
    "M503",
    "M561",
    "M564 S1",
    "M566 X600",
    "M569",
    "M572 D0 S0.04",
    "M573 P0",
    "M591 S1",
    "M593 F40",
    "M595 P40",
    "M665",
    "M710 S255",
    "M820",
    "M851",
    "M862.1 P0.4",
    "M862.3 P \"BENCH\"",
    "M862.6 P\"mesh\"",
    "M900 K0.04",
    "M905 K0.04",
    "M906",
    "M911",
    "M912",
    "m0117 lower case",
    "M 0900 K0.05",
];

/// Words whose effect is followed.
const FOLLOWED: &[&str] = &["G53 G0 Z20", "G92.1", "M220 S100", "M400 P1", "M6 T0", "M290"];

/// All of them.
#[must_use]
pub(super) fn jobs() -> Vec<Job> {
    let mut jobs: Vec<Job> = SILENT
        .chunks(12)
        .enumerate()
        .map(|(index, lines)| {
            plain(&format!("silent words, set {index}"), |plan| {
                (plan.layers, plan.insert) = (8, vec![(3, lines.join("\n"))]);
            })
        })
        .collect();
    jobs.extend(FOLLOWED.iter().map(|line| {
        plain(&format!("followed: {line}"), |plan| {
            (plan.layers, plan.insert) = (8, vec![(3, (*line).to_owned())]);
        })
    }));
    jobs.push(plain("a baby step of two hundredths", |plan| {
        (plan.layers, plan.insert) = (8, vec![(0, "M290 Z0.02".to_owned())]);
    }));
    jobs.push(plain("motors off before it homes", |_| {}).with("G28\n", "M84\nG28\n"));
    jobs.push(
        plain("words that the sheet lists", |_| {}).with("G28\n", "G12\nM605 S1\nM870\nG28\n").machine(
            |machine| {
                machine.start_words.clear();
                for word in ["g12", "M605", "M870"] {
                    machine.start_words.push(word.try_into().expect("short")).expect("room for three");
                }
            },
        ),
    );
    jobs.push(plain("one axis off and homed again", |plan| {
        (plan.layers, plan.insert) = (8, vec![(3, "M84 X\nG28 X".to_owned())]);
    }));
    jobs
}
