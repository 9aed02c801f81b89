//! What header, comments and moves state about a job, side by side, with the core's own tolerances.

use std::fmt;

use holdpoint_shared::checks::{FactKind, JobFacts, LAYER_TOLERANCE_UM, TEMPERATURE_TOLERANCE_K};
use holdpoint_shared::header::{Hints, JobHeader, Source, Stated};
use holdpoint_shared::records::Grade;
use holdpoint_shared::survey::Survey;
use holdpoint_shared::units::{Celsius, Micrometres, Milligrams, Seconds, filament_mass};
use serde::{Serialize, Serializer};

use crate::amounts::{clock, decimals, grams};

/// A value in its unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Amount {
    /// A text.
    Text(String),
    /// A length, µm.
    Micrometres(i64),
    /// A mass, mg.
    Milligrams(i64),
    /// A temperature, °C.
    Celsius(i16),
    /// A time, s.
    Seconds(u32),
    /// Bytes.
    Bytes(u64),
    /// A CRC-32.
    Crc32(u32),
}

impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Text(text) => f.write_str(text),
            Self::Micrometres(um) => write!(f, "{} mm", decimals(*um, 3)),
            Self::Milligrams(mg) => write!(f, "{} g", grams(*mg)),
            Self::Celsius(degrees) => write!(f, "{degrees} °C"),
            Self::Seconds(seconds) => f.write_str(&clock(*seconds)),
            Self::Bytes(bytes) => write!(f, "{bytes} bytes"),
            Self::Crc32(crc) => write!(f, "{crc:08x}"),
        }
    }
}

impl Serialize for Amount {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Text(text) => serializer.serialize_str(text),
            Self::Micrometres(value) | Self::Milligrams(value) => serializer.serialize_i64(*value),
            Self::Celsius(value) => serializer.serialize_i16(*value),
            Self::Seconds(value) => serializer.serialize_u32(*value),
            Self::Bytes(value) => serializer.serialize_u64(*value),
            Self::Crc32(crc) => serializer.serialize_str(&format!("{crc:08x}")),
        }
    }
}

/// One fact and what each source says of it; `None` = nothing.
#[derive(Clone, Debug, Serialize)]
pub struct Row {
    /// The header's key, with the unit of the values here.
    pub fact: &'static str,
    /// What it is in words.
    #[serde(skip)]
    pub words: &'static str,
    /// From the header.
    pub header: Option<Amount>,
    /// From a comment.
    pub comment: Option<Amount>,
    /// From the moves.
    pub moves: Option<Amount>,
    /// Whether two of them differ by more than the fact's tolerance.
    pub differs: bool,
}

