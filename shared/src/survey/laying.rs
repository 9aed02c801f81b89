//! Beads, measured as they come, and what lies between two of them.

use crate::limits::FLOW_FACTORS_PERMILLE;
use crate::motion::{Axes, Move};

use super::breaks::BreakWatch;
use super::flat::add_bead;
use super::layers::Begins;
use super::measure::{Measure, SinceBead};
use super::paired::Paired;
use super::path::STEEP_RATIO;
use super::pulls::Between;
use super::settle::{
    AS_PENDING, BEAD, BEGINS_PART, BEGINS_PASS, FEEDS, FIRST_AGAIN, PENDING, PERHAPS, STEEP, Tag, of_patch,
};
use super::strip::{REST, WATCHED_LAYERS};
use super::values::{BEADS_PER_OCTAVE, Beads, Pull};

impl Measure {
    /// A bead: filament laid while X or Y moves. Gives what its tag says of it.
    #[inline]
    pub(super) fn bead(&mut self, step: &Move, inside: bool) -> Tag {
        let (mut length_nm, ratio) = (self.path.stretch.length_nm, self.path.ratio);
        let mut begins = self.layers.bead(step, &self.path, self.line, &self.strip, &mut self.survey.parts);
        if begins.pass && !begins.as_pending && self.layers.passes() == 2 && self.strip.is_left(step) {
            self.layers.first_is_here();
            begins.first_again = true;
        }
        let laid_nm = u32::try_from(step.feed_nm).unwrap_or(u32::MAX);
        // In parts until the end: a value that is put together in memory is waited for when it is copied.
        let (mut flags, mut z_um) = (BEAD | FEEDS, 0);
        let goes_on = begins == Begins::default();
        if !goes_on {
            (flags, z_um) = self.bead_begins(step, begins);
        }
        let mut of_tag = ratio;
        if ratio == STEEP_RATIO {
            (flags, of_tag) = (flags | STEEP, self.path.steep());
            length_nm = self.path.plane_nm;
        }
        let begun = self.layers.passes();
        let pending = begun == 1 && self.layers.is_pending();
        // What may begin the second layer is nearly always right in doing so.
        let pass = begun.saturating_add(pending.into());
        if self.pulls.pending {
            let between = self.between_beads(step.feed_nm, length_nm, pass);
            // On the way from a purge strip to the first layer jobs do as they like.
            if goes_on && pass > 1 && !self.closed {
                BreakWatch::way(&between, &mut self.survey.breaks);
            }
        }
        let [.., z] = step.to;
        let mut lead = false;
        if pass <= WATCHED_LAYERS {
            if pass <= 1 {
                let laid = (length_nm, laid_nm);
                let footprint = &mut self.survey.footprint;
                let patch = self.strip.bead(step, laid, self.chained, self.line, &self.pen, footprint);
                lead = patch < REST;
                flags |= of_patch(patch);
            } else {
                if pending {
                    self.strip.pend(step, length_nm, self.line);
                    flags |= PENDING;
                }
                add_bead(&mut self.survey.first_layer.above, step);
                // Beads of a later part say nothing of what was laid beside the first one.
                if self.survey.parts.count == 0 && self.strip.watch(step) {
                    self.layers.take_in(&self.strip);
                }
            }
        }
        if !(lead || inside && goes_on) {
            if !self.chained {
                self.layers.grow(step.from, self.line);
            }
            self.layers.grow(step.to, self.line);
            if let Some(arc) = &step.arc {
                for [x, y] in arc.extremes() {
                    self.layers.grow([x, y, z], self.line);
                }
            }
        }
        self.bead_path_nm = self.bead_path_nm.saturating_add(length_nm);
        let ([.., from], [.., to]) = (step.from, step.to);
        let slopes = from != to;
        self.breaks.bead(ratio, length_nm, slopes, self.line, &mut self.survey.breaks);
        if let Some(under) = self.factored.and_then(|at| self.survey.filament.factored.get_mut(at)) {
            under.path_nm = under.path_nm.saturating_add(length_nm);
            under.laid_nm = under.laid_nm.saturating_add(laid_nm.into());
        }
        // Beads after the end are another matter.
        if step.wording.z_stated && !self.closed {
            let ways = [self.chained, lead];
            self.relief.bead(step, &self.path, self.line, ways, &mut self.survey.relief);
        }
        let beads = &mut self.survey.beads;
        let ramp = slopes && !self.layers.turns() && self.smoothing.ramp(ratio, length_nm, beads);
        if !ramp && !self.smoothing.bead(step, ratio, length_nm, beads) && !self.paired.bead(ratio, length_nm)
        {
            self.survey.beads.add(ratio, length_nm);
        }
        if self.heat.fresh_bead {
            // Where a turn is full the next one begins within a bead.
            let pass = begun.saturating_add((pending || self.layers.turn_is_full()).into());
            let place = self.place();
            self.heat.lays(pass, place, &mut self.survey.heat, &mut self.survey.fan);
            if let Some(note) = self.remarks.bead(pass, &self.survey) {
                self.settling.note_behind(note, &mut self.survey);
            }
        }
        if self.closed {
            self.survey.tail.beads_after_end.add(self.line);
        }
        if self.lost != Axes::NONE {
            self.laid_lost();
        }
        self.last_bead_z = z;
        self.survey.tail.last_bead_line = self.line;
        self.since_bead = SinceBead::default();
        Tag { line: self.line, laid_nm, ratio: of_tag, z_um, flags }
    }

