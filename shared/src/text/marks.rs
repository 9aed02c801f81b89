//! What a line has besides words that could be read.

/// A line check.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Checksum {
    /// None stands on the line.
    #[default]
    Absent,
    /// The bytes before `*` give the number after it.
    Right,
    /// They don't, or no number stands there.
    Wrong,
}

/// A byte that no job text holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Odd {
    /// A control character other than tab and line ends, or the last byte of a line end of Unicode's.
    Control(u8),
    /// 0xFF, or a byte above 0x7F outside comments and texts.
    Other(u8),
}

/// What a line has besides words that could be read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Marks {
    /// Whether the line is begun by `/`: it is not executed.
    pub deleted: bool,
    /// Line check.
    pub checksum: Checksum,
    /// Whether something stands there that one controller takes for a command and another does not: a number with an
    /// exponent, words after a line check or a `%`, a comment without its end.
    pub doubtful: bool,
    /// Words that could not be read and runs of stray characters.
    pub malformed: u8,
    /// Rounded numbers.
    pub rounded: u8,
    /// Letters given twice.
    pub repeated: u8,
    /// An identifier at the line's start: its place in the bytes scanned, begin and end.
    pub identifier: Option<(u32, u32)>,
}
