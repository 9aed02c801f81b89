//! 9: two files look the same in the machine's own list.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 9,
    id: "same name twice",
    group: Group::File,
    levels: &[Level::Look],
    rule: "another file shows the same name there: the first name_max characters of the machine sheet",
    source: "machine sheet",
    live: Live::Card,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if let Some(twin) = input.file.twin {
        findings.push(0, Level::Look, Signal::None, [Value::name(twin)]);
    }
}

/// Whether two names look the same where only so many characters are shown.
#[must_use]
pub fn looks_alike(a: &str, b: &str, shown: usize) -> bool {
    let mut left = a.chars().take(shown);
    let mut right = b.chars().take(shown);
    loop {
        match (left.next(), right.next()) {
            (None, None) => return true,
            (Some(a), Some(b)) if a.eq_ignore_ascii_case(&b) => {}
            _ => return false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, levels};

    #[test]
    fn a_twin_is_looked_at() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.file.twin = Some("BRACKET_LONG_2.GCO");
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
    }

    #[test]
    fn names_are_compared_as_far_as_they_are_shown() {
        assert!(looks_alike("bracket_left.gco", "BRACKET_right.gco", 8));
        assert!(!looks_alike("bracket_left.gco", "BRACKET_right.gco", 9));
        assert!(!looks_alike("a", "ab", 8));
        assert!(looks_alike("a", "A", 8));
    }
}
