//! Times, marks, pauses and the end of the job.

use crate::motion::PauseKind;

use super::reading::Tally;

/// How long the job takes, s. The machine sheet's factor on time is applied to every figure.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct TimeUse {
    /// All of it but pauses for a person.
    pub total_s: u32,
    /// Moves, ms.
    pub moves_ms: u64,
    /// Dwells, ms.
    pub dwell_ms: u64,
    /// Waits for heat, s, by the sheet's heaters and the lumped model from 20 °C; 0 where the sheet has no heaters.
    pub heat_wait_s: u32,
    /// Whether waits for heat could be estimated: false = the sheet states no heaters and the job waits.
    pub heat_wait_known: bool,
    /// Homing, s.
    pub home_s: u32,
    /// Probing, s.
    pub probe_s: u32,
    /// Moves that the times are reckoned with: the sheet's look-ahead, or 32, the most that a survey looks ahead at,
    /// where the sheet says 0 (the most there is) or more.
    pub look_ahead: u16,
    /// First forward feed, s; `None` = never.
    pub first_feed_s: Option<u32>,
    /// Last bead's end, s; `None` = no bead.
    pub last_bead_s: Option<u32>,
}

/// What a person at the machine sees begin.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum MarkKind {
    /// The machine waits for a nozzle.
    #[default]
    NozzleWait,
    /// The machine waits for the bed.
    BedWait,
    /// The machine waits for the chamber.
    ChamberWait,
    /// Homing.
    Homing,
    /// Probing.
    Probing,
    /// The first bead of the purge strip.
    Purge,
    /// The first bead of the first layer.
    FirstLayer,
    /// The first bead of the second layer.
    SecondLayer,
    /// A part's first bead, from the second part on.
    NextPart,
    /// A stop for a person.
    Pause,
    /// A change of tool after the first feed.
    Tool,
    /// All heaters off.
    HeatOff,
    /// An end word.
    End,
}

/// A moment.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Mark {
    /// What begins.
    pub kind: MarkKind,
    /// When, s.
    pub at_s: u32,
    /// Line.
    pub line: u32,
}

/// A moment that a comment between the moves names, which the moves do not tell.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Named {
    /// Begin of the first bead behind the comment, s.
    pub at_s: u32,
    /// Line of the comment.
    pub line: u32,
}

/// What comments name above the first layer, each when it first begins; `None` = no comment names it, which does not
/// say that there is none.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct NamedThings {
    support: Option<Named>,
    bridge: Option<Named>,
}

impl NamedThings {
    /// Supports.
    #[must_use]
    pub fn support(&self) -> Option<Named> {
        self.support
    }

    /// A bridge or an overhang.
    #[must_use]
    pub fn bridge(&self) -> Option<Named> {
        self.bridge
    }

    /// Supports begin, or (`bridge`) a bridge does; what was named before stays.
    pub(in crate::survey) fn name(&mut self, bridge: bool, named: Named) {
        let place = if bridge { &mut self.bridge } else { &mut self.support };
        place.get_or_insert(named);
    }
}

/// A stop for a person.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Pause {
    /// Why.
    pub kind: PauseKind,
    /// When, s; pauses themselves take no time here.
    pub at_s: u32,
    /// Layers begun before it, in the order of printing.
    pub layer: u32,
    /// Line.
    pub line: u32,
}

/// How the job ends.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Tail {
    /// Whether the last byte ends a line (an empty file has no last line: true).
    pub last_line_ended: bool,
    /// Whether the last line with words could be read in full.
    pub last_line_readable: bool,
    /// Whether the last move lays a bead.
    pub last_move_lays: bool,
    /// Line of the last bead; 0 = none.
    pub last_bead_line: u32,
    /// After the last bead: all heaters that were on were set to 0.
    pub heat_off: bool,
    /// After the last bead: motors off (M84, M18).
    pub motors_off: bool,
    /// After the last bead: an end word (M2, M30).
    pub end_word: bool,
    /// After the last bead: a move without feed, or a home word.
    pub parked: bool,
    /// Beads laid after a first end: an end word, or heaters and motors both off.
    pub beads_after_end: Tally,
    /// Words that could not be read after a first end.
    pub malformed_after_end: Tally,
    /// Time from the last bead's end until all heaters are off, s; `None` = never off after it.
    pub heat_off_after_s: Option<u32>,
    /// Z at the end less Z of the last bead, nm.
    pub lift_nm: i64,
    /// Whether the last position lies within the box of the beads in X and Y.
    pub ends_over_part: bool,
}
