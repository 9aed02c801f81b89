//! Quantities as people read them. Every number keeps its unit; one that is too large for its field says so
//! (`>99 kg`) rather than lose a digit.

use core::fmt::Write;

use chrono::{Datelike, Timelike};

use super::figures::{ClockTime, Day, Figure};
use super::letters::ABOUT;
use super::text::{COLUMNS, Line, TextBody};
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};
use crate::words::checks::number;
use crate::words::{Counted, DateForm, Words};

/// What stands for a number that is not known.
pub(super) const UNKNOWN: &str = "-";

/// Which way a number is rounded: always against the job, so that a shortage never looks like enough.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Round {
    /// For what is needed.
    Up,
    /// For what is there.
    Down,
}

macro_rules! put {
    ($out:expr, $($arg:tt)*) => {
        // A line holds every number in full; a text beyond it is cut by the drawing anyway.
        let _ = write!($out, $($arg)*);
    };
}
pub(super) use put;

/// `62 g`, below 10 g `2.4 g`.
pub(super) fn mass(out: &mut Line, mass: Milligrams, round: Round, words: &Words) {
    let mg = mass.0;
    let up = |step: u64| if round == Round::Up { step - 1 } else { 0 };
    let size = mg.unsigned_abs();
    // Rounding up a negative number makes it smaller.
    let round_up = |step: u64| if mg < 0 { step - 1 - up(step) } else { up(step) };
    let sign = if mg < 0 { "-" } else { "" };
    if size >= 99_999_000 {
        put!(out, "{}99 kg", if mg < 0 { "<-" } else { ">" });
    } else if size < 9_900 {
        let tenths = (size + round_up(100)) / 100;
        put!(out, "{sign}{}{}{} g", tenths / 10, words.decimal, tenths % 10);
    } else {
        put!(out, "{sign}{} g", (size + round_up(1000)) / 1000);
    }
}

/// `12.7 m`, from 100 m on `123 m`; rounded up, as it is what is needed.
pub(super) fn metres(out: &mut Line, length: Micrometres, words: &Words) {
    let um = length.0;
    let (sign, size) = (if um < 0 { "-" } else { "" }, um.unsigned_abs());
    if size >= 9_999_000_000 {
        put!(out, "{}9 km", if um < 0 { "<-" } else { ">" });
    } else if size < 99_900_000 {
        let tenths = size.div_ceil(100_000);
        put!(out, "{sign}{}{}{} m", tenths / 10, words.decimal, tenths % 10);
    } else {
        put!(out, "{sign}{} m", size.div_ceil(1_000_000));
    }
}

/// `45 s`, `45 min`, `2h40`, from 100 h on `120 h`.
pub(super) fn seconds(out: &mut Line, span: Seconds) {
    let _ = number::span(out, span);
}

/// `215°C`.
pub(super) fn celsius(out: &mut Line, temperature: Celsius) {
    let _ = number::temperature(out, temperature);
}

/// `13:35`.
pub(super) fn time(out: &mut Line, time: &impl Timelike) {
    let _ = number::clock(out, time);
}

/// The day of an o'clock time in a few letters, nothing for today: tomorrow is named by its weekday too.
pub(super) fn short_day_unless_today(out: &mut Line, clock: &ClockTime, words: &Words) {
    match clock.day {
        Day::Today | Day::NotKept => {}
        Day::Tomorrow => day(out, &ClockTime { day: Day::Weekday, ..*clock }, words),
        Day::Yesterday | Day::Weekday | Day::Date | Day::OtherYear => day(out, clock, words),
    }
}

/// The day of a moment.
pub(super) fn day(out: &mut Line, clock: &ClockTime, words: &Words) {
    let at = clock.at;
    match clock.day {
        Day::NotKept => {}
        Day::Yesterday => {
            put!(out, "{}", words.yesterday);
        }
        Day::Today => {
            put!(out, "{}", words.today);
        }
        Day::Tomorrow => {
            put!(out, "{}", words.tomorrow);
        }
        Day::Weekday => {
            let index = at.weekday().num_days_from_monday() as usize;
            put!(out, "{}", words.weekdays.get(index).unwrap_or(&UNKNOWN));
        }
        Day::Date => match words.date_form {
            DateForm::DayThenName => {
                let name = words.months.get(at.month0() as usize).unwrap_or(&UNKNOWN);
                put!(out, "{} {name}", at.day());
            }
            DateForm::DayDotMonth => {
                put!(out, "{}.{}.", at.day(), at.month());
            }
        },
        Day::OtherYear => match words.date_form {
            DateForm::DayThenName => {
                let name = words.months.get(at.month0() as usize).unwrap_or(&UNKNOWN);
                put!(out, "{} {name} {:04}", at.day(), at.year());
            }
            DateForm::DayDotMonth => {
                put!(out, "{}.{}.{:04}", at.day(), at.month(), at.year());
            }
        },
    }
}

/// `today 10:42`, `24 Nov 10:42`, `24 Nov 2025`.
pub(super) fn saved(out: &mut Line, clock: &ClockTime, words: &Words) {
    day(out, clock, words);
    if clock.day != Day::OtherYear {
        put!(out, " ");
        time(out, &clock.at);
    }
}

/// The mark of an estimated figure, then the figure; `-` for none.
pub(super) fn figure<T: Copy>(figure: Option<Figure<T>>, write: impl FnOnce(&mut Line, T)) -> Line {
    let mut out = Line::new();
    match figure {
        None => {
            put!(out, "{UNKNOWN}");
        }
        Some(Figure { value, estimated }) => {
            if estimated {
                put!(out, "{ABOUT}");
            }
            write(&mut out, value);
        }
    }
    out
}

