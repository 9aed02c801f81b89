//! 2: blank or foreign bytes inside the file, and control characters, which some controller takes for a line end, the
//! file's end or a command of its own.

use crate::checks::file::opening;
use crate::checks::prelude::*;
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
    rule: "64 or more bytes 00 or FF in a row, more than 0.1 % bytes that are no text, or a control character other than \
           tab and line ends anywhere, Unicode's line ends (U+0085, U+2028, U+2029) included",
    source: "judgement of the room's lead; flash memory reads FF where it is erased; no text editor writes control characters",
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
        findings.push(0, Level::Hold, Signal::Notice, [Value::Percent(percent)]);
    } else if let Some(survey) = input.survey
        && survey.reading.controls.met.any()
        && !opening::is_binary(input)
    {
        let controls = &survey.reading.controls;
        let at = Value::Count(u32::try_from(controls.at_byte).unwrap_or(u32::MAX));
        let values = [Value::Count(controls.met.first_line), Value::Count(controls.value.into()), at];
        findings.push(1, Level::Hold, Signal::Notice, values);
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
    fn one_control_character_holds_with_its_place() {
        let found = Bench::surveyed(|survey| {
            survey.reading.controls.met.add(7);
            (survey.reading.controls.at_byte, survey.reading.controls.value) = (90, 11);
        })
        .run(&CHECK);
        assert_eq!((found[0].level, found[0].wording), (HOLD, 1));
        assert_eq!(found[0].values[..3], [Value::Count(7), Value::Count(11), Value::Count(90)]);
    }

    #[test]
    fn one_foreign_byte_in_a_thousand_is_borne() {
        let with = |bytes| Bench::surveyed(|survey| survey.reading.non_text_bytes = bytes);
        assert!(with(1000).run(&CHECK).is_empty());
        assert_eq!(with(1001).levels(&CHECK), [(HOLD, 0)]);
    }
}
