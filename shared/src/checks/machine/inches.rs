//! 27: the file is in inches.

use crate::checks::prelude::*;

/// A job in inches taken for millimetres is smaller than this, nm (12 inches are 305 mm).
const SMALL_NM: i64 = 12_000_000;
/// And its layers lie in this range, µm: 0.004 to 0.02 inch are 0.1 to 0.5 mm.
const LAYERS_UM: core::ops::RangeInclusive<u32> = 4..=20;

pub(crate) const CHECK: Check = Check {
    number: 27,
    id: "inches",
    group: Group::Machine,
    levels: &[Level::Hold],
    rule: "the word that sets inches; or all beads within 12 mm in X and Y and layers of 0.004 to 0.02 mm",
    source: "RS274/NGC 3.5: G20; one inch is 25.4 mm",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

/// Whether the file is, or looks as if, in inches.
pub(crate) fn found(input: &CheckInput<'_>) -> Option<u32> {
    let survey = input.survey?;
    let motion = &survey.motion;
    if motion.inch_words.any() {
        return Some(motion.inch_words.first_line);
    }
    let [x, y, _] = survey.printed.size_nm();
    let small = !survey.printed.is_empty() && x < SMALL_NM && y < SMALL_NM;
    let thin = survey.layers.typical_um.is_some_and(|layer| LAYERS_UM.contains(&layer));
    (small && thin).then_some(0)
}

/// Whether its numbers look as if in inches, and no word says so: then no size is what it seems.
pub(crate) fn unworded(input: &CheckInput<'_>) -> bool {
    found(input) == Some(0)
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    match found(input) {
        None => {}
        Some(0) => findings.push(1, Level::Hold, Signal::Notice, []),
        Some(line) => findings.push(0, Level::Hold, Signal::Notice, [Value::Count(line)]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};
    use crate::survey::Bounds;

    #[test]
    fn the_word_holds() {
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
        assert_eq!(Bench::surveyed(|survey| survey.motion.inch_words.add(3)).levels(&CHECK), [(HOLD, 0)]);
    }

    #[test]
    fn the_look_of_inches_holds() {
        let with = |size_nm, layer_um| {
            Bench::surveyed(|survey| {
                survey.printed = Bounds { min_nm: [0; 3], max_nm: [size_nm, size_nm, 0] };
                survey.layers.typical_um = Some(layer_um);
            })
            .levels(&CHECK)
        };
        assert_eq!(with(11_999_999, 20), [(HOLD, 1)]);
        assert_eq!(with(11_999_999, 4), [(HOLD, 1)]);
        assert!(with(12_000_000, 20).is_empty());
        assert!(with(11_999_999, 21).is_empty());
        assert!(with(11_999_999, 3).is_empty());
    }

    #[test]
    fn sizes_that_are_inches_raise_nothing_else() {
        use crate::checks::machine::{first_layer_thin, layer_height, scrapes};
        let bench = |um: u32| {
            Bench::surveyed(|survey| {
                survey.printed = crate::survey::Bounds { min_nm: [3_000_000; 3], max_nm: [5_000_000; 3] };
                survey.layers.typical_um = Some(um);
                survey.first_layer.plane = Some(crate::survey::Plane { z_um: 8, line: 4 });
                survey.motion.low_travel_nm[0] = 90_000_000;
            })
        };
        let others = [first_layer_thin::CHECK, layer_height::CHECK, scrapes::CHECK];
        for check in &others {
            assert!(bench(8).run(check).is_empty(), "{}", check.id);
            assert!(!bench(3).run(check).is_empty(), "{}", check.id);
        }
    }
}
