//! Times that a person wants: how long to stay, when to look again, when it ends, and how the machine learns.
//!
//! Pure functions. Every rule is the job catalogue's: S11 for the watch, section 4 for the end's window and the
//! learning of k.

use heapless::Vec;

use super::plan::{FIRST_PERMILLE, FIRST_SPREAD_PERMILLE, LOOKS, Look, LookAt, Watch};

/// Its limits, permille (the same: 0.9 to 1.6).
pub const PERMILLE_LIMITS: (u16, u16) = (900, 1600);
/// Jobs before the machine's own scatter counts (the same).
pub const FIRST_JOBS: usize = 5;
/// Finished runs that a median is taken over: older ones say less about a machine that is serviced (judgement).
pub const LEARNED_RUNS: usize = 15;
/// The end's window is never narrower than this to each side, seconds (the same: ±3 min).
pub const NARROWEST_S: u32 = 180;

/// The watch time W: time of the first layer and twice the second's, 5 to 20 minutes. Above 20 minutes of first layer
/// nobody can be asked to stay: 10 minutes after the outline and the first filling have begun, and a second look at
/// the layer's end.
///
/// `outline_s` is when the first filling begins, seconds from the layer's begin.
///
/// ```
/// use holdpoint_shared::phase::watch_time;
/// assert_eq!(watch_time(240, 90, 60).stay_s, 420); // 4 min + 2 · 1.5 min
/// assert_eq!(watch_time(1500, 600, 180).stay_s, 780); // 25 min: 3 min + 10 min, look again
/// ```
#[must_use]
pub fn watch_time(layer_one_s: u32, layer_two_s: u32, outline_s: u32) -> Watch {
    const LEAST_S: u32 = 5 * 60;
    const MOST_S: u32 = 20 * 60;
    const AFTER_OUTLINE_S: u32 = 10 * 60;
    let long = layer_one_s > MOST_S;
    let stay = if long {
        outline_s.saturating_add(AFTER_OUTLINE_S)
    } else {
        layer_one_s.saturating_add(layer_two_s.saturating_mul(2))
    };
    // An outline that takes longer than the layer itself says nothing; the limits hold it as well.
    let stay_s = u16::try_from(stay.clamp(LEAST_S, MOST_S)).unwrap_or(u16::MAX);
    Watch { stay_s, look_at_layer_one: long }
}

/// Half the width of the end's window, seconds, for a job that takes so long.
#[must_use]
pub fn half_window_s(job_s: u32, spread_permille: u16) -> u32 {
    scale(job_s, spread_permille).max(NARROWEST_S)
}

/// `seconds` times permille. Above 30 days it is held: no job lasts so long, and the product stays in 32 bits.
pub(super) fn scale(seconds: u32, permille: u16) -> u32 {
    const MOST_S: u32 = 30 * 86_400;
    seconds.min(MOST_S).saturating_mul(u32::from(permille.min(PERMILLE_LIMITS.1))) / 1000
}

/// What finished runs taught.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct LearnedTime {
    /// Median of true over estimated time, permille, within [`PERMILLE_LIMITS`].
    pub time_permille: u16,
    /// Half the end's window, permille of the job's time.
    pub spread_permille: u16,
}

/// Learns from the ratios of true to estimated time of finished runs, permille, newest last; the last
/// [`LEARNED_RUNS`] count. The spread is 10 % in the first five jobs, then 1.5 times the median of the distances from
/// the median (MAD).
///
/// ```
/// use holdpoint_shared::phase::learn;
/// let learned = learn(&[1000, 1020, 1100, 1040, 1060]);
/// assert_eq!((learned.time_permille, learned.spread_permille), (1040, 30)); // distances 40 20 60 0 20, median 20
/// ```
#[must_use]
pub fn learn(ratios: &[u16]) -> LearnedTime {
    let values = ratios.get(ratios.len().saturating_sub(LEARNED_RUNS)..).unwrap_or(ratios);
    let Some(median) = median(values, 0) else {
        return LearnedTime { time_permille: FIRST_PERMILLE, spread_permille: FIRST_SPREAD_PERMILLE };
    };
    let spread_permille = if values.len() < FIRST_JOBS {
        FIRST_SPREAD_PERMILLE
    } else {
        let mad = self::median(values, median).unwrap_or(0);
        mad.saturating_mul(3) / 2
    };
    LearnedTime { time_permille: median.clamp(PERMILLE_LIMITS.0, PERMILLE_LIMITS.1), spread_permille }
}

