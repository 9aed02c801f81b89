//! Why a line gave nothing.

/// Why a line that asks for something gave nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum UnreadKind {
    /// An arc in a plane other than XY.
    ArcPlane,
    /// An arc with neither centre nor radius, or with a radius of zero.
    ArcIncomplete,
    /// An arc whose end lies half a millimetre and more off its circle; in radius form: its end is its start or lies further
    /// off than the diameter.
    ArcRadius,
    /// Two motion words, or a motion word and another that takes the same axis words, on one line.
    TwoCommands,
    /// Several commands on one line: some controllers carry out one of them only.
    ManyWords,
    /// Feed given per revolution or in inverse time (G93, G95).
    FeedForm,
    /// Filament measured by volume (M200) of a diameter that is not known, or for another tool.
    Volumetric,
    /// An arc too large to be reckoned with (1 km).
    TooLarge,
}
