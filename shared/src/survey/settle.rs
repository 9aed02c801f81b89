//! What is known of a move only once the moves after it are: its time.

use super::corner::FILAMENT_SHIFT;
use super::flow::FlowGauge;
use super::notes::{Note, Noted, Notes, Thing};
use super::steps::StepTimes;
use super::stretch::SettledMove;
use super::strip::PATCHES;
use super::values::{LayerPoint, Layers, Mark, MarkKind, Named, Survey};
use crate::units::mul_div;

/// Where a bead of the first layer belongs: the number of its patch, from 1; 0 = it is none.
const PATCH: u16 = 7;
/// Feeds filament forward.
pub(super) const FEEDS: u16 = 1 << 3;
/// A bead.
pub(super) const BEAD: u16 = 1 << 4;
/// Begins a layer.
pub(super) const BEGINS_PASS: u16 = 1 << 5;
/// Begins the first layer anew.
pub(super) const FIRST_AGAIN: u16 = 1 << 6;
/// Begins a part.
pub(super) const BEGINS_PART: u16 = 1 << 7;
/// Its ratio is in the time model's format of the filament's share, since Q30 does not hold it.
pub(super) const STEEP: u16 = 1 << 8;
/// Perhaps begins a layer.
pub(super) const PERHAPS: u16 = 1 << 9;
/// With [`BEGINS_PASS`]: the layer began with the last move that perhaps began one.
pub(super) const AS_PENDING: u16 = 1 << 10;
/// A bead of the first layer, or of the second one if that began.
pub(super) const PENDING: u16 = 1 << 11;

/// A bead of a patch of the first layer.
pub(super) const fn of_patch(number: u8) -> u16 {
    number as u16 + 1
}

/// What a move takes with it through the time model.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Tag {
    pub(super) line: u32,
    /// Filament laid in a bead, nm, held at the type's end.
    pub(super) laid_nm: u32,
    /// Filament a path length of a bead, Q30; with [`STEEP`] Q24.
    pub(super) ratio: u32,
    /// Where a layer begins, the plane of the one before it, µm.
    pub(super) z_um: i32,
    pub(super) flags: u16,
}

impl Tag {
    /// Filament a path length, Q30.
    #[inline(always)]
    fn ratio_q30(&self) -> u64 {
        let ratio = u64::from(self.ratio);
        if self.flags & STEEP != 0 { ratio << (30 - FILAMENT_SHIFT) } else { ratio }
    }
}

/// Begin, end and time over beads of a group, ns.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct BeadSpan {
    pub(super) start_ns: Option<u64>,
    pub(super) end_ns: u64,
    pub(super) laying_ns: u64,
    pub(super) peak_nm_s: u32,
}

impl BeadSpan {
    fn add(&mut self, start_ns: u64, settled: SettledMove) {
        self.start_ns.get_or_insert(start_ns);
        self.end_ns = start_ns.saturating_add(settled.duration_ns);
        self.laying_ns = self.laying_ns.saturating_add(settled.duration_ns);
        self.peak_nm_s = self.peak_nm_s.max(settled.peak_nm_s);
    }

    /// Joins another group's.
    pub(super) fn merge(&mut self, other: &Self) {
        if let Some(start) = other.start_ns {
            self.start_ns = Some(self.start_ns.map_or(start, |own| own.min(start)));
            self.end_ns = self.end_ns.max(other.end_ns);
            self.laying_ns = self.laying_ns.saturating_add(other.laying_ns);
            self.peak_nm_s = self.peak_nm_s.max(other.peak_nm_s);
        }
    }
}

/// A time that no job comes to: five hundred years.
const NEVER_NS: u64 = u64::MAX;

/// A moment and its line.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Moment {
    pub(super) at_ns: u64,
    pub(super) line: u32,
}

