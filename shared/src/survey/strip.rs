//! The purge strip, told from the first layer.
//!
//! The first layer's beads are kept in patches: a bead that begins within 3 mm of a patch belongs to it, a bead that
//! comes within 1 mm of another patch joins the two (an ear or a brim under a part). The first patches are the purge strip
//! when they lie higher or lower than the first layer, or when no bead of the next two layers comes over them, they are
//! narrow, and the beads after them neither surround them nor are surrounded by them (a skirt). Otherwise they are a part
//! of the first layer.

use heapless::Vec;

use crate::motion::Move;

use super::flat::{Flat, add_bead, around};
use super::footprint::{Ink, Pen};
use super::spiral::headings;
use super::steps::Steps;
use super::values::{Bounds, Footprint};

/// How near to a patch a bead begins that belongs to it, µm. Chosen here: more than the gap between two lines of a
/// strip, less than that to anything printed on purpose.
const TOGETHER_UM: i32 = 3_000;

/// How near two patches come that are one piece of work, µm. Chosen here: more than the gap that is left between an ear or
/// a brim and its part.
const JOINED_UM: i32 = 1_000;

/// Each stretch of a strip is narrower than this one way, µm. Chosen here: wider than strips in use.
const NARROW_UM: i32 = 20_000;

/// The same where no layer above tells the part: a few lines side by side.
const NARROW_ALONE_UM: i32 = 10_000;

/// How far from a wide piece a bead of the next layer begins that is not over it, µm. Chosen here.
const LEFT_UM: i32 = 10_000;

/// A stretch of beads shorter than this is no layer, nm. Chosen here: shorter than once round anything printed.
const SHORT_NM: u64 = 10_000_000;

/// Layers in which a bead over a patch shows that it is no strip.
pub(super) const WATCHED_LAYERS: u32 = 3;

/// Patches that are kept apart; what is laid after that is the first layer's.
pub(super) const PATCHES: usize = 4;

/// Number of the first layer's beads beyond the patches.
pub(super) const REST: u8 = PATCHES as u8;

/// Beads that belong together.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct StripGroup {
    pub(super) bounds: Bounds,
    pub(super) filament_nm: i64,
    pub(super) path_nm: u64,
    pub(super) line: u32,
}

impl StripGroup {
    fn add(&mut self, step: &Move, path_nm: u64, line: u32) {
        if self.bounds.is_empty() {
            self.line = line;
        }
        add_bead(&mut self.bounds, step);
        self.filament_nm = self.filament_nm.saturating_add(step.feed_nm);
        self.path_nm = self.path_nm.saturating_add(path_nm);
    }

    fn merge(&mut self, other: &Self) {
        if other.bounds.is_empty() {
            return;
        }
        if self.bounds.is_empty() || other.line < self.line {
            self.line = other.line;
        }
        self.bounds.merge(&other.bounds);
        self.filament_nm = self.filament_nm.saturating_add(other.filament_nm);
        self.path_nm = self.path_nm.saturating_add(other.path_nm);
    }
}

/// Rectangles that a patch is kept as.
const FLATS: usize = 8;

/// A patch of the first layer.
#[derive(Clone, Debug, Default)]
struct Patch {
    group: StripGroup,
    whole: Flat,
    flats: Vec<Flat, FLATS>,
    /// The first patch that it is one piece with.
    root: u8,
    /// A later layer's bead came over it, or it belongs to beads that are no patch.
    work: bool,
}

impl Patch {
    fn draw(&mut self, bead: &Flat) {
        self.whole = self.whole.with(bead);
        let joins = |flat: &&mut Flat| flat.with(bead).is_narrow(NARROW_UM);
        if self.flats.iter().any(|flat| flat.holds(bead)) {
            return;
        }
        if let Some(flat) = self.flats.iter_mut().find(joins) {
            *flat = flat.with(bead);
        } else if self.flats.push(*bead).is_err()
            && let Some(last) = self.flats.last_mut()
        {
            *last = last.with(bead);
        }
    }

    /// Whether a bead, given with its box, comes so near.
    fn meets(&self, step: &Move, bead: &Flat, by_um: i32) -> bool {
        let near = bead.grown(by_um);
        self.whole.overlaps(&near) && self.flats.iter().any(|flat| flat.grown(by_um).meets(step, bead))
    }

