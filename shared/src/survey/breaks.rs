//! Beads and pushes that fit nothing round them: what a lost, repeated or swapped block leaves behind.
//!
//! Where two parts of a file meet that do not belong together, a bead leads from the end of the one to a place of the
//! other with the plastic of neither way, or the filament is pushed out that nothing had drawn back. Jobs have habits of
//! their own (thin fill, ramps, smoothing passes): what a job does again is one of them and is not counted.

use super::pulls::Between;
use super::values::{Breaks, FAR_NM};

/// Shorter beads are written too coarsely to compare, nm.
const LEAST_NM: u64 = 300_000;
/// Sizes of beads that are remembered: walls, skin, infill, first layer.
const USUAL: usize = 4;
/// Odd sizes that are remembered, to see that they come again.
const ODD: usize = 4;
/// Sizes within a 16th of each other are one: the rounding of short beads.
const SAME_SHIFT: u32 = 4;
/// An odd bead differs from the one before by more than an eighth.
const ODD_SHIFT: u32 = 3;
/// A thin bead has less than a quarter of the plastic.
const THIN_SHIFT: u32 = 2;
/// A thin bead of this length leads from one place of the job to another; ramps into a seam are shorter, nm (judgement).
const LEADS_NM: u64 = 3_000_000;
/// Filament that counts as drawn back or as pushed out, nm: more than rounding and extra lengths at a restart.
const DRAWN_NM: u32 = 200_000;
/// A push of more is no answer to a pull but a purge, nm.
const PURGE_NM: u32 = 10_000_000;

fn same(one: u32, other: u32) -> bool {
    one.abs_diff(other) <= other >> SAME_SHIFT
}

/// A bead that fits none of the sizes before it.
#[derive(Clone, Copy, Debug, Default)]
struct Suspect {
    ratio: u32,
    line: u32,
    /// Beads of this kind one after the other; 0 = none is suspected.
    beads: u8,
    /// Whether one of them is thin and long.
    leads: bool,
}

#[derive(Clone, Debug, Default)]
pub(super) struct BreakWatch {
    usual: [u32; USUAL],
    next_usual: usize,
    odd: [u32; ODD],
    next_odd: usize,
    /// Size of the last bead, and of the last one that was usual.
    last: u32,
    last_usual: u32,
    steady: bool,
    /// Whether the last bead rose or fell on its way.
    slopes: bool,
    suspect: Suspect,
    /// Filament that is drawn back, nm.
    drawn_nm: u32,
}

impl BreakWatch {
    /// Filament moved: alone, in a bead, or drawn back on the way.
    #[inline]
    pub(super) fn feed(&mut self, feed_nm: i64, alone: bool, begun: bool, line: u32, breaks: &mut Breaks) {
        if feed_nm < 0 {
            let pulled = u32::try_from(feed_nm.unsigned_abs()).unwrap_or(u32::MAX);
            self.drawn_nm = self.drawn_nm.saturating_add(pulled);
            breaks.pulls = breaks.pulls.saturating_add(1);
            return;
        }
        let pushed = u32::try_from(feed_nm).unwrap_or(u32::MAX);
        if alone {
            let over = pushed.saturating_sub(self.drawn_nm);
            if begun && over > DRAWN_NM && over > pushed / 2 && pushed <= PURGE_NM {
                breaks.unasked.add(line);
            }
        }
        self.drawn_nm = self.drawn_nm.saturating_sub(pushed);
    }

    /// A way from one bead of a layer to the next.
    pub(super) fn way(between: &Between, breaks: &mut Breaks) {
        let way = between.idle;
        if way.moves == 0 {
            return;
        }
        breaks.ways = breaks.ways.saturating_add(1);
        if between.legs > 1 {
            breaks.legs.add(way.line);
        }
        if way.path_nm >= FAR_NM {
            breaks.far = breaks.far.saturating_add(1);
            if !between.drawn {
                breaks.bare.add(way.line);
            }
        }
    }