/// A mark as moulded on plastics (ISO 11469): `>PLA<`, `>-<` where it is not known.
pub(super) fn mark(symbol: Option<&str>) -> Line {
    let mut out = Line::new();
    put!(out, ">");
    // More than a row has room for: the drawing cuts it, with its mark.
    symbol.unwrap_or(UNKNOWN).chars().take(COLUMNS).for_each(|c| {
        put!(out, "{c}");
    });
    put!(out, "<");
    out
}

/// A mass, or that it is not known.
pub(super) fn mass_or_unknown(value: Option<Figure<Milligrams>>, round: Round, words: &Words) -> Line {
    with_unit(figure(value, |out, value| mass(out, value, round, words)), "g")
}

/// A length of filament, with the mark of an estimate.
pub(super) fn metres_figure(value: Figure<Micrometres>, words: &Words) -> Line {
    figure(Some(value), |out, value| metres(out, value, words))
}

/// Adds the unit to a number that is not known.
fn with_unit(mut text: Line, unit: &str) -> Line {
    if text == UNKNOWN {
        put!(text, " {unit}");
    }
    text
}

/// `±20 g`, an error's size rounded up.
pub(super) fn give_or_take(error: Option<Milligrams>, words: &Words) -> Line {
    let mut out = Line::new();
    put!(out, "±");
    put!(out, "{}", mass_or_unknown(error.map(Figure::known), Round::Up, words));
    out
}

/// A temperature, or that it is not known.
pub(super) fn celsius_or_unknown(value: Option<Celsius>) -> Line {
    with_unit(figure(value.map(Figure::known), celsius), "°C")
}

/// `before 3 jobs`; without `before`, `3 jobs`.
pub(super) fn counted(out: &mut Line, count: u32, word: &Counted, before: &str) {
    if !before.is_empty() {
        put!(out, "{before} ");
    }
    put!(out, "{count} {}", word.of(count));
}

/// `{0}` to `{9}` of a wording replaced by what `write` writes for the place, the rest as it stands. `write` says
/// whether it is a number, which is never parted from its unit; `None` = there is nothing for that place.
pub(super) fn fill(wording: &str, write: &dyn Fn(usize, &mut Line) -> Option<bool>) -> TextBody {
    let mut out = TextBody::new();
    let mut rest = wording;
    while let Some((before, after)) = rest.split_once('{') {
        push(&mut out, before.chars());
        let mut text = Line::new();
        let place = after.chars().next().and_then(|c| c.to_digit(10));
        let tail = after.get(1..).and_then(|tail| tail.strip_prefix('}'));
        let number = place.zip(tail).and_then(|(place, _)| write(place as usize, &mut text));
        rest = match (number, tail) {
            (Some(number), Some(tail)) => {
                push(&mut out, text.chars().map(|c| if c == ' ' && number { '\u{A0}' } else { c }));
                tail
            }
            _ => {
                push(&mut out, "{".chars());
                after
            }
        };
    }
    push(&mut out, rest.chars());
    out
}

/// Adds what fits, character by character.
fn push(out: &mut TextBody, text: impl Iterator<Item = char>) {
    for c in text {
        if out.push(c).is_err() {
            break;
        }
    }
}

#[cfg(test)]
mod tests {
    use std::string::{String, ToString};

    use super::*;
    use crate::records::Language;
    use crate::words::words;

    fn with(write: impl FnOnce(&mut Line, &Words)) -> String {
        let mut out = Line::new();
        write(&mut out, words(Language::English));
        out.to_string()
    }

    #[test]
    fn masses_round_against_the_job() {
        let up = |mg| with(|out, words| mass(out, Milligrams(mg), Round::Up, words));
        let down = |mg| with(|out, words| mass(out, Milligrams(mg), Round::Down, words));
        assert_eq!((up(62_000), down(62_000)), ("62 g".into(), "62 g".into()));
        assert_eq!((up(62_001), down(62_999)), ("63 g".into(), "62 g".into()));
        assert_eq!((up(2_301), down(2_399)), ("2.4 g".into(), "2.3 g".into()));
        assert_eq!((up(9_899), up(9_900)), ("9.9 g".into(), "10 g".into()));
        assert_eq!((up(-12_500), down(-12_500)), ("-12 g".into(), "-13 g".into()));
        assert_eq!(
            (up(0), up(i64::MAX), down(i64::MIN)),
            ("0.0 g".into(), ">99 kg".into(), "<-99 kg".into())
        );
    }

    #[test]
    fn lengths() {
        let m = |um| with(|out, words| metres(out, Micrometres(um), words));
        assert_eq!((m(12_681_000), m(12_700_000)), ("12.7 m".into(), "12.7 m".into()));
        assert_eq!((m(99_899_999), m(99_900_001)), ("99.9 m".into(), "100 m".into()));
        assert_eq!((m(0), m(i64::MIN), m(i64::MAX)), ("0.0 m".into(), "<-9 km".into(), ">9 km".into()));
    }

    #[test]
    fn spans_carry_into_the_next_unit() {
        let s = |seconds| with(|out, _| self::seconds(out, Seconds(seconds)));
        assert_eq!((s(0), s(59), s(60), s(89), s(90)), {
            ("0 s".into(), "59 s".into(), "1 min".into(), "1 min".into(), "2 min".into())
        });
        assert_eq!((s(3569), s(3570), s(9600)), ("59 min".into(), "1h00".into(), "2h40".into()));
        assert_eq!((s(359_969), s(360_000), s(u32::MAX)), ("99h59".into(), "100 h".into(), ">9999 h".into()));
    }
}
