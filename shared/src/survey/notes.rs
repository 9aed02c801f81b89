//! Words that neither wait nor move: when they stand is known once the moves before them have settled.

use heapless::Deque;

use super::remarks::Thing;
use super::settle::Settling;
use super::values::{Mark, MarkKind, Named, Survey};

/// Words that may stand among the moves that the machine looks ahead at. When there are more, the first one is told
/// where the moves that have settled end.
const NOTES: usize = 12;

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

#[derive(Clone, Copy, Debug)]
struct Note {
    /// Moves before it.
    after: u32,
    line: u32,
    what: Noted,
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

    fn take(&mut self) -> Option<Note> {
        let note = self.waiting.pop_front();
        self.due = self.waiting.front().map_or(0, |next| next.after);
        note
    }
}

impl Settling {
    /// A word behind all moves read so far.
    #[cold]
    pub(super) fn note(&mut self, what: Noted, line: u32, survey: &mut Survey) {
        self.note_behind(survey.reading.moves, what, line, survey);
    }

    /// A word behind so many moves.
    pub(super) fn note_behind(&mut self, after: u32, what: Noted, line: u32, survey: &mut Survey) {
        let note = Note { after, line, what };
        if self.notes.settled >= note.after {
            self.tell(note, survey);
            return;
        }
        if self.notes.waiting.is_full()
            && let Some(first) = self.notes.take()
        {
            self.tell(first, survey);
        }
        // Room was made.
        let _ = self.notes.waiting.push_back(note);
        self.notes.due = self.notes.waiting.front().map_or(0, |next| next.after);
    }

    /// Tells the notes whose time has come.
    #[cold]
    pub(super) fn tell_due(&mut self, survey: &mut Survey) {
        while self.notes.due != 0 && self.notes.settled >= self.notes.due {
            let Some(note) = self.notes.take() else { return };
            self.tell(note, survey);
        }
    }

    fn tell(&mut self, note: Note, survey: &mut Survey) {
        let at_ns = self.now_ns();
        let at_s = self.s(at_ns);
        match note.what {
            Noted::Mark(kind) => survey.mark(Mark { kind, at_s, line: note.line }),
            Noted::HeatStep(index) => {
                if let Some(step) = survey.heat.steps.get_mut(index) {
                    step.at_s = at_s;
                }
            }
            Noted::HeatersOff => self.heat_off_ns = Some(at_ns),
            Noted::Thing(thing) => survey.named.name(thing == Thing::Bridge, Named { at_s, line: note.line }),
        }
    }
}
