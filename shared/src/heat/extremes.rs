//! Least and greatest readings of the probes in each stage of a run.

use serde::{Deserialize, Serialize};

use super::thermistor::ProbeReading;
use super::touch::MilliCelsius;
use super::watch::Alarm;

/// Where a probe sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Probe {
    /// At the plate's edge.
    Plate,
    /// At the hot end's block.
    Nozzle,
    /// In the air of room or housing.
    Air,
}

/// How many probes there are.
pub(crate) const PROBES: usize = 3;

/// Least and greatest reading, tenths of a degree Celsius.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Span {
    pub(crate) least_dc: i16,
    pub(crate) most_dc: i16,
}

/// What the probes read since a stage was entered.
#[derive(Clone, Debug, Default)]
pub(crate) struct Extremes {
    /// By probe; `None` = none is fitted, or none of its readings was believed.
    pub(crate) stage: [Option<Span>; PROBES],
    /// What was read since the models' last step, which says whether it is believed.
    unproved: [Option<Span>; PROBES],
}

impl Extremes {
    /// A reading came in.
    pub(crate) fn read(&mut self, probe: Probe, reading: ProbeReading) {
        if let (Some(unproved), ProbeReading::At(now)) = (self.unproved.get_mut(probe as usize), reading) {
            *unproved = wider(*unproved, span(now));
        }
    }

    /// The models went on, and this is what is wrong with a probe, if anything is.
    pub(crate) fn prove(&mut self, probe: Probe, wrong: Option<Alarm>) {
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
