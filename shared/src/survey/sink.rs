//! Each move and each command as it comes.

use crate::motion::{Applied, MotionSink, Move};

use super::measure::Measure;
use super::settle::{AS_PENDING, BEGINS_PASS, FEEDS, Tag};
use super::stretch::Class;

impl MotionSink for Measure {
    #[inline]
    fn moved(&mut self, step: &Move) {
        if !self.path.become_of(step) {
            return;
        }
        self.survey.reading.moves = self.survey.reading.moves.saturating_add(1);
        let alone = self.path.stretch.class == Class::Retract;
        self.wording(step);
        let inside = !alone && self.reach(step);
        let feeds = step.feed_nm > 0;
        if step.feed_nm != 0 {
            self.filament(step.feed_nm, alone);
            let begun = self.layers.passes() > 0;
            self.breaks.feed(step.feed_nm, alone, begun, self.line, &mut self.survey.breaks);
            if feeds && self.heat.fresh_feed {
                let place = self.place();
                self.heat.feeds(place, &mut self.survey.heat);
            }
        }
        let bead = self.path.in_plane && feeds;
        if step.arc.is_some() {
            self.survey.motion.arcs = self.survey.motion.arcs.saturating_add(1);
        }
        let tag = if bead {
            self.bead(step, inside)
        } else {
            let mut flags = if feeds { FEEDS } else { 0 };
            if !alone {
                if self.travel(step) {
                    flags |= BEGINS_PASS | AS_PENDING;
                }
                if self.path.in_plane {
                    self.pulls.travel(self.path.plane_nm, self.line);
                    self.pulls.legs = self.pulls.legs.saturating_add(u32::from(step.feed_nm == 0));
                }
            }
            if step.feed_nm != 0 {
                self.pulls.feed(step.feed_nm, self.line);
            }
            Tag { line: self.line, flags, z_um: self.layers.ended_um, ..Tag::default() }
        };
        self.survey.tail.last_move_lays = bead;
        // A pull leaves the place where it is.
        self.chained = bead || (alone && self.chained);
        let Self { path, clock, settling, survey, .. } = self;
        clock.push(&path.stretch, tag, &mut |tag, settled| settling.settled(tag, settled, survey));
    }

    fn applied(&mut self, what: Applied) {
        self.command(what);
    }
}
