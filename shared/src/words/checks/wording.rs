//! A wording: what a finding says, and what helps.

use heapless::String;

/// Bytes of the longest text of a wording.
pub const TEXT_BYTES: usize = 96;

/// A text of a wording.
pub type Text = String<TEXT_BYTES>;

/// A wording as the display shows it. `{0}` to `{3}` stand for the finding's values.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shown {
    /// The facts.
    pub what: Text,
    /// The remedy.
    pub remedy: Text,
}

/// One wording of one check in one language.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wording {
    /// Number of the check.
    pub check: u8,
    /// Number of the wording within the check.
    pub wording: u8,
    /// The facts: wrapped at 21 characters at most four lines with the longest values, beside CAUTION or WARNING three.
    pub what: &'static str,
    /// The remedy: likewise.
    pub remedy: &'static str,
    /// What a desk has room for beyond that; may be empty.
    pub more: &'static str,
}

/// A row of a language's table.
pub(super) const fn w(
    check: u8,
    wording: u8,
    what: &'static str,
    remedy: &'static str,
    more: &'static str,
) -> Wording {
    Wording { check, wording, what, remedy, more }
}

/// What a value of a wording is: decides its unit and how wide it may become.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "named as the values of `Value`; Mark and Name are its texts")]
pub enum ValueKind {
    /// A material's mark, such as PA6-CF15.
    Mark,
    /// A name from outside, cut to one line.
    Name,
    Celsius,
    Length,
    Mass,
    Span,
    Clock,
    Percent,
    Count,
    Speed,
    Flow,
}
