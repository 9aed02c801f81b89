//! The findings of one job, worst first, and the verdict that they make.

use core::cmp::Ordering;

use heapless::Vec;

use super::finding::{Finding, Level, Signal, Value, Verdict};
use super::settled::CheckSet;
use crate::limits::FINDINGS;

/// The catalogue's number of the last finding when there was no room for all: its value says how many more.
pub const LEFT_OUT: u8 = 90;

/// What the checks of one job came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Findings {
    list: Vec<Finding, FINDINGS>,
    settled: CheckSet,
    never_silenced: CheckSet,
    left_out: u16,
    left_out_level: Option<Level>,
    unread: bool,
    /// The check whose rule looks at the job.
    check: u8,
}

impl Findings {
    #[cfg(test)]
    pub(crate) fn new(settled: CheckSet, never_silenced: CheckSet) -> Self {
        let mut findings = Self::default();
        findings.begin(settled, never_silenced);
        findings
    }

    /// Empties it, with what was settled before and what never can be.
    pub(crate) fn begin(&mut self, settled: CheckSet, never_silenced: CheckSet) {
        // Every part by name, so that none is forgotten.
        let Self { list, settled: own, never_silenced: never, left_out, left_out_level, unread, check } =
            self;
        list.clear();
        (*own, *never) = (settled, never_silenced);
        (*left_out, *left_out_level, *unread, *check) = (0, None, false, 0);
    }

    /// For the findings of this check.
    pub(crate) fn of(&mut self, check: u8) -> &mut Self {
        self.check = check;
        self
    }

    /// Adds a finding at its place. When the list is full the least one falls out and is counted.
    pub(crate) fn push<const N: usize>(
        &mut self,
        wording: u8,
        level: Level,
        signal: Signal,
        values: [Value; N],
    ) {
        let mut four = [const { Value::None }; 4];
        for (slot, value) in four.iter_mut().zip(values) {
            *slot = value;
        }
        self.insert(Finding { check: self.check, wording, level, signal, values: four });
    }

    fn insert(&mut self, finding: Finding) {
        let place = self.list.iter().position(|held| self.order(&finding, held) == Ordering::Less);
        let place = place.unwrap_or(self.list.len());
        // One place is kept free for the finding that says how many were left out.
        let dropped = if self.list.len() + 1 < FINDINGS {
            None
        } else if place == self.list.len() {
            self.count_left_out(&finding);
            return;
        } else {
            self.list.pop()
        };
        if let Some(dropped) = dropped {
            self.count_left_out(&dropped);
        }
        // There is room: the list was shortened above where it was full.
        let _ = self.list.insert(place, finding);
    }

    fn count_left_out(&mut self, finding: &Finding) {
        self.left_out = self.left_out.saturating_add(1);
        let level = if self.is_settled(finding) { Level::Note } else { finding.level };
        self.left_out_level = self.left_out_level.max(Some(level));
    }

    fn order(&self, a: &Finding, b: &Finding) -> Ordering {
        self.is_settled(a)
            .cmp(&self.is_settled(b))
            .then(explains_no_verdict(b).cmp(&explains_no_verdict(a)))
            .then(b.level.cmp(&a.level))
            .then(b.signal.cmp(&a.signal))
            .then(cost_of_a_miss(b.check).cmp(&cost_of_a_miss(a.check)))
            .then(a.check.cmp(&b.check))
            .then(a.wording.cmp(&b.wording))
    }

    /// Says that an input could not be read: the verdict is NO VERDICT.
    pub(crate) fn mark_unread(&mut self) {
        self.unread = true;
    }

    /// Ends the list: where findings were left out, the last one says how many.
    pub(crate) fn close(&mut self) {
        self.check = 0;
        if let Some(level) = self.left_out_level {
            let mut values = [const { Value::None }; 4];
            if let Some(first) = values.first_mut() {
                *first = Value::Count(self.left_out.into());
            }
            let last = Finding { check: LEFT_OUT, wording: 0, level, signal: Signal::None, values };
            // `insert` kept this place free.
            let _ = self.list.push(last);
        }
    }

    /// All findings, the worst first, settled ones last.
    pub fn iter(&self) -> core::slice::Iter<'_, Finding> {
        self.list.iter()
    }

    /// How many are held.
    #[must_use]
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether nothing was found.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// The finding at a place, worst first.
    #[must_use]
    pub fn get(&self, place: usize) -> Option<&Finding> {
        self.list.get(place)
    }

    /// How many of a level stand, settled ones not counted.
    #[must_use]
    pub fn count(&self, level: Level) -> usize {
        self.list.iter().filter(|finding| finding.level == level && !self.is_settled(finding)).count()
    }

    /// How many found no room.
    #[must_use]
    pub const fn left_out(&self) -> u16 {
        self.left_out
    }

    /// Whether the finding was settled before: shown, but it no longer weighs. A HOLD and the checks that are
    /// never silenced cannot be.
    #[must_use]
    pub fn is_settled(&self, finding: &Finding) -> bool {
        finding.level < Level::Hold
            && self.settled.has(finding.check)
            && !self.never_silenced.has(finding.check)
    }

    /// The verdict: NO VERDICT where an input could not be read, else the worst level that stands.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        if self.unread {
            return Verdict::NoVerdict;
        }
        let worst =
            self.list.iter().filter(|finding| !self.is_settled(finding)).map(|finding| finding.level).max();
        match worst {
            Some(Level::Hold) => Verdict::Hold,
            Some(Level::Look) => Verdict::Look,
            Some(Level::Note) | None => Verdict::Clear,
        }
    }
}

