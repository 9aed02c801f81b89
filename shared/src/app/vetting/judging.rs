//! What was read of a job, with records, answers and readings, through the checks.

use crate::checks::{Answers, CheckInput, FileFacts, check_into, outlook};
use crate::header::HeaderOutcome;

use super::{Vetting, VettingStage};
use crate::app::setup::{Now, Setup};

impl Vetting {
    /// Checks what is known.
    pub(in crate::app) fn judge(&mut self, setup: &Setup, now: Now) {
        let recalled = self.is_recalled();
        let survey = (self.stage == VettingStage::Done { surveyed: true }).then(|| self.surveyor.so_far());
        let report = &mut self.report;
        report.unseen = None;
        let (header, header_error) = match &report.header {
            HeaderOutcome::Read { header, .. } => (Some(header), None),
            HeaderOutcome::Broken(error) => (None, Some(error)),
            HeaderOutcome::Absent => (None, None),
        };
        report.facts.renew(header, Some(&report.hints), survey);
        report.facts.name_by(&setup.room);
        let mut input = CheckInput::new(&report.facts, &setup.machine, setup.spool.as_ref(), &setup.room);
        input.header = header;
        input.header_error = header_error;
        input.survey = survey;
        input.file = FileFacts {
            name: &self.entry.name,
            short_name: &self.entry.short_name,
            size_bytes: self.entry.size_bytes,
            saved: self.entry.saved,
            reads_differ: survey.is_some() && !recalled && self.reread.differs(),
            ..FileFacts::default()
        };
        input.now = now.wall;
        (input.answers, input.history, input.probes) =
            (setup.known.answers, setup.known.history, setup.known.probes);
        input.settled = setup.settled.checks(&setup.machine.tag, setup.spool_id());
        input.unread = report.fault.is_some();
        input.file.chain_bytes = report.chain_bytes;
        input.file.changed_since_verdict = setup.known.changed_since_verdict;
        input.card.pulled_early = setup.known.pulled_early;
        input.refused = setup.refused;
        input.unknown_keys = setup.unknown_keys.each_ref().map(Option::as_ref);
        input.mistyped = match &report.header {
            HeaderOutcome::Read { mistyped, .. } => mistyped.as_ref(),
            HeaderOutcome::Absent | HeaderOutcome::Broken(_) => None,
        };
        if let (Some(now), Some(washed)) = (now.wall, setup.known.washed_on) {
            let days = now.date().signed_duration_since(washed).num_days();
            input.history.days_since_wash = u32::try_from(days).ok();
        }
        if report.first.is_none() {
            check_into(&input, &mut report.findings);
            report.first = Some(report.findings.verdict());
        }
        // Then what the card's other files say.
        (input.file.newer, input.file.twin) = (report.newer.as_deref(), report.twin.as_deref());
        if let Some(census) = self.census {
            (input.card.dirty, input.card.newest) = (census.dirty, census.newest);
        }
        // Another spool takes another job or a lead; a HOLD of what else was seen ends with the next answer.
        let seen = input.answers;
        input.answers = Answers { sticker: seen.sticker, ..Answers::default() };
        if seen != input.answers {
            check_into(&input, &mut report.findings);
            report.unseen = Some(report.findings.verdict());
            input.answers = seen;
        }
        check_into(&input, &mut report.findings);
        report.outlook = outlook(&input);
        report.verdict = report.findings.verdict();
    }
}
