//! JSON text → values, and for a refused text the byte and the key at fault. Used by the job header and the records.
//!
//! serde-json-core turns the text into values, but names no place for an error, skips unknown values unseen and
//! with a recursion as deep as the text asks for. So `scan` first walks the text once by RFC 8259's grammar, in
//! bounded stack, and finds every fault of form; what the library then still refuses (a key twice, a wrong type,
//! a text too long) is found by giving it growing runs of whole tokens, halving the doubt each time: a dozen
//! parses at most for the longest text.

mod expected;
mod fault;
mod key;
mod place;
mod scan;
mod stated;
mod string;

pub use expected::Expected;
pub use fault::JsonFault;
use key::Refusal;
pub(crate) use key::{Key, is_in_range};
pub(crate) use place::line_and_column;
pub(crate) use stated::{Members, Refused, Stated};
pub(crate) use string::write_escaped;

use heapless::{String, VecView};
use serde::de::DeserializeSeed as _;
use serde_json_core::de::{Deserializer, Error};

use crate::limits::KEY_BYTES;
use stated::{Member, Object};

/// The name of a key, with the keys above it: `motion.corner`. A longer one is cut.
pub type KeyName = String<KEY_BYTES>;

/// A fault, with the byte of the text where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Fault {
    /// What is wrong.
    pub(crate) kind: JsonFault,
    /// The key concerned; empty where none is.
    pub(crate) key: KeyName,
    /// Offset of the byte from the text's start.
    pub(crate) at: usize,
}

/// Reads one JSON object into `members`. `keys` says what each known key holds; `refused` is to be checked when the
/// values were taken.
///
/// # Work bound
/// One pass and one parse; on a fault about log2(bytes) parses more.
///
/// # Errors
/// The first fault in the text's order; faults of form come before all others.
pub(crate) fn parse<'v, 'a>(
    text: &'a [u8],
    keys: &'static [&'static Key],
    members: &'v mut VecView<Member<'a>>,
    refused: &'v Refused,
) -> Result<Stated<'v, 'a>, Fault> {
    scan::check(text, keys)?;
    if read(text, keys, members).is_err() {
        let mut refuses = |run: &'a [u8]| read(run, keys, members).is_err_and(|error| !is_end(error));
        return Err(place::blame(text, keys, &mut refuses));
    }
    Ok(Stated::new(members, refused))
}

/// One parse of a text or of a run of its tokens.
#[inline(never)]
fn read<'a>(
    run: &'a [u8],
    keys: &'static [&'static Key],
    members: &mut VecView<Member<'a>>,
) -> Result<(), Error> {
    members.clear();
    // No buffer to unescape in: texts are unescaped as they are checked, so that an unknown key's text may have any
    // length, and no known key is written with escapes.
    Object { keys, members, above: "", entry: 0 }.deserialize(&mut Deserializer::new(run, None))
}

/// Whether the library only wanted more bytes.
fn is_end(error: Error) -> bool {
    matches!(
        error,
        Error::EofWhileParsingList
            | Error::EofWhileParsingObject
            | Error::EofWhileParsingString
            | Error::EofWhileParsingNumber
            | Error::EofWhileParsingValue
    )
}

#[cfg(test)]
mod tests;
