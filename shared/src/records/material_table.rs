//! The table of base materials: to add one, add one row (its names stand in the row).
//!
//! Where the numbers come from, unless a row says otherwise:
//! - density and glass transition: handbook values looked up (Callister, *Fundamentals of Materials Science and
//!   Engineering*, appendices B and E; Encyclopaedia Britannica's table of polymers; an instrument maker's polymer
//!   page; a trade density table), or from memory where the row says so. Of a band the glass transition is the edge
//!   that warns earlier;
//! - printing windows of nozzle and bed, and drying of a spool: common practice, no source;
//! - hours in the open, curling edge, plate faces, boxes: a print-room lead's judgement, to be replaced by a room's log;
//! - fumes: emission studies looked up (styrene from ABS and PS-HI, caprolactam from nylon, lactide from PLA).
//!
//! A symbol after ISO 1043-1 is from memory unless it stands in a source that was looked up (ABS, ASA, PS-HI).

use crate::units::Celsius;

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

const fn c(least: i16, most: i16) -> (Celsius, Celsius) {
    (Celsius(least), Celsius(most))
}

const fn dry(least_c: i16, most_c: i16, least_h: u8, most_h: u8) -> Option<Drying> {
    Some(Drying { celsius: c(least_c, most_c), hours: (least_h, most_h) })
}

const fn tg(celsius: i16) -> Option<Celsius> {
    Some(Celsius(celsius))
}

/// A row that most columns are left to.
const PLAIN: GradeRow = GradeRow {
    base: Base::Pla,
    symbol: "",
    words: &[],
    density_mg_cm3: 0,
    nozzle_c: c(0, 0),
    bed_c: c(0, 0),
    glass_transition: None,
    release: None,
    drying: None,
    open_hours: None,
    damp_spoils: false,
    fume: Fume::Ordinary,
    curl_mm: None,
    hold: Hold::Plain,
    warm_box: false,
    cool_air: false,
    soft: false,
    forbidden: false,
};

