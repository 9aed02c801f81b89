//! The survey's last step: what only the whole job tells.

use super::fixed_point::um_s;
use super::measure::Measure;
use super::values::{FirstLayer, Mark, MarkKind, Plane, PurgeStrip};
use crate::units::mul_div;

impl Measure {
    /// Ends the job; `position` is where the machine stands, nm.
    pub(super) fn finish(&mut self, position: [i64; 3], filament_um: u32) {
        self.stop();
        self.smoothing.close(&mut self.survey.beads);
        self.paired.finish(&mut self.survey.beads);
        if self.layers.travel(self.line) {
            if self.layers.passes() == 2 {
                self.second_layer(0, true);
            }
            self.settling.end_pending(self.layers.ended_um, &mut self.survey);
        }
        self.layers.finish(&mut self.survey.layers, &self.strip, &mut self.survey.parts);
        self.relief.finish(&mut self.survey.relief);
        self.settling.finish(self.layers.plane_um, &mut self.survey);
        self.survey.flow = self.settling.flow.finish(filament_um, self.line);
        // nm/ns = 10⁶ µm/s.
        let mean = mul_div(self.bead_path_nm, 1_000_000, self.settling.laying_ns);
        self.survey.flow.mean_bead_um_s = mean.and_then(|mean| u32::try_from(mean).ok()).unwrap_or(0);
        self.survey.filament.laid_nm = self.settling.laid_nm;
        if self.pulls.pending {
            self.between_beads(0, 0, 0);
        }
        let forward_nm = self.forward_nm();
        self.heat.finish(forward_nm, self.bead_path_nm, &mut self.survey.heat, &mut self.survey.fan);
        self.first_layer();
        self.tail(position);
        let settling = &self.settling;
        let time = &mut self.survey.time;
        time.total_s = settling.s(settling.now_ns());
        time.moves_ms = settling.ms(settling.moves_ns());
        time.first_feed_s = settling.first_feed_ns.map(|ns| settling.s(ns));
        time.last_bead_s = settling.last_bead_ns.map(|ns| settling.s(ns));
        let heat = &mut self.survey.heat;
        heat.idle_before_s = settling.s(settling.idle_before_ns);
        heat.idle_inside_s = settling.s(settling.idle_inside_ns);
        heat.idle_inside_line = settling.idle_inside_line;
    }

    fn first_layer(&mut self) {
        let (strip, group, patches) = self.strip.finish(&mut self.survey.footprint);
        let (purge, first) = self.settling.strip_and_first(patches);
        let settling = &self.settling;
        if !strip.bounds.is_empty() {
            let start_s = settling.s(purge.start_ns.unwrap_or(0));
            let end_s = settling.s(first.start_ns.unwrap_or(purge.end_ns));
            self.survey.purge = Some(PurgeStrip {
                bounds: strip.bounds,
                filament_nm: strip.filament_nm,
                path_nm: strip.path_nm,
                start_s,
                end_s,
                line: strip.line,
            });
            self.survey.mark(Mark { kind: MarkKind::Purge, at_s: start_s, line: strip.line });
        }
        let Some(start_ns) = first.start_ns else { return };
        let end_ns = settling.second.map_or(first.end_ns, |second| second.at_ns);
        let picture = &mut self.survey.footprint;
        (picture.begins, picture.known) = settling.steps.begins(start_ns, end_ns);
        let second_end_ns = settling
            .second
            .map(|_| settling.third.map_or(settling.last_bead_ns.unwrap_or(end_ns), |third| third.at_ns));
        // nm/ns = 10⁶ µm/s.
        let mean = mul_div(group.path_nm, 1_000_000, first.laying_ns);
        self.survey.first_layer = FirstLayer {
            plane: self.layers.first_um().map(|z_um| Plane { z_um, line: group.line }),
            bounds: group.bounds,
            above: self.survey.first_layer.above,
            filament_nm: group.filament_nm,
            path_nm: group.path_nm,
            peak_um_s: um_s(first.peak_nm_s),
            mean_um_s: u32::try_from(mean.unwrap_or(0)).unwrap_or(u32::MAX),
            start_s: settling.s(start_ns),
            end_s: settling.s(end_ns),
            second_end_s: second_end_ns.map(|ns| settling.s(ns)),
        };
        let at_s = settling.s(start_ns);
        let second = settling.second.map(|second| (settling.s(second.at_ns), second.line));
        self.survey.mark(Mark { kind: MarkKind::FirstLayer, at_s, line: group.line });
        if let Some((at_s, line)) = second {
            self.survey.mark(Mark { kind: MarkKind::SecondLayer, at_s, line });
        }
    }

    fn tail(&mut self, position: [i64; 3]) {
        self.confirm_renamed();
        let since = self.since_bead;
        let tail = &mut self.survey.tail;
        let laid = tail.last_bead_line != 0;
        tail.motors_off = since.motors_off;
        tail.end_word = since.end_word;
        tail.parked = since.parked && laid;
        tail.heat_off = since.heat_off && self.heat.all_off();
        tail.heat_off_after_s = match (self.settling.heat_off_ns, self.settling.last_bead_ns) {
            (Some(off), Some(bead)) if since.heat_off => Some(self.settling.s(off.saturating_sub(bead))),
            _ => None,
        };
        if laid {
            let [x, y, z] = position;
            tail.lift_nm = z.saturating_sub(self.last_bead_z);
            let axes = self.survey.printed.min_nm.iter().zip(self.survey.printed.max_nm).zip([x, y]);
            tail.ends_over_part = axes.take(2).all(|((min, max), value)| *min <= value && value <= max);
        }
    }
}
