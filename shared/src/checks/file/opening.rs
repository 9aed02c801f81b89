//! 11: odd first bytes: a byte-order mark, or no text at all.

use crate::checks::prelude::*;

/// More than one foreign byte in this many: the file is no text (judgement: a damaged text holds far fewer).
const BINARY_ONE_IN: u64 = 10;

pub(crate) const CHECK: Check = Check {
    number: 11,
    id: "odd first bytes",
    group: Group::File,
    levels: &[Level::Look, Level::Hold],
    rule: "the file begins with a byte-order mark: LOOK, or HOLD by the room's rule (byte_mark_holds); more than 10 % of it is no text: NO VERDICT",
    source: "an owner's report of a misread file; judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

/// Whether the file is no text.
pub(crate) fn is_binary(input: &CheckInput<'_>) -> bool {
    input.survey.is_some_and(|survey| {
        let reading = &survey.reading;
        reading.bytes > 0 && reading.non_text_bytes.saturating_mul(BINARY_ONE_IN) > reading.bytes
    })
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if is_binary(input) {
        findings.mark_unread();
        findings.push(1, Level::Hold, Signal::Notice, []);
    } else if input.survey.is_some_and(|survey| survey.reading.byte_order_mark) {
        let level = if input.room.byte_mark_holds { Level::Hold } else { Level::Look };
        findings.push(0, level, Signal::None, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};
    use crate::checks::finding::Verdict;

    #[test]
    fn a_mark_is_looked_at() {
        assert!(Bench::surveyed(|_| {}).run(&CHECK).is_empty());
        assert_eq!(
            Bench::surveyed(|survey| survey.reading.byte_order_mark = true).levels(&CHECK),
            [(LOOK, 0)]
        );
        let mut bench = Bench::surveyed(|survey| survey.reading.byte_order_mark = true);
        bench.room.byte_mark_holds = true;
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
    }

    #[test]
    fn no_text_gives_no_verdict() {
        let with = |bytes| Bench::surveyed(|survey| survey.reading.non_text_bytes = bytes);
        assert!(with(100_000).run(&CHECK).is_empty());
        let bench = with(100_001);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 1)]);
        let mut findings = Findings::default();
        run(&bench.input(), &mut findings);
        assert_eq!(findings.verdict(), Verdict::NoVerdict);
    }
}
