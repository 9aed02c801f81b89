//! Materials: trade words to ISO 1043 symbols, and the table of what each wants.

use crate::units::Celsius;

/// A base polymer, by its ISO 1043-1 symbol (PETG and BVOH have none of their own and keep the trade's key).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(missing_docs, reason = "the symbols are their own names; the table says what each is")]
pub enum Base {
    Pla,
    Petg,
    Pet,
    Abs,
    Asa,
    Pc,
    Pa6,
    Pa66,
    Pa12,
    Tpu,
    Pval,
    Bvoh,
    PsHi,
    Pp,
    Pom,
    Pmma,
    Peek,
    Pei,
    Pps,
    Pvc,
}

/// A filler after ISO 1043-2, as far as filament has them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Filler {
    /// CF, carbon fibre.
    CarbonFibre,
    /// GF, glass fibre.
    GlassFibre,
    /// WD, wood powder.
    Wood,
    /// MED, metal powder.
    Metal,
    /// MD, mineral or stone powder.
    Mineral,
    /// Phosphorescent pigment ("glow"): no symbol of its own, hard as a mineral.
    Glow,
}

/// A material as it is compared: base, filler, hardness, trade modifiers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Grade {
    /// Base polymer.
    pub base: Base,
    /// Second polymer of a blend, such as ABS in PC+ABS.
    pub blend: Option<Base>,
    /// Filler.
    pub filler: Option<Filler>,
    /// Filler's share, mass percent, 0 = not stated.
    pub filler_percent: u8,
    /// Shore A hardness of a soft grade.
    pub shore_a: Option<u8>,
    /// Whether a trade modifier stood with it (+, tough, silk, matt, rapid).
    pub modified: bool,
}

/// What a base material wants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct GradeRow {
    /// The base.
    pub base: Base,
    /// As moulded between `>` and `<` (ISO 11469).
    pub symbol: &'static str,
    /// Density, mg/cm³.
    pub density_mg_cm3: u32,
    /// Printing window of the nozzle, least and most.
    pub nozzle_c: (Celsius, Celsius),
    /// Printing window of the bed, least and most.
    pub bed_c: (Celsius, Celsius),
    /// Glass transition; `None` where the handbook's is not above room temperature.
    pub glass_transition: Option<Celsius>,
}
