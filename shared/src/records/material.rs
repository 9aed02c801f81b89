//! A material as it is compared, and as it is moulded on plastics.

use core::fmt::Write;

use heapless::String;

use super::material_table::Base;
use crate::units::Celsius;

/// Bytes of a mark: the longest symbols with a blend, a filler and its share.
pub const MARK_BYTES: usize = 24;

/// A filler after ISO 1043-2, as far as filament has them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Filler {
    /// CF, carbon fibre.
    CarbonFibre,
    /// GF, glass fibre, and glass in any other form.
    GlassFibre,
    /// WD, wood powder, and other plant matter.
    Wood,
    /// MED, metal powder.
    Metal,
    /// MD, mineral or stone powder.
    Mineral,
    /// Phosphorescent pigment ("glow"): no symbol of its own, hard as a mineral.
    Glow,
}

impl Filler {
    /// Its symbol after ISO 1043-2 (from memory); none for glow.
    #[must_use]
    pub const fn symbol(self) -> Option<&'static str> {
        match self {
            Self::CarbonFibre => Some("CF"),
            Self::GlassFibre => Some("GF"),
            Self::Wood => Some("WD"),
            Self::Metal => Some("MED"),
            Self::Mineral => Some("MD"),
            Self::Glow => None,
        }
    }

    /// Whether it wears a soft nozzle: carbon, glass, metal, mineral, glow (common practice, no source). Wood does
    /// not; it blocks fine bores instead.
    #[must_use]
    pub const fn abrasive(self) -> bool {
        !matches!(self, Self::Wood)
    }
}

/// A material as it is compared: base, filler, hardness, trade modifiers.
///
/// [`parse`](Self::parse) reads trade words and the marks of ISO 1043 and ISO 11469.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Grade {
    /// Base polymer.
    pub base: Base,
    /// Second polymer of a blend, such as ABS in PC+ABS.
    pub blend: Option<Base>,
    /// Filler; of a mixture the one that is named first.
    pub filler: Option<Filler>,
    /// Filler's share, mass percent, 0 = not stated.
    pub filler_percent: u8,
    /// Shore A hardness of a soft grade.
    pub shore_a: Option<u8>,
    /// Whether a trade modifier stood with it (+, tough, silk, matt, rapid).
    pub modified: bool,
}

impl Grade {
    /// The plain grade of a base.
    #[must_use]
    pub const fn plain(base: Base) -> Self {
        Self { base, blend: None, filler: None, filler_percent: 0, shore_a: None, modified: false }
    }

    /// The mark as it is moulded on plastics between `>` and `<` (ISO 11469: main component first, no blanks, filler
    /// and its mass percent after a hyphen): `PA6-CF15`. Hardness and trade modifiers have no place in it.
    #[must_use]
    pub fn mark(&self) -> String<MARK_BYTES> {
        let mut mark = String::new();
        // The capacity holds the longest mark there is; a test tries them all.
        let _ = mark.push_str(self.base.row().symbol);
        if let Some(blend) = self.blend {
            let _ = write!(mark, "+{}", blend.row().symbol);
        }
        if let Some(symbol) = self.filler.and_then(Filler::symbol) {
            let _ = write!(mark, "-{symbol}");
            if self.filler_percent > 0 {
                let _ = write!(mark, "{:02}", self.filler_percent.min(99));
            }
        }
        mark
    }

    /// Density, mg/cm³, where one is known: the base's for a plain grade; 1250 for wood-filled PLA (1150 to 1250 is
    /// common practice, no source; the heavier edge asks for more filament). `None` for every other filled grade and
    /// for blends: the spool ticket must say.
    #[must_use]
    pub fn density_mg_cm3(&self) -> Option<u32> {
        match (self.base, self.blend, self.filler) {
            (base, None, None) => Some(base.row().density_mg_cm3),
            (Base::Pla, None, Some(Filler::Wood)) => Some(1250),
            _ => None,
        }
    }
}

/// What comes off the hot material, as far as a source names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Fume {
    /// Nothing that a source names beyond particles, which every hot plastic gives off; lactide from PLA.
    Ordinary,
    /// Styrene.
    Styrene,
    /// Caprolactam, or a lactam like it.
    Lactam,
    /// Formaldehyde once overheated.
    Formaldehyde,
    /// Methyl methacrylate.
    Acrylate,
    /// Hydrogen chloride, an acid gas.
    AcidGas,
    /// Printed so hot that no source for a shared room covers it.
    Unknown,
}

/// How it takes to a build plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Hold {
    /// Lets go of any usual face once cold.
    Plain,
    /// Bonds too hard to smooth polymer and bare glass: a release film between.
    Welds,
    /// Sticks only to a face of its own kind.
    OwnFace,
}

/// Drying of a spool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Drying {
    /// Least and most temperature.
    pub celsius: (Celsius, Celsius),
    /// Least and most hours.
    pub hours: (u8, u8),
}

/// What a base material wants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct GradeRow {
    /// The base.
    pub base: Base,
    /// As moulded between `>` and `<` (ISO 11469).
    pub symbol: &'static str,
    /// Its names in the trade, in small letters; `-` and blanks count alike, digits stand apart.
    pub words: &'static [&'static str],
    /// Density, mg/cm³.
    pub density_mg_cm3: u32,
    /// Printing window of the nozzle, least and most.
    pub nozzle_c: (Celsius, Celsius),
    /// Printing window of the bed, least and most.
    pub bed_c: (Celsius, Celsius),
    /// Glass transition; `None` where the handbook's is not above room temperature or none was found. A polymer that
    /// crystallises (PA, PET, PPS, PEEK) is printed on a bed far above it.
    pub glass_transition: Option<Celsius>,
    /// Plate temperature at which a part lets go, where a room states one; the table knows none.
    pub release: Option<Celsius>,
    /// Drying of a spool; `None` = rarely or never dried.
    pub drying: Option<Drying>,
    /// Hours in open air after which it counts as damp; `None` = does not.
    pub open_hours: Option<u16>,
    /// Whether three times those hours spoil a print for certain.
    pub damp_spoils: bool,
    /// What comes off it.
    pub fume: Fume,
    /// Longest flat edge, mm, that stays down without a brim; `None` = does not curl.
    pub curl_mm: Option<u16>,
    /// How it takes to a plate.
    pub hold: Hold,
    /// Whether it wants a warm closed box.
    pub warm_box: bool,
    /// Whether it jams in warm air, such as a closed box.
    pub cool_air: bool,
    /// Whether it is soft: slow feed, no long tube, short pulls.
    pub soft: bool,
    /// Whether it must never be printed.
    pub forbidden: bool,
}
