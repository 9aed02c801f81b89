//! The filament between two beads: what is pulled back, what comes back, and how far the head goes meanwhile.
//!
//! Totals between beads, not single words: a pull may be cut in two, and part of it may be wiped along a wall.

use super::values::{Idle, Pull};
use crate::units::times;

/// A shortage below this is no pull that was left unprimed: such pulls only take the pressure off, nm (judgement).
const LEAST_SHORT_NM: i64 = 300_000;
/// A bead that makes good what is short on its first millimetres primes itself, nm (judgement).
const PRIMES_WITHIN_NM: u64 = 3_000_000;

/// Since the last bead.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Pulls {
    /// Whether anything but beads came.
    pub(super) pending: bool,
    /// Pulled back and not pushed again, nm; negative: pushed beyond what was pulled.
    short_nm: i64,
    /// The most that was pulled back at one time, with its line.
    deepest: Pull,
    /// Line of the longest push.
    push: Pull,
    /// Whether the machine's own retract holds.
    machine: bool,
    /// Whether it was used.
    withdrawn: bool,
    travels: u32,
    /// Travels on which nothing is drawn back: a wipe is none.
    pub(super) legs: u32,
    travel_nm: u64,
    travel_line: u32,
}

/// What came between two beads.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Between {
    pub(super) pulled: Pull,
    pub(super) pushed: Pull,
    /// Whether the bead begins with most of a pull not made good.
    pub(super) unprimed: bool,
    /// Whether filament was drawn back.
    pub(super) drawn: bool,
    /// Travels with no filament.
    pub(super) legs: u32,
    pub(super) idle: Idle,
}

impl Pulls {
    /// Filament that goes forward or back without a bead.
    #[inline]
    pub(super) fn feed(&mut self, feed_nm: i64, line: u32) {
        self.pending = true;
        self.short_nm = self.short_nm.saturating_sub(feed_nm);
        if self.short_nm > self.deepest.length_nm {
            self.deepest = Pull { length_nm: self.short_nm, line };
        }
        if feed_nm > self.push.length_nm {
            self.push = Pull { length_nm: feed_nm, line };
        }
    }

    /// The head goes somewhere in X or Y and lays nothing.
    #[inline]
    pub(super) fn travel(&mut self, plane_nm: u64, line: u32) {
        self.pending = true;
        if self.travels == 0 {
            self.travel_line = line;
        }
        self.travels = self.travels.saturating_add(1);
        self.travel_nm = self.travel_nm.saturating_add(plane_nm);
    }

    /// The machine's own retract of a length, 0 where the job does not state one.
    pub(super) fn machine_pull(&mut self, length_nm: i64, line: u32) {
        self.pending = true;
        self.machine = true;
        self.withdrawn = true;
        let short_nm = self.short_nm.saturating_add(length_nm);
        if length_nm > 0 && short_nm > self.deepest.length_nm {
            self.deepest = Pull { length_nm: short_nm, line };
        }
    }

    /// Its return, which pushes so much beyond that; gives what is pushed.
    pub(super) fn machine_push(&mut self, more_nm: i64, line: u32) -> i64 {
        // Without a retract before it there is none to return from.
        let more_nm = if core::mem::take(&mut self.machine) { more_nm } else { 0 };
        self.feed(more_nm, line);
        more_nm
    }

    /// A person or another tool takes over: what was pulled before says nothing of the next bead.
    pub(super) fn forgive(&mut self) {
        let Self { travels, travel_nm, travel_line, pending, .. } = *self;
        *self = Self { travels, travel_nm, travel_line, pending, ..Self::default() };
    }

