//! When the room is open: hours that cross midnight, closed days, and hours that follow each other without a gap.

use chrono::{Datelike, Days, NaiveDate, NaiveTime, TimeDelta, Timelike};

use crate::limits::STAFFED_SPANS;
use crate::records::{OpenHours, Room, Staffed};
use crate::time::WallClock;

/// Whether the room is open at some moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Opening {
    /// The rules state no hours.
    NotStated,
    /// Open, and never shut within a week.
    Always,
    /// Open until then.
    Until(WallClock),
    /// Shut; opens then, if it does within a week.
    Shut(Option<WallClock>),
}

/// Opening and closing of the hours that begin on a day.
fn span(room: &Room, day: NaiveDate) -> Option<(WallClock, WallClock)> {
    let week = room.hours.as_ref()?;
    let index = usize::try_from(day.weekday().num_days_from_monday()).ok()?;
    let OpenHours { opens, closes } = (*week.get(index)?)?;
    let last = if closes > opens { day } else { day.checked_add_days(Days::new(1))? };
    Some((day.and_time(opens), last.and_time(closes)))
}

/// Whether the room is open at `now`, and until when.
#[must_use]
pub fn at(room: &Room, now: WallClock) -> Opening {
    if room.hours.is_none() {
        return Opening::NotStated;
    }
    let week = now.checked_add_signed(TimeDelta::days(7));
    let mut close = None;
    let mut opens = None;
    let mut day = now.date().pred_opt();
    // Yesterday's hours may cross midnight; a week and a day further nothing new comes.
    for _ in 0..9 {
        let Some(today) = day else { break };
        if let Some((from, to)) = span(room, today) {
            let reached = close.unwrap_or(now);
            if from <= reached && to > reached {
                close = Some(to);
            } else if from > now && opens.is_none() {
                opens = Some(from);
            }
        }
        day = today.succ_opt();
    }
    match close {
        Some(close) if week.is_none_or(|week| close >= week) => Opening::Always,
        Some(close) => Opening::Until(close),
        None => Opening::Shut(opens),
    }
}

/// From when on nobody is there while a job runs, by the room's staffed spans; `None` = somebody is, or the rules state
/// no spans.
pub(crate) fn left_alone(room: &Room, start: WallClock, end: WallClock) -> Option<WallClock> {
    if room.staffed.is_empty() {
        return None;
    }
    let mut covered = start;
    // A span leads to its own end at least, so that each is taken once a week at most; a run of weeks has gaps enough.
    for _ in 0..STAFFED_SPANS * 2 {
        if covered >= end {
            return None;
        }
        let day = covered.weekday().num_days_from_monday();
        let minute = covered.num_seconds_from_midnight() / 60;
        let holds = |span: &&Staffed| {
            u32::from(span.day) == day && (span.from_min.into()..span.to_min.into()).contains(&minute)
        };
        let Some(span) = room.staffed.iter().find(holds) else { return Some(covered) };
        let midnight = covered.date().and_time(NaiveTime::MIN);
        // Past the last day that can be written nobody is there.
        let Some(to) = midnight.checked_add_signed(TimeDelta::minutes(span.to_min.into())) else {
            return Some(covered);
        };
        covered = to;
    }
    None
}

