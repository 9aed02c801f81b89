//! A header as lines of a file.

use core::fmt::{self, Write};

use super::facts::JobHeader;
use super::fields;

/// Columns a written line may fill. A single value longer than that (a text of nothing but escapes) stands alone
/// on its line, since a JSON text cannot be broken.
const COLUMNS: usize = 100;

impl JobHeader {
    /// Writes the header's lines, from `; job-header 1` to `; end-header`, each with a line feed: what
    /// [`read_header`](super::read_header) reads back to the same values, as long as they lie in their ranges and
    /// `material` is one of them. Empty texts are left out; a length is rounded up to millimetres.
    ///
    /// # Errors
    /// Only the target's own.
    pub fn write(&self, out: &mut impl Write) -> fmt::Result {
        out.write_str("; job-header 1\n; {")?;
        let mut column = 3;
        let mut first = true;
        fields::write(self, &mut |key, value| {
            let mut width = Width(0);
            value(&mut width)?;
            // The member with its quotes and colon, and the comma after it.
            let width = width.0 + key.name.len() + 4;
            if !first {
                out.write_char(',')?;
            }
            if column + width > COLUMNS && column > 3 {
                out.write_str("\n;  ")?;
                column = 3;
            }
            write!(out, "\"{}\":", key.name)?;
            value(out)?;
            column += width;
            first = false;
            Ok(())
        })?;
        out.write_str("}\n; end-header\n")
    }
}

/// Counts the characters written to it.
struct Width(usize);

impl Write for Width {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.0 += text.chars().count();
        Ok(())
    }
}
