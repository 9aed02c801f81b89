//! Least and greatest readings of the probes in each stage of a run, for the day book's events.
//!
//! The card is in the printer while most of it happens: what a stage came to is kept, through a power cut too, until a
//! card takes it.

use embedded_storage::nor_flash::NorFlash;
use heapless::Vec;
use serde::{Deserialize, Serialize};

use crate::daybook::{What, wall};
use crate::heat::{Alarm, MilliCelsius, ProbeReading};
use crate::ledger::Ledger;
use crate::media::JobFiles;
use crate::phase::Stage;
use crate::time::WallClock;

use super::Now;
use super::device::App;
use super::warmth::Probe;

/// The probes, in the order of [`Extremes`], with their words in an event.
const PROBES: [&str; 3] = ["plate", "nozzle", "air"];

/// Stages that wait for a card: those of a run, and a warm-up and a first layer that had to be run again. When more
/// wait, the oldest is lost.
const WAITING: usize = 7;

/// Least and greatest reading, tenths of a degree Celsius.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Span {
    least_dc: i16,
    most_dc: i16,
}

/// A stage that was left.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Left {
    /// Number of the run, as in its row.
    run: u32,
    stage: Stage,
    /// When.
    #[serde(with = "wall")]
    at: Option<WallClock>,
    /// What is still to be written, by probe.
    spans: [Option<Span>; PROBES.len()],
}

/// The stages that wait for a card, the oldest first.
pub(super) type Waiting = Vec<Left, WAITING>;

/// What the probes read since a stage was entered.
#[derive(Clone, Debug, Default)]
pub(super) struct Extremes {
    /// By probe; `None` = none is fitted, or none of its readings was believed.
    stage: [Option<Span>; PROBES.len()],
    /// What was read since the models' last step, which says whether it is believed.
    unproved: [Option<Span>; PROBES.len()],
}

impl Extremes {
    /// A reading came in.
    pub(super) fn read(&mut self, probe: Probe, reading: ProbeReading) {
        if let (Some(unproved), ProbeReading::At(now)) = (self.unproved.get_mut(probe as usize), reading) {
            *unproved = wider(*unproved, span(now));
        }
    }

    /// The models went on, and this is what is wrong with a probe, if anything is.
    pub(super) fn prove(&mut self, probe: Probe, wrong: Option<Alarm>) {
        let place = probe as usize;
        if let (Some(stage), Some(unproved)) = (self.stage.get_mut(place), self.unproved.get_mut(place))
            && let Some(read) = unproved.take()
            && !wrong.is_some_and(Alarm::doubts_probe)
        {
            *stage = wider(*stage, read);
        }
    }
}

fn span(now: MilliCelsius) -> Span {
    let tenths = i16::try_from(now.0.saturating_add(50).div_euclid(100)).unwrap_or(i16::MAX);
    Span { least_dc: tenths, most_dc: tenths }
}

fn wider(span: Option<Span>, by: Span) -> Option<Span> {
    let Some(Span { least_dc, most_dc }) = span else { return Some(by) };
    Some(Span { least_dc: least_dc.min(by.least_dc), most_dc: most_dc.max(by.most_dc) })
}

/// The stage's word in an event; `None` = nothing of it is told.
const fn word(stage: Stage) -> Option<&'static str> {
    match stage {
        Stage::Start | Stage::CloseOut => None,
        Stage::WarmUp => Some("WARM"),
        Stage::FirstLayer => Some("WATCH"),
        Stage::Run => Some("RUN"),
        Stage::CoolDown => Some("COOL"),
        Stage::Plate => Some("LIFT"),
    }
}

impl App {
    /// To be called whenever the phases may have gone on: what the probes read in the stage that was left waits for a
    /// card from now on.
    pub(super) fn follow_stage(&mut self, now: Now) {
        let stage = self.phase.phase().stage();
        if stage == self.read_in {
            return;
        }
        let left = core::mem::replace(&mut self.read_in, stage);
        let spans = core::mem::take(&mut self.warmth.extremes.stage);
        let Some(stage) = left.filter(|stage| word(*stage).is_some()) else { return };
        if spans.iter().all(Option::is_none) {
            return;
        }
        if self.stages_left.is_full() {
            let _ = self.stages_left.remove(0);
        }
        let _ = self.stages_left.push(Left { run: self.memory.run, stage, at: now.wall, spans });
    }

    /// Appends one line of a stage that was left to the card that is in, if it takes it.
    pub(super) fn write_stage<F: JobFiles, S: NorFlash>(
        &mut self,
        now: Now,
        card: &mut Option<&mut F>,
        ledger: &mut Option<&mut Ledger<S>>,
    ) {
        if self.events_refused || card.is_none() {
            return;
        }
        let Some(Left { run, stage, at, spans }) = self.stages_left.first().cloned() else { return };
        let next = spans
            .iter()
            .zip(PROBES)
            .enumerate()
            .find_map(|(place, (span, probe))| Some((place, (*span)?, probe)));
        if let (Some((place, Span { least_dc, most_dc }, probe)), Some(phase)) = (next, word(stage)) {
            let what = What::Probe { phase, probe, least_dc: Some(least_dc), most_dc: Some(most_dc) };
            self.append_event(at, Some(run), card, &what);
            let written = self.stages_left.first_mut().and_then(|left| left.spans.get_mut(place));
            if let Some(written) = written.filter(|_| !self.events_refused) {
                *written = None;
            }
        }
        if self.stages_left.first().is_some_and(|left| left.spans.iter().all(Option::is_none)) {
            let _ = self.stages_left.remove(0);
        }
        if self.stages_left.is_empty() {
            // After a power cut before this the run's lines stand twice, with the same time.
            self.save(now, ledger);
        }
    }
}

/// As many stages as may wait, each with the longest of everything.
#[cfg(test)]
pub(super) fn longest() -> Waiting {
    let at = chrono::NaiveDate::from_ymd_opt(2099, 12, 31).and_then(|day| day.and_hms_opt(23, 59, 59));
    let span = Span { least_dc: i16::MIN, most_dc: i16::MAX };
    let left = Left { run: u32::MAX, stage: Stage::Plate, at, spans: [Some(span); PROBES.len()] };
    core::iter::repeat_n(left, WAITING).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(milli: i32) -> ProbeReading {
        ProbeReading::At(MilliCelsius(milli))
    }

    #[test]
    fn only_what_is_believed_widens_a_span_and_tenths_are_the_nearest() {
        let mut extremes = Extremes::default();
        for reading in [at(21_949), at(22_051), ProbeReading::Open] {
            extremes.read(Probe::Plate, reading);
        }
        extremes.read(Probe::Air, at(-1_260));
        assert_eq!(extremes.stage, [None; 3], "not proved yet");
        extremes.prove(Probe::Plate, Some(Alarm::TooSlow));
        extremes.prove(Probe::Air, None);
        let plate = Some(Span { least_dc: 219, most_dc: 221 });
        assert_eq!(extremes.stage, [plate, None, Some(Span { least_dc: -13, most_dc: -13 })]);
        // It jumps: none of that second counts.
        extremes.read(Probe::Plate, at(99_000));
        extremes.read(Probe::Plate, at(22_000));
        extremes.prove(Probe::Plate, Some(Alarm::ProbeJump));
        extremes.prove(Probe::Plate, None);
        assert_eq!(extremes.stage[0], plate);
    }
}
