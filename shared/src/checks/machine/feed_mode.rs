//! 29: the feed's numbers do not fit the feed mode.

use crate::checks::geometry::bead_area_um2;
use crate::checks::prelude::*;
use crate::units::times;

/// So many feeding lines show a habit (judgement).
const LINES: u32 = 50;
/// Absolute numbers change on at least this share of lines, percent: lines of one length have one relative number
/// (judgement).
const CHANGES_PERCENT: u64 = 10;
/// What a spool supplies is at least this share of what beads lay, percent. With absolute numbers it is all of it; relative
/// ones read as absolute pull back what they laid (judgement).
const NET_PERCENT: u64 = 50;
/// Relative numbers rise on at most this share of lines, percent (they scatter round one half; judgement).
const RISES_PERCENT: u64 = 90;
/// Unless beads grow with them: then at most this share of the path is far from the median bead, thousandths (judgement).
const GROWN_PERMILLE: u16 = 150;
/// Far from the median: below 0.3 or above 1.5 times it, percent.
const GROWN_PERCENT: [u32; 2] = [30, 150];
/// Beads are at most this many times the nominal one.
const FLOOD: u64 = 3;

pub(crate) const CHECK: Check = Check {
    number: 29,
    id: "feed mode mix-up",
    group: Group::Machine,
    levels: &[Level::Look, Level::Hold],
    rule: "absolute feed whose spool supplies less than half of what beads lay, or that stands still on 90 % of the lines; \
           relative feed that rises on more than 90 % while beads grow, or whose median bead is more than 3 times bore x \
           layer: HOLD; meaning hangs on the machine, and the sheet does not say which: LOOK",
    source: "owners' reports of mixed-up modes; numbers: judgement",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

/// Which mode the feed's numbers do not fit.
enum Misfit {
    Absolute,
    Relative,
}

fn misfit(input: &CheckInput<'_>) -> Option<Misfit> {
    let survey = input.survey?;
    let (absolute, relative) = (&survey.motion.absolute_feed, &survey.motion.relative_feed);
    let share = |part: u32, percent: u64, whole: u32| u64::from(part) * 100 > percent * u64::from(whole);
    if absolute.met.count > LINES {
        let changed = absolute.falls.saturating_add(absolute.rises);
        let counted = absolute.met.count.saturating_sub(absolute.after_reset);
        let stands = counted > LINES && u64::from(changed) * 100 < CHANGES_PERCENT * u64::from(counted);
        let supplied = times(survey.filament.needed().0.unsigned_abs().into(), 1000 * 100);
        let pulls_back = supplied < times(survey.filament.laid_nm.into(), NET_PERCENT);
        if stands || pulls_back {
            return Some(Misfit::Absolute);
        }
    }
    if relative.met.count > LINES {
        let compared = relative.falls.saturating_add(relative.rises);
        let rises = compared > LINES && share(relative.rises, RISES_PERCENT, compared);
        if rises && grows(input) || floods(input) {
            return Some(Misfit::Relative);
        }
    }
    None
}

/// Whether the feed's numbers do not fit its mode.
pub(crate) fn mixed_up(input: &CheckInput<'_>) -> bool {
    misfit(input).is_some()
}

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(motion) = input.survey.map(|survey| &survey.motion) else { return };
    let (wording, level, signal, met) = match misfit(input) {
        Some(Misfit::Absolute) => (0, Level::Hold, Signal::Notice, motion.absolute_feed.met),
        Some(Misfit::Relative) => (1, Level::Hold, Signal::Notice, motion.relative_feed.met),
        None if motion.feed_mode_ambiguous.any() => {
            (2, Level::Look, Signal::None, motion.feed_mode_ambiguous)
        }
        None => return,
    };
    findings.push(wording, level, signal, [Value::Count(met.first_line)]);
}

