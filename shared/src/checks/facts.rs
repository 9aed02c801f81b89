//! The job's facts, merged from the header, the comments and the moves.
//!
//! One rule of precedence: the source with the highest proof wins (moves over header over comment). Where two
//! sources disagree by more than the fact's tolerance, the disagreement is kept and becomes a finding (check 6).

use heapless::{String, Vec};

use super::finding::Value;
use super::no_job::not_a_job;
use crate::header::{Hints, JobHeader, Source, Stated};
use crate::limits::{MATERIAL_BYTES, TAG_BYTES, TEXT_BYTES};
use crate::records::{Grade, Room};
use crate::survey::{Plane, Survey};
use crate::units::{Celsius, Micrometres, Milligrams, Seconds, times};

/// Disagreements kept: one for each fact that two sources can state.
const DISAGREEMENTS: usize = 8;

/// Lengths may differ by this many percent before it counts as edited (job catalogue, row 6).
pub(crate) const LENGTH_TOLERANCE_PERCENT: u64 = 5;

/// And by no less than this: comments round metres to two decimals.
const LENGTH_ROUNDING: Micrometres = Micrometres::from_mm(10);

/// Times may differ by this many percent: forecasts of different programs for one file do (owner threads: "never
/// better than ten percent"; the width is a judgement, no source).
pub(crate) const TIME_TOLERANCE_PERCENT: u64 = 40;

/// Layer heights may differ by this much, µm: rounding to two decimals of a millimetre in a comment.
pub const LAYER_TOLERANCE_UM: i64 = 10;

/// Temperatures may differ by this much, K: the habit of a hotter first layer is 5 to 10 K (common practice, no
/// source).
pub const TEMPERATURE_TOLERANCE_K: i64 = 10;

/// Which fact two sources state differently.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum FactKind {
    /// Base or filler of the material.
    Material,
    /// Filament diameter.
    Diameter,
    /// Nozzle bore.
    Bore,
    /// Nozzle target.
    Nozzle,
    /// Bed target.
    Bed,
    /// Filament used.
    Length,
    /// Printing time.
    Time,
    /// Layer height.
    Layer,
}

/// Two sources that disagree about a fact by more than its tolerance.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Disagreement {
    /// Which fact.
    pub fact: FactKind,
    /// The value that is used, and its source.
    pub used: Stated<Value>,
    /// The value that is not.
    pub other: Stated<Value>,
}

/// What is known about a job, each value from its best source.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct JobFacts {
    /// Material as written.
    pub material: Option<Stated<String<MATERIAL_BYTES>>>,
    /// The same as it is compared; `None` where the words map to no material.
    pub grade: Option<Grade>,
    /// Colour as on the sticker.
    pub colour: Option<Stated<String<TEXT_BYTES>>>,
    /// Filament diameter, µm.
    pub diameter_um: Option<Stated<u32>>,
    /// Nozzle bore, µm.
    pub bore_um: Option<Stated<u32>>,
    /// Hot-end target of all layers.
    pub nozzle_c: Option<Stated<Celsius>>,
    /// Hot-end target of the first layer.
    pub nozzle_first_c: Option<Stated<Celsius>>,
    /// Bed target of all layers.
    pub bed_c: Option<Stated<Celsius>>,
    /// Bed target of the first layer.
    pub bed_first_c: Option<Stated<Celsius>>,
    /// Filament to be used.
    pub length: Option<Stated<Micrometres>>,
    /// Filament to be used, as a mass that the job states itself.
    pub mass: Option<Stated<Milligrams>>,
    /// Printing time.
    pub time: Option<Stated<Seconds>>,
    /// Layer height, µm.
    pub layer_um: Option<Stated<u32>>,
    /// First layer's height, µm.
    pub first_layer_um: Option<Stated<u32>>,
    /// Tag of the machine that the job was made for.
    pub machine: Option<Stated<String<TAG_BYTES>>>,
    /// The part's name.
    pub part: Option<Stated<String<TEXT_BYTES>>>,
    /// Who made it.
    pub author: Option<Stated<String<TEXT_BYTES>>>,
    /// Where sources differ.
    pub disagreements: Vec<Disagreement, DISAGREEMENTS>,
}

/// Takes the first source that states the fact: they are given in falling order of proof.
fn best<T: Clone>(header: Option<&T>, hint: Option<&T>) -> Option<Stated<T>> {
    header
        .map(|value| Stated { value: value.clone(), source: Source::Header })
        .or_else(|| hint.map(|value| Stated { value: value.clone(), source: Source::Comment }))
}

impl JobFacts {
    /// Merges what the header, the comments and (when they were read) the moves say.
    #[must_use]
    pub fn merge(header: Option<&JobHeader>, hints: Option<&Hints>, survey: Option<&Survey>) -> Self {
        let mut facts = Self::default();
        facts.renew(header, hints, survey);
        facts
    }

