//! Reads a screen as a person does: the pixels back into words, by the faces that it is drawn in.
//!
//! A cell counts as a letter only when every pixel of it agrees, so what is read is what is there. Signs (the estimate's
//! ≈, the cut mark, pictures) are no letters and stand as blanks.

use embedded_graphics::Pixel;
use embedded_graphics::mono_font::iso_8859_1::{FONT_5X8, FONT_6X10, FONT_7X14_BOLD};
use embedded_graphics::mono_font::{MonoFont, MonoTextStyle};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, OriginDimensions, Point, Size};
use embedded_graphics::text::Baseline;
use embedded_graphics::text::renderer::TextRenderer;
use holdpoint_shared::screens::Frame;

/// A face's letters as rows of bits, most significant bit left.
struct Face {
    width: usize,
    height: usize,
    /// A capital's first row, and the row after its last.
    head: usize,
    foot: usize,
    letters: Vec<(char, Vec<u8>)>,
}

/// What one letter is drawn on.
struct Cell(Vec<u8>);

impl OriginDimensions for Cell {
    fn size(&self) -> Size {
        Size::new(8, self.0.len() as u32)
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
            if let (Ok(x @ 0..8), Ok(y), BinaryColor::On) = (usize::try_from(x), usize::try_from(y), color)
                && let Some(row) = self.0.get_mut(y)
            {
                *row |= 0x80 >> x;
            }
        }
        Ok(())
    }
}

impl Face {
    fn new(font: &MonoFont<'_>) -> Self {
        let (width, height) = (font.character_size.width as usize, font.character_size.height as usize);
        let style = MonoTextStyle::new(font, BinaryColor::On);
        let foot = font.baseline as usize + 1;
        let letters = ('!'..='~').chain(['°', '±', '»']).chain('À'..='ÿ').map(|letter| {
            let mut cell = Cell(vec![0; height]);
            let text = letter.to_string();
            let Ok(_) = style.draw_string(&text, Point::zero(), Baseline::Top, &mut cell);
            (letter, cell.0)
        });
        let letters: Vec<(char, Vec<u8>)> = letters.collect();
        let capital = letters.iter().find(|(letter, _)| *letter == 'H').map_or(&[][..], |(_, rows)| rows);
        let head = capital.iter().position(|row| *row != 0).unwrap_or(0);
        Self { width, height, head, foot, letters }
    }

    fn cell(&self, frame: &Frame, x: usize, y: usize, inverse: bool) -> Vec<u8> {
        (0..self.height)
            .map(|row| {
                (0..self.width).fold(0, |bits, column| {
                    let (x, y) = (x + column, y + row);
                    let inside = x < Frame::WIDTH && y < Frame::HEIGHT;
                    let lit = inside && (frame.is_lit(x, y) != inverse);
                    bits | if lit { 0x80 >> column } else { 0 }
                })
            })
            .collect()
    }

    /// The letter that fits best of those that are here whole; a blank where nothing is. Above a capital's head and
    /// below its foot a rule or another line may stand too.
    fn letter(&self, cell: &[u8]) -> Option<char> {
        let core = self.head..self.foot;
        if cell[core.clone()].iter().all(|row| *row == 0) {
            return Some(' ');
        }
        let here = self.letters.iter().filter(|(_, letter)| {
            letter[core.clone()] == cell[core.clone()]
                && letter.iter().zip(cell).all(|(want, is)| want & !is == 0)
        });
        here.max_by_key(|(_, letter)| ink(letter)).map(|(letter, _)| *letter)
    }
}

/// Lit pixels.
fn ink(rows: &[u8]) -> usize {
    rows.iter().map(|row| row.count_ones() as usize).sum()
}

/// A run of letters, and how many of its pixels are lit.
struct Run {
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
    let mut runs: Vec<Run> = Vec::new();
    for font in [&FONT_7X14_BOLD, &FONT_6X10, &FONT_5X8] {
        let face = Face::new(font);
        for inverse in [false, true] {
            for y in 0..=Frame::HEIGHT + 2 - face.height {
                for phase in 0..face.width {
                    find(&face, frame, (phase, y), inverse, &mut runs);
                }
            }
        }
    }
    // What explains most of the picture is what was written.
    runs.sort_by_key(|run| std::cmp::Reverse(run.weight));
    let mut taken: Vec<Run> = Vec::new();
    for run in runs {
        if !taken.iter().any(|other| run.overlaps(other)) {
            taken.push(run);
        }
    }
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
fn find(face: &Face, frame: &Frame, (phase, y): (usize, usize), inverse: bool, runs: &mut Vec<Run>) {
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
        let cell = face.cell(frame, x, y, inverse);
        match face.letter(&cell) {
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
                    x,
                    y,
                    width: 0,
                    height: face.height,
                    text: String::new(),
                    weight: 0,
                });
                run.text.push(letter);
                run.weight += ink(&cell[face.head..face.foot]);
            }
        }
        x += face.width;
    }
    close(&mut run);
}
