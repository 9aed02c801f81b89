//! A line's words, taken in the order of RS274/NGC Table 8.

use crate::text::{Code, Words};

use super::command::{Known, WordClass};
use super::modal::Modal;
use super::{Applied, MotionSink, UnreadKind, may_act, table};

/// G52: its axis words are its own.
const LOCAL_OFFSET: u32 = 520;
/// Bits of letters as in [`Words::present`].
const fn bits(letters: &[u8]) -> u32 {
    let (mut bits, mut rest) = (0, letters);
    while let [first, others @ ..] = rest {
        bits |= 1 << (*first & 31);
        rest = others;
    }
    bits
}

/// Letters that no word of a move has: mistaken or damaged digits, such as `X1O5`.
const FOREIGN: u32 = bits(b"DLOQ");

/// Letters that ask for more than a straight move.
const NOT_OF_LINES: u32 = FOREIGN | bits(b"T");

impl Modal {
    /// Takes the words of one line; gives `sink` what they come to, in the order of RS274/NGC Table 8 as far as it
    /// matters: feed, tool, M words, units and modes, then motion.
    #[inline]
    pub fn apply(&mut self, words: &Words, sink: &mut impl MotionSink) {
        let mut command = None;
        let axes = words.has(b'X') | words.has(b'Y') | words.has(b'Z') | words.has(b'E');
        let straight = matches!(words.only_g(), Some(0 | 10));
        if straight {
            self.motion = Known::Line;
            command = Some(Known::Line);
        } else if !(words.g().is_empty() && words.no_m()) {
            let Some(found) = self.modes(words, sink) else {
                self.back_from_aside();
                return;
            };
            command = found;
        }
        if words.has(b'F') {
            self.set_feed(words.raw(b'F'));
        }
        if straight && axes && (words.bare | words.present & NOT_OF_LINES) == 0 {
            // The usual line.
            self.line(words, sink);
            return;
        }
        if words.has(b'T') && words.no_m() {
            self.set_tool(words, sink);
        }
        match command {
            Some(Known::Line) => {
                if axes {
                    self.line(words, sink);
                }
            }
            Some(known) => self.other(known, words, sink),
            // Axis words alone go on with the last motion word, unless an M word takes them.
            None => {
                if (axes | words.has(b'I') | words.has(b'J')) && words.no_m() {
                    match self.motion {
                        Known::Line if axes => self.line(words, sink),
                        Known::Line => {}
                        known => self.other(known, words, sink),
                    }
                } else if words.bare != 0 && words.no_m() {
                    sink.applied(Applied::Malformed);
                }
            }
        }
        if (words.bare | words.present & FOREIGN) != 0
            && matches!(command, Some(Known::Line | Known::ArcClockwise | Known::ArcCounterClockwise))
        {
            sink.applied(Applied::Malformed);
        }
        if self.aside.is_some() {
            self.back_from_aside();
        }
    }

    /// After a line of G53 the offset is in force again.
    #[cold]
    fn back_from_aside(&mut self) {
        if let Some(offset) = self.aside.take() {
            self.offset = offset;
        }
    }

    /// Units, modes and M words of a line; gives the one word that takes the axis words. `None` = the line is
    /// not to be read.
    fn modes(&mut self, words: &Words, sink: &mut impl MotionSink) -> Option<Option<Known>> {
        let (g, m) = (words.g(), words.m());
        if m.len() > 1 || !(m.is_empty() || g.is_empty()) {
            sink.applied(Applied::Unread(UnreadKind::ManyWords));
        }
        let garbled =
            m.iter().any(|code| table::known(b'M', *code, words) != Known::Unknown) && words.has(b'O');
        if garbled || words.bare & bits(b"SR") != 0 && !m.is_empty() && may_act(words) {
            sink.applied(Applied::Malformed);
        }
        if stands_against(g) {
            sink.applied(Applied::Unread(UnreadKind::TwoCommands));
        }
        let mut command = None;
        let mut only_classed = false;
        for &code in m {
            self.machine_word(code, words, sink);
        }
        for &code in g {
            let known = match code {
                0 | 10 => Known::Line,
                20 => Known::ArcClockwise,
                30 => Known::ArcCounterClockwise,
                _ => table::known(b'G', code, words),
            };
            match known {
                Known::Units { inch } => {
                    self.step.wording.inch = inch;
                    if inch {
                        sink.applied(Applied::Inch);
                    }
                }
                Known::Positions { relative } => self.set_positions(relative),
                Known::PlaneXy => self.plane_other = false,
                Known::PlaneOther => self.plane_other = true,
                Known::FeedForm { other } => self.feed_form_other = other,
                Known::ClearOffset => self.offset = self.baby,
                Known::MachinePlaces => {
                    self.aside.get_or_insert(self.offset);
                    self.offset = self.baby;
                }
                Known::Tuning => only_classed |= code == LOCAL_OFFSET,
                known if known.class() != WordClass::Modelled => {
                    only_classed = true;
                    Self::classed(b'G', code, known.class(), sink);
                }
                known => {
                    if command.is_some() {
                        sink.applied(Applied::Unread(UnreadKind::TwoCommands));
                        return None;
                    }
                    if matches!(known, Known::Line | Known::ArcClockwise | Known::ArcCounterClockwise) {
                        self.motion = known;
                    }
                    command = Some(known);
                }
            }
        }
        // The axis words of a line without a command belong to such a word.
        if only_classed && command.is_none() { None } else { Some(command) }
    }
}

/// Whether two modes of one group stand on the line (RS274/NGC 3.4: one word of a group): which one holds is the
/// controller's choice.
fn stands_against(g: &[Code]) -> bool {
    let has = |code: Code| g.contains(&code);
    has(200) && has(210) || has(900) && has(910) || has(930) | has(950) && has(940)
}
