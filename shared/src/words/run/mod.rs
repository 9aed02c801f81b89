//! The words of the screens of a run: a row a screen, laid out by marks.
//!
//! A row holds the lines of one screen, parted by `|`: the title first, the action last. An empty action stands for
//! the usual one: a remedy that was read, a question that is answered. A line is read by its first
//! character; `~` sends what follows to the right edge; `{0}` to `{9}` stand for the screen's items.
//!
//! | line | drawn as |
//! | --- | --- |
//! | title `*...` | barrier tape before it: the gate is shut |
//! | `text` | a paragraph of the base grid, broken at blanks |
//! | `left~right` | a row of the base grid |
//! | `#label~value` | a small label, a value in figures 10 pixels high |
//! | `##left~right` | both that high |
//! | `!~right`, `!!~right` | the triangle with CAUTION or WARNING: injury only |
//! | `^{0}`, `^label~value` | the inverse line of a hot surface; `{0}` may be the heat of plate or nozzle |
//! | `={0}` | an outline that fills by an item's percent |
//!
//! Rows as marks and not as fields: eighty screens of five texts each would cost three kilobytes of flash for where
//! the texts stand. Each list is one text, a row a line, its order held against its enum when the program is built.
//! `tests/tests/words_run.rs` holds every row against the panel with its longest items.

pub(super) mod de;
pub(super) mod en;
mod pages;

pub use pages::{RunPage, Term};

use crate::phase::{Answer, Hand, OutOfUse, Question};

/// Rows of one enum, in its order; it does not compile where one is missing or stands elsewhere.
macro_rules! rows {
    ($of:ident: $($name:ident $text:expr,)+) => {{
        const _: () = {
            let mut at = 0;
            $(
                assert!($of::$name as usize == at, "a row stands out of order");
                at += 1;
            )+
            assert!(at == $of::ALL.len(), "a row is missing");
        };
        concat!($($text, "\n"),+)
    }};
}
use rows;

/// The questions' rows: title, text and action; the answers are listed between text and action.
///
/// Item 0 is the place among the questions of its kind (`2/5`), where there is one.
#[derive(Clone, Copy, Debug)]
pub struct QuestionRows {
    /// By [`Hand`]. Item 1: the sticker's mark, the wanted face's name, the nozzle's heat, or the job's grade.
    pub hand: &'static str,
    /// Items: the job's name as the printer shows it, its time.
    pub shown: &'static str,
    /// Items: the strip's edge, its length.
    pub strip: &'static str,
    /// No items.
    pub first_layer: &'static str,
    /// No items.
    pub after_fault: &'static str,
    /// No items.
    pub running: &'static str,
    /// No items.
    pub after_trouble: &'static str,
    /// No items.
    pub still_running: &'static str,
    /// Item 0: the nozzle's heat.
    pub part_off: &'static str,
    /// The same.
    pub plate_back: &'static str,
    /// No items.
    pub outcome: &'static str,
    /// No items.
    pub reason: &'static str,
    /// Item 0: the point's place.
    pub lead: &'static str,
    /// No items.
    pub again: &'static str,
    /// No items.
    pub in_use: &'static str,
    /// Item 0: who is on the knob.
    pub owner: &'static str,
    /// The same.
    pub in_charge: &'static str,
}

/// The answers' rows, each list by the enum of its name; at most 18 characters each.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs, reason = "named as the values of `Answer`")]
pub struct AnswerRows {
    pub seen: &'static str,
    pub shown: &'static str,
    pub strip: &'static str,
    pub first_layer: &'static str,
    pub after_fault: &'static str,
    pub running: &'static str,
    pub after_trouble: &'static str,
    pub still_running: &'static str,
    pub part_off: &'static str,
    pub plate_back: &'static str,
    pub outcome: &'static str,
    pub reason: &'static str,
    pub lead: &'static str,
    pub again: &'static str,
    pub in_use: &'static str,
}

