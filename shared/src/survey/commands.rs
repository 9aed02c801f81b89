//! Commands other than moves, measured as they come.

use crate::limits::TOOLS;
use crate::motion::{Applied, Axes, LimitWords, PauseKind, UnreadKind, Wait};

use super::heat_use::{HeatWord, Place};
use super::measure::{MS_NS, Measure};
use super::notes::Noted;
use super::stretch::Class;
use super::values::{Heater, MarkKind, Pause, Renamed};

impl Measure {
    /// What a line came to, besides moves.
    pub(super) fn command(&mut self, what: Applied) {
        let line = self.line;
        let motion = &mut self.survey.motion;
        match what {
            Applied::Home(axes) => self.home(axes),
            Applied::Probe => self.probe(),
            Applied::Dwell(ms) => self.dwell(ms),
            Applied::Heat { heater, tool, target, wait } => {
                self.heat_word(HeatWord { heater, tool, target, wait });
            }
            Applied::Fan(permille) => self.heat.set_fan(permille, self.bead_path_nm),
            Applied::Pause(kind) => self.pause(kind),
            Applied::MachineRetract => {
                self.survey.filament.machine_retracts.add(line);
                let [length_nm, _] = self.retract_nm;
                self.pulls.machine_pull(length_nm, line);
            }
            Applied::MachineReturn => {
                let [_, more_nm] = self.retract_nm;
                let pushed_nm = self.pulls.machine_push(more_nm, line);
                self.filament(pushed_nm, false);
            }
            Applied::RetractLength { back, nm } => {
                let [length_nm, more_nm] = &mut self.retract_nm;
                *(if back { more_nm } else { length_nm }) = nm;
            }
            Applied::Volume(diameter_um) => self.survey.filament.volume_um = diameter_um,
            Applied::Tool(tool) => self.change_tool(tool),
            Applied::End => {
                self.since_bead.end_word = true;
                self.closed |= self.survey.tail.last_bead_line != 0;
                self.mark(MarkKind::End);
            }
            Applied::MotorsOff(axes) => {
                self.motors_off = true;
                self.since_bead.motors_off = true;
                // Before it homed, and before anything was laid, no place is lost.
                if self.homed != Axes::NONE || self.layers.passes() > 0 {
                    self.lost = self.lost.and(axes);
                    self.lost_line = line;
                }
                self.close_if_done();
            }
            Applied::Limits(words) => self.limits(words),
            Applied::Inch => motion.inch_words.add(line),
            Applied::FeedFactor => motion.feed_factor.add(line),
            Applied::FlowFactor(permille) => {
                if permille != 1000 {
                    motion.flow_factor.add(line);
                }
                self.set_factor(permille);
            }
            Applied::ArcMismatch => motion.arc_mismatch.add(line),
            Applied::Word { letter, code, class } => self.survey.reading.word(letter, code, class, line),
            Applied::BabySteps(all) => {
                let reading = &mut self.survey.reading;
                let farthest = all.into_iter().map(i64::unsigned_abs).max().unwrap_or(0);
                if farthest > reading.baby_step_nm {
                    reading.baby_step_nm = farthest;
                }
                reading.baby_steps.add(line);
                // The nozzle is no longer where the last bead ended.
                self.chained = false;
            }
            // Before anything is laid, that sets up the machine.
            Applied::Renamed { nm } if self.survey.tail.last_bead_line != 0 => {
                self.confirm_renamed();
                if nm > self.renamed.nm {
                    self.renamed = Renamed { nm, line };
                }
            }
            Applied::Renamed { .. } => {}
            Applied::Malformed => {
                self.readable = false;
                self.survey.reading.malformed.add(line);
                self.survey.reading.doubtful.add(line);
            }
            Applied::Unread(why) => {
                // Of these alone every move is known; speed, feed and order may be others.
                if !matches!(why, UnreadKind::FeedForm | UnreadKind::Volumetric | UnreadKind::ManyWords) {
                    self.survey.reading.doubtful.add(line);
                }
                let unread = &mut self.survey.reading.unread;
                unread.met.add(line);
                unread.first.get_or_insert(why);
            }
        }
    }

    /// Another name for the place counts once a bead came after it: at the end it changes nothing.
    pub(super) fn confirm_renamed(&mut self) {
        if self.survey.tail.last_bead_line > self.renamed.line {
            let last = core::mem::take(&mut self.renamed);
            let kept = &mut self.survey.reading.renamed;
            if last.nm > kept.nm {
                *kept = last;
            }
        }
    }

