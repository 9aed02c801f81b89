//! The parts that every screen is laid out from.
//!
//! 128x64 pixels. Line 1: verdict or phase word left, name right, a rule below. Then facts: four lines of the
//! base grid, or rows of cells. Line 6: the one action. Inverse video for a heat line only.

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, Point, Size};
use embedded_graphics::primitives::Rectangle;
use heapless::Vec;

use super::Frame;
use super::format;
use super::model::Action;
use super::run_model::PlateHeat;
use super::signs::{self, DrawnSign};
use super::text::{self, COLUMNS, Face, Line};
use crate::checks::Signal;
use crate::limits::up_to;
use crate::words::Words;

/// Pixels across.
pub(super) const WIDTH: i32 = Frame::WIDTH as i32;
/// Lines of the base grid between title and action.
pub(super) const FACT_LINES: usize = 4;
/// Where the word of a closed gate begins, after its barrier tape.
pub(super) const HELD_X: i32 = 12;
/// The rule below line 1.
pub(super) const RULE_Y: i32 = 12;
/// Foot of the capitals of the first fact line; the others follow every ten pixels.
pub(super) const FACT_BASELINE: i32 = 21;
/// Pixels from fact line to fact line.
pub(super) const FACT_PITCH: i32 = 10;
/// Pixels from line to line within a paragraph, so that two paragraphs stand apart.
const PARAGRAPH_PITCH: i32 = 9;
/// Foot of the capitals of line 6.
const ACTION_BASELINE: i32 = 61;
/// Where the text of line 6 begins, after its mark.
const ACTION_X: i32 = 6;
/// Rows of a heat line.
pub(super) const HEAT_ROWS: i32 = 9;
/// Least blank between two cells of a row.
const GAP: i32 = 2;
/// Most blank between two cells of one side, where there is room.
const WIDE_GAP: i32 = 5;

/// Where a cell of a row stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Align {
    Left,
    Right,
}

/// A cell that is never dropped from its row.
pub(super) const ALWAYS: u8 = u8::MAX;

/// One text of a row.
#[derive(Clone, Debug)]
pub(super) struct Cell {
    align: Align,
    face: Face,
    /// The lowest go first when the row is too long.
    keep: u8,
    text: Line,
}

impl Cell {
    pub(super) fn new(align: Align, face: Face, keep: u8, text: &str) -> Self {
        Self { align, face, keep, text: text::line(text) }
    }

    pub(super) fn left(face: Face, text: &str) -> Self {
        Self::new(Align::Left, face, ALWAYS, text)
    }

    pub(super) fn right(face: Face, text: &str) -> Self {
        Self::new(Align::Right, face, ALWAYS, text)
    }

    fn width(&self) -> i32 {
        text::width(self.face, &self.text)
    }
}

/// Cells of a row.
pub(super) type CellRow = Vec<Cell, 6>;

/// A row of these cells, those without text left out.
pub(super) fn row<const N: usize>(cells: [Cell; N]) -> CellRow {
    const { assert!(N <= 6, "a row has at most six cells") };
    up_to(cells.into_iter().filter(|cell| !cell.text.is_empty()))
}

fn needed(row: &CellRow, gap: i32) -> i32 {
    let gaps = i32::try_from(row.len()).unwrap_or(0) - 1;
    row.iter().map(Cell::width).sum::<i32>() + gaps.max(0) * gap
}

fn shrink(row: &mut CellRow, from: Face, to: Face) {
    row.iter_mut().filter(|cell| cell.face == from).for_each(|cell| cell.face = to);
}

/// Makes a row fit `pixels`: large text gets smaller, then cells are dropped from the least to be kept on, then
/// text gets small. What is too long even then is cut where it is drawn.
fn fit(row: &mut CellRow, pixels: i32) {
    if needed(row, GAP) > pixels {
        shrink(row, Face::Large, Face::Text);
    }
    while needed(row, GAP) > pixels {
        let least = row.iter().map(|cell| cell.keep).min().unwrap_or(ALWAYS);
        if least == ALWAYS {
            break;
        }
        // From the end, so that of equals the later goes first.
        if let Some(index) = row.iter().rposition(|cell| cell.keep == least) {
            row.remove(index);
        }
    }
    if needed(row, GAP) > pixels {
        shrink(row, Face::Text, Face::Small);
    }
}

/// A panel being drawn on, in one language.
#[derive(Debug)]
pub(super) struct Sheet<'t, D> {
    pub(super) target: &'t mut D,
    pub(super) words: &'static Words,
}

