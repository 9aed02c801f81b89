//! The ledger as a whole.

use core::fmt;

use embedded_storage::nor_flash::NorFlash;

use crate::limits::{
    LEARNED_VALUES, LEDGER_EVENTS, LEDGER_SPOOLS, LEDGER_VALUE_BYTES, PICTURE_BYTES, RECORD_BYTES,
    RUN_STATE_BYTES,
};

use super::event::EventRing;
use super::kind::Kind;
use super::layout::{WAITING_BYTES, row_bytes};
use super::long::long_bytes;
use super::losses::Losses;
use super::row::{RowReader, RowWriter};
use super::store::Store;
use super::{LedgerError, MachineState};

/// Flash that records may not take: the most that everything else ever needs.
pub(super) const KEPT_FREE: u32 = LEDGER_SPOOLS as u32 * row_bytes(55)
    + LEDGER_EVENTS as u32 * row_bytes(18)
    + LEARNED_VALUES as u32 * row_bytes(LEDGER_VALUE_BYTES)
    // Each piece of a run's state has two places.
    + 2 * long_bytes(RUN_STATE_BYTES)
    // Machine, hold, settled, run number, losses, the heads of records and picture.
    + row_bytes(50)
    + 8 * row_bytes(16);

/// Flash that the longest picture takes, each piece in both its places.
const TWO_PICTURES: u32 = 2 * long_bytes(PICTURE_BYTES);

/// Flash in which there is room for rows besides the most of everything: all records, one of them twice while it is
/// replaced.
pub(super) const WITH_ROWS: u32 = KEPT_FREE + 4 * long_bytes(RECORD_BYTES) + TWO_PICTURES + WAITING_BYTES;

/// A record taken over from a card: the file's bytes as they are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Record {
    /// MACHINE.JSN.
    Machine,
    /// SPOOL.JSN of the spool on the machine.
    Spool,
    /// ROOM.JSN.
    Room,
}

impl Record {
    const ALL: [Self; 3] = [Self::Machine, Self::Spool, Self::Room];

    const fn kind(self) -> Kind {
        match self {
            Self::Machine => Kind::MachineSheet,
            Self::Spool => Kind::SpoolTicket,
            Self::Room => Kind::RoomRules,
        }
    }
}

/// That the room's lead holds the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct MachineHold {
    /// Why: the number of the answer that the phases define.
    pub reason: u8,
    /// Since when, in seconds since 2000-01-01 00:00 of the room's local time; 0 when the clock was not set.
    pub since_s: u32,
}

/// What survives a power cut.
///
/// Every method that changes something returns when it is in flash and was read back; until then a power cut leaves
/// what was before. One value never shows in part.
pub struct Ledger<F: NorFlash> {
    pub(super) store: Store<F>,
    /// The newest run's number.
    pub(super) run: u32,
    pub(super) next_event: u32,
    pub(super) ring: EventRing,
    /// There is room for rows.
    pub(super) rows: bool,
    pub(super) finished: bool,
}

impl<F: NorFlash> fmt::Debug for Ledger<F> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Ledger")
    }
}

impl<F: NorFlash> Ledger<F> {
    /// What the flash lost since somebody last read it ([`Ledger::losses_are_read`]).
    pub const fn losses(&self) -> Losses {
        self.store.losses
    }

    /// Somebody has read what was lost.
    ///
    /// # Errors
    /// The flash failed or is full.
    pub fn losses_are_read(&mut self) -> Result<(), LedgerError> {
        if self.store.losses.is_empty() {
            return Ok(());
        }
        self.store.put(Kind::Losses.key(0), Losses::default().write(self.store.losses_known).row())?;
        self.store.losses = Losses::default();
        Ok(())
    }

    /// Hands the flash back.
    pub fn close(self) -> F {
        self.store.into_flash()
    }

    /// Whether the opening had to finish an erase that a power cut had interrupted.
    pub const fn finished_an_erase(&self) -> bool {
        self.finished
    }