/// The longest time that the room is open without a break, seconds; `None` = no hours stated.
pub(crate) fn longest_opening_s(room: &Room) -> Option<i64> {
    let week = room.hours.as_ref()?;
    let length = |hours: &OpenHours| {
        let seconds = (hours.closes - hours.opens).num_seconds();
        if seconds > 0 { seconds } else { seconds + 24 * 3600 }
    };
    Some(week.iter().flatten().map(length).max().unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::wednesday;

    fn hours(from: (u32, u32), to: (u32, u32)) -> OpenHours {
        let time = |(hour, minute)| NaiveTime::from_hms_opt(hour, minute, 0).unwrap();
        OpenHours { opens: time(from), closes: time(to) }
    }

    fn room(days: [Option<OpenHours>; 7]) -> Room {
        Room { hours: Some(days), ..Room::default() }
    }

    fn thursday(hour: u32, minute: u32) -> WallClock {
        wednesday(hour, minute) + TimeDelta::days(1)
    }

    #[test]
    fn plain_hours_to_the_minute() {
        let room = room([Some(hours((9, 0), (18, 0))); 7]);
        assert_eq!(at(&room, wednesday(9, 0)), Opening::Until(wednesday(18, 0)));
        assert_eq!(at(&room, wednesday(17, 59)), Opening::Until(wednesday(18, 0)));
        assert_eq!(at(&room, wednesday(18, 0)), Opening::Shut(Some(thursday(9, 0))));
        assert_eq!(at(&room, wednesday(8, 59)), Opening::Shut(Some(wednesday(9, 0))));
    }

    #[test]
    fn hours_across_midnight_belong_to_the_day_before() {
        let room = room([Some(hours((16, 0), (2, 0))); 7]);
        assert_eq!(at(&room, wednesday(1, 59)), Opening::Until(wednesday(2, 0)));
        assert_eq!(at(&room, wednesday(2, 0)), Opening::Shut(Some(wednesday(16, 0))));
        assert_eq!(at(&room, wednesday(16, 0)), Opening::Until(thursday(2, 0)));
    }

    #[test]
    fn closed_days_are_passed_over() {
        let mut days = [Some(hours((9, 0), (18, 0))); 7];
        days[3] = None; // Thursday
        let room = room(days);
        assert_eq!(at(&room, wednesday(19, 0)), Opening::Shut(Some(wednesday(9, 0) + TimeDelta::days(2))));
        assert_eq!(at(&self::room([None; 7]), wednesday(12, 0)), Opening::Shut(None));
    }

    #[test]
    fn hours_without_a_gap_are_one() {
        let all_day = hours((0, 0), (0, 0));
        assert_eq!(at(&room([Some(all_day); 7]), wednesday(12, 0)), Opening::Always);
        let mut days = [None; 7];
        (days[2], days[3]) = (Some(all_day), Some(hours((0, 0), (12, 0))));
        assert_eq!(at(&room(days), wednesday(12, 0)), Opening::Until(thursday(12, 0)));
        assert_eq!(at(&Room::default(), wednesday(12, 0)), Opening::NotStated);
    }

    #[test]
    fn spans_of_staff_that_meet_are_one() {
        let mut room = Room::default();
        let alone = |room: &Room, from: (u32, u32), to: (u32, u32)| {
            left_alone(room, wednesday(from.0, from.1), wednesday(to.0, to.1))
        };
        assert_eq!(alone(&room, (3, 0), (4, 0)), None, "no spans are stated");
        for (day, from, to) in [(2, 9, 13), (2, 13, 17), (2, 18, 24), (3, 0, 1)] {
            room.staffed.push(Staffed { day, from_min: from * 60, to_min: to * 60 }).unwrap();
        }
        assert_eq!(alone(&room, (9, 0), (17, 0)), None);
        assert_eq!(alone(&room, (9, 0), (17, 1)), Some(wednesday(17, 0)));
        assert_eq!(alone(&room, (8, 59), (9, 30)), Some(wednesday(8, 59)));
        assert_eq!(left_alone(&room, wednesday(20, 0), thursday(1, 0)), None);
        assert_eq!(left_alone(&room, wednesday(20, 0), thursday(1, 1)), Some(thursday(1, 0)));
        // All day, every day: never alone, however long.
        room.staffed = (0..7).map(|day| Staffed { day, from_min: 0, to_min: 1440 }).collect();
        assert_eq!(left_alone(&room, wednesday(20, 0), wednesday(20, 0) + TimeDelta::days(9)), None);
    }

    #[test]
    fn the_longest_opening() {
        let mut days = [Some(hours((9, 0), (18, 0))); 7];
        assert_eq!(longest_opening_s(&room(days)), Some(9 * 3600));
        days[0] = Some(hours((16, 0), (2, 0)));
        assert_eq!(longest_opening_s(&room(days)), Some(10 * 3600));
        assert_eq!(longest_opening_s(&room([Some(hours((0, 0), (0, 0))); 7])), Some(24 * 3600));
        assert_eq!(longest_opening_s(&room([None; 7])), Some(0));
    }
}