    /// Names the material as this room does: its own words win over the trade's.
    pub fn name_by(&mut self, room: &Room) {
        self.grade = self.material.as_ref().and_then(|stated| room.grade(&stated.value));
    }

    /// The same in place of what was known before: a small board has no room for it on its stack.
    pub fn renew(&mut self, header: Option<&JobHeader>, hints: Option<&Hints>, survey: Option<&Survey>) {
        self.take_texts(header, hints);
        self.take_material(header, hints, survey);
        if let Some(survey) = survey {
            self.refine(survey);
            if not_a_job(survey).is_some() {
                (self.time, self.length, self.mass) = (None, None, None);
            }
        }
    }

    fn take_texts(&mut self, header: Option<&JobHeader>, hints: Option<&Hints>) {
        macro_rules! merge {
            ($($field:ident)*) => {
                // Every part by name, so that none is forgotten.
                                $(
                    *$field = best(
                        header.and_then(|header| header.$field.as_ref()),
                        hints.and_then(|hints| hints.facts.$field.as_ref()),
                    );
                )*
            };
        }
        // Every part by name, so that none is forgotten.
        let Self {
            material,
            grade,
            colour,
            diameter_um,
            bore_um,
            nozzle_c,
            nozzle_first_c,
            bed_c,
            bed_first_c,
            length,
            mass,
            time,
            layer_um,
            first_layer_um,
            machine,
            part,
            author,
            disagreements,
        } = self;
        disagreements.clear();
        merge!(
            material colour diameter_um bore_um nozzle_c nozzle_first_c bed_c bed_first_c length mass time layer_um
            first_layer_um machine part author
        );
        *grade = None;
        if let (Some(header), Some(hints)) = (header, hints) {
            self.compare_texts(header, &hints.facts);
        }
    }

    /// The material: by the header, or by the comment's list for the tool that feeds most.
    fn take_material(&mut self, header: Option<&JobHeader>, hints: Option<&Hints>, survey: Option<&Survey>) {
        if let (None, Some(hints)) = (header.and_then(|header| header.material.as_ref()), hints) {
            let tool = survey.map_or(0, |survey| survey.filament.main_tool());
            let named = || hints.named_for(tool).find(|named| Grade::parse(named).is_some());
            let listed = hints.material_of(tool);
            let stated = listed.or_else(|| hints.facts.material.clone()).or_else(named);
            self.material = stated.map(|value| Stated { value, source: Source::Comment });
        }
        self.grade = self.material.as_ref().and_then(|stated| Grade::parse(&stated.value));
    }

    /// Keeps a disagreement, unless the list is full (it holds one for each fact).
    fn disagree(&mut self, fact: FactKind, used: (Value, Source), other: (Value, Source)) {
        let stated = |(value, source)| Stated { value, source };
        // A fact is compared at most once a pair of sources; the second pair finds the list long enough or is
        // the same news.
        let _ = self.disagreements.push(Disagreement { fact, used: stated(used), other: stated(other) });
    }

    /// Takes what the moves say where they say anything; a text that says something else is kept as a disagreement.
    fn refine(&mut self, survey: &Survey) {
        let um = |value: u32| Value::Length(Micrometres(value.into()));
        let length = survey.filament.needed();
        if length.0 > 0 {
            // A text that was written without reading the start text leaves out what is purged there.
            let purged_nm = survey.purge.map_or(0, |strip| strip.filament_nm);
            let start =
                Micrometres(purged_nm.saturating_add(survey.filament.longest_push_before.length_nm) / 1000);
            let far = |text: &Stated<Micrometres>| {
                let more = length.0.saturating_sub(text.value.0);
                let apart =
                    if more > 0 { more.saturating_sub(start.0).max(0) } else { more.saturating_neg() };
                lengths_differ(length, Micrometres(length.0.saturating_sub(apart)))
            };
            if let Some(text) = self.length.filter(far) {
                self.disagree(
                    FactKind::Length,
                    (length.into(), Source::Moves),
                    (text.value.into(), text.source),
                );
            }
            self.length = Some(moves(length));
        }
        let time = Seconds(survey.time.total_s);
        if time.0 > 0 {
            let far =
                |text: &Stated<Seconds>| differs(time.0.into(), text.value.0.into(), TIME_TOLERANCE_PERCENT);
            if let Some(text) = self.time.filter(far) {
                self.disagree(FactKind::Time, (time.into(), Source::Moves), (text.value.into(), text.source));
            }
            self.time = Some(moves(time));
        }
        if let Some(layer) = survey.layers.typical_um {
            // Of heights that vary, a text may state any that occurs. Where fewer than half of the layers are alike, the heights
            // follow the part's slopes, and what a text states is where they began.
            let adapts =
                survey.layers.typical_count.saturating_mul(2) < survey.layers.passes.saturating_sub(1);
            let height = |plane: Option<Plane>| plane.map_or(i64::from(layer), |plane| i64::from(plane.z_um));
            let (least, most) = (height(survey.layers.thinnest), height(survey.layers.thickest));
            let fits = least - LAYER_TOLERANCE_UM..=most + LAYER_TOLERANCE_UM;
            if let Some(text) = self.layer_um.filter(|text| !adapts && !fits.contains(&i64::from(text.value)))
            {
                self.disagree(FactKind::Layer, (um(layer), Source::Moves), (um(text.value), text.source));
            }
            self.layer_um = Some(moves(layer));
        }
        if let Some(first) = survey.first_layer.plane.and_then(|plane| u32::try_from(plane.z_um).ok()) {
            self.first_layer_um = Some(moves(first));
        }
        // A target of 0 says that the file leaves the heat to the machine's start macro: then the text stands.
        let asked = |target: &Celsius| target.0 > 0;
        let far = |a: Celsius, b: Celsius| (i64::from(a.0) - i64::from(b.0)).abs() > TEMPERATURE_TOLERANCE_K;
        let heat = &survey.heat;
        if let Some(nozzle) = heat.nozzle_typical.or(heat.nozzle_highest_feeding).filter(asked) {
            if let Some(text) = self.nozzle_c.filter(|text| far(nozzle, text.value)) {
                self.disagree(
                    FactKind::Nozzle,
                    (nozzle.into(), Source::Moves),
                    (text.value.into(), text.source),
                );
            }
            self.nozzle_c = Some(moves(nozzle));
        }
        if let Some(bed) = heat.bed_highest_laying.or(heat.bed_first_layer).filter(asked) {
            if let Some(text) = self.bed_c.filter(|text| far(bed, text.value)) {
                self.disagree(FactKind::Bed, (bed.into(), Source::Moves), (text.value.into(), text.source));
            }
            self.bed_c = Some(moves(bed));
        }
        self.nozzle_first_c = heat.nozzle_first_layer.filter(asked).map(moves).or(self.nozzle_first_c);
        self.bed_first_c = heat.bed_first_layer.filter(asked).map(moves).or(self.bed_first_c);
    }

