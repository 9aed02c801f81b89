//! 29: the feed's numbers do not fit the feed mode.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::geometry::bead_area_um2;
use crate::checks::input::CheckInput;

/// So many feeding lines show a habit (judgement).
const LINES: u32 = 50;
/// Absolute numbers fall on at most this share of lines without a reset, percent (wipes while retracting; judgement).
const FALLS_PERCENT: u64 = 30;
/// And change on at least this share of them, percent: lines of one length have one relative number (judgement).
const CHANGES_PERCENT: u64 = 10;
/// Relative numbers rise on at most this share of lines, percent (they scatter round one half; judgement).
const RISES_PERCENT: u64 = 90;
/// Beads are at most this many times the nominal one.
const FLOOD: u64 = 3;

pub(crate) const CHECK: Check = Check {
    number: 29,
    id: "feed mode mix-up",
    group: Group::Machine,
    levels: &[Level::Look, Level::Hold],
    rule: "absolute feed that falls on more than 30 % of the lines that change it, or stands still on 90 % of them; relative feed that rises on more than 90 %, \
           or whose median bead is more than 3 times bore x layer: HOLD; meaning hangs on the machine, and the sheet does \
           not say which: LOOK",
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
    let motion = &input.survey?.motion;
    let (absolute, relative) = (&motion.absolute_feed, &motion.relative_feed);
    let share = |part: u32, percent: u64, whole: u32| u64::from(part) * 100 > percent * u64::from(whole);
    // Numbers that repeat say nothing of a fall: lines of one length do, and so do travels that repeat the count.
    let changed = absolute.falls.saturating_add(absolute.rises);
    let counted = absolute.met.count.saturating_sub(absolute.after_reset);
    let stands = counted > LINES && u64::from(changed) * 100 < CHANGES_PERCENT * u64::from(counted);
    if absolute.met.count > LINES && (stands || share(absolute.falls, FALLS_PERCENT, changed)) {
        return Some(Misfit::Absolute);
    }
    let rises = share(relative.rises, RISES_PERCENT, relative.met.count);
    (relative.met.count > LINES && (rises || floods(input))).then_some(Misfit::Relative)
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
    findings.push(29, wording, level, signal, [Value::Count(met.first_line)]);
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
    fn absolute_feed_that_falls() {
        let with = |mode| Bench::surveyed(|survey| survey.motion.absolute_feed = mode).levels(&CHECK);
        assert!(with(mode(100, 30, 70)).is_empty());
        assert_eq!(with(mode(100, 31, 69)), [(HOLD, 0)]);
        assert!(with(mode(50, 50, 0)).is_empty());
        // Lines that repeat the number are neither.
        assert!(with(mode(400, 30, 70)).is_empty());
        assert_eq!(with(mode(400, 31, 69)), [(HOLD, 0)]);
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
    fn relative_feed_that_rises() {
        let with = |mode| Bench::surveyed(|survey| survey.motion.relative_feed = mode).levels(&CHECK);
        assert!(with(mode(100, 10, 90)).is_empty());
        assert_eq!(with(mode(100, 9, 91)), [(HOLD, 1)]);
        assert!(with(mode(50, 0, 50)).is_empty());
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
