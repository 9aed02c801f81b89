//! How the words used positions, units and modes.

use super::matter::Idle;
use super::reading::Tally;

/// How the X words of moves looked in one position mode.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct PositionUse {
    /// Moves with an X word, and the first line of them.
    pub met: Tally,
    /// Sum of |X| over them, nm.
    pub sum_abs_x_nm: u64,
}

impl PositionUse {
    /// Mean of |X|, µm; 0 without moves.
    #[must_use]
    pub const fn mean_abs_x_um(&self) -> u64 {
        match self.sum_abs_x_nm.checked_div(self.met.count as u64) {
            Some(nm) => nm / 1000,
            None => 0,
        }
    }
}

/// How the E words of moves in X or Y looked in one feed mode.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct FeedMode {
    /// Moves in X or Y with an E word, and the first line of them.
    pub met: Tally,
    /// Of them: E's number is lower than on the E word before, with no reset (G92) between.
    pub falls: u32,
    /// Of them: E's number is higher than on the E word before, with no reset (G92) between.
    pub rises: u32,
    /// Of them: the first E word after a reset and, where feed is relative, after a feed of the filament alone.
    pub after_reset: u32,
}

/// How the words used positions, units and modes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct MotionFacts {
    /// Lines that set inches (G20).
    pub inch_words: Tally,
    /// Moves made in inches.
    pub inch_moves: Tally,
    /// X words under G90.
    pub absolute: PositionUse,
    /// X words under G91.
    pub relative: PositionUse,
    /// E words under absolute feed (M82).
    pub absolute_feed: FeedMode,
    /// E words under relative feed (M83).
    pub relative_feed: FeedMode,
    /// Whether a word set the feed mode before the first E word of a move.
    pub feed_mode_stated: bool,
    /// Moves with an E word whose meaning hangs on whether this machine's G90 and G91 also set the feed mode, which
    /// the machine sheet does not say: G90 stood while feed was relative or G91 while it was absolute, and no M82
    /// or M83 after it.
    pub feed_mode_ambiguous: Tally,
    /// Moves along X, Y or Z before that axis was homed.
    pub before_homing: Tally,
    /// Words that home Z or probe after the first layer began.
    pub homes_over_part: Tally,
    /// Lines that put motors of X, Y or Z off although beads followed before those axes were homed again.
    pub laid_lost: Tally,
    /// Lines that put the extruder's motor alone off although beads followed.
    pub extruder_rested: Tally,
    /// Words that home.
    pub homes: Tally,
    /// Words that probe.
    pub probes: Tally,
    /// Lowest Z of a move in X or Y whose Z was given by a word, nm; `None` = no such move.
    pub lowest_xy_z_nm: Option<i64>,
    /// Line of that move.
    pub lowest_xy_line: u32,
    /// Path in X and Y of moves that lay nothing, by their Z as words gave it: bands of 50 µm from 0, nm.
    pub low_travel_nm: [u64; 4],
    /// First line of a move counted in `low_travel_nm`, each band.
    pub low_travel_line: [u32; 4],
    /// Longest way without a bead, once the first one was laid.
    pub idle: Idle,
    /// Highest feed asked for, µm/s, factor M220 applied.
    pub highest_feed_um_s: u32,
    /// Highest speed limit set by M203, µm/s, X Y Z E; 0 = not set.
    pub speed_words_um_s: [u32; 4],
    /// Highest acceleration limit set by M201, mm/s², X Y Z E; 0 = not set.
    pub accel_words_mm_s2: [u32; 4],
    /// Highest acceleration set by M204, mm/s²: print, travel, retract; 0 = not set.
    pub accel_modes_mm_s2: [u32; 3],
    /// Arcs in centre form whose start and end differ in radius by more than 0.002 mm (RS274/NGC 3.5.3.2).
    pub arc_mismatch: Tally,
    /// Arcs.
    pub arcs: u32,
    /// Greatest distance of a bead from the plate's centre, nm: for round plates.
    pub farthest_bead_nm: u64,
    /// Greatest distance of any place moved to from the plate's centre, nm: for round plates.
    pub farthest_move_nm: u64,
    /// Moves through a place of the sheet that the head must keep out of while it is that low, once homed.
    pub kept_out: Tally,
    /// Feed factors (M220) other than 100 %.
    pub feed_factor: Tally,
    /// Flow factors (M221) other than 100 %. They are part of all filament here.
    pub flow_factor: Tally,
}
