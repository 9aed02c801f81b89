//! A command line that was not understood.

/// Exit code when the command line was not understood (`EX_USAGE` of BSD's sysexits.h), far from the verdicts'.
pub const EXIT_USAGE: u8 = 64;

/// A command line that the parser takes and the command does not; the program ends with [`EXIT_USAGE`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Usage(pub String);

impl std::fmt::Display for Usage {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}; --help shows examples", self.0)
    }
}

impl std::error::Error for Usage {}

/// Ends a command with a [`Usage`] fault.
macro_rules! usage {
    ($($text:tt)*) => {
        return Err($crate::usage::Usage(format!($($text)*)).into())
    };
}
pub(crate) use usage;
