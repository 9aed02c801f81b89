//! JSON text → values, with the byte and the key of every fault. Used by the job header and the records.
//!
//! `scan` gives the tokens of a text by RFC 8259's grammar in bounded stack; `read` goes through them once, keeps the values of
//! known keys and tells of every fault and every unknown key. A fault of form ends the reading; after any other it goes on.

mod expected;
mod fault;
mod faults;
mod key;
mod nearest;
mod place;
mod read;
mod scan;
mod stated;
mod string;

pub use expected::Expected;
pub(crate) use fault::Fault;
pub use fault::{JsonFault, KeyName};
pub(crate) use faults::Faults;
pub use faults::UnknownKey;
pub(crate) use key::{Key, is_in_range};
pub(crate) use place::line_and_column;
pub(crate) use read::parse;
pub(crate) use stated::{Members, Stated};
pub(crate) use string::write_escaped;

#[cfg(test)]
mod tests;