    pub(super) fn word(&mut self, kind: Kind) -> Result<Option<u32>, LedgerError> {
        let bytes = self.store.get(kind.key(0))?;
        Ok(bytes.and_then(|bytes| bytes.try_into().ok()).map(u32::from_le_bytes))
    }

    /// Numbers a new run, from 1 on. The number is used up, whatever becomes of the run.
    ///
    /// # Errors
    /// The flash failed, is damaged or full.
    pub fn begin_run(&mut self) -> Result<u32, LedgerError> {
        let run = self.run.saturating_add(1);
        self.store.put(Kind::RunNumber.key(0), &run.to_le_bytes())?;
        self.run = run;
        Ok(run)
    }

    /// The newest run's number; 0 before the first.
    pub const fn run(&self) -> u32 {
        self.run
    }

    /// Keeps the state of the run, to take it up again. Only what changed is written.
    ///
    /// # Errors
    /// [`LedgerError::TooLong`] beyond [`RUN_STATE_BYTES`]; the flash failed, is damaged or full.
    pub fn save_run(&mut self, state: &[u8]) -> Result<(), LedgerError> {
        if state.len() > RUN_STATE_BYTES {
            return Err(LedgerError::TooLong);
        }
        self.store.put_long(Kind::RunState, state)
    }

    /// No run is to be taken up.
    ///
    /// # Errors
    /// The flash failed, is damaged or full.
    pub fn clear_run(&mut self) -> Result<(), LedgerError> {
        self.save_run(&[])
    }

    /// The state of the run that was not closed, at the beginning of `into`: its length. `None` when there is none.
    ///
    /// # Errors
    /// [`LedgerError::TooLong`] when `into` is too short; the flash failed or is damaged.
    pub fn saved_run(&mut self, into: &mut [u8]) -> Result<Option<usize>, LedgerError> {
        self.store.get_long(Kind::RunState, into)
    }

    /// Keeps the picture of the first layer that a run begins with, in place of the last one's.
    ///
    /// # Errors
    /// [`LedgerError::TooLong`] beyond [`PICTURE_BYTES`]; [`LedgerError::Full`] when it would take the place that
    /// balances, runs and the records need: then nothing was changed; the flash failed or is damaged.
    pub fn save_picture(&mut self, picture: &[u8]) -> Result<(), LedgerError> {
        if picture.len() > PICTURE_BYTES {
            return Err(LedgerError::TooLong);
        }
        let (others, room) = (self.kept_bytes()?, self.store.room_bytes());
        // Each piece has two places. To look which of them are taken is worth it in little flash alone: it takes long.
        if others.saturating_add(TWO_PICTURES) > room {
            let needed = others.saturating_add(long_bytes(picture.len()));
            if needed > room {
                return Err(LedgerError::Full);
            }
            // The old one stays until the new one counts, where there is room for both.
            let old = long_bytes(self.store.long_length(Kind::Picture)?);
            if needed.saturating_add(old) > room {
                self.store.put_long(Kind::Picture, &[])?;
            }
            self.store.tidy_long(Kind::Picture)?;
        }
        self.store.put_long(Kind::Picture, picture)
    }

    /// The picture that was kept last, at the beginning of `into`: its length. `None` when there is none.
    ///
    /// # Errors
    /// [`LedgerError::TooLong`] when `into` is too short; the flash failed or is damaged.
    pub fn saved_picture(&mut self, into: &mut [u8]) -> Result<Option<usize>, LedgerError> {
        self.store.get_long(Kind::Picture, into)
    }

    /// Flash that the records take and all that is not theirs may.
    fn kept_bytes(&mut self) -> Result<u32, LedgerError> {
        let mut needed = KEPT_FREE.saturating_add(if self.rows { WAITING_BYTES } else { 0 });
        for kept in Record::ALL {
            needed = needed.saturating_add(long_bytes(self.store.long_length(kept.kind())?));
        }
        Ok(needed)
    }

    /// What the machine was left with; all zero before the first run.
    ///
    /// # Errors
    /// The flash failed or is damaged.
    pub fn machine(&mut self) -> Result<MachineState, LedgerError> {
        Ok(self.store.get(Kind::Machine.key(0))?.and_then(MachineState::read).unwrap_or_default())
    }

