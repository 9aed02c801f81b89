//! One line in a buffer, written without the formatting machinery: a small board has no room for it.

use chrono::{Datelike, Timelike};
use crc::{CRC_32_ISO_HDLC, Crc, NoTable};

use super::text::{Into, begins_after, escaped, wants_quotes};
use crate::time::WallClock;

/// Without a table: a row is summed once an hour, and 1 KiB of flash is worth more than the time.
static CRC: Crc<u32, NoTable> = Crc::<u32, NoTable>::new(&CRC_32_ISO_HDLC);

/// The sum at a line's end.
pub(super) fn sum(bytes: &[u8]) -> u32 {
    CRC.checksum(bytes)
}

/// Digits of the sum.
pub(super) const SUM_DIGITS: usize = 8;

/// The mark of a text that was cut.
const CUT: char = '…';

/// A line that grows in a buffer. What would not fit is left out; the bounds of rows and events are such that all fits.
pub(super) struct BookLine<'b> {
    bytes: &'b mut [u8],
    used: usize,
}

impl<'b> BookLine<'b> {
    pub(super) fn new(bytes: &'b mut [u8]) -> Self {
        Self { bytes, used: 0 }
    }

    pub(super) fn put(&mut self, byte: u8) {
        debug_assert!(self.used < self.bytes.len(), "the bound of a line is too small");
        if let Some(place) = self.bytes.get_mut(self.used) {
            *place = byte;
            self.used = self.used.saturating_add(1);
        }
    }

    /// Text that needs no care.
    pub(super) fn plain(&mut self, text: &str) {
        for byte in text.bytes() {
            self.put(byte);
        }
    }

    /// `value` · 10^-`places`, all its digits and no zeros after them.
    pub(super) fn decimal(&mut self, value: i64, places: u8) {
        let (mut rest, mut places) = (value.unsigned_abs(), places);
        // 20 digits and a point, from the last on.
        let mut digits = [0; 21];
        let mut used = 0_usize;
        let mut significant = places == 0;
        loop {
            let digit = b'0'.wrapping_add((rest % 10) as u8);
            rest /= 10;
            significant |= digit != b'0' || places == 0;
            if significant {
                let point = places == 1;
                for (place, byte) in digits.iter_mut().skip(used).zip([digit, b'.']) {
                    *place = byte;
                }
                used = used.saturating_add(if point { 2 } else { 1 });
            }
            if rest == 0 && places == 0 {
                break;
            }
            places = places.saturating_sub(1);
        }
        if value < 0 {
            self.put(b'-');
        }
        for digit in digits.iter().take(used).rev() {
            self.put(*digit);
        }
    }

    /// Eight hexadecimal digits in capitals.
    pub(super) fn hex(&mut self, value: u32) {
        let mut rest = value;
        for _ in 0..SUM_DIGITS {
            rest = rest.rotate_left(4);
            let digit = (rest & 15) as u8;
            self.put(if digit < 10 { b'0' } else { b'A' - 10 }.wrapping_add(digit));
        }
    }

    /// ISO 8601: `2026-11-25T10:52:10+01:00`, without the offset where none is known. Nothing for a year that has not
    /// four digits.
    pub(super) fn time(&mut self, wall: WallClock, utc_offset_min: Option<i16>) {
        let Some(year) = u32::try_from(wall.year()).ok().filter(|year| (1_000..10_000).contains(year)) else {
            return;
        };
        self.decimal(year.into(), 0);
        for (mark, number) in [
            (b'-', wall.month()),
            (b'-', wall.day()),
            (b'T', wall.hour()),
            (b':', wall.minute()),
            (b':', wall.second()),
        ] {
            self.two(mark, number);
        }
        if let Some(offset) = utc_offset_min {
            let minutes = u32::from(offset.unsigned_abs());
            self.two(if offset < 0 { b'-' } else { b'+' }, minutes / 60);
            self.two(b':', minutes % 60);
        }
    }

    fn two(&mut self, mark: u8, number: u32) {
        self.put(mark);
        if number < 10 {
            self.put(b'0');
        }
        self.decimal(number.into(), 0);
    }

