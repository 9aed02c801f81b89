//! A run and its rows as the ledger keeps them through a power cut.

use heapless::Vec;
use serde::{Deserialize, Serialize};

use crate::daybook;
use crate::phase::{FailReason, Outcome, RunState, Stage};
use crate::time::WallClock;

use super::memory::GivenUpRows;
use super::stages_left;

/// Close-outs that wait for a card, besides the newest: a first layer that was run again with its card in the printer. As
/// many as the flash keeps beside a run; older ones go to the ledger's own places (`given_up.rs`).
pub(super) const WAITING_ROWS: usize = 1;

/// What the day book still is to be told.
#[derive(Debug, Default)]
pub(super) struct DayBook {
    /// The row of the run at hand, or of the last one.
    pub(super) row: daybook::Row,
    /// It is still to be written to a card.
    pub(super) row_due: bool,
    /// Close-outs before it that no card has taken yet.
    pub(super) waiting: Vec<daybook::Row, WAITING_ROWS>,
    /// Older ones wait in the ledger.
    pub(super) rows_kept: bool,
    /// What had to be given up.
    pub(super) given_up: GivenUpRows,
    /// The card in the slot took no row; asked once.
    pub(super) card_refuses: bool,
    /// It took no event.
    pub(super) events_refused: bool,
    /// When the plate came below what may be touched.
    pub(super) touch_from: Option<WallClock>,
    /// The stage in which the probes are read at the moment.
    pub(super) read_in: Option<Stage>,
    /// What the probes read in stages that were left, for a card.
    pub(super) stages_left: stages_left::WaitingStages,
}

/// A run, and the row that tells of it, as they are kept through a power cut.
#[derive(Serialize, Deserialize)]
pub(super) struct Kept {
    pub(super) run: Option<RunState>,
    pub(super) row: KeptRow,
    pub(super) row_due: bool,
    pub(super) waiting: Vec<KeptRow, WAITING_ROWS>,
    pub(super) stages_left: stages_left::WaitingStages,
}

/// A row, with its words by their places.
#[derive(Serialize, Deserialize)]
pub(super) struct KeptRow {
    row: daybook::Row,
    /// Place of the outcome; [`NO_WORD`] = none, [`REFUSAL`] = refused.
    result: u8,
    /// Place of the reason; [`NO_WORD`] = none.
    reason: u8,
}

const NO_WORD: u8 = u8::MAX;
const REFUSAL: u8 = NO_WORD - 1;

impl KeptRow {
    pub(super) fn of(row: &daybook::Row) -> Self {
        let place = |at: Option<usize>| at.and_then(|at| u8::try_from(at).ok()).unwrap_or(NO_WORD);
        let result = place(Outcome::ALL.iter().position(|outcome| outcome.code() == row.result));
        let reason = place(FailReason::ALL.iter().position(|reason| reason.code() == row.reason));
        Self {
            row: row.clone(),
            result: if row.result == daybook::REFUSED { REFUSAL } else { result },
            reason,
        }
    }

    pub(super) fn into_row(self) -> daybook::Row {
        let Self { mut row, result, reason } = self;
        row.result = match result {
            REFUSAL => daybook::REFUSED,
            other => Outcome::ALL.get(usize::from(other)).map_or("", |outcome| outcome.code()),
        };
        row.reason = FailReason::ALL.get(usize::from(reason)).map_or("", |reason| reason.code());
        row.firmware = env!("CARGO_PKG_VERSION");
        row
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::Verdict;
    use crate::limits::{ROW_KEPT_BYTES, RUN_STATE_BYTES};
    use crate::phase::{LOOKS, Look, LookAt, MARKS, POINTS, Plan, Point, STOPS, StageMark, StartStep};
    use crate::units::Milligrams;

    /// A row and a plan with the longest of everything.
    #[test]
    fn the_longest_run_with_its_rows_fits_what_the_flash_keeps() {
        let mut row = daybook::Row::default();
        row.set_machine(&"M".repeat(99));
        row.set_job(&"j".repeat(999), Some(u64::MAX), Some(u32::MAX));
        row.set_spool(&"S".repeat(99), &"P".repeat(99), &"c".repeat(99));
        for number in [&mut row.bore_um, &mut row.layer_um, &mut row.height_um, &mut row.estimated_s] {
            *number = Some(u32::MAX);
        }
        for number in [&mut row.actual_s, &mut row.watch_asked_s, &mut row.watch_done_s] {
            *number = Some(u32::MAX);
        }
        for mass in [&mut row.estimated, &mut row.booked, &mut row.wasted, &mut row.left, &mut row.left_error]
        {
            *mass = Some(Milligrams(i64::from(u32::MAX)));
        }
        row.findings = (0..).take(row.findings.capacity()).collect();
        row.rec = u32::MAX;
        row.utc_offset_min = Some(-840);
        let late = chrono::NaiveDate::from_ymd_opt(2099, 12, 31).and_then(|day| day.and_hms_opt(23, 59, 59));
        for time in
            [&mut row.started, &mut row.ended, &mut row.end_from, &mut row.end_to, &mut row.touch_from]
        {
            *time = late;
        }
        (row.owner, row.override_by) = (daybook::OwnerCode::new("WXYZ"), daybook::OwnerCode::new("WXYZ"));
        (row.verdict, row.overrides, row.closed_out) = (Some(Verdict::Hold), u8::MAX, true);
        (row.plate_max_dc, row.cost_cent, row.settings_crc) =
            (Some(i16::MIN), Some(u32::MAX), Some(u32::MAX));
        let most = u32::MAX;
        let plan = Plan {
            end_s: most,
            need_mg: most,
            marks: (0..MARKS).map(|_| StageMark { at_s: most, part: StartStep::Walls }).collect(),
            looks: (0..LOOKS).map(|_| Look { at_s: most, at: LookAt::Closing }).collect(),
            stops: (0..STOPS).map(|_| most).collect(),
            points: (0..POINTS).map(|_| Point { at_s: most, share: 1000, layer: u16::MAX }).collect(),
            closing_in_s: Some(most),
            ..Plan::default()
        };
        let mut bytes = [0; RUN_STATE_BYTES];
        let row = postcard::to_slice(&KeptRow::of(&row), &mut bytes).unwrap().len();
        assert!(row <= ROW_KEPT_BYTES, "{row}");
        let rows = (WAITING_ROWS + 1) * row;
        let plan = postcard::to_slice(&plan, &mut bytes).unwrap().len();
        // All numbers of a run at five bytes, and its answers: less than this.
        const RUN_BYTES: usize = 150;
        let stages = postcard::to_slice(&stages_left::longest(), &mut bytes).unwrap().len();
        assert!(rows + plan + stages + RUN_BYTES <= RUN_STATE_BYTES, "{rows} {plan} {stages}");
    }

    #[test]
    fn a_kept_row_has_its_words_again() {
        for outcome in Outcome::ALL {
            for reason in FailReason::ALL {
                let mut row =
                    daybook::Row { result: outcome.code(), reason: reason.code(), ..Default::default() };
                row.firmware = env!("CARGO_PKG_VERSION");
                assert_eq!(KeptRow::of(&row).into_row(), row);
            }
        }
        let refused = daybook::Row { result: daybook::REFUSED, ..Default::default() };
        assert_eq!(KeptRow::of(&refused).into_row().result, daybook::REFUSED);
        assert_eq!(KeptRow::of(&daybook::Row::default()).into_row().result, "");
    }
}
