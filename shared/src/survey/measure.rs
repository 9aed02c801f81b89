//! Moves and commands, measured as they come.

use heapless::Vec;

use crate::limits::{KEEP_OUTS, LOOK_AHEAD_MOVES};
use crate::motion::{Applied, Axes, MotionSink, Move};
use crate::records::{KeepOut, Machine, Motion};
use crate::text::Odd;

use super::bounds::ClockLimits;
use super::breaks::BreakWatch;
use super::clock::Clock;
use super::footprint::Pen;
use super::heat_use::{HeatWatch, Place};
use super::layers::LayerFinder;
use super::notes::Noted;
use super::paired::Paired;
use super::path::{Path, STEEP_RATIO};
use super::pulls::{Between, Pulls};
use super::relief::Relief;
use super::remarks::Remarks;
use super::settle::{
    AS_PENDING, BEAD, BEGINS_PART, BEGINS_PASS, FEEDS, FIRST_AGAIN, PENDING, PERHAPS, STEEP, Settling, Tag,
    of_patch,
};
use super::smoothing::Smoothing;
use super::stretch::Class;
use super::strip::{REST, Strip, WATCHED_LAYERS, add_bead};
use super::surveyor::BYTE_ORDER_MARK;
use super::values::{BEADS_PER_OCTAVE, Beads, BlankRun, MarkKind, Pull, Survey};

/// Nanoseconds of a second and of a millisecond.
const SECOND_NS: u64 = 1_000_000_000;
pub(super) const MS_NS: u64 = 1_000_000;

/// What happened since the last bead.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct SinceBead {
    pub(super) motors_off: bool,
    pub(super) end_word: bool,
    pub(super) parked: bool,
    pub(super) heat_off: bool,
}

/// All that is kept while a job is read.
#[derive(Clone, Debug)]
pub(super) struct Measure {
    pub(super) survey: Survey,
    pub(super) clock: Clock<Tag, LOOK_AHEAD_MOVES>,
    /// The move under way. In place: on a small board a copy of it costs as much as making it.
    pub(super) path: Path,
    pub(super) settling: Settling,
    pub(super) layers: LayerFinder,
    pub(super) heat: HeatWatch,
    pub(super) strip: Strip,
    pub(super) pen: Pen,
    pub(super) relief: Relief,
    /// Line being read.
    pub(super) line: u32,
    pub(super) home_ns: u64,
    pub(super) probe_ns: u64,
    /// Centre of a round plate, nm.
    pub(super) round: Option<[i64; 2]>,
    /// Places of the machine's plate to keep out of.
    pub(super) keep_outs: Vec<KeepOut, KEEP_OUTS>,
    pub(super) smoothing: Smoothing,
    pub(super) paired: Paired,
    pub(super) pulls: Pulls,
    breaks: BreakWatch,
    /// Path of all beads, nm.
    pub(super) bead_path_nm: u64,
    /// Forward feed and path of all beads before those that may begin a layer, nm.
    before_pending: (i64, u64),
    pub(super) tool: u8,
    /// Which of X, Y and Z were homed.
    pub(super) homed: Axes,
    /// Whether the move before was a bead, so that its end is in every box already.
    pub(super) chained: bool,
    /// A first end: an end word, or heaters and motors both off, after a bead.
    pub(super) closed: bool,
    pub(super) motors_off: bool,
    /// Axes whose motors went off since they were homed, and the last line that did so.
    pub(super) lost: Axes,
    pub(super) lost_line: u32,
    pub(super) last_e: i64,
    /// Whether the last E word fed the filament alone.
    pub(super) last_e_alone: bool,
    pub(super) highest_feed_nm_s: u32,
    pub(super) last_bead_z: i64,
    pub(super) since_bead: SinceBead,
    /// Whether the line's words could all be read.
    pub(super) readable: bool,
    run: BlankRun,
    pub(super) remarks: Remarks,
}

/// As before the first byte. Part by part, because a whole one beside it is the most that would ever stand on the stack.
#[inline(never)]
fn renew(survey: &mut Survey) {
    macro_rules! renew {
        ($($part:ident)*) => {
            // Every part by name, so that none is forgotten.
            let Survey { $($part),* } = survey;
            $(*$part = Default::default();)*
        };
    }
    renew!(
        reading motion filament reached printed layers first_layer purge parts footprint flow relief beads breaks heat fan time
        marks
        named pauses pause_count tail
    );
    survey.time.heat_wait_known = true;
    survey.tail.last_line_ended = true;
    survey.tail.last_line_readable = true;
}

