//! How the words of moves looked: modes, units, and whether their numbers fit them.

use crate::motion::Move;

use super::measure::Measure;

impl Measure {
    /// How the words of a move looked.
    #[inline]
    pub(super) fn wording(&mut self, step: &Move) {
        let facts = &mut self.survey.motion;
        let wording = &step.wording;
        if let Some(x) = wording.x {
            let position = if wording.relative { &mut facts.relative } else { &mut facts.absolute };
            position.met.add(self.line);
            position.sum_abs_x_nm = position.sum_abs_x_nm.saturating_add(x.unsigned_abs());
        }
        if let Some(e) = wording.e {
            if wording.e_reset && !facts.feed_mode_stated && facts.absolute_feed.met.count == 0 {
                facts.feed_mode_stated = wording.feed_mode_stated;
            }
            if wording.feed_mode_ambiguous {
                facts.feed_mode_ambiguous.add(self.line);
            }
            if self.path.in_plane {
                let mode =
                    if wording.feed_relative { &mut facts.relative_feed } else { &mut facts.absolute_feed };
                mode.met.add(self.line);
                // Relative numbers of a bead compare with those of beads alone.
                if !(wording.e_reset || wording.feed_relative && self.last_e_alone) {
                    if e < self.last_e {
                        mode.falls = mode.falls.saturating_add(1);
                    } else if e > self.last_e {
                        mode.rises = mode.rises.saturating_add(1);
                    }
                } else {
                    mode.after_reset = mode.after_reset.saturating_add(1);
                }
            }
            self.last_e = e;
            self.last_e_alone = !self.path.in_plane;
        }
        if wording.inch {
            facts.inch_moves.add(self.line);
        }
        if step.speed_nm_s > self.highest_feed_nm_s {
            self.highest_feed_nm_s = step.speed_nm_s;
            facts.highest_feed_um_s = step.speed_nm_s / 1000;
        }
    }
}
