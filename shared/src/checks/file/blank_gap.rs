//! 2: blank or foreign bytes inside the file.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::file::opening;
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;
use crate::units::mul_div;

/// A run of this many bytes 00 or FF is an erased or unwritten part of a card (judgement: no text holds it).
const BLANK_BYTES: u64 = 64;
/// Foreign bytes beyond one in this many are damage (judgement).
const FOREIGN_ONE_IN: u64 = 1000;

pub(crate) const CHECK: Check = Check {
    number: 2,
    id: "blank inside file",
    group: Group::File,
    levels: &[Level::Hold],
    rule: "64 or more bytes 00 or FF in a row, or more than 0.1 % bytes that are no text",
    source: "judgement of the room's lead; flash memory reads FF where it is erased",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

/// Whether the file has such a gap, and where, in percent of the file.
pub(crate) fn gap(input: &CheckInput<'_>) -> Option<u16> {
    let reading = &input.survey?.reading;
    if opening::is_binary(input) {
        return None;
    }
    let at = if reading.blank.bytes >= BLANK_BYTES {
        reading.blank.at_byte
    } else if reading.non_text_bytes.saturating_mul(FOREIGN_ONE_IN) > reading.bytes {
        reading.non_text_at.unwrap_or(0)
    } else {
        return None;
    };
    let percent = mul_div(at, 100, reading.bytes.max(1))?;
    Some(u16::try_from(percent).unwrap_or(100))
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if let Some(percent) = gap(input) {
        findings.push(2, 0, Level::Hold, Signal::Notice, [Value::Percent(percent)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

    #[test]
    fn sixty_four_blank_bytes_hold() {
        let with = |bytes| {
            Bench::surveyed(|survey| {
                (survey.reading.blank.bytes, survey.reading.blank.at_byte) = (bytes, 370_000)
            })
        };
        assert!(with(63).run(&CHECK).is_empty());
        assert_eq!(with(64).levels(&CHECK), [(HOLD, 0)]);
        assert_eq!(with(64).run(&CHECK)[0].values[0], Value::Percent(37));
    }

    #[test]
    fn one_foreign_byte_in_a_thousand_is_borne() {
        let with = |bytes| Bench::surveyed(|survey| survey.reading.non_text_bytes = bytes);
        assert!(with(1000).run(&CHECK).is_empty());
        assert_eq!(with(1001).levels(&CHECK), [(HOLD, 0)]);
    }
}
