//! G words other than straight moves: arcs, dwells, homing, probing, positions set.

use crate::text::{MICRO, Words};

use super::arc::Arc;
use super::command::Known;
use super::modal::{Modal, inch_to_mm};
use super::{Applied, Axes, MotionSink, UnreadKind};

impl Modal {
    /// The commands other than lines.
    pub(super) fn other(&mut self, known: Known, words: &Words, sink: &mut impl MotionSink) {
        match known {
            Known::ArcClockwise => self.arc(false, words, sink),
            Known::ArcCounterClockwise => self.arc(true, words, sink),
            Known::Dwell => {
                // The trade: P milliseconds, S seconds.
                let ms = words.get(b'P').unwrap_or(0) / MICRO + words.get(b'S').unwrap_or(0) / 1000;
                sink.applied(Applied::Dwell(u64::try_from(ms).unwrap_or(0)));
            }
            Known::Retract => sink.applied(Applied::MachineRetract),
            Known::Return => sink.applied(Applied::MachineReturn),
            Known::Home => self.home(words, sink),
            Known::Probe => sink.applied(Applied::Probe),
            Known::SetPosition => {
                if words.bare != 0 {
                    // Zero to one controller, nothing to another.
                    sink.applied(Applied::Malformed);
                }
                self.set_position(words, sink);
            }
            _ => {}
        }
    }

    fn home(&mut self, words: &Words, sink: &mut impl MotionSink) {
        let axes = Axes::named(words, Axes::XYZ);
        let places = self.step.to.iter_mut().zip(&mut self.offset).zip(&mut self.baby);
        for (axis, ((at, offset), baby)) in [Axes::X, Axes::Y, Axes::Z].into_iter().zip(places) {
            if axes.meets(axis) {
                (*at, *offset, *baby) = (0, 0, 0);
            }
        }
        if axes.meets(Axes::Z) {
            self.step.wording.z_stated = false;
        }
        sink.applied(Applied::Home(axes));
    }

    /// G92: no motion; where the machine stands is called by these numbers from now on.
    fn set_position(&mut self, words: &Words, sink: &mut impl MotionSink) {
        let before = self.offset;
        let inch = self.step.wording.inch;
        for ((letter, at), offset) in [b'X', b'Y', b'Z'].into_iter().zip(self.step.to).zip(&mut self.offset) {
            if words.has(letter) {
                let value = words.raw(letter);
                *offset = at - if inch { inch_to_mm(value) } else { value };
            }
        }
        if words.has(b'E') {
            self.feed_at = self.to_mm(words.raw(b'E'));
            self.step.wording.e_reset = true;
        }
        let alone = words.bare == 0 && ![b'X', b'Y', b'Z', b'E'].into_iter().any(|letter| words.has(letter));
        if alone {
            // Without words, all are called zero.
            self.offset = self.step.to;
            self.feed_at = 0;
            self.step.wording.e_reset = true;
        }
        let farthest = self.offset.into_iter().zip(before).map(|(now, before)| now.abs_diff(before)).max();
        if let Some(nm) = farthest.filter(|nm| *nm > 0) {
            sink.applied(Applied::Renamed { nm });
        }
    }

    fn arc(&mut self, counter_clockwise: bool, words: &Words, sink: &mut impl MotionSink) {
        self.begin_move(words);
        let ([x0, y0, _], [x1, y1, _]) = (self.step.from, self.step.to);
        let arc = if self.plane_other {
            Err(UnreadKind::ArcPlane)
        } else if words.has(b'R') {
            let radius = self.to_mm(words.raw(b'R'));
            Arc::by_radius([x0, y0], [x1, y1], radius, counter_clockwise)
        } else {
            let offset = [b'I', b'J'].map(|letter| self.to_mm(words.get(letter).unwrap_or(0)));
            Arc::by_centre([x0, y0], [x1, y1], offset, counter_clockwise)
        };
        match arc {
            Ok(arc) => {
                if arc.mismatch {
                    sink.applied(Applied::ArcMismatch);
                }
                self.step.arc = Some(arc);
            }
            Err(why) => {
                // Its end and its filament still count, as a straight line's would.
                sink.applied(Applied::Unread(why));
            }
        }
        self.finish_move(words, sink);
    }

    pub(super) fn set_tool(&mut self, words: &Words, sink: &mut impl MotionSink) {
        let tool = words.raw(b'T') / MICRO;
        self.tool = u8::try_from(tool.clamp(0, 255)).unwrap_or(u8::MAX);
        sink.applied(Applied::Tool(self.tool));
    }
}
