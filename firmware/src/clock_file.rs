//! How the clock is set: by `HOLDPT/CLOCK.JSN` on a card and a press of the knob.
//!
//! The file holds `{"local":"2026-11-25T14:42"}`: a minute of the room's local time, a little ahead. With the card in, the
//! screen asks whether to set the clock to it; who presses the knob when that minute begins has set it to the second.
//! Whatever else is done leaves the clock as it is, so an old file, or somebody else's, does no harm. It is asked once
//! for each insertion, not while a run is on, and never again for the time that was taken last.

use chrono::NaiveDate;
use holdpoint_shared::screens::Frame;
use holdpoint_shared::time::WallClock;
use serde::Deserialize;

use crate::fault::page;

/// The file's name in the folder `HOLDPT`.
pub const NAME: &str = "CLOCK.JSN";
/// Bytes of the longest file that is read.
pub const BYTES: usize = 64;

/// Characters of `2026-11-25T14:42`.
const MINUTE: usize = 16;

#[derive(Deserialize)]
struct File<'t> {
    local: &'t str,
}

/// The minute that a file names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Proposal {
    /// As it was written: every character is a digit or stands where the form has it.
    written: [u8; MINUTE],
    /// What it means.
    pub wall: WallClock,
}

impl Proposal {
    /// Reads a file; `None` when it is not as described, or names no minute between 2000 and 2099.
    #[must_use]
    pub fn read(text: &[u8]) -> Option<Self> {
        let text = text.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(text);
        let (file, _) = serde_json_core::from_slice::<File<'_>>(text).ok()?;
        let written: [u8; MINUTE] = file.local.as_bytes().try_into().ok()?;
        let [b'2', b'0', y1, y0, b'-', m1, m0, b'-', d1, d0, b'T', h1, h0, b':', n1, n0] = written else {
            return None;
        };
        let number = |tens: u8, ones: u8| {
            let digits = tens.is_ascii_digit() && ones.is_ascii_digit();
            digits.then(|| u32::from(tens - b'0') * 10 + u32::from(ones - b'0'))
        };
        let year = 2000 + number(y1, y0)?.cast_signed();
        let day = NaiveDate::from_ymd_opt(year, number(m1, m0)?, number(d1, d0)?)?;
        Some(Self { written, wall: day.and_hms_opt(number(h1, h0)?, number(n1, n0)?, 0)? })
    }

    /// As it was written.
    #[must_use]
    pub fn written(&self) -> &[u8] {
        &self.written
    }

    /// The question.
    #[must_use]
    pub fn question(&self) -> Frame {
        let [day, time] = [&self.written[..10], &self.written[11..]]
            .map(|part| core::str::from_utf8(part).unwrap_or_default());
        page(["SET THE CLOCK TO", day, time, "Press when it is so.", "No: turn the knob.", ""])
    }
}

/// After the press.
#[must_use]
pub fn answer(taken: bool) -> Frame {
    if taken {
        page(["CLOCK SET", "", "Compare it with a", "clock you trust.", "", ""])
    } else {
        page(["CLOCK NOT SET", "", "The clock chip does", "not answer. See its", "wires and battery.", ""])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_minute_is_read_as_it_is_written() {
        let proposal = Proposal::read(b"{ \"local\": \"2026-11-25T14:42\" }\r\n").unwrap();
        assert_eq!(proposal.wall, "2026-11-25T14:42:00".parse().unwrap());
        let marked = Proposal::read(b"\xEF\xBB\xBF{\"local\":\"2028-02-29T00:00\"}").unwrap();
        assert_eq!(marked.wall, "2028-02-29T00:00:00".parse().unwrap());
    }

    #[test]
    fn what_is_no_minute_is_refused() {
        for text in [
            "",
            "{}",
            "[]",
            "{\"local\":5}",
            "{\"local\":\"2026-11-25\"}",
            "{\"local\":\"2026-11-25 14:42\"}",
            "{\"local\":\"2026-11-25T14:42:30\"}",
            "{\"local\":\"2026-02-29T14:42\"}",
            "{\"local\":\"2026-11-25T24:00\"}",
            "{\"local\":\"2026-11-25T14:60\"}",
            "{\"local\":\"1999-11-25T14:42\"}",
            "{\"local\":\"2026-11-2/T14:42\"}",
            "{\"local\":\"2026-11-25T14:4\u{e4}\"}",
        ] {
            assert_eq!(Proposal::read(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn the_questions_differ_by_their_minute() {
        let question = |text: &str| Proposal::read(text.as_bytes()).unwrap().question();
        assert_ne!(
            question("{\"local\":\"2026-11-25T14:42\"}"),
            question("{\"local\":\"2026-11-25T14:43\"}")
        );
        assert_ne!(answer(true), answer(false));
    }
}