/// Every fact that any source states.
#[must_use]
pub fn rows(stated: Option<&JobHeader>, hints: &Hints, survey: &Survey, filament_um: u32) -> Vec<Row> {
    let none = JobHeader::default();
    let header = stated.unwrap_or(&none);
    let comment = &hints.facts;
    let moves = moves(survey);
    let length = survey.filament.needed();
    let grade = comment.material.as_ref().and_then(|material| Grade::parse(material));
    let grade = header.material.as_ref().and_then(|material| Grade::parse(material)).or(grade);
    let diameter = header.diameter_um.or(comment.diameter_um).unwrap_or(filament_um);
    let mass = grade.and_then(|grade| grade.density_mg_cm3()).filter(|_| length.0 > 0);
    let mass = mass.map(|density| filament_mass(length, diameter, density));
    let reading = &survey.reading;
    let body = |value| Some(value).filter(|_| reading.header_ended);
    let differing = differing(stated, hints, survey);
    let mut rows = Vec::new();
    let mut row = |fact, words, values: [Option<Amount>; 3], differs: bool| {
        let [header, comment, moves] = values;
        if header.is_some() || comment.is_some() || moves.is_some() {
            rows.push(Row { fact, words, header, comment, moves, differs });
        }
    };
    macro_rules! texts {
        ($($field:ident $key:literal $words:literal $fact:expr;)*) => {$(
            let text = |facts: &JobHeader| facts.$field.as_ref().map(|text| Amount::Text(text.to_string()));
            row($key, $words, [text(header), text(comment), None], $fact.is_some_and(|fact| differing.contains(&fact)));
        )*};
    }
    macro_rules! numbers {
        ($($field:ident $key:literal $words:literal $make:expr, $moves:expr, $differs:expr;)*) => {$(
            let make = $make;
            let values = [header.$field.map(make), comment.$field.map(make), $moves.map(make)];
            row($key, $words, values, $differs);
        )*};
    }
    let apart = |fact: FactKind| differing.contains(&fact);
    let um = |value: u32| Amount::Micrometres(value.into());
    let degrees = |value: Celsius| Amount::Celsius(value.0);
    let milligrams = |value: Milligrams| Amount::Milligrams(value.0);
    let warmer = |values: [Option<Celsius>; 3]| {
        spread(values.map(|v| v.map(|v| v.0.into()))) > TEMPERATURE_TOLERANCE_K
    };
    let thicker = |values: [Option<u32>; 3]| spread(values.map(|v| v.map(i64::from))) > LAYER_TOLERANCE_UM;
    let nozzle_first = [header.nozzle_first_c, comment.nozzle_first_c, moves.nozzle_first_c];
    let bed_first = [header.bed_first_c, comment.bed_first_c, moves.bed_first_c];
    let layer_first = [header.first_layer_um, comment.first_layer_um, moves.first_layer_um];
    texts! {
        material "material" "material" Some(FactKind::Material);
        colour "colour" "colour" None::<FactKind>;
    }
    numbers! {
        diameter_um "diameter_um" "filament diameter" um, None, apart(FactKind::Diameter);
        bore_um "bore_um" "nozzle bore" um, None, apart(FactKind::Bore);
        nozzle_c "nozzle_c" "nozzle" degrees, moves.nozzle_c, apart(FactKind::Nozzle);
        nozzle_first_c "nozzle_first_c" "nozzle, first layer" degrees, moves.nozzle_first_c, warmer(nozzle_first);
        bed_c "bed_c" "bed" degrees, moves.bed_c, apart(FactKind::Bed);
        bed_first_c "bed_first_c" "bed, first layer" degrees, moves.bed_first_c, warmer(bed_first);
        length "length_um" "filament used" |value: Micrometres| Amount::Micrometres(value.0),
            moves.length, apart(FactKind::Length);
        mass "mass_mg" "the same as a mass" milligrams, mass, false;
        time "time_s" "printing time" |value: Seconds| Amount::Seconds(value.0),
            moves.time, apart(FactKind::Time);
        layer_um "layer_um" "layer height" um, moves.layer_um, apart(FactKind::Layer);
        first_layer_um "first_layer_um" "first layer height" um, moves.first_layer_um, thicker(layer_first);
        body_bytes "body_bytes" "bytes after the header" Amount::Bytes, body(reading.body_bytes),
            header.body_bytes.is_some_and(|bytes| bytes != reading.body_bytes);
    }
    let crc = [header.body_crc32, None, Some(reading.body_crc32).filter(|_| reading.header_ended)];
    let other = header.body_crc32.is_some_and(|crc| crc != reading.body_crc32);
    row("body_crc32", "their CRC-32", crc.map(|crc| crc.map(Amount::Crc32)), other);
    texts! {
        machine "machine" "made for machine" None::<FactKind>;
        part "part" "part" None::<FactKind>;
        author "author" "author" None::<FactKind>;
        made "made" "made" None::<FactKind>;
    }
    rows
}

/// What the moves alone say, by the core's own rule of what counts.
fn moves(survey: &Survey) -> JobHeader {
    let facts = JobFacts::merge(None, None, Some(survey));
    fn value<T>(stated: Option<Stated<T>>) -> Option<T> {
        stated.filter(|stated| stated.source == Source::Moves).map(|stated| stated.value)
    }
    JobHeader {
        nozzle_c: value(facts.nozzle_c),
        nozzle_first_c: value(facts.nozzle_first_c),
        bed_c: value(facts.bed_c),
        bed_first_c: value(facts.bed_first_c),
        length: value(facts.length),
        time: value(facts.time),
        layer_um: value(facts.layer_um),
        first_layer_um: value(facts.first_layer_um),
        ..JobHeader::default()
    }
}

/// The facts that any two sources state differently: the core compares them two by two.
fn differing(header: Option<&JobHeader>, hints: &Hints, survey: &Survey) -> Vec<FactKind> {
    let pairs = [
        JobFacts::merge(header, None, Some(survey)),
        JobFacts::merge(None, Some(hints), Some(survey)),
        JobFacts::merge(header, Some(hints), None),
    ];
    pairs.iter().flat_map(|facts| &facts.disagreements).map(|disagreement| disagreement.fact).collect()
}

/// Greatest difference between the values that are there.
fn spread(values: [Option<i64>; 3]) -> i64 {
    let known = || values.iter().flatten();
    known().max().zip(known().min()).map_or(0, |(most, least)| most - least)
}
