//! What a value should have been.

use core::fmt;

/// The most bytes that a file is said to have: 1 TiB. FAT holds files up to 4 GiB, exFAT more.
pub(super) const MOST_FILE_BYTES: i64 = 1 << 40;

/// What stood in the place should have been.
///
/// `Display` gives English for a desk; a screen words it from the variant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Expected {
    /// A whole number in a range, both ends allowed, in a unit (empty for a plain count).
    Whole {
        /// Least value.
        least: i32,
        /// Greatest value.
        most: i32,
        /// Unit as written, such as `µm`.
        unit: &'static str,
    },
    /// A list of so many such numbers.
    Wholes {
        /// How many.
        count: u8,
        /// Least value of each.
        least: i32,
        /// Greatest value of each.
        most: i32,
        /// Unit as written.
        unit: &'static str,
    },
    /// A pair of such numbers, the first not above the second.
    Range {
        /// Least value of each.
        least: i32,
        /// Greatest value of each.
        most: i32,
        /// Unit as written.
        unit: &'static str,
    },
    /// How many bytes a file has: a whole number from 0 to 1 TiB. Apart, so that all other numbers take 32
    /// bits.
    FileBytes,
    /// A text of at least one and at most so many bytes of UTF-8.
    Text {
        /// Most bytes.
        most: u16,
    },
    /// A list of at most so many texts.
    Texts {
        /// Most entries.
        count: u8,
        /// Most bytes of each.
        most: u16,
    },
    /// A text of this form.
    Form(&'static str),
    /// A list of at most so many texts of a form.
    Forms {
        /// Most entries.
        count: u8,
        /// One of them.
        form: &'static str,
    },
    /// One of these texts.
    OneOf(&'static [&'static str]),
    /// `true` or `false`.
    Flag,
    /// Eight hexadecimal digits in quotes.
    Hex8,
    /// A day as `"YYYY-MM-DD"`.
    Day,
    /// A time of day as `"HH:MM"`.
    TimeOfDay,
    /// Three capital letters (ISO 4217's form).
    Currency,
    /// An object in braces.
    Object,
    /// A list of at most so many objects.
    Objects {
        /// Most entries.
        count: u8,
    },
    /// Grammar: a key in double quotes.
    KeyInQuotes,
    /// A known key without escapes in its name.
    PlainKey,
    /// Grammar: a colon after the key.
    Colon,
    /// Grammar: a comma or the closing brace.
    CommaOrBrace,
    /// Grammar: a comma or the closing bracket.
    CommaOrBracket,
    /// Grammar: a value.
    AnyValue,
    /// Grammar: another element, since a comma went before.
    AfterComma,
    /// Grammar: a number without a leading zero or plus, with digits on both sides of its point.
    Number,
    /// Grammar: a closing double quote on the same line.
    ClosingQuote,
    /// Grammar: one of the escapes `\" \\ \/ \b \f \n \r \t \uXXXX`.
    Escape,
    /// No deeper nesting than so many.
    Depth(u8),
}

impl fmt::Display for Expected {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Whole { least, most, unit } => {
                f.write_str("a whole number")?;
                write_range(f, least, most, unit)
            }
            Self::Wholes { count, least, most, unit } => {
                write!(f, "a list of {count} whole numbers, each")?;
                write_range(f, least, most, unit)
            }
            Self::Range { least, most, unit } => {
                f.write_str("[least, most] as whole numbers, least first, each")?;
                write_range(f, least, most, unit)
            }
            Self::FileBytes => write!(f, "a whole number from 0 to {MOST_FILE_BYTES} bytes"),
            Self::Text { most } => write!(f, "a text in double quotes of 1 to {most} bytes"),
            Self::Texts { count, most } => {
                write!(f, "a list of at most {count} texts of 1 to {most} bytes each")
            }
            Self::Form(form) => write!(f, "a text such as \"{form}\""),
            Self::Forms { count, form } => write!(f, "a list of at most {count} texts such as \"{form}\""),
            Self::OneOf(words) => {
                f.write_str("one of ")?;
                for (at, word) in words.iter().enumerate() {
                    write!(f, "{}\"{word}\"", if at == 0 { "" } else { ", " })?;
                }
                Ok(())
            }
            Self::Flag => f.write_str("true or false"),
            Self::Hex8 => f.write_str("eight hexadecimal digits in double quotes"),
            Self::Day => f.write_str("a day as \"YYYY-MM-DD\""),
            Self::TimeOfDay => f.write_str("a time of day as \"HH:MM\""),
            Self::Currency => f.write_str("three capital letters in double quotes, such as \"EUR\""),
            Self::Object => f.write_str("an object in braces"),
            Self::Objects { count } => write!(f, "a list of at most {count} objects in braces"),
            Self::KeyInQuotes => f.write_str("a key in double quotes"),
            Self::PlainKey => f.write_str("the key without escapes in its name"),
            Self::Colon => f.write_str("a colon after the key"),
            Self::CommaOrBrace => f.write_str("a comma or the closing brace"),
            Self::CommaOrBracket => f.write_str("a comma or the closing bracket"),
            Self::AnyValue => f.write_str("a value"),
            Self::AfterComma => f.write_str("another entry after the comma, or no comma"),
            Self::Number => f.write_str("a number as JSON writes it"),
            Self::ClosingQuote => f.write_str("the closing double quote on the same line"),
            Self::Escape => f.write_str("a JSON escape (\\\" \\\\ \\/ \\b \\f \\n \\r \\t \\uXXXX)"),
            Self::Depth(most) => write!(f, "no more than {most} brackets within each other"),
        }
    }
}

fn write_range(f: &mut fmt::Formatter<'_>, least: i32, most: i32, unit: &str) -> fmt::Result {
    write!(f, " from {least} to {most}")?;
    if unit.is_empty() { Ok(()) } else { write!(f, " {unit}") }
}
