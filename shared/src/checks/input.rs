//! What a check may look at.

use super::facts::JobFacts;
use super::finding::Value;
use super::settled::CheckSet;
use crate::header::{HeaderError, JobHeader};
use crate::limits::WORD_NAME_BYTES;
use crate::records::{Grade, Machine, Room, Spool, UnknownKey};
use crate::survey::{NameTally, Survey, WordClass};
use crate::time::WallClock;
use crate::units::{Celsius, Milligrams};

/// What is known of the file without its content.
#[derive(Clone, Copy, Debug, Default)]
pub struct FileFacts<'a> {
    /// Long name.
    pub name: &'a str,
    /// The name in 8.3 form as many machines show it; empty where there is none.
    pub short_name: &'a str,
    /// Bytes of the file as its entry says.
    pub size_bytes: u64,
    /// Bytes that could be read before its chain on the card broke off; `None` = it did not.
    pub chain_bytes: Option<u64>,
    /// When it was saved.
    pub saved: Option<WallClock>,
    /// A newer file of the same stem in the same folder.
    pub newer: Option<&'a str>,
    /// Another file that a machine would show under the same name.
    pub twin: Option<&'a str>,
    /// Whether it changed since its verdict (its CRC differs).
    pub changed_since_verdict: bool,
    /// Whether two passes over it gave different bytes.
    pub reads_differ: bool,
}

/// What is known of the card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct CardFacts {
    /// Whether the volume says that it was not cleanly taken out.
    pub dirty: bool,
    /// Save time of the newest job.
    pub newest: Option<WallClock>,
    /// Whether a card was pulled out while it was read, before this reading.
    pub pulled_early: bool,
}

/// What lies on the plate, as somebody answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum PlateAnswer {
    /// Nothing, bare.
    Bare,
    /// A part or scrap.
    Occupied,
    /// There is no plate.
    Missing,
}

/// Answers of the walk-round: evidence "told". `None` = not asked yet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Answers {
    /// What the sticker on the spool says, asked blind.
    pub sticker: Option<Grade>,
    /// Whether 20 cm of filament pull off freely.
    pub spool_free: Option<bool>,
    /// What lies on the plate.
    pub plate: Option<PlateAnswer>,
    /// Whether the last job's purge scrap is gone.
    pub purge_gone: Option<bool>,
    /// Whether the plate sits on both pins, flat.
    pub pins: Option<bool>,
    /// Whether release film (glue) is on the plate.
    pub release_film: Option<bool>,
    /// Whether the ventilation runs.
    pub vent_on: Option<bool>,
    /// Whether the housing's door is shut.
    pub door_shut: Option<bool>,
    /// Whether the machine shows the name and length of the vetted job.
    pub same_job: Option<bool>,
}

/// A probe's reading.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum ProbeValue {
    /// No probe is fitted.
    #[default]
    None,
    /// Open, shorted, jumping or far from the air: not believed.
    Doubtful,
    /// A temperature.
    Celsius(Celsius),
}

/// What the probes read: evidence "measured".
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Probes {
    /// Edge of the plate.
    pub plate: ProbeValue,
    /// Air in the housing.
    pub air: ProbeValue,
}

/// What the ledger remembers of this machine and its owner.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct History {
    /// Grade of the last job in this nozzle.
    pub last_grade: Option<Grade>,
    /// Whether the last run was never closed out.
    pub last_run_open: bool,
    /// Starts since the plate was washed.
    pub starts_since_wash: Option<u32>,
    /// Days since the plate was washed.
    pub days_since_wash: Option<u32>,
    /// Whether the last result was "came off plate".
    pub last_came_off: bool,
    /// Hours of the nozzle, an hour of abrasive filament counted ten times.
    pub nozzle_hours: Option<u32>,
    /// Whether the lead has put the machine on hold.
    pub machine_held: bool,
    /// Failures in a row for the same reason on this machine.
    pub same_failures: u8,
    /// Filament used since the spool was weighed.
    pub used_since_weighing: Option<Milligrams>,
    /// The latest time that is certainly past: the last event that was logged, or the day of this version.
    pub no_earlier_than: Option<WallClock>,
}

/// Everything a check may look at. What is `None` or at its default was not read, asked or measured (yet), and
/// a check that needs it stays silent or says so; it never guesses.
#[derive(Clone, Copy, Debug)]
pub struct CheckInput<'a> {
    /// The merged facts.
    pub facts: &'a JobFacts,
    /// The header as read.
    pub header: Option<&'a JobHeader>,
    /// What is wrong with it.
    pub header_error: Option<&'a HeaderError>,
    /// What the moves say, once all were read.
    pub survey: Option<&'a Survey>,
    /// The file.
    pub file: FileFacts<'a>,
    /// The card.
    pub card: CardFacts,
    /// The machine sheet.
    pub machine: &'a Machine,
    /// The spool ticket.
    pub spool: Option<&'a Spool>,
    /// The room rules.
    pub room: &'a Room,
    /// The room's clock; `None` = not set.
    pub now: Option<WallClock>,
    /// Whether the job file could not be read.
    pub unread: bool,
    /// Which of the records were refused, in the order of [`RecordName::ALL`](crate::records::RecordName::ALL).
    pub refused: [bool; 3],
    /// Keys of each record that are not known.
    pub unknown_keys: [Option<&'a UnknownKey>; 3],
    /// A mistyped key of the job header.
    pub mistyped: Option<&'a UnknownKey>,
    /// Answers.
    pub answers: Answers,
    /// Readings.
    pub probes: Probes,
    /// What the ledger remembers.
    pub history: History,
    /// What was settled for this spool or machine.
    pub settled: CheckSet,
}