impl<'a> IntoIterator for &'a Findings {
    type Item = &'a Finding;
    type IntoIter = core::slice::Iter<'a, Finding>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

/// Why there is no verdict stands before all else: what the other checks say of such a job is half the truth.
const fn explains_no_verdict(finding: &Finding) -> bool {
    matches!((finding.check, finding.wording), (91 | 12, _) | (11, 1))
}

/// What missing it would cost, for the order within a level (job catalogue, order of misses; a judgement of the
/// room's lead): heat left on, a strike, a torn plate, a jam, a long print lost, flaws. A broken header is why the
/// material is not known: it stands before that.
const fn cost_of_a_miss(check: u8) -> u8 {
    match check {
        1 | 50 => 6,
        21 | 23 | 67 | 69 => 5,
        70 => 4,
        46 | 54 | 64 => 3,
        58 | 76 | 89 => 2,
        _ => 1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn findings() -> Findings {
        Findings::new(CheckSet::NONE, CheckSet::NONE.with(54))
    }

    #[test]
    fn the_worst_level_that_stands_is_the_verdict() {
        let mut all = findings();
        assert_eq!(all.verdict(), Verdict::Clear);
        all.of(37).push(0, Level::Note, Signal::None, []);
        assert_eq!(all.verdict(), Verdict::Clear);
        all.of(59).push(0, Level::Look, Signal::None, []);
        assert_eq!(all.verdict(), Verdict::Look);
        all.of(54).push(0, Level::Hold, Signal::Notice, []);
        assert_eq!(all.verdict(), Verdict::Hold);
        all.mark_unread();
        assert_eq!(all.verdict(), Verdict::NoVerdict);
    }

    #[test]
    fn a_settled_look_no_longer_weighs_but_a_hold_does() {
        let settled = CheckSet::NONE.with(59).with(54).with(58);
        let mut all = Findings::new(settled, CheckSet::NONE.with(54));
        all.of(59).push(0, Level::Look, Signal::None, []);
        assert_eq!(all.verdict(), Verdict::Clear);
        // Never silenced, whatever was settled.
        all.of(54).push(0, Level::Look, Signal::None, []);
        assert_eq!(all.verdict(), Verdict::Look);
        // A HOLD cannot be settled.
        all.of(58).push(0, Level::Hold, Signal::None, []);
        assert_eq!(all.verdict(), Verdict::Hold);
        let order: std::vec::Vec<u8> = all.iter().map(|finding| finding.check).collect();
        assert_eq!(order, [58, 54, 59]);
    }

    #[test]
    fn the_order_is_level_then_signal_then_cost_then_number() {
        let mut all = findings();
        all.of(59).push(0, Level::Look, Signal::None, []);
        all.of(57).push(0, Level::Hold, Signal::None, []);
        all.of(54).push(0, Level::Hold, Signal::None, []);
        all.of(47).push(0, Level::Hold, Signal::Warning, []);
        all.of(33).push(0, Level::Hold, Signal::None, []);
        let order: std::vec::Vec<u8> = all.iter().map(|finding| finding.check).collect();
        assert_eq!(order, [47, 54, 33, 57, 59]);
    }

    #[test]
    fn the_reason_of_no_verdict_and_a_broken_header_stand_first() {
        let mut all = findings();
        all.of(55).push(0, Level::Look, Signal::None, []);
        all.of(89).push(0, Level::Look, Signal::None, []);
        all.of(82).push(0, Level::Hold, Signal::Warning, []);
        all.of(91).push(0, Level::Hold, Signal::Notice, []);
        let order: std::vec::Vec<u8> = all.iter().map(|finding| finding.check).collect();
        assert_eq!(order, [91, 82, 89, 55]);
    }

    #[test]
    fn a_full_list_keeps_the_worst_and_says_how_many_were_left_out() {
        let mut all = findings();
        for _ in 0..30 {
            all.of(37).push(0, Level::Note, Signal::None, []);
        }
        all.of(59).push(0, Level::Look, Signal::None, []);
        all.of(54).push(0, Level::Hold, Signal::None, []);
        all.close();
        assert_eq!(all.len(), FINDINGS);
        assert_eq!(all.get(0).unwrap().check, 54);
        assert_eq!(all.get(1).unwrap().check, 59);
        let last = all.get(FINDINGS - 1).unwrap();
        assert_eq!(last.check, LEFT_OUT);
        // 32 were pushed, 23 stay beside the last one.
        assert_eq!(last.values[0], Value::Count(9));
        assert_eq!(all.left_out(), 9);
    }

    #[test]
    fn what_was_left_out_still_weighs() {
        let mut all = findings();
        for _ in 0..FINDINGS {
            all.of(54).push(0, Level::Hold, Signal::None, []);
        }
        all.of(59).push(0, Level::Look, Signal::None, []);
        all.close();
        assert_eq!(all.get(FINDINGS - 1).unwrap().level, Level::Hold);
        assert_eq!(all.verdict(), Verdict::Hold);
    }

    #[test]
    fn exactly_as_many_as_fit_leave_none_out() {
        let mut all = findings();
        for _ in 0..FINDINGS - 1 {
            all.of(37).push(0, Level::Note, Signal::None, []);
        }
        all.close();
        assert_eq!(all.len(), FINDINGS - 1);
        assert_eq!(all.left_out(), 0);
    }
}
