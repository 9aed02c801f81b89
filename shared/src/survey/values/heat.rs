//! What each heater and the part's fan were asked for.

use heapless::Vec;

use crate::limits::HEAT_STEPS;
use crate::motion::{Heater, Wait};
use crate::units::Celsius;

use super::reading::Tally;

/// One target asked for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct HeatStep {
    /// Which heater.
    pub heater: Heater,
    /// Which tool's, for a nozzle.
    pub tool: u8,
    /// Target, whole degrees (nearest); 0 = off.
    pub target: Celsius,
    /// Whether it is waited for.
    pub wait: Wait,
    /// Time of the word (a wait begins then), s.
    pub at_s: u32,
    /// Layers begun before it, in the order of printing.
    pub layer: u32,
    /// Line.
    pub line: u32,
}

/// What the heaters were asked for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct HeaterUse {
    /// The first targets, in order; a word that repeats its heater's target without waiting is left out.
    pub steps: Vec<HeatStep, HEAT_STEPS>,
    /// All targets, with those that `steps` had no room for.
    pub step_count: u32,
    /// Highest targets ever: nozzle, bed, chamber; 0 = never asked.
    pub highest: [Celsius; 3],
    /// Lines of those.
    pub highest_line: [u32; 3],
    /// Lowest nozzle target while feeding forward; `None` = never fed. 0 = fed with no target.
    pub nozzle_lowest_feeding: Option<Celsius>,
    /// First line fed at that target.
    pub nozzle_lowest_line: u32,
    /// Feeds after a word turned the nozzle off that had fed before: one for each such word.
    pub fed_after_off: Tally,
    /// Highest nozzle target while feeding forward.
    pub nozzle_highest_feeding: Option<Celsius>,
    /// First line fed at that target.
    pub nozzle_highest_line: u32,
    /// Nozzle target when the first layer began.
    pub nozzle_first_layer: Option<Celsius>,
    /// Bed target when the first layer began.
    pub bed_first_layer: Option<Celsius>,
    /// How hot the sheet's hot end was when filament was fed first, from 20 °C; `None` = its heater is not stated.
    pub nozzle_then: Option<Celsius>,
    /// Highest bed target that was waited for before the first layer began; 0 = none was.
    pub bed_waited: Celsius,
    /// How warm the bed was by then by the sheet's heaters, from 20 °C; `None` = they are not stated.
    pub bed_then: Option<Celsius>,
    /// Time from the bed's last target to the first layer, s.
    pub bed_target_to_bead_s: u32,
    /// Lowest bed target while beads of the first layer were laid; 0 = off or never asked.
    pub bed_lowest_first: Option<Celsius>,
    /// Nozzle target that most of the filament above the first layer (of all, if there is none) was fed at.
    pub nozzle_typical: Option<Celsius>,
    /// Highest bed target while beads were laid above the first layer.
    pub bed_highest_laying: Option<Celsius>,
    /// Lowest bed target while beads were laid above the first layer.
    pub bed_lowest_laying: Option<Celsius>,
    /// Whether the nozzle's target was waited for before the first forward feed; `None` = never fed.
    pub waited_before_feed: Option<bool>,
    /// Time from the nozzle's last target to the first forward feed, waits for other heaters apart, s.
    pub target_to_feed_s: u32,
    /// Waits for a target of 0 or with no number.
    pub waits_for_nothing: Tally,
    /// Waits that an hour does not end by the sheet's heaters, which is all that is reckoned.
    pub unreached: Tally,
    /// Waits that may have to cool (R form), and the first line of them.
    pub cool_waits: Tally,
    /// Nozzle target at the end, highest of all tools; 0 = off or never asked.
    pub nozzle_end: Celsius,
    /// Bed target at the end.
    pub bed_end: Celsius,
    /// Chamber target at the end.
    pub chamber_end: Celsius,
    /// Whether these tell what is on: not where heat came from the machine's own start and no word was for it since.
    pub end_known: bool,
    /// Longest time with a nozzle target above [`HOT_NOZZLE_C`](crate::limits::HOT_NOZZLE_C) and no feed: before the
    /// first forward feed, waits for heat not counted, s.
    pub idle_before_s: u32,
    /// The same between two feeds, s.
    pub idle_inside_s: u32,
    /// Line that ended the latter.
    pub idle_inside_line: u32,
}

/// What the part's fan (index 0) was asked for, thousandths of full.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct FanUse {
    /// Highest while first-layer beads were laid.
    pub first_layer_permille: u16,
    /// Highest while beads were laid above the first layer.
    pub highest_permille: u16,
    /// Layer (in the order of printing, from 1) on which a bead was first laid with the fan at
    /// [`FAN_TURNS_PERMILLE`](crate::limits::FAN_TURNS_PERMILLE) or more; `None` = never.
    pub on_at_layer: Option<u32>,
    /// Path-weighted mean above the first layer.
    pub mean_permille: u16,
}