    fn is_near(&self, point: Flat, by_um: i32) -> bool {
        let near = point.grown(by_um);
        self.whole.overlaps(&near) && self.flats.iter().any(|flat| flat.overlaps(&near))
    }
}

/// The first beads and the first layer.
#[derive(Clone, Debug, Default)]
pub(super) struct Strip {
    patches: Vec<Patch, PATCHES>,
    /// The patch that beads belong to until the next travel.
    current: u8,
    /// Where the newest patch begins, and the heading there.
    begun: [[i64; 2]; 2],
    rest: StripGroup,
    /// Beads that begin the second layer if a spiral comes of them.
    pending: StripGroup,
    /// A strip on another plane than the first layer.
    other: StripGroup,
    /// A second layer began.
    closed: bool,
    /// Filament of all beads, which gives the picture its order.
    steps: Steps,
}

impl Strip {
    /// The first layer begins again at another height: all before was the strip.
    pub(super) fn first_again(&mut self, picture: &mut Footprint) {
        for patch in &self.patches {
            self.other.merge(&patch.group);
        }
        let (rest, pending) = (self.rest, self.pending);
        self.other.merge(&rest);
        self.other.merge(&pending);
        self.patches.clear();
        (self.rest, self.pending) = (StripGroup::default(), StripGroup::default());
        picture.all_is_purge();
        self.steps = Default::default();
    }

    /// A bead of the first layer, with its path and its filament, nm; gives the number of its patch.
    pub(super) fn bead(
        &mut self,
        step: &Move,
        (path_nm, laid_nm): (u64, u32),
        chained: bool,
        line: u32,
        pen: &Pen,
        picture: &mut Footprint,
    ) -> u8 {
        self.not_pending();
        let bead = around(step);
        let apart = !self.other.bounds.is_empty();
        if apart {
            self.current = REST;
        } else if !chained || self.patches.is_empty() {
            self.current = self.begin(step);
        }
        let number = self.current;
        match self.patches.get_mut(usize::from(number)) {
            Some(patch) => {
                patch.group.add(step, path_nm, line);
                patch.draw(&bead);
            }
            None => self.rest.add(step, path_nm, line),
        }
        self.join(step, &bead, number);
        let lead = number < REST;
        pen.draw(step, Ink::new(picture, &mut self.steps, lead, path_nm, laid_nm));
        number
    }

    /// The patch of a bead after a travel: one that it begins near, or a new one.
    fn begin(&mut self, step: &Move) -> u8 {
        let point = Flat::at(step.from);
        let near = self.patches.iter().position(|patch| patch.is_near(point, TOGETHER_UM));
        let number = near.unwrap_or(self.patches.len()) as u8;
        if near.is_none() {
            let ([x, y, _], (heading, _)) = (step.from, headings(step));
            self.begun = [[x, y], heading];
            // Full: the bead is one of the rest.
            let _ = self.patches.push(Patch { root: number, ..Patch::default() });
        }
        number
    }

    /// Joins the patches that a bead comes near to with its own.
    fn join(&mut self, step: &Move, bead: &Flat, number: u8) {
        let own = self.patches.get(usize::from(number)).map(|patch| patch.root);
        let met = (0_u8..).zip(&self.patches).find(|(at, patch)| {
            *at != number
                && own.map_or(!patch.work, |own| patch.root != own)
                && patch.meets(step, bead, JOINED_UM)
        });
        let Some(other) = met.map(|(_, patch)| patch.root) else { return };
        let root = own.unwrap_or(other).min(other);
        let joined = |patch: &Patch| patch.root == other || Some(patch.root) == own;
        let work = own.is_none() || self.patches.iter().any(|patch| joined(patch) && patch.work);
        for patch in self.patches.iter_mut().filter(|patch| joined(patch)) {
            (patch.root, patch.work) = (root, work);
        }
    }

    /// Begin and first heading of the patch being laid, if that is too short for a layer: the begin of a spiral that
    /// rounding makes level.
    pub(super) fn short_begin(&self) -> Option<[[i64; 2]; 2]> {
        let newest = usize::from(self.current) + 1 == self.patches.len();
        let patch = self.patches.last().filter(|_| newest)?;
        (patch.group.path_nm < SHORT_NM).then_some(self.begun)
    }

    /// A bead that begins the second layer if a spiral comes of it.
    pub(super) fn pend(&mut self, step: &Move, path_nm: u64, line: u32) {
        self.pending.add(step, path_nm, line);
    }

