//! A sound job on a fitting machine, for the tests of the checks: each test spoils one thing.

use std::vec::Vec;

use super::check::Check;
use super::facts::JobFacts;
use super::finding::{Finding, Level, Value};
use super::findings::Findings;
use super::input::CheckInput;
use crate::header::{JobHeader, Source, Stated};
use crate::records::{Grade, Machine, Room, Spool};
use crate::survey::Survey;
use crate::time::WallClock;
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};
use crate::words::checks::{ValueKind, kinds};

pub(crate) const NOTE: Level = Level::Note;
pub(crate) const LOOK: Level = Level::Look;
pub(crate) const HOLD: Level = Level::Hold;

pub(crate) struct Bench {
    pub(crate) facts: JobFacts,
    pub(crate) header: JobHeader,
    pub(crate) machine: Machine,
    pub(crate) spool: Option<Spool>,
    pub(crate) room: Room,
    pub(crate) survey: Option<Survey>,
}

pub(crate) fn stated<T>(value: T) -> Option<Stated<T>> {
    Some(Stated { value, source: Source::Header })
}

pub(crate) fn grade(words: &str) -> Grade {
    Grade::parse(words).unwrap_or_else(|| panic!("{words} is a material"))
}

/// Wednesday, 25 November 2026, at an hour and minute.
pub(crate) fn wednesday(hour: u32, minute: u32) -> WallClock {
    chrono::NaiveDate::from_ymd_opt(2026, 11, 25).unwrap().and_hms_opt(hour, minute, 0).unwrap()
}

impl Bench {
    /// A PLA job of 62 g and 2 h 40 min with 800 g of PLA on the spool.
    pub(crate) fn new() -> Self {
        let header = JobHeader {
            material: Some("PLA".try_into().unwrap()),
            diameter_um: Some(1750),
            bore_um: Some(400),
            nozzle_c: Some(Celsius(205)),
            bed_c: Some(Celsius(60)),
            length: Some(Micrometres::from_mm(20_788)),
            time: Some(Seconds(9600)),
            layer_um: Some(200),
            first_layer_um: Some(200),
            ..JobHeader::default()
        };
        let spool = Spool {
            id: "S17".try_into().unwrap(),
            material: "PLA".try_into().unwrap(),
            diameter_um: Some(1750),
            density_mg_cm3: Some(1240),
            left: Some(Milligrams(800_000)),
            ..Spool::default()
        };
        let machine = Machine {
            tag: "M2".try_into().unwrap(),
            bed_um: [220_000, 220_000],
            height_um: 250_000,
            nozzle_max_c: Celsius(300),
            bed_max_c: Celsius(110),
            filament_um: 1750,
            bore_um: 400,
            lined_throat: false,
            ..Machine::default()
        };
        Self {
            facts: JobFacts::merge(Some(&header), None, None),
            header,
            machine,
            spool: Some(spool),
            room: Room::default(),
            survey: None,
        }
    }

    /// The job's facts made anew from its header.
    pub(crate) fn with_header(change: impl FnOnce(&mut JobHeader)) -> Self {
        let mut bench = Self::new();
        change(&mut bench.header);
        bench.facts = JobFacts::merge(Some(&bench.header), None, None);
        bench
    }

    /// A sound job of 100 layers, its moves read, with one thing changed.
    pub(crate) fn surveyed(change: impl FnOnce(&mut Survey)) -> Self {
        let mut survey = Survey::default();
        survey.reading.bytes = 1_000_000;
        survey.reading.lines = 40_000;
        survey.reading.moves = 38_000;
        survey.reading.body_bytes = 1_000_000;
        survey.layers.passes = 100;
        survey.layers.count = 100;
        let tail = &mut survey.tail;
        (tail.last_line_ended, tail.last_line_readable, tail.last_bead_line) = (true, true, 39_000);
        (tail.heat_off, tail.motors_off, tail.parked) = (true, true, true);
        change(&mut survey);
        let mut bench = Self::new();
        bench.facts = JobFacts::merge(Some(&bench.header), None, Some(&survey));
        bench.survey = Some(survey);
        bench
    }

    /// The job's material.
    pub(crate) fn job(material: &str) -> Self {
        Self::with_header(|header| header.material = Some(material.try_into().unwrap()))
    }

    /// The spool's material.
    pub(crate) fn spool(mut self, material: &str) -> Self {
        self.ticket().material = material.try_into().unwrap();
        self
    }

    pub(crate) fn ticket(&mut self) -> &mut Spool {
        self.spool.as_mut().unwrap()
    }

    pub(crate) fn input(&self) -> CheckInput<'_> {
        let mut input = CheckInput::new(&self.facts, &self.machine, self.spool.as_ref(), &self.room);
        input.survey = self.survey.as_ref();
        input.header = Some(&self.header);
        input
    }

    /// What one check finds.
    pub(crate) fn run(&self, check: &Check) -> Vec<Finding> {
        run(check, &self.input())
    }

    /// The levels and wordings that one check finds.
    pub(crate) fn levels(&self, check: &Check) -> Vec<(Level, u8)> {
        levels(check, &self.input())
    }
}

pub(crate) fn run(check: &Check, input: &CheckInput<'_>) -> Vec<Finding> {
    let mut findings = Findings::default();
    (check.run)(input, findings.of(check.number));
    let found: Vec<Finding> = findings.iter().cloned().collect();
    for finding in &found {
        assert_eq!(finding.check, check.number, "a check speaks under its own number");
        assert!(check.levels.contains(&finding.level), "{} gives a level its row does not list", check.id);
        let kinds = kinds(finding.check, finding.wording).unwrap_or_else(|| panic!("{} has words", check.id));
        for (place, value) in finding.values.iter().enumerate() {
            // A value may be unknown where the wording has a place for it, never the other way round.
            let fits = kinds
                .get(place)
                .map_or(*value == Value::None, |kind| *value == Value::None || is(*kind, value));
            assert!(fits, "{}.{}: value {place} is {value:?}", finding.check, finding.wording);
        }
    }
    found
}

fn is(kind: ValueKind, value: &Value) -> bool {
    matches!(
        (kind, value),
        (ValueKind::Mark | ValueKind::Name, Value::Text(_))
            | (ValueKind::Celsius, Value::Temperature(_))
            | (ValueKind::Length, Value::Length(_))
            | (ValueKind::Mass, Value::Mass(_))
            | (ValueKind::Span, Value::Span(_))
            | (ValueKind::Clock, Value::Clock(_))
            | (ValueKind::Percent, Value::Percent(_))
            | (ValueKind::Count, Value::Count(_))
            | (ValueKind::Speed, Value::Speed(_))
            | (ValueKind::Flow, Value::Flow(_))
    )
}

pub(crate) fn levels(check: &Check, input: &CheckInput<'_>) -> Vec<(Level, u8)> {
    run(check, input).iter().map(|finding| (finding.level, finding.wording)).collect()
}