/// The middle one of the distances of all values from `from`; of an even number the lower of the two middle ones.
/// Compares each with each: at most [`LEARNED_RUNS`] are given, and a sort costs kilobytes.
fn median(values: &[u16], from: u16) -> Option<u16> {
    let middle = values.len().checked_sub(1)? / 2;
    let distances = || values.iter().map(|value| value.abs_diff(from));
    distances().find(|&it| {
        let below = distances().filter(|other| *other < it).count();
        let equal = distances().filter(|other| *other == it).count();
        (below..below + equal).contains(&middle)
    })
}

/// What the later looks are chosen from. Job seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Ahead {
    /// When the person may leave.
    pub leave_s: u32,
    /// End of the job.
    pub end_s: u32,
    /// End of a first layer that nobody watched to its end.
    pub layer_one_end_s: Option<u32>,
    /// First support.
    pub support_s: Option<u32>,
    /// First bridge.
    pub bridge_s: Option<u32>,
    /// A grade that shrinks, a long edge above 120 mm or a tall foot: likes to lift (S11).
    pub may_lift: bool,
}

/// The moments to look again, in their order: after 15 minutes (30 as well where it may lift), at a quarter, at the
/// end of a large first layer, at the first support and bridge (job catalogue, section 4). What would come within 10
/// minutes of an earlier one or of the end is left out: nobody comes twice (judgement). One that goes by the clock alone
/// gives way to one that has something to see within those minutes.
#[must_use]
pub fn looks(ahead: &Ahead) -> Vec<Look, LOOKS> {
    const APART_S: u32 = 10 * 60;
    let after = |minutes: u32| ahead.leave_s.saturating_add(minutes * 60);
    let wanted = [
        (Some(after(15)), LookAt::Soon),
        (ahead.may_lift.then(|| after(30)), LookAt::HalfHour),
        (ahead.layer_one_end_s, LookAt::LayerOne),
        (ahead.support_s, LookAt::Support),
        (ahead.bridge_s, LookAt::Bridge),
        (Some(ahead.end_s / 4), LookAt::Quarter),
    ];
    let mut looks: Vec<Look, LOOKS> = Vec::new();
    let mut earliest = ahead.leave_s;
    let latest = ahead.end_s.saturating_sub(APART_S);
    let by_clock = |at: LookAt| matches!(at, LookAt::Soon | LookAt::HalfHour | LookAt::Quarter);
    let better = |from_s: u32| {
        let mut seen = wanted.iter().filter(|(_, at)| !by_clock(*at)).filter_map(|(at_s, _)| *at_s);
        seen.any(|at_s| at_s < latest && (from_s..=from_s.saturating_add(APART_S)).contains(&at_s))
    };
    loop {
        // The next in time; of two at one time the first of the list.
        let next = wanted
            .iter()
            .filter_map(|&(at_s, at)| Some(Look { at_s: at_s?, at }))
            .filter(|look| look.at_s > earliest && look.at_s < latest)
            .filter(|look| !(by_clock(look.at) && better(look.at_s)))
            .min_by_key(|look| look.at_s);
        let Some(look) = next else { return looks };
        if looks.push(look).is_err() {
            return looks;
        }
        earliest = look.at_s.saturating_add(APART_S);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_watch_has_both_limits_and_a_way_round_the_upper() {
        assert_eq!(watch_time(30, 20, 10), Watch { stay_s: 300, look_at_layer_one: false });
        assert_eq!(watch_time(1200, 600, 100), Watch { stay_s: 1200, look_at_layer_one: false });
        assert_eq!(watch_time(1201, 600, 100), Watch { stay_s: 700, look_at_layer_one: true });
        assert_eq!(watch_time(u32::MAX, u32::MAX, u32::MAX).stay_s, 1200);
    }

    #[test]
    fn nothing_learned_is_110_give_or_take_10_percent() {
        assert_eq!(learn(&[]), LearnedTime { time_permille: 1100, spread_permille: 100 });
        assert_eq!(learn(&[1200, 1000]), LearnedTime { time_permille: 1000, spread_permille: 100 });
    }

    #[test]
    fn the_median_forgets_a_wild_run_and_keeps_its_limits() {
        assert_eq!(learn(&[1010, 9000, 1000, 1020, 1030]).time_permille, 1020);
        assert_eq!(learn(&[9000; 7]).time_permille, 1600);
        assert_eq!(learn(&[1; 7]).time_permille, 900);
        let mut long = [2000_u16; 40];
        long[25..].fill(1000);
        assert_eq!(learn(&long).time_permille, 1000, "older ones are forgotten");
    }

    #[test]
    fn the_window_is_ten_percent_and_never_below_three_minutes() {
        assert_eq!(half_window_s(9600, 100), 960);
        assert_eq!(half_window_s(600, 100), 180);
        assert_eq!(half_window_s(u32::MAX, u16::MAX), 30 * 86_400 / 10 * 16);
    }

    #[test]
    fn looks_come_in_order_and_not_twice() {
        let at = |looks: &[Look]| looks.iter().map(|look| (look.at_s, look.at)).collect::<std::vec::Vec<_>>();
        let ahead = Ahead { leave_s: 600, end_s: 14_400, support_s: Some(5_000), ..Ahead::default() };
        assert_eq!(
            at(&looks(&ahead)),
            [(1_500, LookAt::Soon), (3_600, LookAt::Quarter), (5_000, LookAt::Support)]
        );
        let lifts = Ahead { may_lift: true, ..ahead };
        assert_eq!(at(&looks(&lifts))[..2], [(1_500, LookAt::Soon), (2_400, LookAt::HalfHour)]);
        // A short job has none: its end comes first.
        assert!(looks(&Ahead { end_s: 1_800, ..ahead }).is_empty());
        let large = Ahead { layer_one_end_s: Some(1_400), ..ahead };
        assert_eq!(at(&looks(&large))[0], (1_400, LookAt::LayerOne), "instead of the one 100 s later");
    }

    #[test]
    fn a_look_by_the_clock_gives_way_to_one_with_something_to_see() {
        let at = |ahead: &Ahead| {
            looks(ahead).iter().map(|look| (look.at_s, look.at)).collect::<std::vec::Vec<_>>()
        };
        let ahead = Ahead { leave_s: 600, end_s: 14_400, ..Ahead::default() };
        let bridge = Ahead { bridge_s: Some(1_800), ..ahead };
        assert_eq!(
            at(&bridge),
            [(1_800, LookAt::Bridge), (3_600, LookAt::Quarter)],
            "5 min after a look by the clock"
        );
        let both = Ahead { support_s: Some(3_650), bridge_s: Some(4_100), ..ahead };
        assert_eq!(
            at(&both),
            [(1_500, LookAt::Soon), (3_650, LookAt::Support)],
            "the bridge comes 450 s later"
        );
        let late = Ahead { support_s: Some(4_201), ..ahead };
        assert_eq!(
            at(&late)[1..],
            [(3_600, LookAt::Quarter), (4_201, LookAt::Support)],
            "more than ten minutes apart"
        );
        // Begun while somebody still watches, or right before the end: no reason to come.
        let none = Ahead { support_s: Some(500), bridge_s: Some(14_000), ..ahead };
        assert_eq!(at(&none), at(&ahead));
    }
}
