//! What the job comes to, in the numbers that the checks themselves judge by: need and balance, end, heat.

use crate::checks::heat::window::{bed_extremes, nozzle_extremes};
use crate::checks::input::CheckInput;
use crate::checks::room::forecast::{duration_s, forecast};
use crate::checks::spool::need::{left, need};
use crate::time::WallClock;
use crate::units::{Celsius, Milligrams, Seconds};

/// The sums of one job, for the confirmation screen, the report and the log.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Outlook {
    /// Filament that the job needs: the forecast, without reserve.
    pub need: Option<Milligrams>,
    /// Filament left on the spool.
    pub left: Option<Milligrams>,
    /// Give or take.
    pub left_error: Option<Milligrams>,
    /// Least and greatest time to its end.
    pub duration: Option<(Seconds, Seconds)>,
    /// Earliest and latest end if it starts now; `None` without a clock that can be believed.
    pub end: Option<(WallClock, WallClock)>,
    /// Highest target of the hot end.
    pub nozzle: Option<Celsius>,
    /// Highest target of the bed.
    pub bed: Option<Celsius>,
}

/// Sums a job up.
#[must_use]
pub fn outlook(input: &CheckInput<'_>) -> Outlook {
    let need = need(input);
    let left = need.as_ref().and_then(|need| left(input, need));
    let seconds = |value: i64| Seconds(u32::try_from(value.max(0)).unwrap_or(u32::MAX));
    Outlook {
        need: need.map(|need| need.mass),
        left: left.map(|left| left.mass).or_else(|| input.spool?.left),
        left_error: left.map(|left| left.error).or_else(|| input.spool?.left_error),
        duration: duration_s(input).map(|(least, most)| (seconds(least), seconds(most))),
        end: forecast(input).map(|forecast| (forecast.earliest, forecast.latest)),
        nozzle: nozzle_extremes(input).map(|(_, highest)| highest),
        bed: bed_extremes(input).map(|(_, highest)| highest),
    }
}
