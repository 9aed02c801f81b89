//! News of the heat, for the phases.

use crate::units::Celsius;

/// What the heat room found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum HeatNews {
    /// A reading, or what the model makes of the last one. At least every minute while anything is hot.
    Reading(Heat),
    /// The plate rises by more than 5 K in 2 minutes: somebody started the printer.
    Rising,
    /// Both targets are reached.
    Ready,
    /// Warm-up does not go on as it should.
    Stalled(Stall),
    /// The plate falls for 2 minutes, 3 K and more below its plateau: heat was switched off so many seconds ago.
    Falling(u16),
}

/// Temperatures and what they come to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Heat {
    /// The plate; `None` = neither read nor estimated.
    pub plate: Option<Celsius>,
    /// The nozzle; the same.
    pub nozzle: Option<Celsius>,
    /// The plate was read by a probe; else it is estimated.
    pub measured: bool,
    /// Until both targets are reached, or until the plate may be touched and the part lets go, seconds.
    pub left_s: Option<u16>,
}

/// What is wrong with a warm-up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Stall {
    /// Slower than 1.5 times the usual and 2 minutes.
    Slow,
    /// Less than 2 K a minute, more than 10 K short.
    Stuck,
}