/// Whether much of the path has beads far from the median one: their numbers grow, the way does not.
fn grows(input: &CheckInput<'_>) -> bool {
    let Some(beads) = input.survey.map(|survey| &survey.beads) else { return false };
    let Some(median) = beads.median_ppm() else { return false };
    let [least, most] = GROWN_PERCENT.map(|percent| (u64::from(median) * u64::from(percent) / 100) as u32);
    beads.outside_permille(least, most) > GROWN_PERMILLE
}

/// Whether the median bead is more than so many times bore × layer.
fn floods(input: &CheckInput<'_>) -> bool {
    let Some(median) = input.survey.and_then(|survey| survey.beads.median_ppm()) else { return false };
    let Some(layer) = input.facts.layer_um.map(|stated| u64::from(stated.value)) else { return false };
    bead_area_um2(median, input.machine.filament_um)
        > (FLOOD * layer).saturating_mul(input.machine.bore_um.into())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, LOOK};
    use crate::survey::{Beads, FeedMode, Tally};

    fn mode(count: u32, falls: u32, rises: u32) -> FeedMode {
        FeedMode { met: Tally { count, first_line: 30 }, falls, rises, after_reset: 0 }
    }

    #[test]
    fn absolute_feed_that_pulls_back_what_it_lays() {
        let with = |count, supplied_mm: i64| {
            Bench::surveyed(|survey| {
                survey.motion.absolute_feed = mode(count, 40, 60);
                survey.filament.tools[0].highest_net_nm = supplied_mm * 1_000_000;
                survey.filament.laid_nm = 1_000_000_000;
            })
            .levels(&CHECK)
        };
        assert!(with(100, 500).is_empty());
        assert_eq!(with(100, 499), [(HOLD, 0)]);
        assert!(with(50, 0).is_empty());
        // Wipes fall as often as they like.
        assert!(with(100, 1_000).is_empty());
    }

    #[test]
    fn absolute_feed_that_stands_still() {
        let with = |mode| Bench::surveyed(|survey| survey.motion.absolute_feed = mode).levels(&CHECK);
        assert!(with(mode(100, 0, 10)).is_empty());
        assert_eq!(with(mode(100, 0, 9)), [(HOLD, 0)]);
        // A count set anew on each line does not stand.
        assert!(with(FeedMode { after_reset: 50, ..mode(100, 0, 9) }).is_empty());
    }

    #[test]
    fn relative_feed_that_rises_while_beads_grow() {
        let with = |mode, grown| {
            Bench::surveyed(|survey| {
                survey.motion.relative_feed = mode;
                survey.beads.path_nm[Beads::band(20_000)] = 1_000_000 - grown;
                survey.beads.path_nm[Beads::band(40_000)] = grown;
            })
            .levels(&CHECK)
        };
        assert!(with(mode(100, 10, 90), 400_000).is_empty());
        assert_eq!(with(mode(100, 9, 91), 400_000), [(HOLD, 1)]);
        assert!(with(mode(100, 0, 50), 400_000).is_empty());
        // Circles from the inside out rise as well, and their beads are all alike.
        assert!(with(mode(100, 0, 100), 150_000).is_empty());
        assert_eq!(with(mode(100, 0, 100), 151_000), [(HOLD, 1)]);
    }

    #[test]
    fn relative_feed_that_floods() {
        // 0.2 mm layers, 0.4 mm bore: three times 0.08 mm² are 0.24 mm²; a filament of 1.75 mm has 2.405 mm², so
        // the ratio's limit is 0.0998.
        let with = |ppm| {
            Bench::surveyed(|survey| {
                survey.motion.relative_feed = mode(100, 50, 50);
                survey.beads.path_nm[Beads::band(ppm)] = 1_000;
            })
            .levels(&CHECK)
        };
        assert!(with(85_000).is_empty());
        assert_eq!(with(110_000), [(HOLD, 1)]);
    }

    #[test]
    fn a_meaning_that_hangs_on_the_machine_is_looked_at() {
        assert_eq!(
            Bench::surveyed(|survey| survey.motion.feed_mode_ambiguous.add(7)).levels(&CHECK),
            [(LOOK, 2)]
        );
    }
}
