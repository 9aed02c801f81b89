//! Values of comments: exact decimals with their units, into whole numbers.

use heapless::String;

use super::fields;
use super::hint_key::{KeyWords, is_letter};
use crate::json::{Key, is_in_range};
use crate::limits::{MATERIAL_BYTES, MATERIALS_BYTES};
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};
use crate::visible::visible;

/// A decimal is held in millionths: enough digits for every unit here to come out whole.
const SCALE: i64 = 1_000_000;
const SCALE_DIGITS: u32 = 6;

/// A number, and what follows it without blanks at both ends.
struct Decimal<'a> {
    /// The number times [`SCALE`].
    scaled: i64,
    unit: &'a str,
}

/// The items of a list, without quotes and brackets.
fn items(list: &str) -> impl Iterator<Item = &str> {
    let mark = |letter: char| letter.is_whitespace() || "\"'[](){}".contains(letter);
    list.split([';', ',']).map(move |part| part.trim_matches(mark))
}

/// As much as is kept of a list that names a material.
pub(super) fn materials(value: &str) -> Option<String<MATERIALS_BYTES>> {
    material(value)?;
    let mut list = String::new();
    for letter in value.chars() {
        if list.push(letter).is_err() {
            break;
        }
    }
    Some(list)
}

/// A material's name: of a list the first one.
pub(super) fn material(value: &str) -> Option<String<MATERIAL_BYTES>> {
    items(value).find(|part| !part.is_empty()).and_then(name)
}

/// The material that a list names for a tool, from 0.
pub(super) fn material_of(list: &str, tool: usize) -> Option<String<MATERIAL_BYTES>> {
    items(list).nth(tool).and_then(name)
}

/// A material's name: at least two letters, cut to what is kept.
fn name(value: &str) -> Option<String<MATERIAL_BYTES>> {
    if value.chars().filter(|letter| is_letter(*letter)).count() < 2 {
        return None;
    }
    let mut name = String::new();
    for letter in value.chars() {
        if name.push(visible(letter)).is_err() {
            break;
        }
    }
    Some(name)
}

/// The first tool's number. A comma may also be a decimal or a thousands mark (`1,75`, `12,681`), so it parts two
/// numbers only where nothing else fits: a blank after it, a point before it, twice the same number, or, between
/// temperatures, the same count of two or more digits.
fn first_number(value: &str, temperature: bool) -> Option<&str> {
    let value = value.split(';').map(str::trim).find(|part| !part.is_empty())?.trim_matches('"');
    let Some((number, rest)) = value.split_once(',') else { return Some(value.trim()) };
    let next = rest.split(',').next().unwrap_or_default().trim_end();
    let digits = |text: &str| text.len() >= 2 && text.bytes().all(|byte| byte.is_ascii_digit());
    let parted = rest.starts_with(' ')
        || number.contains('.')
        || next == number
        || (temperature && next.len() == number.len() && digits(next) && digits(number));
    parted.then_some(number.trim())
}

/// Reads a decimal without sign or exponent, and the unit after it. Digits beyond the scale must be zero.
fn decimal(value: &str) -> Option<Decimal<'_>> {
    let end = value.find(|letter: char| !letter.is_ascii_digit() && letter != '.').unwrap_or(value.len());
    let (number, unit) = value.split_at(end);
    let (whole, fraction) = number.split_once('.').unwrap_or((number, ""));
    if (whole.is_empty() && fraction.is_empty()) || fraction.contains('.') {
        return None;
    }
    let digits = |text: &str| {
        text.bytes().try_fold(0_i64, |value, digit| {
            value.checked_mul(10)?.checked_add(i64::from(digit.checked_sub(b'0')?))
        })
    };
    let kept = fraction.get(..fraction.len().min(SCALE_DIGITS as usize))?;
    if fraction.get(kept.len()..)?.bytes().any(|digit| digit != b'0') {
        return None;
    }
    let padding = 10_i64.checked_pow(SCALE_DIGITS.saturating_sub(kept.len() as u32))?;
    let scaled = digits(whole)?.checked_mul(SCALE)?.checked_add(digits(kept)?.checked_mul(padding)?)?;
    Some(Decimal { scaled, unit: unit.trim().trim_matches(['[', ']', '(', ')']) })
}

/// The unit beside the value, or else the only one of these in the key; the factor that belongs to it.
fn factor(decimal: &Decimal<'_>, key: KeyWords<'_>, units: &[(&str, i64)]) -> Option<i64> {
    if !decimal.unit.is_empty() {
        return units.iter().find(|(unit, _)| *unit == decimal.unit).map(|(_, factor)| *factor);
    }
    let mut named = units.iter().filter(|(unit, _)| key.has_unit(unit)).map(|(_, factor)| *factor);
    let factor = named.next()?;
    named.all(|other| other == factor).then_some(factor)
}

const LENGTHS_UM: &[(&str, i64)] =
    &[("µm", 1), ("μm", 1), ("um", 1), ("mm", 1_000), ("cm", 10_000), ("m", 1_000_000)];
const MASSES_MG: &[(&str, i64)] =
    &[("mg", 1), ("g", 1_000), ("gram", 1_000), ("grams", 1_000), ("kg", 1_000_000)];

/// A number times a factor, if it comes out whole.
fn exactly(scaled: i64, factor: i64) -> Option<i64> {
    let product = scaled.checked_mul(factor)?;
    (product % SCALE == 0).then_some(product / SCALE)
}

