//! Spool balances: all that is kept of one spool stands in one row, so that no cut can part its numbers.

use heapless::String;

use embedded_storage::nor_flash::NorFlash;

use crate::limits::{LEDGER_SPOOLS, TAG_BYTES};
use crate::units::Milligrams;

use super::kind::Kind;
use super::row::{RowReader, RowWriter};
use super::settled::SETTLED_BYTES;
use super::store::Store;
use super::{Ledger, LedgerError, Settled, SettledFor};

/// A spool's number on its ticket.
pub type SpoolTag = String<TAG_BYTES>;

/// What is known of the filament on a spool.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Balance {
    /// Filament left; below zero when more was used than there should have been.
    pub left: Milligrams,
    /// Give or take, of the last weighing.
    pub error: Milligrams,
    /// Used since it was weighed.
    pub used: Milligrams,
    /// Times it was loaded since it was weighed.
    pub loads: u16,
    /// The last run that was deducted; 0 for none.
    pub run: u32,
}

#[derive(Clone, Debug, Default)]
struct SpoolRow {
    tag: SpoolTag,
    balance: Balance,
    /// The number of the newest run when the row was last written: whose is lowest was not used for the longest.
    touched: u32,
    settled: Settled,
}

impl SpoolRow {
    fn read(bytes: &[u8]) -> Option<Self> {
        let mut row = RowReader(bytes);
        let mass = |row: &mut RowReader<'_>| Some(Milligrams(i64::from(row.word()?.cast_signed())));
        Some(Self {
            tag: row.text()?,
            balance: Balance {
                left: mass(&mut row)?,
                error: mass(&mut row)?,
                used: mass(&mut row)?,
                loads: row.half()?,
                run: row.word()?,
            },
            touched: row.word()?,
            settled: Settled(row.bytes(SETTLED_BYTES)?.try_into().ok()?),
        })
    }

    /// `None` when a mass is beyond ±2,147 kg.
    fn write(&self) -> Option<RowWriter> {
        let Self { tag, balance: Balance { left, error, used, loads, run }, touched, settled } = self;
        let mut row = RowWriter::default();
        row.text(tag);
        for mass in [left, error, used] {
            row.word(i32::try_from(mass.0).ok()?.cast_unsigned());
        }
        row.half(*loads).word(*run).word(*touched).bytes(&settled.0);
        Some(row)
    }
}

/// Where the search for a spool begins: tags differ in their last characters.
fn home(tag: &str) -> u8 {
    let sum = tag.bytes().fold(0_u8, |sum, byte| sum.wrapping_mul(31).wrapping_add(byte));
    sum.checked_rem(LEDGER_SPOOLS).unwrap_or_default()
}

impl<F: NorFlash> Store<F> {
    /// A slot's row; `None` when there is none, or none that can be read.
    fn spool_at(&mut self, slot: u8) -> Result<Option<SpoolRow>, LedgerError> {
        Ok(self.get(Kind::Spool.key(slot))?.and_then(SpoolRow::read))
    }

    /// The slot and the row of a spool; or the slot that it would take, with the row that makes room.
    #[inline(never)]
    fn find_spool(&mut self, tag: &str) -> Result<(u8, Option<SpoolRow>), LedgerError> {
        let mut oldest: Option<(u8, SpoolRow)> = None;
        let mut vacant = None;
        for step in 0..LEDGER_SPOOLS {
            let slot = home(tag).wrapping_add(step).checked_rem(LEDGER_SPOOLS).unwrap_or_default();
            match self.spool_at(slot)? {
                Some(row) if row.tag == tag => return Ok((slot, Some(row))),
                Some(row) => {
                    if oldest.as_ref().is_none_or(|(_, oldest)| row.touched < oldest.touched) {
                        oldest = Some((slot, row));
                    }
                }
                // The search goes on behind a vacant slot: its row may have been lost.
                None => vacant = vacant.or(Some(slot)),
            }
        }
        match (vacant, oldest) {
            (Some(slot), _) => Ok((slot, None)),
            (None, Some((slot, row))) => Ok((slot, Some(row))),
            (None, None) => Ok((0, None)),
        }
    }

    fn known_spool(&mut self, tag: &str) -> Result<(u8, SpoolRow), LedgerError> {
        match self.find_spool(tag)? {
            (slot, Some(row)) if row.tag == tag => Ok((slot, row)),
            _ => Err(LedgerError::UnknownSpool),
        }
    }
}