    /// Another flow factor, thousandths.
    pub(super) fn set_factor(&mut self, permille: u32) {
        let [low, high] = FLOW_FACTORS_PERMILLE;
        self.factored = if permille <= low { Some(0) } else { (permille >= high).then_some(1) };
        if let Some(under) = self.factored.and_then(|at| self.survey.filament.factored.get_mut(at))
            && (under.permille == 0 || permille.abs_diff(1000) > under.permille.abs_diff(1000))
        {
            (under.permille, under.line) = (permille, self.line);
        }
    }

    /// A bead after motors went off.
    #[cold]
    fn laid_lost(&mut self) {
        let facts = &mut self.survey.motion;
        let met = if self.lost.meets(Axes::XYZ) { &mut facts.laid_lost } else { &mut facts.extruder_rested };
        // Behind an end it is the bead that is wrong, and the tail tells of it.
        if !self.closed {
            met.add(self.lost_line);
        }
        // Told once for each time.
        self.lost = Axes::NONE;
    }

    /// What came between the last bead and this one, or the job's end (path 0).
    #[cold]
    pub(super) fn between_beads(&mut self, feed_nm: i64, path_nm: u64, pass: u32) -> Between {
        let between = self.pulls.bead(feed_nm, path_nm);
        if self.closed && path_nm > 0 {
            // Beads after the end are another matter.
            return between;
        }
        let filament = &mut self.survey.filament;
        if path_nm > 0 {
            keep_longest(&mut filament.pulled_inside, between.pulled);
        }
        if self.survey.tail.last_bead_line == 0 {
            // Start texts push, pull and go as they like.
            return between;
        }
        if path_nm > 0 {
            keep_longest(&mut filament.pushed_inside, between.pushed);
        }
        if between.unprimed {
            let [first, above] = &mut filament.unprimed;
            if pass <= 1 { first.add(self.line) } else { above.add(self.line) }
        }
        let idle = &mut self.survey.motion.idle;
        if between.idle.path_nm > idle.path_nm {
            *idle = between.idle;
        }
        between
    }

    /// What begins with a bead; gives its flags and the plane of the layer before, µm.
    #[cold]
    fn bead_begins(&mut self, step: &Move, begins: Begins) -> (u16, i32) {
        let mut flags = BEAD | FEEDS;
        if begins.first_again {
            flags |= FIRST_AGAIN;
            self.strip.first_again(&mut self.survey.footprint);
            self.relief.clear();
            self.survey.relief.forget();
            self.heat.first_again(&mut self.survey.heat, &mut self.survey.fan);
            (self.survey.beads, self.paired) = (Beads::default(), Paired::default());
        }
        if begins.pass {
            flags |= BEGINS_PASS;
            self.relief.close_layer(&mut self.survey.relief);
            self.smoothing.layer(&mut self.survey.beads);
            self.paired.layer(&mut self.survey.beads);
            if self.layers.passes() == 2 {
                self.second_layer(step.feed_nm, begins.as_pending);
            }
        }
        if begins.perhaps {
            flags |= PERHAPS;
            let before_nm = self.forward_nm().saturating_sub(step.feed_nm);
            self.before_pending = (before_nm, self.bead_path_nm);
            if self.layers.passes() == 1 {
                self.heat.spiral_begins(self.bead_path_nm, &mut self.survey.fan);
            }
        }
        if begins.as_pending {
            flags |= AS_PENDING;
        }
        if begins.aside_um > 0 {
            self.relief.row_aside(begins.aside_um, &mut self.survey.relief);
        }
        if begins.part {
            flags |= BEGINS_PART;
            self.relief.part();
            // The next part's box begins with this bead alone.
            self.chained = false;
        }
        (flags, self.layers.ended_um)
    }

    /// The second layer begins with a bead that feeds so much, or began with the beads that were pending.
    #[cold]
    pub(super) fn second_layer(&mut self, feed_nm: i64, as_pending: bool) {
        self.strip.close(as_pending);
        if self.survey.parts.count == 0 {
            self.layers.take_in(&self.strip);
        }
        let (before_nm, path_nm) = if as_pending {
            self.before_pending
        } else {
            (self.forward_nm().saturating_sub(feed_nm), self.bead_path_nm)
        };
        self.heat.above_first(before_nm, path_nm);
        (self.survey.beads, self.paired) = (Beads::default(), Paired::default());
    }
}

fn keep_longest(kept: &mut Pull, new: Pull) {
    if new.length_nm > kept.length_nm {
        *kept = new;
    }
}

impl Beads {
    /// Path with a ratio of filament to path in Q30.
    #[inline]
    pub(super) fn add(&mut self, ratio: u32, path_nm: u64) {
        // 2⁻⁹ is bit 21 of Q30.
        let top = 31 - (ratio | 1).leading_zeros();
        let band = if top < 21 {
            0
        } else {
            (top as usize - 21) * BEADS_PER_OCTAVE + ((ratio >> (top - 3)) & 7) as usize
        };
        let last = self.path_nm.len() - 1;
        if let Some(sum) = self.path_nm.get_mut(band.min(last)) {
            *sum = sum.saturating_add(path_nm);
        }
    }
}