    /// No spiral came of the beads that were pending.
    fn not_pending(&mut self) {
        if !self.pending.bounds.is_empty() {
            let pending = core::mem::take(&mut self.pending);
            match self.patches.get_mut(usize::from(self.current)) {
                Some(patch) => patch.group.merge(&pending),
                None => self.rest.merge(&pending),
            }
        }
    }

    /// Whether the second layer's first bead shows that all before was a strip, purged lower than the first layer:
    /// the bead begins away from all of it.
    pub(super) fn is_left(&self, step: &Move) -> bool {
        let point = Flat::at(step.from);
        let left = |patch: &Patch| {
            let far = if patch.whole.is_narrow(NARROW_ALONE_UM) { TOGETHER_UM } else { LEFT_UM };
            !patch.is_near(point, far)
        };
        !self.closed
            && !self.patches.is_empty()
            && self.rest.bounds.is_empty()
            && self.patches.iter().all(left)
    }

    /// A bead of the layers that are watched; gives whether it shows that a patch is no strip.
    pub(super) fn watch(&mut self, step: &Move) -> bool {
        if self.patches.iter().all(|patch| patch.work) {
            return false;
        }
        let bead = around(step);
        let mut found = false;
        while let Some(root) = self
            .patches
            .iter()
            .find(|patch| !patch.work && patch.meets(step, &bead, 0))
            .map(|patch| patch.root)
        {
            self.is_work(root);
            found = true;
        }
        found
    }

    fn is_work(&mut self, root: u8) {
        for patch in self.patches.iter_mut().filter(|patch| patch.root == root) {
            patch.work = true;
        }
    }

    /// The second layer begins, from the beads that were pending or anew.
    pub(super) fn close(&mut self, from_pending: bool) {
        if from_pending {
            self.pending = StripGroup::default();
        }
        self.not_pending();
        self.closed = true;
    }

    /// How many patches from the first on are the purge strip, as far as is known.
    fn strips(&self) -> usize {
        (1..=self.patches.len()).rev().find(|count| self.are_strips(*count)).unwrap_or(0)
    }

    fn are_strips(&self, count: usize) -> bool {
        let (strips, later) = (self.patches.get(..count), self.patches.get(count..));
        let (Some(strips), Some(later)) = (strips, later) else { return false };
        let mut after = later.iter().fold(Flat::default(), |all, patch| all.with(&patch.whole));
        if !self.rest.bounds.is_empty() {
            after = after.with(&Flat::of(&self.rest.bounds));
        }
        let is_strip = |patch: &Patch| {
            let narrow = if self.closed {
                patch.flats.iter().all(|flat| flat.is_narrow(NARROW_UM))
            } else {
                patch.whole.is_narrow(NARROW_ALONE_UM)
            };
            let apart = later.iter().all(|other| other.root != patch.root);
            !patch.work && narrow && apart && !after.holds(&patch.whole)
        };
        let flats = || strips.iter().flat_map(|patch| &patch.flats);
        let surrounds = after.has_on_all_sides(flats);
        !after.is_empty() && !surrounds && strips.iter().all(is_strip)
    }

    /// Patches that are known to be the first layer's, each with its beads.
    pub(super) fn works(&self) -> impl Iterator<Item = &StripGroup> {
        let strips = self.strips();
        (0..)
            .zip(&self.patches)
            .filter(move |(at, patch)| patch.work || *at >= strips)
            .map(|(_, patch)| &patch.group)
    }

    /// Ends the job: the strip and the first layer, and how many patches are the strip.
    pub(super) fn finish(&mut self, picture: &mut Footprint) -> (StripGroup, StripGroup, usize) {
        self.not_pending();
        let count = self.strips();
        let (mut strip, mut first) = (self.other, self.rest);
        for (at, patch) in self.patches.iter().enumerate() {
            if at < count { strip.merge(&patch.group) } else { first.merge(&patch.group) }
        }
        let strips = self.patches.get(..count).unwrap_or_default();
        let side = i32::try_from(picture.cell_um).unwrap_or(i32::MAX);
        if self.other.bounds.is_empty() {
            let [x0, y0] = picture.origin_um;
            picture.settle_lead(|x, y| {
                let cell = Flat::cell([x0, y0], side, [x, y]);
                strips.iter().flat_map(|patch| &patch.flats).any(|flat| flat.overlaps(&cell))
            });
        }
        (strip, first, count)
    }
}
