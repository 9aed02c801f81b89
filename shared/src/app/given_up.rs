//! Rows of the day book that no card takes for many runs: kept in the ledger, and told when one must be given up.

use embedded_storage::nor_flash::NorFlash;

use crate::daybook::Row;
use crate::ledger::{GivenUp, Ledger, LedgerError};
use crate::limits::ROW_KEPT_BYTES;

use super::device::App;
use super::kept::KeptRow;
use super::memory::{GivenUpRows, since_2000_s};
use super::notice::{LostPart, Notice};

impl App {
    /// The oldest row that waits here goes to the ledger. Where there is no place left, the oldest of all is given up.
    #[inline(never)]
    pub(super) fn keep_oldest<S: NorFlash>(&mut self, ledger: &mut Option<&mut Ledger<S>>) {
        let Some(oldest) = self.daybook.waiting.first() else { return };
        let number = oldest.rec;
        let mut bytes = [0; ROW_KEPT_BYTES];
        let kept = match (postcard::to_slice(&KeptRow::of(oldest), &mut bytes), ledger.as_deref_mut()) {
            (Ok(row), Some(ledger)) => match ledger.keep_row(number, row) {
                Err(LedgerError::Full) if ledger.keeps_rows() => {
                    self.make_place(ledger);
                    ledger.keep_row(number, row).is_ok()
                }
                kept => kept.is_ok(),
            },
            (Err(_), _) | (_, None) => false,
        };
        self.daybook.rows_kept |= kept;
        if !kept && let Some(oldest) = self.daybook.waiting.first() {
            let named = name_of(oldest);
            self.give_up(named, ledger.as_deref_mut());
        }
    }

    /// Gives up the oldest row in the ledger: its name first.
    fn make_place<S: NorFlash>(&mut self, ledger: &mut Ledger<S>) {
        let mut bytes = [0; ROW_KEPT_BYTES];
        let Ok(Some((number, length))) = ledger.oldest_row(0, &mut bytes) else { return };
        let row = read(&bytes, length);
        let named = row.as_ref().map_or(GivenUp { number, ..GivenUp::default() }, name_of);
        self.give_up(named, Some(ledger));
        self.notices.flash(ledger.drop_row(number));
    }

    fn give_up<S: NorFlash>(&mut self, row: GivenUp, ledger: Option<&mut Ledger<S>>) {
        let named = ledger.is_some_and(|ledger| ledger.give_up(&row).is_ok());
        self.daybook.given_up = GivenUpRows {
            last: Some(row),
            in_ledger: self.daybook.given_up.in_ledger || named,
            here: self.daybook.given_up.here || !named,
        };
        self.show_given_up();
        if self.notices.top != Some(Notice::Lost) {
            self.notices.after_lost = self.notices.top.replace(Notice::Lost);
        }
    }

    /// Among what was lost: once, the last one's name.
    fn show_given_up(&mut self) {
        if !self.notices.lost.contains(&LostPart::Row) {
            // As many as there are places for.
            let _ = self.notices.lost.push(LostPart::Row);
        }
    }

    /// After power-up: rows that wait in the ledger, and names that no card has yet.
    pub(super) fn recall_given_up<S: NorFlash>(&mut self, ledger: &mut Ledger<S>) {
        self.daybook.rows_kept =
            ledger.oldest_row(0, &mut [0; ROW_KEPT_BYTES]).is_ok_and(|row| row.is_some());
        if let Ok(Some(row)) = ledger.given_up(0) {
            self.daybook.given_up = GivenUpRows { last: Some(row), in_ledger: true, here: false };
            self.show_given_up();
        }
    }

    /// The oldest row that waits in the ledger. One that cannot be read any more is given up.
    #[inline(never)]
    pub(super) fn kept_row<S: NorFlash>(&mut self, ledger: &mut Option<&mut Ledger<S>>) -> Option<Row> {
        let ledger = ledger.as_deref_mut().filter(|_| self.daybook.rows_kept)?;
        let mut bytes = [0; ROW_KEPT_BYTES];
        loop {
            match self.notices.flash(ledger.oldest_row(0, &mut bytes))? {
                Some((number, length)) => {
                    if let Some(row) = read(&bytes, length) {
                        return Some(row);
                    }
                    self.give_up(GivenUp { number, ..GivenUp::default() }, Some(ledger));
                    self.notices.flash(ledger.drop_row(number))?;
                }
                None => {
                    self.daybook.rows_kept = false;
                    return None;
                }
            }
        }
    }

    /// A card took the ledger's row of this number.
    pub(super) fn row_is_written<S: NorFlash>(&mut self, number: u32, ledger: &mut Option<&mut Ledger<S>>) {
        if let Some(ledger) = ledger.as_deref_mut()
            && self.notices.flash(ledger.drop_row(number)).is_none()
        {
            // It would be written again and again.
            self.daybook.card_refuses = true;
        }
    }
}

fn name_of(row: &Row) -> GivenUp {
    GivenUp { number: row.rec, started_s: since_2000_s(row.started), more: 0, job: row.job_name.clone() }
}

fn read(bytes: &[u8], length: Option<usize>) -> Option<Row> {
    postcard::from_bytes::<KeptRow>(bytes.get(..length?)?).ok().map(KeptRow::into_row)
}