/// A number times a factor, rounded up: what is used must never be understated.
fn rounded_up(scaled: i64, factor: i64) -> Option<i64> {
    Some(scaled.checked_mul(factor)?.checked_add(SCALE - 1)? / SCALE)
}

/// The value if it lies in the range that the header has for it.
fn in_range<T: TryFrom<i64>>(key: &Key, value: i64) -> Option<T> {
    if is_in_range(key, value) { T::try_from(value).ok() } else { None }
}

/// A small length: without a unit, numbers below 10 are millimetres and from 100 on micrometres. No bore, filament
/// or layer of the trade lies between (0.05 to 5 mm), so no other reading fits either.
fn small_length(key: &Key, value: &str, words: KeyWords<'_>) -> Option<u32> {
    let decimal = decimal(first_number(value, false)?)?;
    let stated = factor(&decimal, words, LENGTHS_UM);
    let factor = match stated {
        Some(factor) => factor,
        None if !decimal.unit.is_empty() => return None,
        None if decimal.scaled < 10 * SCALE => 1_000,
        None if decimal.scaled >= 100 * SCALE => 1,
        None => return None,
    };
    in_range(key, exactly(decimal.scaled, factor)?)
}

pub(super) fn diameter(value: &str, words: KeyWords<'_>) -> Option<u32> {
    small_length(&fields::DIAMETER, value, words)
}

pub(super) fn bore(value: &str, words: KeyWords<'_>) -> Option<u32> {
    small_length(&fields::BORE, value, words)
}

pub(super) fn layer(value: &str, words: KeyWords<'_>) -> Option<u32> {
    small_length(&fields::LAYER, value, words)
}

/// A temperature in whole degrees Celsius: the trade's only unit for it.
pub(super) fn celsius(value: &str) -> Option<Celsius> {
    let decimal = decimal(first_number(value, true)?)?;
    let unit = matches!(decimal.unit, "" | "C" | "c" | "°C" | "° C" | "°" | "degC" | "deg C");
    let degrees = exactly(decimal.scaled, 1).filter(|_| unit)?;
    in_range(&fields::NOZZLE, degrees).map(Celsius)
}

pub(super) fn length(value: &str, words: KeyWords<'_>) -> Option<Micrometres> {
    let decimal = decimal(first_number(value, false)?)?;
    let length = rounded_up(decimal.scaled, factor(&decimal, words, LENGTHS_UM)?)?;
    in_range::<i64>(&fields::LENGTH, length.div_euclid(1_000))?;
    Some(Micrometres(length))
}

pub(super) fn mass(value: &str, words: KeyWords<'_>) -> Option<Milligrams> {
    let decimal = decimal(first_number(value, false)?)?;
    let mass = rounded_up(decimal.scaled, factor(&decimal, words, MASSES_MG)?)?;
    in_range(&fields::MASS, mass).map(Milligrams)
}

const TIMES_S: &[(&str, i64)] = &[
    ("d", 86_400),
    ("day", 86_400),
    ("days", 86_400),
    ("h", 3_600),
    ("hr", 3_600),
    ("hour", 3_600),
    ("hours", 3_600),
    ("m", 60),
    ("min", 60),
    ("mins", 60),
    ("minute", 60),
    ("minutes", 60),
    ("s", 1),
    ("sec", 1),
    ("second", 1),
    ("seconds", 1),
];

/// A time: `1d 2h 3m 4s`, `2 hours 5 minutes`, `h:mm:ss`, or a number whose unit stands in the key.
pub(super) fn time(value: &str, words: KeyWords<'_>) -> Option<Seconds> {
    let value = value.split(';').map(str::trim).find(|part| !part.is_empty())?;
    let seconds = if value.contains(':') { clock(value)? } else { spans(value, words)? };
    in_range(&fields::TIME, seconds).map(Seconds)
}

/// `h:mm:ss`. Two parts alone may be hours or minutes: not taken.
fn clock(value: &str) -> Option<i64> {
    let mut parts = value.split(':').map(|part| {
        let digits = (1..=3).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_digit());
        digits.then(|| part.parse::<i64>().ok()).flatten()
    });
    let (hours, minutes, seconds) = (parts.next()??, parts.next()??, parts.next()??);
    (parts.next().is_none() && minutes < 60 && seconds < 60).then_some(hours * 3_600 + minutes * 60 + seconds)
}

fn spans(value: &str, words: KeyWords<'_>) -> Option<i64> {
    let mut total = 0_i64;
    let mut finer = i64::MAX;
    let mut rest = value;
    while !rest.is_empty() {
        let digits =
            rest.find(|letter: char| !letter.is_ascii_digit() && letter != '.').unwrap_or(rest.len());
        let letters = rest.get(digits..)?.trim_start();
        let unit_end = letters.find(|letter: char| !is_letter(letter)).unwrap_or(letters.len());
        let (unit, after) = letters.split_at(unit_end);
        let decimal = decimal(rest.get(..digits)?)?;
        let factor = factor(&Decimal { unit, ..decimal }, words, TIMES_S)?;
        // Units must fall, so that "1m 2h" or two minutes are no time.
        if factor >= finer {
            return None;
        }
        finer = factor;
        total = total.checked_add(rounded_up(decimal.scaled, factor)?)?;
        rest = after.trim_start_matches([' ', ',']);
    }
    (finer < i64::MAX).then_some(total)
}