impl<D: DrawTarget<Color = BinaryColor>> Sheet<'_, D> {
    /// Line 1: the word left, the name right in what room there is, the rule.
    pub(super) fn title(&mut self, word: &str, name: &str) -> Result<(), D::Error> {
        self.title_from(0, word, name)
    }

    /// Line 1 of a closed gate: barrier tape before the word.
    pub(super) fn held_title(&mut self, word: &str, name: &str) -> Result<(), D::Error> {
        self.sign(&signs::BARRIER, 0, 2)?;
        self.title_from(HELD_X, word, name)
    }

    fn title_from(&mut self, x: i32, word: &str, name: &str) -> Result<(), D::Error> {
        let word = text::line(word);
        let name = text::line(name);
        text::put(self.target, Face::Large, BinaryColor::On, (x, 0), &word, WIDTH - x)?;
        let start = x + text::width(Face::Large, &word) + 5;
        let room = WIDTH - start;
        let face = if text::width(Face::Text, &name) < room { Face::Text } else { Face::Small };
        // One column more: the name may end in a letter that fills its cell.
        let x = (WIDTH - 1 - text::width(face, &name)).max(start);
        text::put(self.target, face, BinaryColor::On, (x, 9 - face.baseline()), &name, WIDTH - x)?;
        let rule = Rectangle::new(Point::new(0, RULE_Y), Size::new(WIDTH.unsigned_abs(), 1));
        self.target.fill_solid(&rule, BinaryColor::On)
    }

    /// Draws a sign, lit.
    pub(super) fn sign(&mut self, sign: &DrawnSign, x: i32, top: i32) -> Result<(), D::Error> {
        sign.draw(self.target, (x, top), BinaryColor::On)
    }

    /// A line of the base grid, its capitals standing on `baseline`.
    pub(super) fn line(&mut self, baseline: i32, text: &str) -> Result<(), D::Error> {
        let ready = text::line(text);
        let top = baseline - Face::Text.baseline();
        text::put(self.target, Face::Text, BinaryColor::On, (0, top), &ready, WIDTH)
    }

    /// A text wrapped into at most `lines` lines from `baseline` on; what does not fit is cut with a mark.
    pub(super) fn paragraph(&mut self, baseline: i32, lines: usize, text: &str) -> Result<(), D::Error> {
        let ready = text::body(text);
        let mut pieces = text::wrap(&ready, COLUMNS);
        let mut baseline = baseline;
        for number in 1..=lines {
            let Some(piece) = pieces.next() else { break };
            let mut piece = text::line(piece);
            if number == lines && pieces.next().is_some() {
                if piece.chars().count() == COLUMNS {
                    piece.pop();
                }
                // A line of the grid never fills the buffer.
                let _ = piece.push(super::letters::CUT);
            }
            self.line(baseline, &piece)?;
            baseline += PARAGRAPH_PITCH;
        }
        Ok(())
    }

    /// A row of cells, their capitals standing on `baseline`.
    pub(super) fn row(&mut self, baseline: i32, row: CellRow) -> Result<(), D::Error> {
        self.row_in(baseline, (0, WIDTH), BinaryColor::On, row)
    }

    /// A row of cells between two columns of pixels.
    pub(super) fn row_in(
        &mut self,
        baseline: i32,
        (from, to): (i32, i32),
        color: BinaryColor,
        mut row: CellRow,
    ) -> Result<(), D::Error> {
        fit(&mut row, to - from);
        let gap = (GAP..=WIDE_GAP).rev().find(|&gap| needed(&row, gap) <= to - from).unwrap_or(GAP);
        let right: CellRow = up_to(row.iter().filter(|cell| cell.align == Align::Right).cloned());
        // A right side that is too long by itself begins at the left edge and is cut.
        let right_from = (to - needed(&right, gap)).max(from);
        let mut left_x = from;
        let mut right_x = right_from;
        for cell in &row {
            let (x, end) = match cell.align {
                Align::Left => (&mut left_x, if right.is_empty() { to } else { right_from - gap }),
                Align::Right => (&mut right_x, to),
            };
            let top = baseline - cell.face.baseline();
            text::put(self.target, cell.face, color, (*x, top), &cell.text, (end - *x).min(cell.width()))?;
            *x += cell.width() + gap;
        }
        Ok(())
    }

    /// The inverse line of a hot surface: the sign, then the cells dark on light. Takes [`HEAT_ROWS`] from `top`.
    pub(super) fn heat(&mut self, top: i32, row: CellRow) -> Result<(), D::Error> {
        let sign = signs::HOT_SURFACE;
        // Higher than the bar, so that its lines can be told apart: one row above, one below.
        sign.draw(self.target, (0, top - 1), BinaryColor::On)?;
        let from = i32::from(sign.width);
        let bar =
            Rectangle::new(Point::new(from, top), Size::new((WIDTH - from) as u32, HEAT_ROWS.unsigned_abs()));
        self.target.fill_solid(&bar, BinaryColor::On)?;
        self.row_in(top + 7, (from + 1, WIDTH - 1), BinaryColor::Off, row)
    }

    /// The triangle and the word for injury, what it is about beside it. Takes eleven rows from `top`.
    pub(super) fn signal(&mut self, top: i32, signal: Signal, about: &str) -> Result<(), D::Error> {
        self.sign(&signs::ALERT, 0, top)?;
        let from = i32::from(signs::ALERT.width) + 4;
        let word = Cell::left(Face::Large, self.words.signal(signal));
        let word_end = from + word.width() + WIDE_GAP;
        self.row_in(top + 10, (from, WIDTH), BinaryColor::On, row([word]))?;
        // Half way up the word, its tails clear of what stands below.
        self.row_in(top + 8, (word_end, WIDTH), BinaryColor::On, row([Cell::right(Face::Text, about)]))
    }

    /// What is known of the plate's heat: inverse where it may hurt. Takes [`HEAT_ROWS`] from `top`.
    pub(super) fn plate(&mut self, top: i32, plate: PlateHeat) -> Result<(), D::Error> {
        let words = self.words;
        self.heat_of(top, plate, [words.may_be_hot, words.hot_plate, words.plate])
    }

    /// The same of the nozzle.
    pub(super) fn nozzle(&mut self, top: i32, nozzle: PlateHeat) -> Result<(), D::Error> {
        let words = self.words;
        self.heat_of(top, nozzle, [words.nozzle_may_be_hot, words.hot_nozzle, words.cool_nozzle])
    }

    fn heat_of(
        &mut self,
        top: i32,
        heat: PlateHeat,
        [may_be_hot, hot, below]: [&str; 3],
    ) -> Result<(), D::Error> {
        let number = |reading| Cell::right(Face::Text, &format::figure(Some(reading), format::celsius));
        match heat {
            PlateHeat::NoReading => self.heat(top, row([Cell::left(Face::Text, may_be_hot)])),
            PlateHeat::Hot(reading) => self.heat(top, row([Cell::left(Face::Text, hot), number(reading)])),
            PlateHeat::BelowLimit(reading) => {
                let number = format::figure(Some(reading), format::celsius);
                self.row(top + 7, row([Cell::left(Face::Text, below), Cell::left(Face::Text, &number)]))
            }
        }
    }

    /// Line 6.
    pub(super) fn action(&mut self, action: Action) -> Result<(), D::Error> {
        self.action_to(WIDTH, action)
    }

    /// Line 6, with room kept at its right end.
    pub(super) fn action_to(&mut self, right: i32, action: Action) -> Result<(), D::Error> {
        let words = &self.words.actions;
        let mut counted = Line::new();
        let text = match action {
            Action::PutCardIn => words.put_card_in,
            Action::LeaveCardIn => words.leave_card_in,
            Action::TakeCardOut => words.take_card_out,
            Action::Pick => words.pick,
            Action::ReadPoints(count) => {
                format::counted(&mut counted, u32::from(count), &self.words.points, words.press);
                &counted
            }
            Action::WalkRound => words.walk_round,
            Action::OtherJob => words.other_job,
            Action::Remedy => words.remedy,
            Action::Back => words.back,
            Action::HaveRead => words.have_read,
            Action::VetAnyway => words.vet_anyway,
            Action::ReadAgain => words.read_again,
        };
        self.action_text(right, text)
    }

    /// Line 6 in words that are at hand.
    pub(super) fn action_text(&mut self, right: i32, text: &str) -> Result<(), D::Error> {
        let ready = text::line(text);
        let top = ACTION_BASELINE - Face::Text.baseline();
        self.sign(&signs::ACT, 0, ACTION_BASELINE - 6)?;
        text::put(self.target, Face::Text, BinaryColor::On, (ACTION_X, top), &ready, right - ACTION_X)
    }
}
