//! The card's jobs, before the release: the page of the list, the chosen job's vetting, the file that is to be started.

use crate::media::{JobFiles, MediaError};
use crate::phase;

use super::device::{App, Opens};
use super::first_verdict::FirstVerdict;
use super::notice::Notice;
use super::plan;
use super::setup::Now;
use super::vetting::Depth;

impl App {
    /// Goes on with the listing, then with the first verdicts of the page.
    pub(super) fn step_listing<F: JobFiles>(&mut self, now: Now, card: &mut F) -> nb::Result<(), MediaError> {
        if self.jobs.begin_listing {
            self.jobs.begin_listing = false;
            self.jobs.begin(card);
            return Err(nb::Error::WouldBlock);
        }
        if self.jobs.poll(card)? {
            self.jobs.first_verdicts.clear();
            self.vetting.stop();
            let jobs = self.jobs.page().census.jobs;
            self.tell(now, phase::Event::Listed { jobs });
            return Err(nb::Error::WouldBlock);
        }
        let Some(entry) = self.jobs.page().entries.get(self.jobs.first_verdicts.len()) else { return Ok(()) };
        if self.vetting.is_idle() {
            self.vetting.start(entry, Depth::Ends);
        }
        self.vetting.poll(card, &self.setup, now)?;
        // There is room: the page holds as many entries as `first` has places.
        let _ = self.jobs.first_verdicts.push(FirstVerdict::of(&self.vetting));
        self.vetting.stop();
        Err(nb::Error::WouldBlock)
    }

    /// Goes on with the chosen job's vetting.
    pub(super) fn step_chosen<F: JobFiles>(&mut self, now: Now, card: &mut F) -> nb::Result<(), MediaError> {
        if self.vetting.is_idle() {
            // Pressed before the page with the job had come.
            if self.jobs.poll(card)? {
                self.jobs.first_verdicts.clear();
            }
            let Some(entry) = self.jobs.wanted() else { return Ok(()) };
            self.vetting.start(entry, Depth::Whole);
            return Err(nb::Error::WouldBlock);
        }
        if self.vetting.is_done() {
            if core::mem::take(&mut self.chosen.judge_again) {
                self.vetting.judge(&self.setup, now);
                self.told_points(now);
                self.offer(now);
            }
            return Ok(());
        }
        let outcome = self.vetting.poll(card, &self.setup, now);
        self.told_points(now);
        let opens = match (self.vetting.is_done(), self.vetting.report().first) {
            (true, _) => Opens::Release,
            (false, Some(_)) => Opens::WalkRound,
            (false, None) => Opens::Nothing,
        };
        if opens != self.chosen.offered {
            self.chosen.offered = opens;
            self.chosen.judge_again = false;
            self.offer(now);
        }
        outcome
    }

    fn told_points(&mut self, now: Now) {
        let points = self.vetting.report().shown();
        self.tell(now, phase::Event::Vetted { points });
    }

    /// The phases are offered what the vetting has come to.
    pub(super) fn offer(&mut self, now: Now) {
        let known = (self.memory.learned(), self.memory.owners.as_slice());
        let offer = plan::offer(&self.vetting, &self.setup, known, now);
        let action = self.phase.offer(now.instant, &offer);
        self.take(now, action);
    }

    /// Reads the vetted file once more and compares it, byte for byte, by its sum.
    pub(super) fn compare_file<F: JobFiles>(&mut self, now: Now, card: &mut F) -> nb::Result<(), MediaError> {
        if self.vetting.is_idle() {
            // Released before a power cut: what was vetted is not here any more, and nobody is accused.
            self.chosen.compares_file = false;
            return Ok(());
        }
        self.vetting.poll(card, &self.setup, now)?;
        self.chosen.compares_file = false;
        let same =
            self.vetting.survey().is_some_and(|survey| survey.reading.body_crc32 == self.phase.body_crc());
        if !same {
            self.notices.top = Some(Notice::CardChanged);
            // For the row of the refusal.
            self.setup.known.changed_since_verdict = true;
            self.vetting.judge(&self.setup, now);
        }
        self.tell(now, phase::Event::Seal(if same { phase::Seal::Same } else { phase::Seal::Changed }));
        Ok(())
    }
}
