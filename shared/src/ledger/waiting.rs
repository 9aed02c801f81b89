//! The day book's rows that no card has taken yet, and the names of those that had to be given up.
//!
//! A row lies in up to three pieces. Its first piece is written last and taken away first: without it the others count
//! as nothing, so that a power cut leaves the whole row or none of it.

use embedded_storage::nor_flash::NorFlash;
use heapless::String;

use crate::limits::{LEDGER_VALUE_BYTES, NAME_BYTES, ROW_KEPT_BYTES, ROWS_GIVEN_UP, ROWS_KEPT};

use super::checksum::crc32;
use super::kind::Kind;
use super::layout::{WAITING_HEAD, WAITING_PIECES};
use super::row::{RowReader, RowWriter};
use super::store::Store;
use super::{Ledger, LedgerError};

/// A row that was given up because no card took it and no place was left: what is still known of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct GivenUp {
    /// Its number, as in the day book.
    pub number: u32,
    /// When the job was started, in seconds since 2000-01-01 00:00 of the room's local time; 0 when nobody knows.
    pub started_s: u32,
    /// How many were given up before it that are named nowhere.
    pub more: u16,
    /// The job's name; empty when the row could not be read.
    pub job: String<NAME_BYTES>,
}

impl GivenUp {
    fn read(bytes: &[u8]) -> Option<Self> {
        let mut row = RowReader(bytes);
        Some(Self { number: row.word()?, started_s: row.word()?, more: row.half()?, job: row.text()? })
    }
}

/// The first piece of a row.
#[derive(Clone, Copy)]
struct RowHead {
    number: u32,
    length: usize,
    crc: u32,
}

const fn key(slot: u8, piece: u8) -> u16 {
    Kind::WaitingRow.key(slot.saturating_mul(WAITING_PIECES).saturating_add(piece))
}

/// A row's bytes as they are parted: the first piece has less room.
fn parts(row: &[u8]) -> (&[u8], impl Iterator<Item = (u8, &[u8])>) {
    let (first, rest) =
        row.split_at_checked(LEDGER_VALUE_BYTES.saturating_sub(WAITING_HEAD)).unwrap_or((row, &[]));
    (first, (1..WAITING_PIECES).zip(rest.chunks(LEDGER_VALUE_BYTES)))
}

impl<F: NorFlash> Store<F> {
    fn row_head(&mut self, slot: u8) -> Result<Option<RowHead>, LedgerError> {
        let bytes = match self.get(key(slot, 0)) {
            // Named as lost at the next opening.
            Err(LedgerError::Damaged) => None,
            bytes => bytes?,
        };
        let mut row = RowReader(bytes.unwrap_or_default());
        let mut read =
            || Some(RowHead { number: row.word()?, length: usize::from(row.half()?), crc: row.word()? });
        Ok(read())
    }

    /// The slot and the head of the row that `better` prefers to all others.
    #[inline(never)]
    fn pick_row(
        &mut self,
        better: impl Fn(u32, Option<u32>) -> bool,
    ) -> Result<Option<(u8, RowHead)>, LedgerError> {
        let mut found: Option<(u8, RowHead)> = None;
        for slot in 0..ROWS_KEPT {
            if let Some(head) = self.row_head(slot)?
                && better(head.number, found.map(|(_, head)| head.number))
            {
                found = Some((slot, head));
            }
        }
        Ok(found)
    }

    fn read_waiting(&mut self, slot: u8, head: RowHead, into: &mut [u8]) -> Result<bool, LedgerError> {
        let Some(row) = into.get_mut(..head.length) else { return Ok(false) };
        let mut left = row;
        for piece in 0..WAITING_PIECES {
            let skip = if piece == 0 { WAITING_HEAD } else { 0 };
            let room = left.len().min(LEDGER_VALUE_BYTES.saturating_sub(skip));
            let Some((part, rest)) = left.split_at_mut_checked(room) else { return Ok(false) };
            left = rest;
            if part.is_empty() {
                break;
            }
            match self.get(key(slot, piece)) {
                Ok(Some(bytes)) if bytes.get(skip..).is_some_and(|bytes| bytes.len() == part.len()) => {
                    part.copy_from_slice(bytes.get(skip..).unwrap_or_default());
                }
                Ok(_) | Err(LedgerError::Damaged) => return Ok(false),
                Err(error) => return Err(error),
            }
        }
        Ok(left.is_empty() && into.get(..head.length).is_some_and(|row| crc32(row) == head.crc))
    }

    fn remove_row(&mut self, slot: u8) -> Result<(), LedgerError> {
        for piece in 0..WAITING_PIECES {
            self.remove(key(slot, piece))?;
        }
        Ok(())
    }
}

impl<F: NorFlash> Ledger<F> {
    /// Whether the flash is large enough to keep rows besides all the rest.
    pub const fn keeps_rows(&self) -> bool {
        self.rows
    }