    /// A bead with its filament a path length, Q30; `slopes` = it rises or falls.
    #[inline]
    pub(super) fn bead(&mut self, ratio: u32, length_nm: u64, slopes: bool, line: u32, breaks: &mut Breaks) {
        if length_nm < LEAST_NM {
            return;
        }
        if slopes != self.slopes {
            // A ramp or a skin that waves begins or ends: beads of other sizes come.
            (self.slopes, self.steady, self.last) = (slopes, false, ratio);
            self.suspect = Suspect::default();
            return;
        }
        breaks.beads = breaks.beads.saturating_add(1);
        if self.suspect.beads == 0 && same(ratio, self.last_usual) {
            (self.last, self.steady) = (ratio, true);
            return;
        }
        self.unlike(ratio, length_nm, line, breaks);
    }

    fn unlike(&mut self, ratio: u32, length_nm: u64, line: u32, breaks: &mut Breaks) {
        let leads = length_nm >= LEADS_NM && self.is_thin(ratio);
        let before = core::mem::replace(&mut self.last, ratio);
        if let Some(usual) = self.usual.iter().copied().find(|usual| same(ratio, *usual)) {
            let suspect = core::mem::take(&mut self.suspect);
            if suspect.beads > 0 {
                self.judge(suspect, usual, breaks);
            }
            (self.last_usual, self.steady) = (ratio, true);
        } else if same(ratio, before) {
            // Twice in a row: a size of its own.
            if let Some(place) = self.usual.get_mut(self.next_usual % USUAL) {
                *place = ratio;
            }
            self.next_usual = self.next_usual.wrapping_add(1);
            (self.last_usual, self.steady) = (ratio, true);
            self.suspect = Suspect::default();
        } else if self.steady {
            self.suspect = Suspect { ratio, line, beads: 1, leads };
            self.steady = false;
        } else if self.suspect.beads == 1
            && (leads || self.suspect.leads || self.is_thin(ratio) && self.is_thin(self.suspect.ratio))
        {
            // To a wrong place and back; or half a line, then to the place where the file goes on.
            self.suspect = Suspect { ratio: self.suspect.ratio.min(ratio), beads: 2, ..self.suspect };
        } else {
            self.suspect = Suspect::default();
        }
    }

    const fn is_thin(&self, ratio: u32) -> bool {
        ratio < self.last_usual >> THIN_SHIFT
    }

    /// A suspect, once a bead of a usual size followed.
    #[cold]
    fn judge(&mut self, suspect: Suspect, follows: u32, breaks: &mut Breaks) {
        let like = |usual: u32| suspect.ratio.abs_diff(usual) <= usual >> ODD_SHIFT;
        if like(self.last_usual) || like(follows) {
            return;
        }
        if let Some(known) = self.odd.iter_mut().find(|odd| same(suspect.ratio, **odd)) {
            // It comes again: a habit. What counted it the first time is taken back.
            if *known & 1 == 0 {
                *known |= 1;
                breaks.odd.count = breaks.odd.count.saturating_sub(1);
                if breaks.odd.count == 0 {
                    breaks.odd.first_line = 0;
                }
            }
            return;
        }
        if let Some(place) = self.odd.get_mut(self.next_odd % ODD) {
            // The last bit says that it was taken back.
            *place = suspect.ratio & !1;
        }
        self.next_odd = self.next_odd.wrapping_add(1);
        breaks.odd.add(suspect.line);
    }
}

#[cfg(test)]
mod tests {
    use std::vec;

    use super::*;

    const MM: u64 = 1_000_000;

    fn laid(beads: &[u32]) -> Breaks {
        let (mut watch, mut breaks) = (BreakWatch::default(), Breaks::default());
        for (line, ratio) in (1..).zip(beads) {
            watch.bead(*ratio, MM, false, line, &mut breaks);
        }
        breaks
    }