/// Times as moves settle.
#[derive(Clone, Debug)]
pub(super) struct Settling {
    /// Time from the job's begin to the end of the last settled move, ns.
    now_ns: u64,
    /// Time stood still, ns.
    pub(super) still_ns: u64,
    time_permille: u32,
    pub(super) flow: FlowGauge,
    /// Filament laid in beads that settled, nm.
    pub(super) laid_nm: u64,
    /// Time of laying them, ns.
    pub(super) laying_ns: u64,
    /// Beads of the first layer's patches, and of the rest.
    patches: [BeadSpan; PATCHES + 1],
    /// Beads that may be the second layer's.
    pending: BeadSpan,
    /// A strip on another plane.
    other: BeadSpan,
    /// When a layer perhaps began, and the filament laid before, nm.
    perhaps: (Moment, u64),
    /// When each step of the first layer's order begins.
    pub(super) steps: StepTimes,
    passes: u32,
    /// Begin of the second and of the third layer.
    pub(super) second: Option<Moment>,
    pub(super) third: Option<Moment>,
    pub(super) first_feed_ns: Option<u64>,
    last_feed_ns: u64,
    pub(super) last_bead_ns: Option<u64>,
    /// Words that wait for moves.
    pub(super) notes: Notes,
    /// When all heaters were off.
    pub(super) heat_off_ns: Option<u64>,
    /// Since when a nozzle has a target.
    pub(super) hot_since_ns: Option<u64>,
    pub(super) idle_before_ns: u64,
    pub(super) idle_inside_ns: u64,
    pub(super) idle_inside_line: u32,
}

impl Settling {
    pub(super) fn new(time_permille: u32) -> Self {
        Self {
            now_ns: 0,
            still_ns: 0,
            time_permille,
            flow: FlowGauge::default(),
            laid_nm: 0,
            laying_ns: 0,
            patches: [BeadSpan::default(); PATCHES + 1],
            pending: BeadSpan::default(),
            other: BeadSpan::default(),
            perhaps: (Moment { at_ns: 0, line: 0 }, 0),
            steps: Default::default(),
            passes: 0,
            second: None,
            third: None,
            first_feed_ns: None,
            last_feed_ns: NEVER_NS,
            last_bead_ns: None,
            notes: Notes::default(),
            heat_off_ns: None,
            hot_since_ns: None,
            idle_before_ns: 0,
            idle_inside_ns: 0,
            idle_inside_line: 0,
        }
    }

    /// Time from the job's begin to the end of the last settled move, ns.
    #[inline]
    pub(super) const fn now_ns(&self) -> u64 {
        self.now_ns
    }

    /// Time of all moves that settled, ns.
    pub(super) const fn moves_ns(&self) -> u64 {
        self.now_ns.saturating_sub(self.still_ns)
    }

    /// ns to ms, with the machine sheet's factor.
    #[inline(never)]
    pub(super) fn ms(&self, ns: u64) -> u64 {
        mul_div(ns, self.time_permille.into(), 1_000_000_000).unwrap_or(0)
    }

    /// ns to s, to the nearest, with the machine sheet's factor.
    pub(super) fn s(&self, ns: u64) -> u32 {
        u32::try_from((self.ms(ns) + 500) / 1000).unwrap_or(u32::MAX)
    }

    /// A wait for heat before the first feed is no idle time: the machine warms up.
    pub(super) fn warms_up(&mut self, ns: u64) {
        if self.first_feed_ns.is_none() {
            self.hot_since_ns = self.hot_since_ns.map(|hot| hot.saturating_add(ns));
        }
    }

    /// Stands still.
    pub(super) fn stand(&mut self, ns: u64, line: u32) {
        self.still_ns = self.still_ns.saturating_add(ns);
        self.now_ns = self.now_ns.saturating_add(ns);
        self.flow.stand(ns, line);
    }