    fn compare_texts(&mut self, header: &JobHeader, hints: &JobHeader) {
        let pair = (Source::Header, Source::Comment);
        if let (Some(ours), Some(theirs)) = (&header.material, &hints.material) {
            let grades = (Grade::parse(ours), Grade::parse(theirs));
            if let (Some(a), Some(b)) = grades
                && (a.base, a.filler) != (b.base, b.filler)
            {
                self.disagree(FactKind::Material, (Value::name(ours), pair.0), (Value::name(theirs), pair.1));
            }
        }
        let um = |value: u32| Value::Length(Micrometres(i64::from(value)));
        let numbers = [
            (FactKind::Diameter, header.diameter_um, hints.diameter_um, 0),
            (FactKind::Bore, header.bore_um, hints.bore_um, 0),
            (FactKind::Layer, header.layer_um, hints.layer_um, LAYER_TOLERANCE_UM),
        ];
        for (fact, ours, theirs, tolerance) in numbers {
            if let (Some(ours), Some(theirs)) = (ours, theirs)
                && (i64::from(ours) - i64::from(theirs)).abs() > tolerance
            {
                self.disagree(fact, (um(ours), pair.0), (um(theirs), pair.1));
            }
        }
        let heats =
            [(FactKind::Nozzle, header.nozzle_c, hints.nozzle_c), (FactKind::Bed, header.bed_c, hints.bed_c)];
        for (fact, ours, theirs) in heats {
            if let (Some(ours), Some(theirs)) = (ours, theirs)
                && (i64::from(ours.0) - i64::from(theirs.0)).abs() > TEMPERATURE_TOLERANCE_K
            {
                self.disagree(fact, (ours.into(), pair.0), (theirs.into(), pair.1));
            }
        }
        if let (Some(ours), Some(theirs)) = (header.length, hints.length)
            && lengths_differ(ours, theirs)
        {
            self.disagree(FactKind::Length, (ours.into(), pair.0), (theirs.into(), pair.1));
        }
        if let (Some(ours), Some(theirs)) = (header.time, hints.time)
            && differs(ours.0.into(), theirs.0.into(), TIME_TOLERANCE_PERCENT)
        {
            self.disagree(FactKind::Time, (ours.into(), pair.0), (theirs.into(), pair.1));
        }
    }
}

fn moves<T>(value: T) -> Stated<T> {
    Stated { value, source: Source::Moves }
}

/// Whether two lengths of filament differ by more than rounding and tolerance.
fn lengths_differ(used: Micrometres, other: Micrometres) -> bool {
    used.saturating_sub(other).0.saturating_abs() > LENGTH_ROUNDING.0
        && differs(used.0, other.0, LENGTH_TOLERANCE_PERCENT)
}

/// Whether two amounts differ by more than so many percent of the first.
pub(crate) fn differs(used: i64, other: i64, percent: u64) -> bool {
    times(used.abs_diff(other).into(), 100) > times(used.unsigned_abs().into(), percent)
}

#[cfg(test)]
#[path = "facts_tests.rs"]
mod tests;