    /// A bead of so much filament over a path ends it; a path of 0 when the job ends.
    #[cold]
    pub(super) fn bead(&mut self, feed_nm: i64, path_nm: u64) -> Between {
        let Self {
            short_nm, deepest, push, machine, withdrawn, travels, legs, travel_nm, travel_line, ..
        } = core::mem::take(self);
        // What is short, over the filament a path length: the way on which nothing comes.
        let dry = times(short_nm.unsigned_abs().into(), path_nm);
        let spread = dry > times(feed_nm.unsigned_abs().into(), PRIMES_WITHIN_NM);
        let short = short_nm >= LEAST_SHORT_NM && short_nm >= deepest.length_nm / 2 && spread;
        let pushed = short_nm.saturating_neg().max(0);
        Between {
            pulled: deepest,
            pushed: Pull { length_nm: pushed, line: push.line },
            unprimed: path_nm > 0 && (short || machine),
            legs,
            drawn: deepest.length_nm > 0 || withdrawn,
            idle: Idle { moves: travels, path_nm: travel_nm, line: travel_line },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MM: i64 = 1_000_000;

    /// Feeds in 10⁻² mm, then a bead of 10 mm with 0.34 mm of filament.
    fn after(feeds: &[i64]) -> Between {
        let mut pulls = Pulls::default();
        for (line, feed) in (1..).zip(feeds) {
            pulls.feed(feed * MM / 100, line);
        }
        pulls.bead(340_000, 10_000_000)
    }

    #[test]
    fn a_pull_wants_its_prime() {
        assert!(!after(&[-80, 80]).unprimed);
        assert!(after(&[-80]).unprimed);
        assert!(after(&[-50, -50, 50, -20, 10]).unprimed, "0.6 of 1.0 mm is short");
        assert!(!after(&[-80, 60]).unprimed, "most of it came back");
        assert!(!after(&[-29]).unprimed, "pressure taken off");
        assert!(after(&[-30]).unprimed);
    }

    #[test]
    fn a_bead_may_prime_itself() {
        let mut pulls = Pulls::default();
        pulls.feed(-MM, 1);
        // 1.2 mm of filament over 2 mm: the pull is made good on 1.7 mm.
        assert!(!pulls.bead(1_200_000, 2_000_000).unprimed);
        pulls.feed(-MM, 1);
        // 2 mm over 30 mm: the first 15 mm stay dry.
        assert!(pulls.bead(2 * MM, 30_000_000).unprimed);
    }

    #[test]
    fn the_machines_own_retract_wants_its_return() {
        let mut pulls = Pulls::default();
        pulls.machine_pull(0, 1);
        assert!(pulls.bead(1, 1).unprimed);
        pulls.machine_pull(0, 1);
        let _ = pulls.machine_push(0, 1);
        assert!(!pulls.bead(1, 1).unprimed);
    }

    #[test]
    fn the_machines_own_retract_has_the_length_that_the_job_states() {
        let mut pulls = Pulls::default();
        pulls.feed(-MM, 1);
        pulls.machine_pull(4 * MM, 2);
        assert_eq!(pulls.machine_push(300_000, 3), 300_000);
        let between = pulls.bead(1, 1);
        assert_eq!(between.pulled, Pull { length_nm: 5 * MM, line: 2 });
        assert_eq!(pulls.machine_push(300_000, 4), 0, "nothing is to come back");
    }

    #[test]
    fn pulls_in_pieces_add_up() {
        let between = after(&[-2850, -2850, 5700, 4000]);
        assert_eq!(between.pulled, Pull { length_nm: 57 * MM, line: 2 });
        assert_eq!(between.pushed, Pull { length_nm: 40 * MM, line: 3 });
        let mut pulls = Pulls::default();
        pulls.feed(-57 * MM, 1);
        pulls.forgive();
        assert_eq!(pulls.bead(1, 1).pulled.length_nm, 0, "a person was there");
    }

    #[test]
    fn ways_without_a_bead_add_up() {
        let mut pulls = Pulls::default();
        pulls.travel(5, 7);
        pulls.travel(6, 8);
        assert_eq!(pulls.bead(1, 1).idle, Idle { moves: 2, path_nm: 11, line: 7 });
        assert_eq!(pulls.bead(1, 1).idle, Idle::default());
    }
}