impl Measure {
    /// Of no job yet: [`restart`](Self::restart) begins one. One plain value, so that it can be made in its place.
    #[inline(always)]
    pub(super) fn asleep() -> Self {
        Self {
            survey: Survey::default(),
            clock: Clock::new(&ClockLimits::from(&Motion::default())),
            path: Path::empty(),
            settling: Settling::new(0),
            layers: LayerFinder::default(),
            heat: HeatWatch::new(None),
            strip: Strip::default(),
            pen: Pen::default(),
            relief: Relief::default(),
            line: 0,
            home_ns: 0,
            probe_ns: 0,
            round: None,
            keep_outs: Vec::new(),
            smoothing: Smoothing::default(),
            paired: Paired::default(),
            pulls: Pulls::default(),
            breaks: BreakWatch::default(),
            bead_path_nm: 0,
            before_pending: (0, 0),
            tool: 0,
            homed: Axes::NONE,
            chained: false,
            closed: false,
            motors_off: false,
            lost: Axes::NONE,
            lost_line: 0,
            last_e: 0,
            last_e_alone: false,
            highest_feed_nm_s: 0,
            last_bead_z: 0,
            since_bead: SinceBead::default(),
            readable: true,
            run: BlankRun::default(),
            remarks: Default::default(),
        }
    }

    /// Begins a job for this machine, part by part in place: no second whole stands on the stack.
    pub(super) fn restart(&mut self, machine: &Machine) {
        // Every part by name, so that none is forgotten.
        let Self {
            survey,
            clock,
            path,
            settling,
            layers,
            heat,
            strip,
            pen,
            relief,
            line,
            home_ns,
            probe_ns,
            round,
            keep_outs,
            smoothing,
            paired,
            pulls,
            breaks,
            bead_path_nm,
            before_pending,
            tool,
            homed,
            chained,
            closed,
            motors_off,
            lost,
            lost_line,
            last_e,
            last_e_alone,
            highest_feed_nm_s,
            last_bead_z,
            since_bead,
            readable,
            run,
            remarks,
        } = self;
        renew(survey);
        *clock = Clock::new(&ClockLimits::from(&machine.motion));
        survey.time.look_ahead = clock.look_ahead();
        *path = Path::empty();
        *settling = Settling::new(machine.time_permille);
        *layers = LayerFinder::new(machine.filament_um);
        *heat = HeatWatch::new(machine.heaters.as_ref());
        *strip = Strip::default();
        *pen = Pen::new(machine.bed_um, machine.origin_centre, &mut survey.footprint);
        relief.restart(machine.bed_um, machine.bore_um, machine.filament_um, &mut survey.relief);
        *line = 0;
        *home_ns = u64::from(machine.home_s) * SECOND_NS;
        *probe_ns = u64::from(machine.probe_s) * SECOND_NS;
        let [x, y] = machine.bed_um.map(|side| side.saturating_mul(1000));
        let centre = if machine.origin_centre { [0, 0] } else { [x / 2, y / 2] };
        *round = machine.round.then_some(centre);
        keep_outs.clone_from(&machine.keep_outs);
        *smoothing = Smoothing::new(machine.bore_um);
        *paired = Paired::default();
        *pulls = Pulls::default();
        *breaks = BreakWatch::default();
        (*bead_path_nm, *last_e, *last_bead_z) = (0, 0, 0);
        *before_pending = (0, 0);
        (*tool, *highest_feed_nm_s) = (0, 0);
        (*homed, *chained, *closed, *motors_off, *readable) = (Axes::NONE, false, false, false, true);
        (*lost, *lost_line) = (Axes::NONE, 0);
        *last_e_alone = false;
        *since_bead = SinceBead::default();
        *run = BlankRun::default();
        *remarks = Default::default();
    }

    /// A byte that no text holds, on the line after the last one.
    pub(super) fn odd(&mut self, at_byte: u64, what: Odd) {
        let value = match what {
            Odd::Control(value) => {
                let controls = &mut self.survey.reading.controls;
                if !controls.met.any() {
                    (controls.at_byte, controls.value) = (at_byte, value);
                }
                controls.met.add(self.line.saturating_add(1));
                value
            }
            Odd::Other(value) => value,
        };
        // The byte-order mark is told apart.
        let in_mark = usize::try_from(at_byte).ok().and_then(|at| BYTE_ORDER_MARK.get(at)) == Some(&value);
        if in_mark {
            return;
        }
        let reading = &mut self.survey.reading;
        reading.non_text_bytes = reading.non_text_bytes.saturating_add(1);
        reading.non_text_at.get_or_insert(at_byte);
        if value != 0 && value != 0xFF {
            return;
        }
        let run = &mut self.run;
        if run.bytes > 0 && run.value == value && run.at_byte + run.bytes == at_byte {
            run.bytes += 1;
        } else {
            *run = BlankRun { at_byte, bytes: 1, value };
        }
        if run.bytes > reading.blank.bytes {
            reading.blank = *run;
        }
    }