impl<F: NorFlash> Ledger<F> {
    /// The balance of a spool; `None` when none is kept.
    ///
    /// # Errors
    /// The flash failed or is damaged.
    pub fn balance(&mut self, spool: &str) -> Result<Option<Balance>, LedgerError> {
        match self.store.known_spool(spool) {
            Ok((_, row)) => Ok(Some(row.balance)),
            Err(LedgerError::UnknownSpool) => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// Each spool in turn, for `slot` from 0 to [`LEDGER_SPOOLS`]; `None` where none is kept.
    ///
    /// # Errors
    /// The flash failed or is damaged.
    pub fn spool_in(&mut self, slot: u8) -> Result<Option<(SpoolTag, Balance)>, LedgerError> {
        Ok(self.store.spool_at(slot)?.map(|row| (row.tag, row.balance)))
    }

    /// Begins a spool's balance, or begins it anew after a weighing: `left` give or take `error`, nothing used and
    /// not loaded since. What is settled for the spool stays so. Gives the spool that was forgotten to make room.
    ///
    /// # Errors
    /// [`LedgerError::TooLong`] for a tag or a mass beyond the limits; the flash failed, is damaged or full.
    pub fn weigh(
        &mut self,
        spool: &str,
        left: Milligrams,
        error: Milligrams,
    ) -> Result<Option<SpoolTag>, LedgerError> {
        let tag = SpoolTag::try_from(spool).map_err(|_| LedgerError::TooLong)?;
        let (slot, row) = self.store.find_spool(spool)?;
        let (mut new, forgotten) = match row {
            Some(row) if row.tag == tag => (row, None),
            Some(row) => (SpoolRow { tag, ..SpoolRow::default() }, Some(row.tag)),
            None => (SpoolRow { tag, ..SpoolRow::default() }, None),
        };
        new.balance = Balance { left, error, run: new.balance.run, ..Balance::default() };
        self.keep_spool(slot, new)?;
        Ok(forgotten)
    }

    /// Counts that the spool was loaded once more.
    ///
    /// # Errors
    /// No balance is kept for the spool; the flash failed, is damaged or full.
    pub fn load(&mut self, spool: &str) -> Result<(), LedgerError> {
        let (slot, mut row) = self.store.known_spool(spool)?;
        row.balance.loads = row.balance.loads.saturating_add(1);
        self.keep_spool(slot, row)
    }

    /// Deducts what a run used of a spool: once, however often it is asked. `false` when it was deducted before.
    ///
    /// A run's number is from [`Ledger::begin_run`], so it is higher than that of every run before.
    ///
    /// # Errors
    /// No balance is kept for the spool; [`LedgerError::TooLong`] for a mass beyond the limits; the flash failed, is
    /// damaged or full. Then nothing was deducted.
    pub fn deduct(&mut self, spool: &str, run: u32, used: Milligrams) -> Result<bool, LedgerError> {
        let (slot, mut row) = self.store.known_spool(spool)?;
        if run <= row.balance.run {
            return Ok(false);
        }
        row.balance.left = row.balance.left.saturating_sub(used);
        row.balance.used = row.balance.used.saturating_add(used);
        row.balance.run = run;
        self.keep_spool(slot, row)?;
        Ok(true)
    }

    /// The checks that are settled for the machine, or for a spool; none for a spool without a balance.
    ///
    /// # Errors
    /// The flash failed or is damaged.
    pub fn settled(&mut self, scope: SettledFor<'_>) -> Result<Settled, LedgerError> {
        match scope {
            SettledFor::Machine => {
                let bytes = self.store.get(Kind::Settled.key(0))?;
                let bits: Option<[u8; SETTLED_BYTES]> = bytes.and_then(|bytes| bytes.try_into().ok());
                Ok(bits.map(Settled).unwrap_or_default())
            }
            SettledFor::Spool(tag) => match self.store.known_spool(tag) {
                Ok((_, row)) => Ok(row.settled),
                Err(LedgerError::UnknownSpool) => Ok(Settled::default()),
                Err(error) => Err(error),
            },
        }
    }

    /// Settles a check's findings for the machine or for a spool, or takes that back. Which checks may be settled is
    /// for the checks to say.
    ///
    /// # Errors
    /// [`LedgerError::TooLong`] for a number without a bit ([`SETTLED_CHECKS`](crate::limits::SETTLED_CHECKS)); no
    /// balance is kept for the spool; the flash failed, is damaged or full.
    pub fn settle(&mut self, check: u8, scope: SettledFor<'_>, settled: bool) -> Result<(), LedgerError> {
        match scope {
            SettledFor::Machine => {
                let mut bits = self.settled(scope)?;
                bits.set(check, settled).ok_or(LedgerError::TooLong)?;
                self.store.put(Kind::Settled.key(0), &bits.0)
            }
            SettledFor::Spool(tag) => {
                let (slot, mut row) = self.store.known_spool(tag)?;
                row.settled.set(check, settled).ok_or(LedgerError::TooLong)?;
                self.keep_spool(slot, row)
            }
        }
    }

    fn keep_spool(&mut self, slot: u8, mut row: SpoolRow) -> Result<(), LedgerError> {
        row.touched = self.run;
        let row = row.write().ok_or(LedgerError::TooLong)?;
        self.store.put(Kind::Spool.key(slot), row.row())
    }
}
