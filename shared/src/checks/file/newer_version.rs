//! 8: a newer version of the same work lies beside it.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 8,
    id: "not the newest",
    group: Group::File,
    levels: &[Level::Look],
    rule: "another file of the same stem (version tail such as _v2, (1), final taken off) was saved later",
    source: "judgement of the room's lead",
    live: Live::Card,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if let Some(newer) = input.file.newer {
        findings.push(0, Level::Look, Signal::None, [Value::name(newer)]);
    }
}

/// A file's name without its ending and its version tail: `BRACKET_v2.gcode` and `bracket (1).gco` are the same
/// work, compared without regard to case.
#[must_use]
pub fn stem(name: &str) -> &str {
    let mut stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    loop {
        let before = stem;
        stem = stem.trim_end_matches([' ', '_', '-']);
        stem = without_counter(stem);
        for word in ["final", "new", "neu", "copy", "kopie"] {
            stem = without_word(stem, word);
        }
        if stem == before || stem.is_empty() {
            return before;
        }
    }
}

/// Takes off `(12)`, or `v12` after a separator.
fn without_counter(stem: &str) -> &str {
    if let Some(inner) = stem.strip_suffix(')')
        && let Some((head, digits)) = inner.rsplit_once('(')
        && !digits.is_empty()
        && digits.bytes().all(|byte| byte.is_ascii_digit())
    {
        return head;
    }
    let head = stem.trim_end_matches(|character: char| character.is_ascii_digit());
    if head.len() < stem.len()
        && let Some(head) = head.strip_suffix(['v', 'V'])
        && head.ends_with([' ', '_', '-'])
    {
        return head;
    }
    stem
}

/// Takes off a word after a separator.
fn without_word<'a>(stem: &'a str, word: &str) -> &'a str {
    match stem.len().checked_sub(word.len()).and_then(|at| stem.split_at_checked(at)) {
        Some((head, tail)) if tail.eq_ignore_ascii_case(word) && head.ends_with([' ', '_', '-']) => head,
        _ => stem,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, levels};

    #[test]
    fn a_newer_file_is_looked_at() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.file.newer = Some("BRACKET_V3.GCO");
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
    }

    #[test]
    fn version_tails_are_taken_off() {
        for name in [
            "bracket.gco",
            "bracket_v2.gcode",
            "bracket (1).gco",
            "bracket-final.gco",
            "bracket_v2_FINAL (3).gco",
        ] {
            assert_eq!(stem(name), "bracket", "{name}");
        }
        for (name, whole) in
            [("M8.gco", "M8"), ("v2.gco", "v2"), ("gear12.gco", "gear12"), ("()", "()"), (".gco", "")]
        {
            assert_eq!(stem(name), whole, "{name}");
        }
    }
}