    /// The machine comes to rest: all moves settle.
    pub(super) fn stop(&mut self) {
        let Self { clock, settling, survey, .. } = self;
        clock.stop(&mut |tag, settled| settling.settled(tag, settled, survey));
    }

    pub(super) fn place(&self) -> Place {
        let now_ns = self.settling.now_ns();
        Place { now_ns, at_s: self.settling.s(now_ns), layer: self.layers.passes(), line: self.line }
    }

    /// A phase begins behind all moves so far.
    pub(super) fn mark(&mut self, kind: MarkKind) {
        self.settling.note(Noted::Mark(kind), self.line, &mut self.survey);
    }

    /// Forward feed of all tools, nm.
    #[inline(never)]
    pub(super) fn forward_nm(&self) -> i64 {
        let filament = &self.survey.filament;
        filament
            .tools
            .iter()
            .fold(filament.beyond.forward_nm, |all, tool| all.saturating_add(tool.forward_nm))
    }

    /// Filament of a move.
    #[inline]
    fn filament(&mut self, feed_nm: i64, alone: bool) {
        let filament = &mut self.survey.filament;
        let tool = match filament.tools.get_mut(usize::from(self.tool)) {
            Some(tool) => tool,
            None => {
                if feed_nm > 0 {
                    // Those beyond share a first line.
                    filament.highest_tool = filament.highest_tool.max(self.tool);
                }
                &mut filament.beyond
            }
        };
        tool.net_nm = sum(tool.net_nm, feed_nm);
        if feed_nm > 0 {
            tool.forward_nm = sum(tool.forward_nm, feed_nm);
            if tool.net_nm > tool.highest_net_nm {
                tool.highest_net_nm = tool.net_nm;
            }
            if tool.first_line == 0 {
                tool.first_line = self.line;
                filament.highest_tool = filament.highest_tool.max(self.tool);
            }
        }
        if alone {
            let longest = if feed_nm < 0 {
                &mut filament.longest_pull
            } else if self.layers.passes() == 0 {
                &mut filament.longest_push_before
            } else {
                &mut filament.longest_push_inside
            };
            let length_nm = i64::try_from(feed_nm.unsigned_abs()).unwrap_or(i64::MAX);
            if length_nm > longest.length_nm {
                *longest = Pull { length_nm, line: self.line };
            }
        }
    }

    /// A bead: filament laid while X or Y moves. Gives what its tag says of it.
    #[inline]
    fn bead(&mut self, step: &Move, inside: bool) -> Tag {
        let (mut length_nm, ratio) = (self.path.stretch.length_nm, self.path.ratio);
        let mut begins = self.layers.bead(step, &self.path, self.line, &self.strip, &mut self.survey.parts);
        if begins.pass && !begins.as_pending && self.layers.passes() == 2 && self.strip.is_left(step) {
            self.layers.first_is_here();
            begins.first_again = true;
        }
        let laid_nm = u32::try_from(step.feed_nm).unwrap_or(u32::MAX);
        // In parts until the end: a value that is put together in memory is waited for when it is copied.
        let (mut flags, mut z_um) = (BEAD | FEEDS, 0);
        let goes_on = begins == super::layers::Begins::default();
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
            self.heat.lays(pass, &mut self.survey.heat, &mut self.survey.fan);
            self.remarked(pass);
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
    fn bead_begins(&mut self, step: &Move, begins: super::layers::Begins) -> (u16, i32) {
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

/// A sum that stays at its type's end, as `saturating_add`, for sums that never come near it: that one reckons the end
/// each time.
#[inline(always)]
fn sum(so_far: i64, more: i64) -> i64 {
    so_far.checked_add(more).unwrap_or_else(|| at_the_end(more))
}

#[cold]
#[inline(never)]
const fn at_the_end(more: i64) -> i64 {
    if more < 0 { i64::MIN } else { i64::MAX }
}

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