/// The words of a run's screens in one language.
#[derive(Clone, Copy, Debug)]
pub struct RunWords {
    /// By [`RunPage`].
    pub pages: &'static str,
    /// By [`Question`].
    pub questions: QuestionRows,
    /// By [`Answer`].
    pub answers: AnswerRows,
    /// By [`Term`].
    pub terms: &'static str,
    /// By [`OutOfUse`]; at most 13 characters.
    pub out_of_use: &'static str,
    /// Beside the first layer's picture, small: before the time to stay.
    pub stay: &'static str,
    /// The same: before what is laid now.
    pub now: &'static str,
    /// The same: before what comes next.
    pub next: &'static str,
    /// The same: before how much is laid.
    pub by_time: &'static str,
    /// Title of the first layer's watch: at most 12 characters.
    pub first_layer: &'static str,
    /// Its action, beside the picture: at most 12 characters.
    pub watch: &'static str,
    /// Action of a page that has none of its own: what helps was read.
    pub read_on: &'static str,
    /// Action of a question that was answered too quickly and is asked once more.
    pub too_quick: &'static str,
    /// Title of a question that is asked once more after a break: at most 14 characters.
    pub last_chance: &'static str,
}

/// A row of a list; empty beyond its end.
fn nth(rows: &'static str, at: usize) -> &'static str {
    rows.split('\n').nth(at).unwrap_or_default()
}

impl RunWords {
    /// The row of a page.
    #[must_use]
    pub fn page(&self, page: RunPage) -> &'static str {
        nth(self.pages, page as usize)
    }

    /// The row of a question.
    #[must_use]
    pub fn question(&self, question: Question) -> &'static str {
        let rows = &self.questions;
        let hand = |hand: Hand| nth(rows.hand, hand as usize);
        match question {
            Question::Hand(of) => hand(of),
            Question::Shown => rows.shown,
            Question::Strip => rows.strip,
            Question::FirstLayer => rows.first_layer,
            Question::AfterFault => rows.after_fault,
            Question::Running => rows.running,
            Question::AfterTrouble => rows.after_trouble,
            Question::StillRunning => rows.still_running,
            Question::PartOff => rows.part_off,
            Question::PlateBack => rows.plate_back,
            Question::Outcome => rows.outcome,
            Question::Reason => rows.reason,
            Question::Lead => rows.lead,
            Question::Again => rows.again,
            Question::Use => rows.in_use,
            Question::Owner => rows.owner,
            Question::InCharge => rows.in_charge,
        }
    }

    /// The words of an answer; empty for a sticker's grade and for a person, which are shown by mark and code.
    #[must_use]
    pub fn answer(&self, answer: Answer) -> &'static str {
        let rows = &self.answers;
        let (list, at) = match answer {
            Answer::Sticker(_) | Answer::Owner | Answer::InCharge | Answer::Nobody => return "",
            Answer::Seen(of) => (rows.seen, of as usize),
            Answer::Shown(of) => (rows.shown, of as usize),
            Answer::Strip(of) => (rows.strip, of as usize),
            Answer::FirstLayer(of) => (rows.first_layer, of as usize),
            Answer::AfterFault(of) => (rows.after_fault, of as usize),
            Answer::Running(of) => (rows.running, of as usize),
            Answer::AfterTrouble(of) => (rows.after_trouble, of as usize),
            Answer::StillRunning(of) => (rows.still_running, of as usize),
            Answer::PartOff(of) => (rows.part_off, of as usize),
            Answer::PlateBack(of) => (rows.plate_back, of as usize),
            Answer::Outcome(of) => (rows.outcome, of as usize),
            Answer::Reason(of) => (rows.reason, of as usize),
            Answer::Lead(of) => (rows.lead, of as usize),
            Answer::Again(of) => (rows.again, of as usize),
            Answer::Use(None) => return rows.in_use,
            Answer::Use(Some(of)) => (self.out_of_use, of as usize),
        };
        nth(list, at)
    }

    /// The word of a term.
    #[must_use]
    pub fn term(&self, term: Term) -> &'static str {
        nth(self.terms, term as usize)
    }

    /// Why the machine is out of use.
    #[must_use]
    pub fn out_of_use(&self, reason: OutOfUse) -> &'static str {
        nth(self.out_of_use, reason as usize)
    }
}
