//! Time as the core is told it: it never reads a clock.

/// The wall clock of the room: local civil time, as the board's clock or the desktop gives it.
///
/// `None` wherever it is asked for means that the clock is not set: durations only, no o'clock times.
pub type WallClock = chrono::NaiveDateTime;

/// Milliseconds since some start that never goes back (power-up). For waits, never for the wall clock.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Instant(pub u64);

impl Instant {
    /// Milliseconds from `earlier` to this, zero if it lies in the future.
    #[must_use]
    pub const fn since_ms(self, earlier: Self) -> u64 {
        self.0.saturating_sub(earlier.0)
    }

    /// The instant `ms` later.
    #[must_use]
    pub const fn after_ms(self, ms: u64) -> Self {
        Self(self.0.saturating_add(ms))
    }
}