    /// A move settled.
    #[inline]
    pub(super) fn settled(&mut self, tag: &Tag, settled: SettledMove, survey: &mut Survey) {
        let start_ns = self.now_ns;
        if tag.flags & !(BEAD | FEEDS) != 0 {
            self.notable(tag, settled, start_ns, survey);
        }
        self.now_ns = start_ns.saturating_add(settled.duration_ns);
        if tag.flags & FEEDS != 0 {
            self.fed(start_ns, tag.line);
        }
        if tag.flags & BEAD != 0 {
            self.last_bead_ns = Some(self.now_ns());
            self.laying_ns = self.laying_ns.saturating_add(settled.duration_ns);
            let filament_q30 = if tag.flags & STEEP == 0 {
                u64::from(settled.peak_nm_s) * u64::from(tag.ratio)
            } else {
                // Below 2⁷ · 2³⁰, and the filament no faster than a speed's type holds.
                u64::from(settled.peak_nm_s).saturating_mul(tag.ratio_q30())
            };
            self.flow.peak(filament_q30, tag.line);
        }
        self.laid_nm = self.laid_nm.saturating_add(tag.laid_nm.into());
        self.flow.lay(settled, tag.laid_nm, tag.line);
        if self.notes.count() {
            self.tell_due(survey);
        }
    }

    /// A word behind all moves read so far.
    #[cold]
    pub(super) fn note(&mut self, what: Noted, line: u32, survey: &mut Survey) {
        self.note_behind(Note { after: survey.reading.moves, line, what }, survey);
    }

    /// A word behind some of the moves.
    pub(super) fn note_behind(&mut self, note: Note, survey: &mut Survey) {
        if let Some(note) = self.notes.keep(note) {
            self.tell(note, survey);
        }
    }