    /// Replaces the machine's state, between runs: the plate was washed, the nozzle changed.
    ///
    /// # Errors
    /// The flash failed, is damaged or full.
    pub fn set_machine(&mut self, state: &MachineState) -> Result<(), LedgerError> {
        self.store.put(Kind::Machine.key(0), state.write().row())
    }

    /// Closes a run with the machine's state after it: once, however often it is asked. `false` when this run, or a
    /// later one, was closed before.
    ///
    /// # Errors
    /// The flash failed, is damaged or full.
    pub fn close_run(&mut self, state: &MachineState) -> Result<bool, LedgerError> {
        if state.run <= self.machine()?.run {
            return Ok(false);
        }
        self.set_machine(state)?;
        Ok(true)
    }

    /// Why the machine is on hold; `None` when it is not.
    ///
    /// # Errors
    /// The flash failed or is damaged.
    pub fn hold(&mut self) -> Result<Option<MachineHold>, LedgerError> {
        let Some(bytes) = self.store.get(Kind::Hold.key(0))? else { return Ok(None) };
        let mut row = RowReader(bytes);
        Ok(row.byte().map(|reason| MachineHold { reason, since_s: row.word().unwrap_or_default() }))
    }

    /// Puts the machine on hold, or takes it off.
    ///
    /// # Errors
    /// The flash failed, is damaged or full.
    pub fn set_hold(&mut self, hold: Option<MachineHold>) -> Result<(), LedgerError> {
        let mut row = RowWriter::default();
        if let Some(MachineHold { reason, since_s }) = hold {
            row.byte(reason).word(since_s);
        }
        self.store.put(Kind::Hold.key(0), row.row())
    }

    /// A learned value, until the next call.
    ///
    /// # Errors
    /// The flash failed or is damaged.
    pub fn learned(&mut self, key: u8) -> Result<Option<&[u8]>, LedgerError> {
        self.store.get(Kind::Learned.key(key))
    }

    /// Keeps a learned value under a key of the caller's, below [`LEARNED_VALUES`].
    ///
    /// # Errors
    /// [`LedgerError::TooLong`] beyond [`LEDGER_VALUE_BYTES`] or that key; the flash failed, is damaged or full.
    pub fn learn(&mut self, key: u8, value: &[u8]) -> Result<(), LedgerError> {
        if key >= LEARNED_VALUES {
            return Err(LedgerError::TooLong);
        }
        self.store.put(Kind::Learned.key(key), value)
    }

    /// Takes a record over: the file's bytes, in place of the ones before. An empty one takes it away.
    ///
    /// # Errors
    /// [`LedgerError::TooLong`] beyond [`RECORD_BYTES`]; [`LedgerError::Full`] when it would take the place that
    /// balances and runs need: then nothing was changed; the flash failed or is damaged.
    pub fn take_over(&mut self, record: Record, text: &[u8]) -> Result<(), LedgerError> {
        if text.len() > RECORD_BYTES {
            return Err(LedgerError::TooLong);
        }
        for kept in Record::ALL {
            self.store.tidy_long(kept.kind())?;
        }
        // The old text stays until the new one counts.
        let needed = self.kept_bytes()?.saturating_add(long_bytes(text.len()));
        let room = self.store.room_bytes();
        if needed > room {
            return Err(LedgerError::Full);
        }
        // A record is worth more than the last run's picture.
        if needed.saturating_add(TWO_PICTURES) > room && self.store.long_length(Kind::Picture)? > 0 {
            self.store.put_long(Kind::Picture, &[])?;
            self.store.tidy_long(Kind::Picture)?;
        }
        self.store.put_long(record.kind(), text)?;
        self.store.tidy_long(record.kind())
    }

    /// A record that was taken over, at the beginning of `into`: its length. `None` when there is none.
    ///
    /// # Errors
    /// [`LedgerError::TooLong`] when `into` is too short; the flash failed or is damaged.
    pub fn record(&mut self, record: Record, into: &mut [u8]) -> Result<Option<usize>, LedgerError> {
        self.store.get_long(record.kind(), into)
    }
}
