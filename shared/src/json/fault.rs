//! What is wrong with a JSON text.

use core::fmt;

use heapless::String;

use super::Expected;
use crate::limits::KEY_BYTES;

/// The name of a key, with the keys above it: `motion.corner`. A longer one is cut.
pub type KeyName = String<KEY_BYTES>;

/// A fault, with its byte in the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Fault {
    /// What is wrong.
    pub(crate) kind: JsonFault,
    /// The key concerned; empty where none is.
    pub(crate) key: KeyName,
    /// Offset of the byte from the text's start.
    pub(crate) at: usize,
}

/// What is wrong with a JSON text. `Display` gives English for a desk; a screen words it from the variant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum JsonFault {
    /// A byte that is not UTF-8.
    NotUtf8,
    /// Not JSON (RFC 8259); what its grammar wanted here.
    Syntax(Expected),
    /// Something follows the object.
    Trailing,
    /// The key is required and missing.
    Missing,
    /// The key is there twice.
    Twice,
    /// The key's value is of the wrong type, too long, or out of its range; what it should have been.
    Value(Expected),
    /// No key of this name is known here. The object is read without it.
    Unknown {
        /// The known key that it may have been meant for, by its full name.
        nearest: Option<&'static str>,
    },
}

impl fmt::Display for JsonFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotUtf8 => f.write_str("this byte is not UTF-8"),
            Self::Syntax(expected) => write!(f, "not JSON: expected {expected}"),
            Self::Trailing => f.write_str("something follows the object's closing brace"),
            Self::Missing => f.write_str("this key is required and missing"),
            Self::Twice => f.write_str("this key is there twice"),
            Self::Value(expected) => write!(f, "expected {expected}"),
            Self::Unknown { nearest: Some(nearest) } => {
                write!(f, "this key is not known; did you mean {nearest}?")
            }
            Self::Unknown { nearest: None } => f.write_str("this key is not known"),
        }
    }
}

impl JsonFault {
    /// Whether the object can still be read: only an unknown key is left out.
    #[must_use]
    pub const fn is_unknown_key(&self) -> bool {
        matches!(self, Self::Unknown { .. })
    }

    /// What to do about it, as a clause.
    #[must_use]
    pub const fn remedy(&self) -> &'static str {
        match self {
            Self::NotUtf8 => "save it as UTF-8",
            Self::Syntax(_) => "correct it there",
            Self::Trailing => "delete what follows it",
            Self::Missing => "add it",
            Self::Twice => "delete one of the two",
            Self::Value(_) => "change the value",
            Self::Unknown { nearest: Some(_) } => "correct its name or delete it",
            Self::Unknown { nearest: None } => "delete it",
        }
    }
}