    #[cold]
    fn tell_due(&mut self, survey: &mut Survey) {
        while let Some(note) = self.notes.take_due() {
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

    #[inline]
    fn fed(&mut self, start_ns: u64, line: u32) {
        // A move right behind another that fed: no time idle between.
        if start_ns != self.last_feed_ns {
            self.fed_anew(start_ns, line);
        }
        self.last_feed_ns = self.now_ns;
    }

    fn fed_anew(&mut self, start_ns: u64, line: u32) {
        if self.first_feed_ns.is_none() {
            self.first_feed_ns = Some(start_ns);
            if let Some(hot) = self.hot_since_ns {
                self.idle_before_ns = start_ns.saturating_sub(hot);
            }
        } else if let Some(hot) = self.hot_since_ns {
            let idle = start_ns.saturating_sub(self.last_feed_ns.max(hot));
            if idle > self.idle_inside_ns {
                self.idle_inside_ns = idle;
                self.idle_inside_line = line;
            }
        }
    }

    fn notable(&mut self, tag: &Tag, settled: SettledMove, start_ns: u64, survey: &mut Survey) {
        let begin = Moment { at_ns: start_ns, line: tag.line };
        if tag.flags & FIRST_AGAIN != 0 {
            // All before was the strip.
            self.not_pending();
            let mut other = self.other;
            self.patches.iter().for_each(|patch| other.merge(patch));
            (self.other, self.patches) = (other, Default::default());
            self.steps = Default::default();
            self.passes = 0;
            survey.layers.ends.clear();
        }
        if tag.flags & BEGINS_PASS != 0 {
            let as_pending = tag.flags & AS_PENDING != 0;
            let (from, laid_nm) = if as_pending { self.perhaps } else { (begin, self.laid_nm) };
            self.begin_pass(from, laid_nm, tag.z_um, survey);
            if as_pending {
                self.pending = BeadSpan::default();
            }
        }
        if tag.flags & PERHAPS != 0 {
            self.not_pending();
            self.perhaps = (begin, self.laid_nm);
        }
        if tag.flags & BEGINS_PART != 0 {
            survey.mark(Mark { kind: MarkKind::NextPart, at_s: self.s(start_ns), line: tag.line });
        }
        if tag.flags & PATCH != 0 {
            self.steps.bead(tag.laid_nm, start_ns, settled.duration_ns);
        }
        if tag.flags & PENDING != 0 {
            self.pending.add(start_ns, settled);
        }
        let patch = usize::from(tag.flags & PATCH).checked_sub(1);
        if let Some(span) = patch.and_then(|patch| self.patches.get_mut(patch)) {
            span.add(start_ns, settled);
        }
    }

    /// A layer begins, with so much laid before it, above the plane of the one before.
    fn begin_pass(&mut self, begin: Moment, laid_nm: u64, z_um: i32, survey: &mut Survey) {
        if self.passes > 0 {
            survey.layers.push_end(self.passes, self.layer_point(z_um, begin.at_ns, laid_nm));
        }
        self.passes = self.passes.saturating_add(1);
        match self.passes {
            2 => self.second = Some(begin),
            3 => self.third = Some(begin),
            _ => {}
        }
    }

    /// No layer came of the beads that were pending.
    fn not_pending(&mut self) {
        let pending = core::mem::take(&mut self.pending);
        if let Some(rest) = self.patches.last_mut() {
            rest.merge(&pending);
        }
    }

    /// The last beads, which were pending, are a layer, above the plane of the one before.
    pub(super) fn end_pending(&mut self, z_um: i32, survey: &mut Survey) {
        let (begin, laid_nm) = self.perhaps;
        self.begin_pass(begin, laid_nm, z_um, survey);
        self.pending = BeadSpan::default();
    }

    /// The purge strip, which the first patches are, and the first layer.
    pub(super) fn strip_and_first(&mut self, strips: usize) -> (BeadSpan, BeadSpan) {
        self.not_pending();
        let (mut strip, mut first) = (self.other, BeadSpan::default());
        for (at, patch) in self.patches.iter().enumerate() {
            if at < strips { strip.merge(patch) } else { first.merge(patch) }
        }
        (strip, first)
    }

    /// The end of the layer that is being laid.
    fn layer_point(&self, z_um: i32, end_ns: u64, laid_nm: u64) -> LayerPoint {
        let laid_um = u32::try_from(laid_nm / 1000).unwrap_or(u32::MAX);
        LayerPoint { z_um, end_s: self.s(end_ns), laid_um }
    }

    /// The end: closes the last layer, on its plane, µm.
    pub(super) fn finish(&mut self, z_um: i32, survey: &mut Survey) {
        let layers = &mut survey.layers;
        if self.passes > 0 {
            let point = self.layer_point(z_um, self.last_bead_ns.unwrap_or(0), self.laid_nm);
            layers.push_end(self.passes, point);
            layers.push_last(self.passes, point);
        }
    }
}

impl Layers {
    /// The end of a layer, by its number in the order of printing from 1.
    fn push_end(&mut self, number: u32, point: LayerPoint) {
        if self.stride == 0 {
            self.stride = 1;
        }
        if !number.is_multiple_of(self.stride) {
            return;
        }
        if self.ends.is_full() {
            // Every second one goes: what stays are the multiples of twice the stride.
            let mut index = 0_usize;
            self.ends.retain(|_| {
                index += 1;
                index.is_multiple_of(2)
            });
            self.stride = self.stride.saturating_mul(2);
            if !number.is_multiple_of(self.stride) {
                return;
            }
        }
        // Room was made.
        let _ = self.ends.push(point);
    }

    /// The last layer is always there.
    fn push_last(&mut self, number: u32, point: LayerPoint) {
        if !number.is_multiple_of(self.stride.max(1)) {
            if self.ends.is_full() {
                self.ends.pop();
            }
            let _ = self.ends.push(point);
        }
    }
}

impl Survey {
    /// Puts a mark at its time among the others; the latest goes when there is no room.
    pub(super) fn mark(&mut self, mark: Mark) {
        let at = self.marks.iter().rposition(|before| before.at_s <= mark.at_s).map_or(0, |index| index + 1);
        if self.marks.is_full() && at < self.marks.len() {
            self.marks.pop();
        }
        // No room: it comes after all that are kept.
        let _ = self.marks.insert(at, mark);
    }
}
