//! Text in cells: faces, cutting with a mark, wrapping.

use embedded_graphics::mono_font::iso_8859_1::{FONT_5X8, FONT_6X10, FONT_7X14_BOLD};
use embedded_graphics::mono_font::{MonoFont, MonoTextStyle};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, DrawTargetExt, Point, Size};
use embedded_graphics::primitives::Rectangle;
use embedded_graphics::text::Baseline;
use embedded_graphics::text::renderer::TextRenderer;
use heapless::String;

use super::Frame;
use super::letters::{self, CUT};
use super::signs;

/// Characters of the base grid.
pub(super) const COLUMNS: usize = 21;

/// A text that is ready to be drawn: only characters that the faces or our own signs have.
pub(super) type Line = String<96>;
/// A text of several lines, likewise.
pub(super) type TextBody = String<384>;

/// The three faces. Each costs its bitmap in flash: 960, 1,440 and 2,352 bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Face {
    /// 5x8: what stands beside a number.
    Small,
    /// 6x10, the base grid of 21 characters.
    Text,
    /// 7x14 bold, capitals and figures 10 pixels high: verdict, marks, clock.
    Large,
}

impl Face {
    const fn font(self) -> &'static MonoFont<'static> {
        match self {
            Self::Small => &FONT_5X8,
            Self::Text => &FONT_6X10,
            Self::Large => &FONT_7X14_BOLD,
        }
    }

    /// Pixels from one character to the next.
    pub(super) const fn advance(self) -> i32 {
        match self {
            Self::Small => 5,
            Self::Text => 6,
            Self::Large => 7,
        }
    }

    /// Pixels from the cell's top to the row on which capitals stand.
    pub(super) const fn baseline(self) -> i32 {
        match self {
            Self::Small => 6,
            Self::Text => 7,
            Self::Large => 11,
        }
    }

    /// Characters that fit into `pixels`; the last one's blank column may stand outside.
    pub(super) const fn columns(self, pixels: i32) -> usize {
        if pixels <= 0 { 0 } else { ((pixels + 1) / self.advance()) as usize }
    }
}

/// `text` as it will be drawn, on one line, cut to the buffer.
pub(super) fn line(text: &str) -> Line {
    let mut out = Line::new();
    for c in letters::printable(text) {
        if out.push(c).is_err() {
            // Longer than any line of the screen: drawing cuts it, with its mark, long before here.
            break;
        }
    }
    out
}

/// `text` as it will be drawn on several lines.
pub(super) fn body(text: &str) -> TextBody {
    let mut out = TextBody::new();
    for c in letters::printable(text) {
        if out.push(c).is_err() {
            // The mark takes three bytes, and a character at least one.
            out.pop();
            out.pop();
            out.pop();
            let _ = out.push(CUT);
            break;
        }
    }
    out
}

/// Pixels that a ready text takes, the blank column after its last character left out.
pub(super) fn width(face: Face, ready: &str) -> i32 {
    let characters = i32::try_from(ready.chars().count()).unwrap_or(i32::MAX);
    (characters.saturating_mul(face.advance()) - 1).max(0)
}

/// Draws a ready text with its cells' top left at (`x`, `top`), cut with a mark to `pixels`.
pub(super) fn put<D: DrawTarget<Color = BinaryColor>>(
    target: &mut D,
    face: Face,
    color: BinaryColor,
    (x, top): (i32, i32),
    ready: &str,
    pixels: i32,
) -> Result<(), D::Error> {
    let columns = face.columns(pixels);
    let cut = ready.chars().count() > columns;
    let style = MonoTextStyle::new(face.font(), color);
    // A few letters fill the column that others leave blank: they may, but not beyond the panel.
    let right = (x + pixels + 1).min(Frame::WIDTH as i32);
    let size = Size::new((right - x).max(0).unsigned_abs(), face.font().character_size.height);
    let mut target = target.clipped(&Rectangle::new(Point::new(x, top), size));
    let mut x = x;
    for (column, c) in ready.chars().take(columns).enumerate() {
        let c = if cut && column + 1 == columns { CUT } else { c };
        if let Some(sign) = signs::of(c, face == Face::Large) {
            sign.draw(&mut target, (x, top + face.baseline() + 1 - sign.height()), color)?;
        } else {
            style.draw_string(c.encode_utf8(&mut [0; 4]), Point::new(x, top), Baseline::Top, &mut target)?;
        }
        x += face.advance();
    }
    Ok(())
}

/// The lines of a ready text, broken at blanks (but no no-break ones) into at most `columns` characters; a longer word is broken hard.
pub(super) fn wrap(ready: &str, columns: usize) -> impl Iterator<Item = &str> {
    // Not `trim`: it would bring a table of all of Unicode's blanks into the flash, and cut no-break ones.
    let mut rest = ready.trim_matches(' ');
    core::iter::from_fn(move || {
        if rest.is_empty() || columns == 0 {
            return None;
        }
        // Byte index of the first character that does not fit any more.
        let limit = rest.char_indices().nth(columns).map_or(rest.len(), |(index, _)| index);
        let (head, _) = rest.split_at(limit);
        let fits = limit == rest.len() || rest.get(limit..).is_some_and(|tail| tail.starts_with(' '));
        let end = if fits { limit } else { head.rfind(' ').filter(|&at| at > 0).unwrap_or(limit) };
        let (now, later) = rest.split_at(end);
        rest = later.trim_start_matches(' ');
        Some(now.trim_end_matches(' '))
    })
}

#[cfg(test)]
mod tests {
    use std::vec::Vec;

    use super::*;

    #[test]
    fn wraps_at_blanks_and_breaks_long_words() {
        let lines: Vec<&str> = wrap("It stops at 61 % and leaves heaters ON.", 21).collect();
        assert_eq!(lines, ["It stops at 61 % and", "leaves heaters ON."]);
        let lines: Vec<&str> = wrap("Donaudampfschiffs x", 10).collect();
        assert_eq!(lines, ["Donaudampf", "schiffs x"]);
        assert_eq!(wrap("exactly ten", 7).collect::<Vec<_>>(), ["exactly", "ten"]);
        assert_eq!(wrap("left 90\u{A0}g now", 7).collect::<Vec<_>>(), ["left", "90\u{A0}g", "now"]);
        assert_eq!(wrap("   ", 7).count(), 0);
        assert_eq!(wrap("abc", 0).count(), 0);
    }

    #[test]
    fn no_line_is_longer_than_asked() {
        for columns in 1..30 {
            for piece in wrap("ä öü ßßßßßßßßßßßßßß … ≈≈ a  b", columns) {
                assert!(piece.chars().count() <= columns, "{piece:?} at {columns}");
            }
        }
    }
}
