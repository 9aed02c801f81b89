//! Reads a screen as a person does: the pixels back into words, by the faces that it is drawn in.
//!
//! A cell counts as a letter only when every pixel of it agrees, so what is read is what is there. Signs (the estimate's
//! ≈, the cut mark, pictures) are no letters and stand as blanks. The lines of a screen are so close that the foot of a
//! `g` reaches into the line below: each line is read a second time, with the pixels of the others known.

use std::collections::BTreeSet;

use embedded_graphics::Pixel;
use embedded_graphics::mono_font::iso_8859_1::{FONT_5X8, FONT_6X10, FONT_7X14_BOLD};
use embedded_graphics::mono_font::{MonoFont, MonoTextStyle};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, OriginDimensions, Point, Size};
use embedded_graphics::text::Baseline;
use embedded_graphics::text::renderer::TextRenderer;
use holdpoint_shared::screens::Frame;

/// The pixels of a cell, 8 columns a row: the first row's in the lowest byte, and of a row the left one lowest.
type Bits = u128;

/// A pixel of a cell.
const fn bit(column: usize, row: usize) -> Bits {
    1 << (8 * row + column)
}

/// A face's letters.
struct Face {
    width: usize,
    height: usize,
    /// The rows from a capital's first to its last.
    core: Bits,
    letters: Vec<(char, Bits)>,
}

/// What one letter is drawn on.
struct Cell(Bits);

impl OriginDimensions for Cell {
    fn size(&self) -> Size {
        Size::new(8, 16)
    }
}

impl DrawTarget for Cell {
    type Color = BinaryColor;
    type Error = std::convert::Infallible;

    fn draw_iter<I: IntoIterator<Item = Pixel<BinaryColor>>>(
        &mut self,
        pixels: I,
    ) -> Result<(), Self::Error> {
        for Pixel(Point { x, y }, color) in pixels {
            if let (Ok(x @ 0..8), Ok(y @ 0..16), BinaryColor::On) =
                (usize::try_from(x), usize::try_from(y), color)
            {
                self.0 |= bit(x, y);
            }
        }
        Ok(())
    }
}

impl Face {
    fn new(font: &MonoFont<'_>) -> Self {
        let (width, height) = (font.character_size.width as usize, font.character_size.height as usize);
        let style = MonoTextStyle::new(font, BinaryColor::On);
        let signs = ('!'..='~').chain(['°', '±', '»']).chain('À'..='ÿ');
        let letters: Vec<(char, Bits)> = signs
            .map(|letter| {
                let mut cell = Cell(0);
                let Ok(_) = style.draw_string(&letter.to_string(), Point::zero(), Baseline::Top, &mut cell);
                (letter, cell.0)
            })
            .collect();
        let capital = letters.iter().find(|(letter, _)| *letter == 'H').map_or(0, |(_, bits)| *bits);
        let (head, foot) = (capital.trailing_zeros() as usize / 8, font.baseline as usize + 1);
        let core = (head..foot).fold(0, |core, row| core | 0xFF << (8 * row));
        Self { width, height, core, letters }
    }

    /// The pixels of the cell at this place for which `is` holds.
    fn cell(&self, (x, y): (usize, usize), is: impl Fn(usize, usize) -> bool) -> Bits {
        let all = (0..self.height).flat_map(|row| (0..self.width).map(move |column| (column, row)));
        all.filter(|&(column, row)| is(x + column, y + row))
            .fold(0, |bits, (column, row)| bits | bit(column, row))
    }

    /// The letter that fits best of those that are here whole; a blank where nothing is. Above a capital's head and
    /// below its foot a rule or another line may stand too, and a pixel of `others` counts for nothing.
    fn letter(&self, cell: Bits, others: Bits) -> Option<char> {
        let core = self.core & !others;
        if cell & core == 0 {
            return Some(' ');
        }
        let here =
            self.letters.iter().filter(|(_, letter)| (letter ^ cell) & core == 0 && letter & !cell == 0);
        let fit = |(sign, letter): &&(char, Bits)| {
            let ink = (letter & !others).count_ones();
            ((letter ^ cell) & !others == 0, USUAL.contains(*sign), ink, sign.is_ascii())
        };
        here.max_by_key(fit).map(|(letter, _)| *letter)
    }

    fn bits(&self, sign: char) -> Bits {
        self.letters.iter().find(|(letter, _)| *letter == sign).map_or(0, |(_, bits)| *bits)
    }

