//! Moves and commands, measured as they come.

use heapless::Vec;

use crate::limits::{KEEP_OUTS, LOOK_AHEAD_MOVES};
use crate::motion::Axes;
use crate::records::{KeepOut, Machine, Motion};
use crate::text::Odd;
use crate::visible::BYTE_ORDER_MARK;

use super::bounds::ClockLimits;
use super::breaks::BreakWatch;
use super::clock::Clock;
use super::footprint::Pen;
use super::heat_use::{HeatWatch, Place};
use super::layers::LayerFinder;
use super::notes::Noted;
use super::paired::Paired;
use super::path::Path;
use super::pulls::Pulls;
use super::relief::Relief;
use super::remarks::Remarks;
use super::settle::{Settling, Tag};
use super::smoothing::Smoothing;
use super::strip::Strip;
use super::values::{BlankRun, MarkKind, Pull, Renamed, Survey};

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
    pub(super) breaks: BreakWatch,
    /// Length of the machine's own retract, and what its return pushes beyond that, nm.
    pub(super) retract_nm: [i64; 2],
    /// Where beads under the flow factor in force are counted, if it is far from 1.
    pub(super) factored: Option<usize>,
    /// Path of all beads, nm.
    pub(super) bead_path_nm: u64,
    /// Forward feed and path of all beads before those that may begin a layer, nm.
    pub(super) before_pending: (i64, u64),
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
    /// The last of the kind after which no bead has come.
    pub(super) renamed: Renamed,
    /// Whether the line's words could all be read.
    pub(super) readable: bool,
    run: BlankRun,
    pub(super) remarks: Remarks,
}

impl Measure {
    /// Of no job yet: [`restart`](Self::restart) begins one. One plain value, so that it can be made in its place.
    #[inline(always)]
    pub(super) fn idle() -> Self {
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
            retract_nm: [0; 2],
            factored: None,
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
            renamed: Renamed::default(),
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
            retract_nm,
            factored,
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
            renamed,
            readable,
            run,
            remarks,
        } = self;
        survey.renew();
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
        (*retract_nm, *factored) = ([0; 2], None);
        (*bead_path_nm, *last_e, *last_bead_z) = (0, 0, 0);
        *before_pending = (0, 0);
        (*tool, *highest_feed_nm_s) = (0, 0);
        (*homed, *chained, *closed, *motors_off, *readable) = (Axes::NONE, false, false, false, true);
        (*lost, *lost_line) = (Axes::NONE, 0);
        *last_e_alone = false;
        *since_bead = SinceBead::default();
        *renamed = Renamed::default();
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
    pub(super) fn filament(&mut self, feed_nm: i64, alone: bool) {
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