    /// A text from outside, quotes included where it has them: `most` bytes at most between them, the last of which are
    /// `…` where more of it was cut off.
    pub(super) fn text(&mut self, text: &str, most: usize, into: Into) {
        let (mut bytes, mut first) = (0_usize, true);
        let mut quoted = into == Into::Json;
        for letter in text.chars() {
            let (mark, written) = escaped(letter, first, into);
            bytes = bytes.saturating_add(written.len_utf8()).saturating_add(mark.is_some().into());
            first = begins_after(letter, first);
            quoted |= wants_quotes(written);
        }
        let mut room = if bytes > most { most.saturating_sub(CUT.len_utf8()) } else { most };
        if quoted {
            self.put(b'"');
        }
        first = true;
        let mut whole = true;
        for letter in text.chars() {
            let (mark, written) = escaped(letter, first, into);
            first = begins_after(letter, first);
            let left =
                room.checked_sub(written.len_utf8()).and_then(|left| left.checked_sub(mark.is_some().into()));
            let Some(left) = left else {
                whole = false;
                break;
            };
            room = left;
            if let Some(mark) = mark {
                self.put(mark);
            }
            self.letter(written);
        }
        if !whole {
            self.letter(CUT);
        }
        if quoted {
            self.put(b'"');
        }
    }

    fn letter(&mut self, letter: char) {
        self.plain(letter.encode_utf8(&mut [0; 4]));
    }

    /// The sum of all that was written, and what ends the line after it.
    pub(super) fn end(mut self, after: &str) -> &'b [u8] {
        let sum = sum(self.bytes.get(..self.used).unwrap_or_default());
        self.hex(sum);
        self.plain(after);
        self.bytes.get(..self.used).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use std::string::String;

    use chrono::NaiveDate;

    use super::*;

    fn written(write: impl FnOnce(&mut BookLine<'_>)) -> String {
        let mut buffer = [0; 200];
        let mut line = BookLine::new(&mut buffer);
        write(&mut line);
        let used = line.used;
        String::from_utf8(buffer[..used].to_vec()).unwrap()
    }

    #[test]
    fn decimals_have_all_their_digits_and_no_more() {
        for (value, places, text) in [
            (0, 3, "0"),
            (5, 3, "0.005"),
            (-5, 3, "-0.005"),
            (62_400, 3, "62.4"),
            (62_000, 3, "62"),
            (1_000, 0, "1000"),
            (194, 2, "1.94"),
            (-10, 1, "-1"),
            (i64::MAX, 3, "9223372036854775.807"),
            (i64::MIN, 3, "-9223372036854775.808"),
            (i64::MIN, 0, "-9223372036854775808"),
        ] {
            assert_eq!(written(|line| line.decimal(value, places)), text);
        }
    }

    #[test]
    fn times_are_iso_8601_with_the_offset_that_is_known() {
        let wall = NaiveDate::from_ymd_opt(2026, 1, 5).unwrap().and_hms_opt(7, 8, 9).unwrap();
        assert_eq!(written(|line| line.time(wall, Some(60))), "2026-01-05T07:08:09+01:00");
        assert_eq!(written(|line| line.time(wall, Some(-210))), "2026-01-05T07:08:09-03:30");
        assert_eq!(written(|line| line.time(wall, Some(0))), "2026-01-05T07:08:09+00:00");
        assert_eq!(written(|line| line.time(wall, None)), "2026-01-05T07:08:09");
        for wall in [WallClock::MIN, WallClock::MAX] {
            assert_eq!(written(|line| line.time(wall, Some(60))), "");
        }
    }

    #[test]
    fn the_sum_is_the_published_one() {
        // The check value of CRC-32/ISO-HDLC.
        assert_eq!(sum(b"123456789"), 0xCBF4_3926);
        assert_eq!(written(|line| line.hex(0x0A1B_2C3D)), "0A1B2C3D");
    }

    #[test]
    fn cells_are_quoted_and_formulas_defused() {
        for (text, cell) in [
            ("BRACKET_V3", "BRACKET_V3"),
            ("Größe, 2 mm", "\"Größe, 2 mm\""),
            ("a \"b\"", "\"a \"\"b\"\"\""),
            ("=1+1", "'=1+1"),
            ("+49", "'+49"),
            ("-v2", "'-v2"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("＝1", "'＝1"),
            ("'quoted", "''quoted"),
            ("a;=cmd;b;-1", "\"a;'=cmd;b;'-1\""),
            ("a=b-c", "a=b-c"),
            ("line\r\nline\t\u{2028}", "line??line??"),
            ("", ""),
        ] {
            assert_eq!(written(|line| line.text(text, 40, Into::Cell)), cell);
        }
        assert_eq!(written(|line| line.text("a\"b\\c\n=1;'", 40, Into::Json)), r#""a\"b\\c?=1;'""#);
    }

    #[test]
    fn a_long_text_is_cut_at_a_character_with_a_mark() {
        assert_eq!(written(|line| line.text("äöüß", 8, Into::Cell)), "äöüß");
        assert_eq!(written(|line| line.text("äöüßé", 8, Into::Cell)), "äö…");
        assert_eq!(written(|line| line.text("\"\"\"\"", 6, Into::Cell)), "\"\"\"…\"");
        assert_eq!(written(|line| line.text("aaa;===", 6, Into::Cell)), "\"aaa…\"");
    }
}