macro_rules! materials {
    ($($(#[$doc:meta])* $base:ident { $($column:tt)* })*) => {
        /// A base polymer, by its ISO 1043-1 symbol (PETG and BVOH have none of their own and keep the trade's key).
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        pub enum Base { $($(#[$doc])* $base),* }

        impl Base {
            /// Every base of the table.
            pub const ALL: &'static [Self] = &[$(Self::$base),*];

            /// What it wants.
            #[must_use]
            pub const fn row(self) -> &'static GradeRow {
                match self {
                    $(Self::$base => {
                        const ROW: &GradeRow = &GradeRow { base: Base::$base, $($column)* ..PLAIN };
                        ROW
                    })*
                }
            }
        }
    };
}

materials! {
    /// Polylactide.
    Pla {
        symbol: "PLA",
        words: &["pla", "polylactide", "polylactic acid", "polylactid"],
        density_mg_cm3: 1240,
        nozzle_c: c(190, 220),
        bed_c: c(20, 60),
        // 45 to 65 °C in handbooks, 63 measured; 55 is the trade's drying limit below it (common practice, no source).
        glass_transition: tg(55),
        drying: dry(45, 50, 4, 8),
        open_hours: Some(720),
        curl_mm: Some(180),
        cool_air: true,
    }
    /// Polyethylene terephthalate with glycol: no ISO 1043-1 symbol of its own (from memory); never taken for PET.
    Petg {
        symbol: "PETG",
        words: &["petg", "pet g", "copolyester", "co polyester"],
        density_mg_cm3: 1270, // from memory
        nozzle_c: c(220, 250),
        bed_c: c(70, 85),
        glass_transition: tg(80), // a secondary page
        drying: dry(60, 65, 4, 8),
        open_hours: Some(168),
        curl_mm: Some(180),
        hold: Hold::Welds,
    }
    /// Polyethylene terephthalate.
    Pet {
        symbol: "PET",
        words: &["pet", "pete", "polyethylene terephthalate"],
        density_mg_cm3: 1380,
        // The row of carbon-fibre PET, the form that filament has.
        nozzle_c: c(260, 300),
        bed_c: c(80, 110),
        glass_transition: tg(69),
        drying: dry(80, 100, 8, 8),
        open_hours: Some(48),
        curl_mm: Some(120), // judgement: it crystallises
    }
    /// Acrylonitrile-butadiene-styrene.
    Abs {
        symbol: "ABS",
        words: &["abs", "acrylonitrile butadiene styrene"],
        density_mg_cm3: 1050,
        nozzle_c: c(230, 260),
        bed_c: c(90, 110),
        glass_transition: tg(95),
        drying: dry(70, 80, 4, 4),
        open_hours: Some(336),
        fume: Fume::Styrene,
        curl_mm: Some(120),
        warm_box: true,
    }
    /// Acrylonitrile-styrene-acrylate.
    Asa {
        symbol: "ASA",
        words: &["asa", "aas", "acrylonitrile styrene acrylate"],
        density_mg_cm3: 1070, // from memory
        nozzle_c: c(240, 260),
        bed_c: c(90, 110),
        glass_transition: tg(100), // from memory
        drying: dry(80, 80, 4, 4),
        open_hours: Some(336),
        fume: Fume::Styrene,
        curl_mm: Some(120),
        warm_box: true,
    }
    /// Polycarbonate.
    Pc {
        symbol: "PC",
        words: &["pc", "polycarbonate", "polycarbonat"],
        density_mg_cm3: 1200,
        nozzle_c: c(260, 310),
        bed_c: c(100, 120),
        glass_transition: tg(145),
        drying: dry(80, 90, 8, 8),
        open_hours: Some(48),
        fume: Fume::Unknown,
        curl_mm: Some(120),
        hold: Hold::Welds,
        warm_box: true,
    }
    /// Polyamide 6, its copolymer with 66, and "nylon" with no number (judgement: the commonest in filament).
    Pa6 {
        symbol: "PA6",
        words: &[
            "pa 6", "pa", "nylon", "nylon 6", "polyamide", "polyamide 6", "polyamid", "polyamid 6", "pa 6 / 66",
            "pa 6 66", "nylon 6 / 66", "nylon 6 66",
        ],
        density_mg_cm3: 1140,
        nozzle_c: c(240, 280),
        bed_c: c(70, 100),
        glass_transition: tg(50),
        drying: dry(70, 80, 8, 12),
        open_hours: Some(12),
        damp_spoils: true,
        fume: Fume::Lactam,
        curl_mm: Some(120),
        hold: Hold::OwnFace,
        warm_box: true,
    }
    /// Polyamide 66.
    Pa66 {
        symbol: "PA66",
        words: &[
            "pa 66", "nylon 66", "polyamide 66", "polyamid 66", "pa 6 6", "nylon 6 6", "nylon 6 / 6", "pa 6 / 6",
        ],
        density_mg_cm3: 1140,
        nozzle_c: c(265, 290), // judgement, from its melting point of 265 °C (handbook)
        bed_c: c(70, 100),
        glass_transition: tg(57),
        drying: dry(70, 80, 8, 12),
        open_hours: Some(12),
        damp_spoils: true,
        fume: Fume::Lactam,
        curl_mm: Some(120),
        hold: Hold::OwnFace,
        warm_box: true,
    }
    /// Polyamide 12.
    Pa12 {
        symbol: "PA12",
        words: &["pa 12", "nylon 12", "polyamide 12", "polyamid 12"],
        density_mg_cm3: 1010, // from memory
        nozzle_c: c(240, 270),
        bed_c: c(70, 100),
        glass_transition: tg(40), // from memory
        drying: dry(70, 80, 8, 8),
        open_hours: Some(12),
        damp_spoils: true,
        fume: Fume::Lactam, // judgement: a lactam, as with PA6
        curl_mm: Some(120),
        hold: Hold::OwnFace,
        warm_box: true,
    }
    /// Thermoplastic polyurethane (ISO 18064; the older form is TPE-U).
    Tpu {
        symbol: "TPU",
        words: &["tpu", "tpe u", "flex", "flexible", "thermoplastic polyurethane"],
        density_mg_cm3: 1210, // from memory
        nozzle_c: c(210, 240),
        bed_c: c(20, 60),
        drying: dry(50, 60, 4, 8),
        open_hours: Some(48),
        hold: Hold::Welds,
        soft: true,
    }
    /// Polyvinyl alcohol, the trade's PVA. (PVAC is the acetate, another plastic.)
    Pval {
        symbol: "PVAL",
        words: &["pval", "pva", "pvoh", "polyvinyl alcohol"],
        density_mg_cm3: 1230, // from memory
        nozzle_c: c(185, 215),
        bed_c: c(45, 60),
        glass_transition: tg(85), // from memory, dry
        drying: dry(45, 60, 4, 8),
        open_hours: Some(8),
        damp_spoils: true,
        curl_mm: Some(180), // judgement
    }
    /// Butenediol-vinyl-alcohol copolymer: no ISO 1043-1 symbol. No row of its own was found: as PVAL (judgement).
    Bvoh {
        symbol: "BVOH",
        words: &["bvoh"],
        density_mg_cm3: 1230,
        nozzle_c: c(185, 215),
        bed_c: c(45, 60),
        drying: dry(45, 60, 4, 8),
        open_hours: Some(8),
        damp_spoils: true,
        curl_mm: Some(180),
    }
    /// High-impact polystyrene.
    PsHi {
        symbol: "PS-HI",
        words: &["ps hi", "hips", "high impact polystyrene"],
        density_mg_cm3: 1040,
        nozzle_c: c(220, 250),
        bed_c: c(90, 110),
        // 74 to 105 °C in handbooks, 100 the usual; the lower edge would blame every bed in the window.
        glass_transition: tg(100),
        drying: dry(65, 70, 4, 4),
        fume: Fume::Styrene,
        curl_mm: Some(120), // judgement: as ABS
    }
    /// Polypropylene.
    Pp {
        symbol: "PP",
        words: &["pp", "polypropylene", "polypropylen"],
        density_mg_cm3: 900,
        nozzle_c: c(210, 250),
        bed_c: c(80, 105),
        curl_mm: Some(120),
        hold: Hold::OwnFace,
    }
    /// Polyoxymethylene, acetal.
    Pom {
        symbol: "POM",
        words: &["pom", "acetal", "polyoxymethylene"],
        density_mg_cm3: 1410,
        nozzle_c: c(200, 230),
        bed_c: c(100, 130),
        drying: dry(80, 80, 4, 4),
        fume: Fume::Formaldehyde, // once overheated above about 230 to 240 °C (common practice, no source)
        curl_mm: Some(120),       // judgement: it crystallises
        hold: Hold::OwnFace,
    }
    /// Polymethyl methacrylate, acrylic.
    Pmma {
        symbol: "PMMA",
        words: &["pmma", "acrylic", "polymethyl methacrylate"],
        density_mg_cm3: 1180,
        nozzle_c: c(230, 260),
        bed_c: c(90, 110),
        glass_transition: tg(105),
        drying: dry(70, 70, 4, 4),
        open_hours: Some(168), // judgement: medium, as PETG
        fume: Fume::Acrylate,
        curl_mm: Some(120), // judgement: as ABS
    }
    /// Polyetheretherketone.
    Peek {
        symbol: "PEEK",
        words: &["peek", "polyetheretherketone"],
        density_mg_cm3: 1300,
        nozzle_c: c(360, 420),
        bed_c: c(120, 160),
        glass_transition: tg(143),
        drying: dry(120, 150, 4, 6),
        fume: Fume::Unknown,
        curl_mm: Some(120), // judgement: it crystallises
        warm_box: true,
    }
    /// Polyetherimide.
    Pei {
        symbol: "PEI",
        words: &["pei", "polyetherimide"],
        density_mg_cm3: 1270,
        nozzle_c: c(350, 390),
        bed_c: c(140, 160),
        glass_transition: tg(215), // from memory
        drying: dry(120, 120, 6, 6),
        open_hours: Some(168), // judgement: medium, as PETG
        fume: Fume::Unknown,
        curl_mm: Some(120), // judgement: as ABS
        warm_box: true,
    }
    /// Polyphenylene sulphide.
    Pps {
        symbol: "PPS",
        words: &["pps", "polyphenylene sulfide", "polyphenylene sulphide"],
        density_mg_cm3: 1350,
        nozzle_c: c(300, 340),
        bed_c: c(100, 140),
        glass_transition: tg(85),
        drying: dry(80, 120, 4, 4),
        fume: Fume::Unknown,
        curl_mm: Some(120), // judgement: it crystallises
        warm_box: true,
    }
    /// Polyvinyl chloride: known so that it can be refused. It gives off hydrogen chloride (from memory), and the ISO
    /// test for desktop emissions would not find what chlorinated plastics give off (its own scope says so).
    Pvc {
        symbol: "PVC",
        words: &["pvc", "polyvinyl chloride"],
        density_mg_cm3: 1400, // from memory
        // From memory, of the moulding trade. No job is let through on it.
        nozzle_c: c(170, 210),
        bed_c: c(20, 60),
        fume: Fume::AcidGas,
        forbidden: true,
    }
}