    fn heat_word(&mut self, asked: HeatWord) {
        let HeatWord { heater, target, wait, .. } = asked;
        if wait != Wait::No {
            self.stop();
        }
        let place = self.place();
        let was_hot = self.heat.nozzle_hot();
        let was_off = self.heat.all_off();
        let forward_nm = self.forward_nm();
        let heat = &mut self.survey.heat;
        let steps = heat.steps.len();
        let (wait_ns, known) = self.heat.word(asked, place, forward_nm, heat);
        if heat.steps.len() > steps {
            self.settling.note(Noted::HeatStep(steps), self.line, &mut self.survey);
        }
        if wait != Wait::No && target.is_some_and(|t| t > 0) {
            self.mark(match heater {
                Heater::Nozzle => MarkKind::NozzleWait,
                Heater::Bed => MarkKind::BedWait,
                Heater::Chamber => MarkKind::ChamberWait,
            });
            self.survey.time.heat_wait_known &= known;
            self.settling.stand(wait_ns, self.line);
            self.heat_wait_ns(wait_ns);
        }
        match (was_hot, self.heat.nozzle_hot()) {
            (false, true) => self.settling.hot_since_ns = Some(place.now_ns.saturating_add(wait_ns)),
            (true, true) => self.settling.warms_up(wait_ns),
            (true, false) => self.settling.hot_since_ns = None,
            _ => {}
        }
        if self.heat.all_off() {
            if !was_off {
                self.mark(MarkKind::HeatOff);
            }
            if !self.since_bead.heat_off {
                self.settling.note(Noted::HeatersOff, self.line, &mut self.survey);
            }
            self.since_bead.heat_off = true;
            self.close_if_done();
        } else {
            self.since_bead.heat_off = false;
        }
    }

    fn heat_wait_ns(&mut self, ns: u64) {
        let time = &mut self.survey.time;
        time.heat_wait_s = time.heat_wait_s.saturating_add(self.settling.s(ns));
    }

    /// Heaters and motors both off after a bead are an end.
    fn close_if_done(&mut self) {
        if self.heat.all_off() && self.motors_off && self.survey.tail.last_bead_line != 0 {
            self.closed = true;
        }
    }

    fn dwell(&mut self, ms: u64) {
        self.stop();
        let ns = ms.min(u64::from(u32::MAX)) * MS_NS;
        self.settling.stand(ns, self.line);
        let time = &mut self.survey.time;
        time.dwell_ms = time.dwell_ms.saturating_add(self.settling.ms(ns));
    }

    fn home(&mut self, axes: Axes) {
        self.stop();
        self.homed = self.homed.and(axes);
        self.lost = self.lost.without(axes);
        self.chained = false;
        self.layers.travel(self.line);
        self.mark(MarkKind::Homing);
        self.settling.stand(self.home_ns, self.line);
        let time = &mut self.survey.time;
        time.home_s = time.home_s.saturating_add(self.settling.s(self.home_ns));
        let facts = &mut self.survey.motion;
        facts.homes.add(self.line);
        if axes.meets(Axes::Z) && self.layers.passes() > 0 {
            facts.homes_over_part.add(self.line);
        }
        self.since_bead.parked = true;
    }

    fn probe(&mut self) {
        self.stop();
        self.chained = false;
        self.mark(MarkKind::Probing);
        self.settling.stand(self.probe_ns, self.line);
        let time = &mut self.survey.time;
        time.probe_s = time.probe_s.saturating_add(self.settling.s(self.probe_ns));
        let facts = &mut self.survey.motion;
        facts.probes.add(self.line);
        if self.layers.passes() > 0 {
            facts.homes_over_part.add(self.line);
        }
    }

    fn pause(&mut self, kind: PauseKind) {
        self.stop();
        self.pulls.forgive();
        let Place { at_s, layer, line, .. } = self.place();
        self.survey.pause_count = self.survey.pause_count.saturating_add(1);
        // Full: counted only.
        let _ = self.survey.pauses.push(Pause { kind, at_s, layer, line });
        self.mark(MarkKind::Pause);
    }

    fn change_tool(&mut self, tool: u8) {
        self.survey.filament.tool_words.add(self.line);
        if tool != self.tool {
            self.pulls.forgive();
            let forward_nm = self.forward_nm();
            if forward_nm > 0 {
                self.survey.filament.tool_changes.add(self.line);
                self.mark(MarkKind::Tool);
            }
            self.tool = tool;
            self.heat.change_tool(tool.min(TOOLS as u8 - 1), forward_nm);
        }
    }

    fn limits(&mut self, words: LimitWords) {
        let facts = &mut self.survey.motion;
        let in_force = self.clock.limits_mut();
        let keep = |kept: &mut u32, value: Option<u32>, divisor: u32| {
            *kept = (*kept).max(value.unwrap_or(0) / divisor);
        };
        match words {
            LimitWords::AxisAccel(axes) => {
                in_force.lower_accels(axes);
                facts
                    .accel_words_mm_s2
                    .iter_mut()
                    .zip(axes)
                    .for_each(|(kept, value)| keep(kept, value, 1000));
            }
            LimitWords::AxisSpeed(axes) => {
                in_force.lower_speeds(axes);
                facts.speed_words_um_s.iter_mut().zip(axes).for_each(|(kept, value)| keep(kept, value, 1));
            }
            LimitWords::Accel(modes) => {
                for (class, value) in [Class::Print, Class::Travel, Class::Retract].into_iter().zip(modes) {
                    if let Some(value) = value {
                        in_force.lower_class_accel(class, value);
                    }
                }
                facts
                    .accel_modes_mm_s2
                    .iter_mut()
                    .zip(modes)
                    .for_each(|(kept, value)| keep(kept, value, 1000));
            }
            LimitWords::Corner { steps, deviation } => {
                in_force.lower_steps(steps);
                if let Some(deviation) = deviation {
                    in_force.lower_deviation(deviation);
                }
            }
        }
    }
}
