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
/// Directions are unit vectors over X, Y, Z and E in Q30 (2³⁰ = 1): |Δaxis| / path length, with E scaled by its own
/// ratio ΔE / path length, so that E's share may exceed 1 (then it is held at the type's end).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Stretch {
    /// Path length, nm: XYZ path, or |ΔE| where nothing else moves. Never 0.
    pub length_nm: u64,
    /// Signed direction at the start, Q30.
    pub enter: [i32; 4],
    /// Signed direction at the end, Q30. Equal to `enter` for a line.
    pub exit: [i32; 4],
    /// Largest share of each axis along the move, Q30, never negative: |direction| for a line, the plane's share for an arc.
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
pub struct Settled {
    /// Time from its start to its end, ns.
    pub duration_ns: u64,
    /// Highest speed reached along the path, µm/s.
    pub peak_um_s: u32,
}
