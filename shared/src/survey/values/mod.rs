//! What the survey yields: plain values, each with its unit, none with an opinion.
//!
//! Lengths are whole nanometres (`_nm`, exact: the words' own 10⁻⁶ mm) or micrometres (`_um`), times are seconds
//! from the job's first line (`_s`, the machine sheet's factor on time already applied), lines count from 1.

mod footprint;
mod heat;
mod matter;
mod motion;
mod packed;
mod reading;
mod relief;
mod run;
mod shape;

pub use crate::motion::{Heater, PauseKind, UnreadKind, Wait, WordClass};
pub use footprint::{FOOTPRINT_CELLS, FOOTPRINT_STEPS, Footprint, Laid};
pub use heat::{FanUse, HeatStep, HeaterUse};
pub use matter::{
    BEAD_BANDS, BEADS_PER_OCTAVE, Beads, Breaks, FAR_NM, Factored, Filament, Flow, Idle, Pull, ToolUse,
};
pub use motion::{FeedMode, MotionFacts, PositionUse};
pub use reading::{BlankRun, Checksums, NameTally, Reading, Renamed, Tally, Unread};
pub use relief::{DEPTH_BAND_NM, DEPTH_BANDS, FEET, Foot, LayerPath, Piled, ReliefFacts};
pub use run::{Mark, MarkKind, Named, NamedThings, Pause, Tail, TimeUse};
pub use shape::{Bounds, FirstLayer, LayerPoint, Layers, Part, Parts, Plane, PurgeStrip};

/// All that the moves of a job say.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Survey {
    /// The bytes, lines and words as they were read.
    pub reading: Reading,
    /// How the words used positions, units and modes.
    pub motion: MotionFacts,
    /// Filament per tool.
    pub filament: Filament,
    /// Box round all places that a move went to or a bead began at.
    pub reached: Bounds,
    /// Box round all beads, the purge strip's too.
    pub printed: Bounds,
    /// Layers and their times.
    pub layers: Layers,
    /// The first layer without the purge strip.
    pub first_layer: FirstLayer,
    /// Beads laid before the first layer and apart from it; `None` = none.
    pub purge: Option<PurgeStrip>,
    /// Parts printed one after the other.
    pub parts: Parts,
    /// Picture of the first layer on the plate.
    pub footprint: Footprint,
    /// Plastic a second.
    pub flow: Flow,
    /// What the height map of the plate shows.
    pub relief: ReliefFacts,
    /// Sizes of the beads above the first layer.
    pub beads: Beads,
    /// What fits nothing round it.
    pub breaks: Breaks,
    /// What each heater was asked for.
    pub heat: HeaterUse,
    /// What the part's fan was asked for.
    pub fan: FanUse,
    /// How long it takes, and why.
    pub time: TimeUse,
    /// The first moments that a person can see, in order.
    pub marks: heapless::Vec<Mark, { crate::limits::MARKS }>,
    /// What comments between the moves name.
    pub named: NamedThings,
    /// Places where the machine stops for a person: the first ones, in order.
    pub pauses: heapless::Vec<Pause, { crate::limits::PAUSES }>,
    /// All pauses, with those that `pauses` had no room for.
    pub pause_count: u32,
    /// How the job ends.
    pub tail: Tail,
}

impl Survey {
    /// As before the first byte. Part by part: a second survey next to it is more than the stack has room for.
    #[inline(never)]
    pub(super) fn renew(&mut self) {
        macro_rules! renew {
            ($($part:ident)*) => {
                // Every part by name, so that none is forgotten.
                let Self { $($part),* } = self;
                $(*$part = Default::default();)*
            };
        }
        renew!(
            reading motion filament reached printed layers first_layer purge parts footprint flow relief beads breaks
            heat fan time marks named pauses pause_count tail
        );
        self.time.heat_wait_known = true;
        self.tail.last_line_ended = true;
        self.tail.last_line_readable = true;
    }
}
