//! 37: a speed or an acceleration beyond the machine's own.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 37,
    id: "speed/accel beyond sheet",
    group: Group::Machine,
    levels: &[Level::Note],
    rule: "a feed above the sheet's highest X or Y speed, or a word that raises an axis's speed or acceleration above the \
           sheet's: the machine holds its own",
    source: "machine sheet",
    live: Live::Moves,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let Some(motion) = input.survey.map(|survey| &survey.motion) else { return };
    let limits = &input.machine.motion;
    let [x, y, ..] = limits.max_speed_mm_s;
    let fastest = x.max(y).saturating_mul(1000);
    if motion.highest_feed_um_s > fastest {
        let values = [Value::Speed(motion.highest_feed_um_s), Value::Speed(fastest)];
        findings.push(0, Level::Note, Signal::None, values);
        return;
    }
    let speed = motion.speed_words_um_s.iter().zip(limits.max_speed_mm_s);
    let accel = motion.accel_words_mm_s2.iter().zip(limits.max_accel_mm_s2);
    let raised = speed.into_iter().any(|(word, limit)| *word > limit.saturating_mul(1000))
        || accel.into_iter().any(|(word, limit)| *word > limit);
    if raised {
        findings.push(1, Level::Note, Signal::None, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, NOTE};
    use crate::survey::Survey;

    fn levels(change: impl FnOnce(&mut Survey)) -> std::vec::Vec<(Level, u8)> {
        let mut bench = Bench::surveyed(change);
        bench.machine.motion.max_speed_mm_s = [200, 180, 10, 60];
        bench.machine.motion.max_accel_mm_s2 = [2000, 2000, 100, 5000];
        bench.levels(&CHECK)
    }

    #[test]
    fn feed_words_and_limit_words() {
        assert!(levels(|survey| survey.motion.highest_feed_um_s = 200_000).is_empty());
        assert_eq!(levels(|survey| survey.motion.highest_feed_um_s = 200_001), [(NOTE, 0)]);
        assert!(levels(|survey| survey.motion.speed_words_um_s[2] = 10_000).is_empty());
        assert_eq!(levels(|survey| survey.motion.speed_words_um_s[2] = 10_001), [(NOTE, 1)]);
        assert!(levels(|survey| survey.motion.accel_words_mm_s2[0] = 2000).is_empty());
        assert_eq!(levels(|survey| survey.motion.accel_words_mm_s2[0] = 2001), [(NOTE, 1)]);
    }
}
