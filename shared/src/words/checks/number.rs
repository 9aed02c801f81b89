//! A finding's values as people read them, for the display and for a desk; the screens' own figures share the writers of
//! spans, temperatures and clock times.
//!
//! A number too large for its field says so (`>99 kg`) rather than lose a digit. Masses are rounded up to the gram:
//! a shortage never looks like enough.

use core::fmt::{Result, Write};

use chrono::Timelike;

use crate::checks::Value;
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};

/// Writes a value; `decimal` is the language's decimal mark.
pub(crate) fn value(out: &mut impl Write, value: &Value, decimal: char) -> Result {
    match value {
        Value::None => out.write_char('-'),
        Value::Temperature(celsius) => temperature(out, *celsius),
        Value::Length(length) => self::length(out, *length, decimal),
        Value::Mass(mass) => self::mass(out, *mass, decimal),
        Value::Span(span) => self::span(out, *span),
        Value::Clock(clock) => self::clock(out, clock),
        Value::Percent(percent @ 0..=999) => write!(out, "{percent} %"),
        Value::Percent(_) => out.write_str(">999 %"),
        Value::Count(count) => write!(out, "{count}"),
        Value::Speed(um_s) => match um_s / 1000 {
            0..10 => {
                tenths(out, um_s.div_ceil(100).into(), decimal)?;
                out.write_str(" mm/s")
            }
            mm_s @ 10..10_000 => write!(out, "{mm_s} mm/s"),
            _ => out.write_str(">9 m/s"),
        },
        Value::Flow(nl_s) => match nl_s {
            0..1_000_000 => {
                tenths(out, nl_s.div_ceil(100).into(), decimal)?;
                out.write_str(" mm\u{b3}/s")
            }
            _ => out.write_str(">999 mm\u{b3}/s"),
        },
        Value::Text(text) => out.write_str(text),
    }
}

fn tenths(out: &mut impl Write, tenths: u64, decimal: char) -> Result {
    write!(out, "{}", tenths / 10)?;
    if tenths.is_multiple_of(10) { Ok(()) } else { write!(out, "{decimal}{}", tenths % 10) }
}

/// `13:35`.
pub(crate) fn clock(out: &mut impl Write, time: &impl Timelike) -> Result {
    write!(out, "{:02}:{:02}", time.hour(), time.minute())
}

/// `215°C`.
pub(crate) fn temperature(out: &mut impl Write, celsius: Celsius) -> Result {
    match celsius.0 {
        ..-99 => out.write_str("<-99\u{b0}C"),
        degrees @ -99..1000 => write!(out, "{degrees}\u{b0}C"),
        1000.. => out.write_str(">999\u{b0}C"),
    }
}

/// `0.4 mm`, `0.125 mm`, `14 mm`, from 10 m on `12.7 m`.
fn length(out: &mut impl Write, length: Micrometres, decimal: char) -> Result {
    let size = length.0.unsigned_abs();
    if length.0 < 0 {
        out.write_char('-')?;
    }
    match size {
        0..10_000 => {
            write!(out, "{}", size / 1000)?;
            match size % 1000 {
                0 => {}
                rest if rest % 100 == 0 => write!(out, "{decimal}{}", rest / 100)?,
                rest if rest % 10 == 0 => write!(out, "{decimal}{:02}", rest / 10)?,
                rest => write!(out, "{decimal}{rest:03}")?,
            }
            out.write_str(" mm")
        }
        10_000..1_000_000 => {
            tenths(out, (size + 50) / 100, decimal)?;
            out.write_str(" mm")
        }
        1_000_000..10_000_000 => write!(out, "{} mm", (size + 500) / 1000),
        10_000_000..9_999_000_000 => {
            tenths(out, size.div_ceil(100_000), decimal)?;
            out.write_str(" m")
        }
        _ => out.write_str(">9 km"),
    }
}

fn mass(out: &mut impl Write, mass: Milligrams, decimal: char) -> Result {
    let size = mass.0.unsigned_abs();
    if mass.0 < 0 {
        out.write_char('-')?;
    }
    match size {
        0..9_901 => {
            tenths(out, size.div_ceil(100), decimal)?;
            out.write_str(" g")
        }
        9_901..99_999_000 => write!(out, "{} g", size.div_ceil(1000)),
        _ => out.write_str(">99 kg"),
    }
}

/// `45 s`, `45 min`, `2h40`, from 100 h on `120 h`.
pub(crate) fn span(out: &mut impl Write, span: Seconds) -> Result {
    let minutes = (u64::from(span.0) + 30) / 60;
    match (span.0, minutes) {
        (seconds @ 0..60, _) => write!(out, "{seconds} s"),
        (_, 0..60) => write!(out, "{minutes} min"),
        (_, 60..6000) => write!(out, "{}h{:02}", minutes / 60, minutes % 60),
        (_, 6000..600_000) => write!(out, "{} h", minutes / 60),
        _ => out.write_str(">9999 h"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::string::String;

    fn text(of: Value) -> String {
        let mut out = String::new();
        value(&mut out, &of, '.').unwrap();
        out
    }

    #[test]
    fn each_unit() {
        assert_eq!(text(Celsius(215).into()), "215°C");
        assert_eq!(text(Celsius(i16::MAX).into()), ">999°C");
        assert_eq!(text(Celsius(i16::MIN).into()), "<-99°C");
        assert_eq!(text(Micrometres(400).into()), "0.4 mm");
        assert_eq!(text(Micrometres(1750).into()), "1.75 mm");
        assert_eq!(text(Micrometres(-300).into()), "-0.3 mm");
        assert_eq!(text(Micrometres(14_000).into()), "14 mm");
        assert_eq!(text(Micrometres(190_049).into()), "190 mm");
        assert_eq!(text(Micrometres(20_788_000).into()), "20.8 m");
        assert_eq!(text(Micrometres(i64::MIN).into()), "->9 km");
        assert_eq!(text(Milligrams(233_999).into()), "234 g");
        assert_eq!(text(Milligrams(2_301).into()), "2.4 g");
        assert_eq!(text(Milligrams(9_901).into()), "10 g");
        assert_eq!(text(Milligrams(i64::MAX).into()), ">99 kg");
        assert_eq!(text(Seconds(9600).into()), "2h40");
        assert_eq!(text(Seconds(59).into()), "59 s");
        assert_eq!(text(Seconds(540).into()), "9 min");
        assert_eq!(text(Seconds(u32::MAX).into()), ">9999 h");
        assert_eq!(text(Value::Speed(80_000)), "80 mm/s");
        assert_eq!(text(Value::Speed(3_001)), "3.1 mm/s");
        assert_eq!(text(Value::Speed(u32::MAX)), ">9 m/s");
        assert_eq!(text(Value::Flow(18_000)), "18 mm³/s");
        assert_eq!(text(Value::Flow(u32::MAX)), ">999 mm³/s");
        assert_eq!(text(Value::Percent(61)), "61 %");
        assert_eq!(text(Value::Percent(u16::MAX)), ">999 %");
    }

    #[test]
    fn the_decimal_mark_is_the_languages() {
        let mut out = String::new();
        value(&mut out, &Micrometres(1750).into(), ',').unwrap();
        assert_eq!(out, "1,75 mm");
    }
}
