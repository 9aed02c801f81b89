//! Words that neither wait nor move: when they stand is known once the moves before them have settled.

use heapless::Deque;

use super::values::MarkKind;

/// Words that may stand among the moves that the machine looks ahead at. When there are more, the first one is told
/// where the moves that have settled end.
const NOTES: usize = 12;

/// What a comment names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Thing {
    /// A support.
    Support,
    /// A bridge or an overhang: beads over air.
    Bridge,
}

/// What a word's time is wanted for.
#[derive(Clone, Copy, Debug)]
pub(super) enum Noted {
    /// A phase mark.
    Mark(MarkKind),
    /// A heat target, by its place in the survey's list.
    HeatStep(usize),
    /// All heaters are off.
    HeatersOff,
    /// A comment named it, and its bead begins.
    Thing(Thing),
}

/// A word behind so many moves.
#[derive(Clone, Copy, Debug)]
pub(super) struct Note {
    /// Moves before it.
    pub(super) after: u32,
    pub(super) line: u32,
    pub(super) what: Noted,
}

/// The words that wait for moves.
#[derive(Clone, Debug, Default)]
pub(super) struct Notes {
    waiting: Deque<Note, NOTES>,
    /// Moves that have settled.
    settled: u32,
    /// How many there are when the next note's time has come; 0 = none waits.
    due: u32,
}

impl Notes {
    /// A move settled; gives whether a note's time has come.
    #[inline]
    pub(super) const fn count(&mut self) -> bool {
        // Ends far beyond what a file of 2³² bytes has.
        self.settled = self.settled.wrapping_add(1);
        self.settled == self.due
    }

    /// Keeps a note until its moves have settled; gives the one to be told at once, if there is one.
    pub(super) fn keep(&mut self, note: Note) -> Option<Note> {
        if self.settled >= note.after {
            return Some(note);
        }
        let first = if self.waiting.is_full() { self.take() } else { None };
        // Room was made.
        let _ = self.waiting.push_back(note);
        self.due = self.waiting.front().map_or(0, |next| next.after);
        first
    }

    /// The next note whose time has come.
    pub(super) fn take_due(&mut self) -> Option<Note> {
        if self.due != 0 && self.settled >= self.due { self.take() } else { None }
    }

    fn take(&mut self) -> Option<Note> {
        let note = self.waiting.pop_front();
        self.due = self.waiting.front().map_or(0, |next| next.after);
        note
    }
}