    /// Keeps a row that no card has taken, under its number; one of the same number is replaced.
    ///
    /// # Errors
    /// [`LedgerError::Full`] when [`ROWS_KEPT`] wait already, or the flash is too small for any
    /// ([`Ledger::keeps_rows`]); [`LedgerError::TooLong`] beyond [`ROW_KEPT_BYTES`]; the flash failed.
    pub fn keep_row(&mut self, number: u32, row: &[u8]) -> Result<(), LedgerError> {
        let length = u16::try_from(row.len()).ok().filter(|_| row.len() <= ROW_KEPT_BYTES);
        let length = length.ok_or(LedgerError::TooLong)?;
        if !self.rows {
            return Err(LedgerError::Full);
        }
        let mut vacant = None;
        for slot in (0..ROWS_KEPT).rev() {
            match self.store.row_head(slot)? {
                None => vacant = Some(slot),
                Some(head) if head.number == number => {
                    let same = head.length == row.len() && head.crc == crc32(row);
                    if same && self.store.read_waiting(slot, head, &mut [0; ROW_KEPT_BYTES])? {
                        return Ok(());
                    }
                    self.store.remove_row(slot)?;
                    vacant = Some(slot);
                    break;
                }
                Some(_) => {}
            }
        }
        let slot = vacant.ok_or(LedgerError::Full)?;
        let (first, rest) = parts(row);
        for (piece, part) in rest {
            self.store.put(key(slot, piece), part)?;
        }
        let mut head = RowWriter::default();
        head.word(number).half(length).word(crc32(row)).bytes(first);
        self.store.put(key(slot, 0), head.row())
    }

    /// The number of the row that waits the longest of those numbered `from` and above, and its length at the beginning of `into`; without a length when
    /// the row is damaged. `None` when none waits.
    ///
    /// # Errors
    /// The flash failed.
    pub fn oldest_row(
        &mut self,
        from: u32,
        into: &mut [u8; ROW_KEPT_BYTES],
    ) -> Result<Option<(u32, Option<usize>)>, LedgerError> {
        let oldest =
            self.store.pick_row(|number, best| number >= from && best.is_none_or(|best| number < best))?;
        let Some((slot, head)) = oldest else { return Ok(None) };
        let whole = self.store.read_waiting(slot, head, into)?;
        Ok(Some((head.number, whole.then_some(head.length))))
    }

    /// Whether the row of this number waits.
    ///
    /// # Errors
    /// The flash failed.
    pub fn has_row(&mut self, number: u32) -> Result<bool, LedgerError> {
        Ok(self.store.pick_row(|other, _| other == number)?.is_some())
    }

    /// A card has taken the row of this number, or it is given up.
    ///
    /// # Errors
    /// The flash failed or is full.
    pub fn drop_row(&mut self, number: u32) -> Result<(), LedgerError> {
        match self.store.pick_row(|other, _| other == number)? {
            Some((slot, _)) => self.store.remove_row(slot),
            None => Ok(()),
        }
    }

    /// Keeps the name of a row that is given up. When there is no place left, the newest name makes room and the new one
    /// says so ([`GivenUp::more`]).
    ///
    /// # Errors
    /// [`LedgerError::Full`] where no rows are kept; the flash failed or is full.
    pub fn give_up(&mut self, row: &GivenUp) -> Result<(), LedgerError> {
        if !self.rows {
            return Err(LedgerError::Full);
        }
        let (mut vacant, mut newest) = (None, None::<(u8, GivenUp)>);
        for slot in (0..ROWS_GIVEN_UP).rev() {
            match self.given_up_in(slot)? {
                Some(there) if there.number == row.number => return Ok(()),
                Some(there) => {
                    if newest.as_ref().is_none_or(|(_, newest)| there.number > newest.number) {
                        newest = Some((slot, there));
                    }
                }
                None => vacant = Some(slot),
            }
        }
        let (slot, more) = match (vacant, newest) {
            (Some(slot), _) => (slot, row.more),
            (None, Some((slot, there))) => (slot, there.more.saturating_add(1)),
            (None, None) => (0, row.more),
        };
        let mut writer = RowWriter::default();
        writer.word(row.number).word(row.started_s).half(more).text(&row.job);
        self.store.put(Kind::GivenUp.key(slot), writer.row())
    }

    fn given_up_in(&mut self, slot: u8) -> Result<Option<GivenUp>, LedgerError> {
        match self.store.get(Kind::GivenUp.key(slot)) {
            Err(LedgerError::Damaged) => Ok(None),
            bytes => Ok(bytes?.and_then(GivenUp::read)),
        }
    }

    /// The first name of a row numbered `from` or above that was given up and is not told to any card yet.
    ///
    /// # Errors
    /// The flash failed.
    pub fn given_up(&mut self, from: u32) -> Result<Option<GivenUp>, LedgerError> {
        let mut first: Option<GivenUp> = None;
        for slot in 0..ROWS_GIVEN_UP {
            if let Some(there) = self.given_up_in(slot)?
                && there.number >= from
                && first.as_ref().is_none_or(|first| there.number < first.number)
            {
                first = Some(there);
            }
        }
        Ok(first)
    }

    /// A card's events say that the row of this number was given up.
    ///
    /// # Errors
    /// The flash failed or is full.
    pub fn given_up_is_told(&mut self, number: u32) -> Result<(), LedgerError> {
        for slot in 0..ROWS_GIVEN_UP {
            if self.given_up_in(slot)?.is_some_and(|there| there.number == number) {
                return self.store.remove(Kind::GivenUp.key(slot));
            }
        }
        Ok(())
    }
}
