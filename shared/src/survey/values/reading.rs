//! The bytes, lines and words as they were read.

use heapless::{String, Vec};

use crate::limits::{UNKNOWN_NAMES, WORD_NAME_BYTES};
use crate::motion::{UnreadKind, WordClass};

/// A line that calls the place by other numbers (G92).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Renamed {
    /// What it changed an axis by, the most of them, nm; 0 = there is none.
    pub nm: u64,
    /// Its number.
    pub line: u32,
}

/// How often something was met, and where first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Tally {
    /// Times it was met; held at the type's end.
    pub count: u32,
    /// Line it was first met on, from 1; 0 = never.
    pub first_line: u32,
}

impl Tally {
    /// Counts one more, met on `line`.
    pub const fn add(&mut self, line: u32) {
        if self.count == 0 {
            self.first_line = line;
        }
        self.count = self.count.saturating_add(1);
    }

    /// Whether it was ever met.
    #[must_use]
    pub const fn any(self) -> bool {
        self.count != 0
    }
}

/// A word by its name, such as `M870` or `G12.1`, and where it was met.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct NameTally {
    /// Letter and number, or an identifier at a line's start, cut at its end.
    pub name: String<WORD_NAME_BYTES>,
    /// How often and where first.
    pub met: Tally,
    /// What it asks for.
    pub class: WordClass,
}

/// The first line that was understood as words but gave no move, and how many did.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Unread {
    /// How often and where first.
    pub met: Tally,
    /// Why the first one was not read.
    pub first: Option<UnreadKind>,
}

/// Control characters, and line ends that only some programs know.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Controls {
    /// How often and on which line first.
    pub met: Tally,
    /// The first one's place in the file, from 0.
    pub at_byte: u64,
    /// Which byte it is.
    pub value: u8,
}

/// Line checks of the form `N… *NN`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Checksums {
    /// Lines that carry one.
    pub checked: u32,
    /// Lines whose bytes do not give the number after `*`. They are still read.
    pub failed: Tally,
}

/// The longest run of one of the bytes 0x00 and 0xFF.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct BlankRun {
    /// Its first byte's place in the file, from 0.
    pub at_byte: u64,
    /// Its length in bytes; 0 = the file has no such byte.
    pub bytes: u64,
    /// Which byte.
    pub value: u8,
}

/// The bytes, lines and words as they were read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Reading {
    /// Bytes of the file.
    pub bytes: u64,
    /// Lines, the last one too when it has no line end.
    pub lines: u32,
    /// Lines that moved something.
    pub moves: u32,
    /// Whether an `; end-header` line stands within the first 4 KiB.
    pub header_ended: bool,
    /// Bytes after the end-header line's line end; all bytes where there is no header.
    pub body_bytes: u64,
    /// CRC-32 (ISO-HDLC) of those bytes.
    pub body_crc32: u32,
    /// Whether the file begins with the UTF-8 byte-order mark EF BB BF.
    pub byte_order_mark: bool,
    /// Lines of more than 256 characters (RS274/NGC 3.3); they are not read. Comments do not count.
    pub long_lines: Tally,
    /// Lines that could not be read with certainty and may move, feed, heat, or change how later lines do.
    pub doubtful: Tally,
    /// Words whose number could not be read, and characters that begin no word.
    pub malformed: Tally,
    /// Numbers with more decimals than 10⁻⁶ of their unit, rounded half away from zero.
    pub rounded: Tally,
    /// Letters given twice on a line (RS274/NGC 3.3.5 allows one); the last one counts.
    pub repeated: Tally,
    /// Lines begun with `/`, which are not executed here.
    pub block_deleted: Tally,
    /// Those of them that would move, feed, heat, or change how later lines do.
    pub deleted_commands: Tally,
    /// Words that a machine sheet may list as its own: unknown ones, and those that only adjust or touch the machine
    /// or are not followed.
    pub unknown: Tally,
    /// The first few different ones.
    pub unknown_names: Vec<NameTally, UNKNOWN_NAMES>,
    /// Words that change what the machine remembers or guards against, named by the first one.
    pub stores: NameTally,
    /// Words that reach for what was not vetted.
    pub reaches: NameTally,
    /// Words that shift, turn or scale the work by what the job does not say.
    pub shifts: NameTally,
    /// Lines with baby steps.
    pub baby_steps: Tally,
    /// The farthest that baby steps shifted the work along an axis, nm.
    pub baby_step_nm: u64,
    /// Between beads the place was called by other numbers (G92): the line that changed an axis most.
    pub renamed: Renamed,
    /// Lines understood as words that gave no move.
    pub unread: Unread,
    /// Line checks.
    pub checksums: Checksums,
    /// The longest run of blank bytes.
    pub blank: BlankRun,
    /// Control characters.
    pub controls: Controls,
    /// Bytes that no job text holds: control characters other than tab and line ends, DEL, 0xFF, and bytes above
    /// 0x7F outside comments.
    pub non_text_bytes: u64,
    /// Place of the first of them in the file, from 0.
    pub non_text_at: Option<u64>,
}