    /// Whether this cell holds an underscore and nothing else. A rule below a line runs on to the left.
    fn is_underscore(&self, cell: Bits, (x, y): (usize, usize), lit: impl Fn(usize, usize) -> bool) -> bool {
        let score = self.bits('_');
        let row = score.trailing_zeros() as usize / 8;
        cell == score && !x.checked_sub(1).is_some_and(|left| lit(left, y + row))
    }

    /// The pixels of a run's letters.
    fn pixels(&self, run: &Run, mut each: impl FnMut(usize, usize)) {
        for (place, sign) in run.text.chars().enumerate() {
            let letter = self.bits(sign);
            for row in 0..self.height {
                for column in (0..self.width).filter(|column| letter & bit(*column, row) != 0) {
                    each(run.x + place * self.width + column, run.y + row);
                }
            }
        }
    }
}

/// Letters of our languages beyond ASCII. What may be another's letter too, with a rule above it, is one of these.
const USUAL: &str = "ÄÖÜäöüß°±»";

/// Which lines' letters explain each pixel of a screen: a bit for the first row of each.
struct Explained(Vec<u64>);

impl Explained {
    const fn place(x: usize, y: usize) -> Option<usize> {
        if x < Frame::WIDTH && y < Frame::HEIGHT { Some(y * Frame::WIDTH + x) } else { None }
    }

    fn by(faces: &[Face], runs: &[Run]) -> Self {
        let mut explained = vec![0; Frame::WIDTH * Frame::HEIGHT];
        for run in runs {
            faces[run.face].pixels(run, |x, y| {
                if let Some(place) = Self::place(x, y) {
                    explained[place] |= 1 << run.y;
                }
            });
        }
        Self(explained)
    }

    /// Whether a pixel belongs to another line than that from `line` on.
    fn is_other(&self, x: usize, y: usize, line: usize) -> bool {
        Self::place(x, y).is_some_and(|place| self.0[place] & !(1 << line) != 0)
    }
}

/// A run of letters, and how many of its pixels are lit.
struct Run {
    face: usize,
    inverse: bool,
    x: usize,
    y: usize,
    width: usize,
    height: usize,
    text: String,
    weight: usize,
}

impl Run {
    fn overlaps(&self, other: &Self) -> bool {
        let apart = |from: usize, size: usize, other: usize, other_size: usize| {
            from + size <= other || other + other_size <= from
        };
        // Rows of two lines may touch: a line's last row is blank but for long letters.
        !(apart(self.x, self.width, other.x, other.width)
            || apart(self.y + 1, self.height - 3, other.y + 1, other.height - 3))
    }
}

/// The words on a screen, line by line from the top; cells of one line have two blanks between them.
#[must_use]
pub fn read(frame: &Frame) -> String {
    let faces = [&FONT_7X14_BOLD, &FONT_6X10, &FONT_5X8].map(Face::new);
    let mut runs: Vec<Run> = Vec::new();
    for (number, face) in faces.iter().enumerate() {
        for inverse in [false, true] {
            for y in 0..=Frame::HEIGHT + 2 - face.height {
                for phase in 0..face.width {
                    find((number, face), frame, None, (phase, y), inverse, &mut runs);
                }
            }
        }
    }
    let first = likeliest(runs);
    let explained = Explained::by(&faces, &first);
    let lines: BTreeSet<_> =
        first.iter().map(|run| (run.face, run.x % faces[run.face].width, run.y, run.inverse)).collect();
    let mut runs: Vec<Run> = Vec::new();
    for (number, phase, y, inverse) in lines {
        find((number, &faces[number]), frame, Some(&explained), (phase, y), inverse, &mut runs);
    }
    let mut taken = likeliest(runs);
    taken.sort_by_key(|run| (run.y + run.height, run.x));
    let mut lines: Vec<(usize, Vec<Run>)> = Vec::new();
    for run in taken {
        let foot = run.y + run.height;
        match lines.last_mut() {
            Some((last, line)) if foot.abs_diff(*last) <= 4 => line.push(run),
            _ => lines.push((foot, vec![run])),
        }
    }
    let line = |(_, mut runs): (usize, Vec<Run>)| {
        runs.sort_by_key(|run| run.x);
        runs.into_iter().map(|run| run.text).collect::<Vec<_>>().join("  ")
    };
    lines.into_iter().map(line).collect::<Vec<_>>().join("\n")
}