    #[test]
    fn one_bead_unlike_its_neighbours_is_odd() {
        let odd = |ratio| laid(&[1000, 1000, 1000, ratio, 1010]).odd;
        assert_eq!((odd(700).count, odd(700).first_line), (1, 4));
        assert_eq!(odd(1300).count, 1);
        assert_eq!(odd(950).count, 0, "rounding");
    }

    #[test]
    fn what_comes_again_is_a_habit() {
        let mut beads = vec![1000, 1000];
        for _ in 0..3 {
            beads.extend([1500, 1000]);
        }
        assert_eq!(laid(&beads).odd, Default::default());
        // A ramp, and a smoothing pass of a size of its own.
        let ramp = [1000, 1000, 100, 400, 700, 1000];
        assert_eq!(laid(&ramp).odd.count, 0);
        assert_eq!(laid(&[1000, 1000, 90, 90, 1000]).odd.count, 0);
    }

    #[test]
    fn a_bead_on_a_slope_is_not_compared_with_level_ones() {
        let (mut watch, mut breaks) = (BreakWatch::default(), Breaks::default());
        for (line, (ratio, slopes)) in
            (1..).zip([(1000, false), (1000, false), (500, true), (1000, false), (1000, false)])
        {
            watch.bead(ratio, MM, slopes, line, &mut breaks);
        }
        assert_eq!(breaks.odd.count, 0);
        // The first of a size that a later layer has again.
        assert_eq!(laid(&[1000, 1000, 1300, 1300, 1000, 1000, 1380, 1370, 1300]).odd.count, 0);
    }

    #[test]
    fn to_a_wrong_place_and_back_is_one() {
        let beads = [1000, 1000, 60, 110, 1000];
        assert_eq!(laid(&beads).odd.count, 1);
    }

    #[test]
    fn half_a_line_and_a_long_thin_bead_are_one() {
        let odd = |beads: [(u32, u64); 2]| {
            let (mut watch, mut breaks) = (BreakWatch::default(), Breaks::default());
            let usual = [(1000, MM); 2];
            for (line, (ratio, length_nm)) in (1..).zip([&usual[..], &beads, &usual].concat()) {
                watch.bead(ratio, length_nm, false, line, &mut breaks);
            }
            (breaks.odd.count, breaks.odd.first_line)
        };
        assert_eq!(odd([(2600, MM / 2), (40, 15 * MM)]), (1, 3));
        assert_eq!(odd([(40, 15 * MM), (700, MM)]), (1, 3));
        // A ramp that thins out towards its seam.
        assert_eq!(odd([(600, 2 * MM), (150, 2 * MM)]).0, 0);
    }

    #[test]
    fn ways_are_told_by_their_legs_and_pulls() {
        let mut breaks = Breaks::default();
        let way = |moves, path_nm, drawn| Between {
            idle: crate::survey::Idle { moves, path_nm, line: 7 },
            legs: moves,
            drawn,
            ..Between::default()
        };
        for between in [way(0, 0, false), way(1, FAR_NM, true), way(1, FAR_NM - 1, false)] {
            BreakWatch::way(&between, &mut breaks);
        }
        assert_eq!((breaks.ways, breaks.far, breaks.legs.count, breaks.bare.count), (2, 1, 0, 0));
        BreakWatch::way(&way(2, FAR_NM, false), &mut breaks);
        assert_eq!((breaks.ways, breaks.far, breaks.legs.count, breaks.bare.count), (3, 2, 1, 1));
    }

    #[test]
    fn pushes_answer_pulls() {
        let fed = |feeds: &[(i64, bool)]| {
            let (mut watch, mut breaks) = (BreakWatch::default(), Breaks::default());
            for (line, (feed_um, alone)) in (1..).zip(feeds) {
                watch.feed(feed_um * 1000, *alone, true, line, &mut breaks);
            }
            (breaks.pulls, breaks.unasked.count)
        };
        assert_eq!(fed(&[(-800, true), (850, true), (40, false)]), (1, 0));
        assert_eq!(fed(&[(40, false), (800, true)]), (0, 1));
        assert_eq!(fed(&[(60_000, true)]), (0, 0), "a purge");
    }
}