/// A file may bear a time this much ahead of the clock before the clock is doubted (job catalogue, row 85).
const AHEAD_HOURS: i64 = 24;

impl<'a> CheckInput<'a> {
    /// With nothing read but the facts and the three records.
    #[must_use]
    pub fn new(facts: &'a JobFacts, machine: &'a Machine, spool: Option<&'a Spool>, room: &'a Room) -> Self {
        Self {
            facts,
            header: None,
            header_error: None,
            survey: None,
            file: FileFacts::default(),
            card: CardFacts::default(),
            machine,
            spool,
            room,
            now: None,
            unread: false,
            refused: [false; 3],
            unknown_keys: [None; 3],
            mistyped: None,
            answers: Answers::default(),
            probes: Probes::default(),
            history: History::default(),
            settled: CheckSet::NONE,
        }
    }

    /// The clock, where it may be believed: set, not before what is certainly past, and no job of the card more than a day
    /// ahead of it. One that lost its power counts as not set.
    #[must_use]
    pub fn clock(&self) -> Option<WallClock> {
        let now = self.now?;
        let past = self.history.no_earlier_than.is_some_and(|past| now < past);
        let newest = self.card.newest.max(self.file.saved);
        let ahead = newest.is_some_and(|newest| (newest - now).num_seconds() > AHEAD_HOURS * 3600);
        (!past && !ahead).then_some(now)
    }

    /// The spool's grade: what somebody read off the sticker wins over the ticket.
    #[must_use]
    pub fn spool_grade(&self) -> Option<Grade> {
        self.answers.sticker.or_else(|| self.spool.and_then(|spool| self.room.grade(&spool.material)))
    }

    /// The grade the job will be judged by: the job's own, else the spool's.
    #[must_use]
    pub fn grade(&self) -> Option<Grade> {
        self.facts.grade.or_else(|| self.spool_grade())
    }

    /// The nozzle bore that the job is made for, else the one that is fitted, µm.
    #[must_use]
    pub fn bore_um(&self) -> u32 {
        self.facts.bore_um.map_or(self.machine.bore_um, |stated| stated.value)
    }
}

impl CheckInput<'_> {
    /// The job's material: its mark where it is known, else the words as written.
    pub(crate) fn job_material(&self) -> Value {
        match (self.facts.grade, &self.facts.material) {
            (Some(grade), _) => Value::text(&grade.mark()),
            (None, Some(stated)) => Value::name(&stated.value),
            (None, None) => Value::None,
        }
    }

    /// The spool's material: the mark of what the sticker says, else of the ticket's words, else those words.
    pub(crate) fn spool_material(&self) -> Value {
        match (self.spool_grade(), self.spool) {
            (Some(grade), _) => Value::text(&grade.mark()),
            (None, Some(spool)) => Value::name(&spool.material),
            (None, None) => Value::None,
        }
    }
}

/// Whether a word of the file is a word of the sheet: in any case, and as far as the survey keeps names.
pub(crate) fn same_word(name: &str, word: &str) -> bool {
    let kept = word.get(..WORD_NAME_BYTES).unwrap_or(word);
    name.eq_ignore_ascii_case(kept)
}

/// Words whose presence the survey counts apart instead of by name.
const HOME_WORD: &str = "G28";
const PROBE_WORD: &str = "G29";

impl CheckInput<'_> {
    /// Whether a word of the sheet's start macros stands in the file: the machine then heats or homes by itself.
    pub(crate) fn starts_by_macro(&self) -> bool {
        let Some(survey) = self.survey else { return false };
        let homes = self.lists(HOME_WORD) && survey.motion.homes.any();
        homes || self.homes_by_macro()
    }

    /// Whether such a word, other than the home word itself, stands in the file.
    pub(crate) fn homes_by_macro(&self) -> bool {
        let probes = self.survey.is_some_and(|survey| survey.motion.probes.any());
        self.named_macro(0) || (self.lists(PROBE_WORD) && probes)
    }

    /// Whether such a word stands after the last bead: the machine then ends the job by itself.
    pub(crate) fn ends_by_macro(&self) -> bool {
        self.survey.is_some_and(|survey| self.named_macro(survey.tail.last_bead_line.saturating_add(1)))
    }

    /// The first word of a class that the sheet does not list, and how many different ones there are.
    pub(crate) fn unlisted(&self, class: WordClass) -> Option<(&NameTally, u32)> {
        let names = &self.survey?.reading.unknown_names;
        let mut unlisted = names.iter().filter(|name| {
            name.class == class && !self.machine.start_words.iter().any(|word| same_word(&name.name, word))
        });
        let first = unlisted.next()?;
        Some((first, u32::try_from(unlisted.count()).unwrap_or(u32::MAX).saturating_add(1)))
    }

    fn lists(&self, word: &str) -> bool {
        self.machine.start_words.iter().any(|listed| listed.eq_ignore_ascii_case(word))
    }

    /// Whether a word that the survey does not know, but the sheet lists, stands on this line or later for the
    /// first time.
    fn named_macro(&self, line: u32) -> bool {
        let Some(survey) = self.survey else { return false };
        let listed =
            |name: &NameTally| self.machine.start_words.iter().any(|word| same_word(&name.name, word));
        survey.reading.unknown_names.iter().any(|name| name.met.first_line >= line && listed(name))
    }
}