/// Runs that do not overlap: what explains most of the picture is what was written.
fn likeliest(mut runs: Vec<Run>) -> Vec<Run> {
    runs.sort_by_key(|run| std::cmp::Reverse(run.weight));
    let mut taken: Vec<Run> = Vec::new();
    for run in runs {
        if !taken.iter().any(|other| run.overlaps(other)) {
            taken.push(run);
        }
    }
    taken
}

/// The large face draws O and 0 alike: beside a figure it is a figure, and else a letter.
fn figures(text: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let beside = |at: usize| {
        let before = at.checked_sub(1).and_then(|at| letters.get(at));
        [before, letters.get(at + 1)]
            .into_iter()
            .flatten()
            .any(|letter| letter.is_ascii_digit() || *letter == ':')
    };
    let fixed = letters.iter().enumerate().map(|(at, letter)| match letter {
        'O' if beside(at) => '0',
        other => *other,
    });
    fixed.collect()
}

/// Runs of letters in one row of cells.
fn find(
    (number, face): (usize, &Face),
    frame: &Frame,
    explained: Option<&Explained>,
    (phase, y): (usize, usize),
    inverse: bool,
    runs: &mut Vec<Run>,
) {
    let mut run: Option<Run> = None;
    let mut close = |run: &mut Option<Run>| {
        let Some(mut run) = run.take() else { return };
        run.text = figures(run.text.trim_end());
        run.width = run.text.chars().count() * face.width;
        let letters = run.text.chars().filter(|letter| letter.is_alphanumeric()).count();
        if letters >= 2 || (letters == 1 && run.text.chars().count() <= 3 && run.weight >= 8) {
            runs.push(run);
        }
    };
    let mut blanks = 0;
    let mut x = phase;
    while x + face.width <= Frame::WIDTH + 1 {
        let lit = |x, y| x < Frame::WIDTH && y < Frame::HEIGHT && frame.is_lit(x, y) != inverse;
        let cell = face.cell((x, y), lit);
        let others = explained.map_or(0, |all| face.cell((x, y), |x, row| all.is_other(x, row, y)));
        let letter = face.letter(cell, others);
        let score = run.is_some() && letter == Some(' ') && face.is_underscore(cell, (x, y), lit);
        match if score { Some('_') } else { letter } {
            Some(' ') if blanks == 0 && run.is_some() => {
                blanks = 1;
                if let Some(run) = &mut run {
                    run.text.push(' ');
                }
            }
            Some(' ') | None => close(&mut run),
            Some(letter) => {
                blanks = 0;
                let run = run.get_or_insert_with(|| Run {
                    face: number,
                    inverse,
                    x,
                    y,
                    width: 0,
                    height: face.height,
                    text: String::new(),
                    weight: 0,
                });
                run.text.push(letter);
                run.weight += (cell & face.core).count_ones() as usize;
            }
        }
        x += face.width;
    }
    close(&mut run);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(lines: &[(&str, i32)], font: &MonoFont<'_>) -> Frame {
        let mut frame = Frame::new();
        let style = MonoTextStyle::new(font, BinaryColor::On);
        for (text, y) in lines {
            let Ok(_) = style.draw_string(text, Point::new(1, *y), Baseline::Top, &mut frame);
        }
        frame
    }

    /// As close as the device's own screens set them: a `g` above reaches into the letters below.
    #[test]
    fn close_lines_do_not_change_each_other_s_letters() {
        let lines = ["gegangen, gjpqy 1/2", "Hände und Größe", "next look: x_2.gcode", "drücken, kippeln"];
        let placed: Vec<_> = lines.into_iter().zip((0..).step_by(9)).collect();
        assert_eq!(read(&drawn(&placed, &FONT_6X10)), lines.join("\n"));
    }

    #[test]
    fn every_letter_of_our_languages_reads_as_itself() {
        let letters: Vec<char> = ('!'..='~').chain(USUAL.chars()).collect();
        for font in [&FONT_6X10, &FONT_5X8] {
            for letters in letters.chunks(40) {
                let lines: Vec<String> = letters
                    .chunks(9)
                    .map(|letters| letters.iter().map(|letter| format!("a{letter}")).collect())
                    .collect();
                let placed: Vec<_> = lines.iter().map(String::as_str).zip((0..).step_by(12)).collect();
                assert_eq!(read(&drawn(&placed, font)), lines.join("\n"), "{:?}", font.character_size);
            }
        }
    }
}
