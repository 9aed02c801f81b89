//! Feed, heat and names of materials right within their limits; `faulty/limits` has what is right beyond them.

use super::Retract;
use super::cases::{ABS, PC, PETG, PLA};
use super::faulty::limits::{
    factor, one_thick_bead, own_retracts, short_of_a_prime, slow, ways, without_bed_wait,
};
use super::faulty::named::{second_tool, stating};
use super::near::Near;
use super::plan::Note;
use super::rooms::bench;
use super::sound::job;
use crate::corpus::Shape;

pub(super) fn jobs() -> Vec<Near> {
    let near = |check, job| Near { check, job };
    vec![
        near(101, slow("5.1 mm/s", [5, 5], 3, ["300", "306"])),
        near(101, slow("first layer at 3.1 mm/s", [3, 20], 30, ["180", "186"])),
        near(102, short_of_a_prime("0.38 of 0.8 mm missing", 1, "0.42")),
        near(102, short_of_a_prime("all but a little comes back", 30, "0.6")),
        near(103, ways("sixty ways", 58, 20, |plan| plan.shape = Shape::Block(60.0, 40.0))),
        near(103, ways("many short ways", 90, 3, |_| {})),
        near(
            103,
            ways("forty-five ways over a small part", 43, 8, |plan| {
                (plan.shape, plan.layers) = (Shape::Block(8.0, 6.0), 3);
            }),
        ),
        near(105, one_thick_bead("one bead of 111 %", 11.0)),
        near(105, one_thick_bead("one bead of 89 %", -11.0)),
        near(38, own_retracts("the machine's own retract of 4 mm", "M207 S4 F2100")),
        near(38, own_retracts("a return that pushes a little more", "M207 S1\nM208 S0.05")),
        near(38, {
            // Pulls are moves of the filament here: nothing calls the machine's own.
            job("a long own retract that nothing asks for", &PLA, bench(), |plan| {
                (plan.note, plan.dialect.retract) = (Note::MaterialOnly, Retract::Moves(0.8));
                plan.insert = vec![(0, "M207 S31".to_owned())];
            })
        }),
        near(39, factor("flow 120 % for four layers", 120)),
        near(39, factor("flow 85 % for four layers", 85)),
        near(49, without_bed_wait(&ABS, "G4 S420\n")),
        near(49, without_bed_wait(&PC, "M116\n").with("M116\n", "M190 R115\n")),
        // 240 °C take the nozzle so long that the bed of 220 W is within ten kelvins by then.
        near(
            49,
            job("bed nearly there with the nozzle", &PETG, bench(), |plan| plan.note = Note::MaterialOnly)
                .with("M190 S80\n", ""),
        ),
        near(
            49,
            job("PLA sticks to a bed that is cold", &PLA, bench(), |plan| plan.note = Note::MaterialOnly)
                .with("M190 S60\n", ""),
        ),
        near(55, stating("a filament that is a material", "filament: PLA")),
        near(55, stating("a spool that is a material", "spool = [PLA]")),
        near(55, stating("a number, and a material", "filament: black\n; spool: PLA")),
        near(56, second_tool("the second tool's material", "spool_material = ASA;ABS", "ABS")),
        near(56, second_tool("the same for both", "material: \"ABS\"; \"ABS\"", "ABS")),
    ]
}
