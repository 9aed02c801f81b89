//! What the time model takes of a move, and what it gives back.

/// Which of the machine sheet's accelerations a move takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Class {
    /// Lays down filament while X, Y or Z moves.
    Print,
    /// Moves without laying down.
    Travel,
    /// Moves the filament alone.
    Retract,
}

/// One move as the time model sees it.
///
/// Directions are Δaxis / path length: for X, Y and Z the unit vector in Q30 (2³⁰ = 1), for E its own ratio in Q24
/// (2²⁴ = 1 mm of filament a mm of path), since a short move may feed many times its length. A ratio beyond ±128 is held
/// at the type's end. A move of the filament alone has ±2²⁴ for E and 0 for the others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Stretch {
    /// Path length, nm: XYZ path, or |ΔE| where nothing else moves. Never 0.
    pub length_nm: u64,
    /// Signed direction at the start.
    pub enter: [i32; 4],
    /// Signed direction at the end. Equal to `enter` for a line.
    pub exit: [i32; 4],
    /// Largest share of each axis along the move, in the same formats, never negative: |direction| for a line, the plane's share for an arc.
    pub share: [i32; 4],
    /// Programmed feed along the path, nm/s (F is mm/min: F1000 is 16,666,667 nm/s). Never 0; 4.29 m/s and more is
    /// held at the type's end.
    pub feed_nm_s: u32,
    /// Which acceleration it takes.
    pub class: Class,
    /// Radius of an arc, nm.
    pub radius_nm: Option<u64>,
}

/// How a move turned out once the moves after it were known.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct SettledMove {
    /// Time from its start to its end, ns.
    pub duration_ns: u64,
    /// Part of it below the highest speed, ns.
    pub ramp_ns: u64,
    /// Highest speed reached along the path, nm/s.
    pub peak_nm_s: u32,
    /// Speed at its end, nm/s.
    pub exit_nm_s: u32,
}
