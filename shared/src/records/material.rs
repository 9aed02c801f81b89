//! A material as it is compared, and as it is moulded on plastics.

use core::fmt::Write;

use heapless::String;

use super::material_table::Base;

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
