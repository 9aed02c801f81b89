//! 70: the plate's face does not suit the grade.

use crate::checks::prelude::*;
use crate::records::{Base, Hold, PlateFace};

pub(crate) const CHECK: Check = Check {
    number: 70,
    id: "face wrong for grade",
    group: Group::Room,
    levels: &[Level::Look, Level::Hold],
    rule: "no plate of the sheet suits: PETG, TPU or PC on smooth polymer or bare glass without release film LOOK; PP, POM or PA \
           without a face of its own HOLD; where another plate of the sheet suits: LOOK",
    source: "common practice, no source",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

/// How a face bears a base.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Fit {
    /// It holds and lets go.
    Good,
    /// It welds to it and tears: release film first.
    Welds,
    /// It does not hold at all.
    LetsGo,
}

const fn fit(base: Base, face: PlateFace) -> Fit {
    match (base.row().hold, face) {
        (Hold::Welds, PlateFace::SmoothPolymer | PlateFace::Glass) => Fit::Welds,
        (Hold::OwnFace, PlateFace::Polypropylene) if matches!(base, Base::Pp) => Fit::Good,
        (Hold::OwnFace, PlateFace::Laminate) if !matches!(base, Base::Pp) => Fit::Good,
        (Hold::OwnFace, _) => Fit::LetsGo,
        (Hold::Plain | Hold::Welds, _) => Fit::Good,
    }
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(grade) = input.grade() else { return };
    let plates = &input.machine.plates;
    let fits = || plates.iter().map(|plate| fit(grade.base, plate.face));
    let (Some(worst), Some(best)) = (fits().max(), fits().min()) else { return };
    let symbol = Value::text(grade.base.row().symbol);
    match (best, worst) {
        (Fit::Good, Fit::Good) => {}
        (Fit::Welds, _) | (Fit::Good, Fit::Welds) if input.answers.release_film == Some(true) => {}
        // Several plates: which one is on the machine is for a person to see.
        (Fit::Good, _) => {
            let good = plates.iter().find(|plate| fit(grade.base, plate.face) == Fit::Good);
            let name = good.map_or(Value::None, |plate| Value::text(&plate.name));
            findings.push(2, Level::Look, Signal::Notice, [symbol, name]);
        }
        (Fit::Welds, _) => findings.push(0, Level::Look, Signal::Notice, [symbol]),
        (Fit::LetsGo, _) => findings.push(1, Level::Hold, Signal::Notice, [symbol]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK, levels};
    use crate::records::Plate;

    fn with(material: &str, faces: &[PlateFace]) -> Bench {
        let mut bench = Bench::job(material);
        bench.machine.plates = faces.iter().map(|face| Plate { face: *face, ..Plate::default() }).collect();
        bench
    }

    #[test]
    fn what_welds_is_looked_at_until_film_is_on() {
        let bench = with("PETG", &[PlateFace::SmoothPolymer]);
        let mut input = bench.input();
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
        input.answers.release_film = Some(true);
        assert!(levels(&CHECK, &input).is_empty());
        assert!(with("PETG", &[PlateFace::Textured]).run(&CHECK).is_empty());
        assert!(with("PLA", &[PlateFace::SmoothPolymer]).run(&CHECK).is_empty());
    }

    #[test]
    fn what_lets_go_holds_unless_another_plate_suits() {
        assert_eq!(with("PP", &[PlateFace::Textured]).levels(&CHECK), [(HOLD, 1)]);
        assert!(with("PP", &[PlateFace::Polypropylene]).run(&CHECK).is_empty());
        assert_eq!(with("PP", &[PlateFace::Textured, PlateFace::Polypropylene]).levels(&CHECK), [(LOOK, 2)]);
        assert_eq!(with("PETG", &[PlateFace::Glass, PlateFace::Textured]).levels(&CHECK), [(LOOK, 2)]);
        assert!(with("PP", &[]).run(&CHECK).is_empty(), "the sheet states no plates");
    }
}
