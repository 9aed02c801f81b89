//! The one way of bytes to and from the flash: a value under a key.

use core::ops::Range;

use embassy_futures::block_on;
use embedded_storage::nor_flash::NorFlash;
use sequential_storage::Error;
use sequential_storage::cache::{Cache, Uncached, key_pointers::ArrayKeyPointers};
use sequential_storage::map::{MapConfig, MapStorage};

use crate::limits::LEDGER_VALUE_BYTES;

use super::LedgerError;
use super::guard::{FlashFault, Guard, Notes};

/// A key and a value. A whole number of the guard's words: the library reads so much at once.
const ITEM_BYTES: usize = LEDGER_VALUE_BYTES + 2;
const _: () = assert!(ITEM_BYTES.is_multiple_of(8));
/// Places in flash that are remembered, eight bytes each: looking for one that is not means reading all of it.
const PLACES: usize = 24;
/// Tries at writing a value that does not read back.
const TRIES: u8 = 2;
/// Opens every ledger of this layout.
const VERSION: &[u8] = b"HPL1";

type Places = Cache<Uncached, Uncached, ArrayKeyPointers<u16, PLACES>, u16>;

/// What a value is: the high byte of its key. The low one is its number within the kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(super) enum Kind {
    Version = 1,
    RunNumber = 2,
    Machine = 3,
    Hold = 4,
    Settled = 5,
    Spool = 6,
    Event = 7,
    Learned = 8,
    // 9 was a verdict's, in ledgers of earlier versions.
    RunState = 16,
    MachineSheet = 17,
    SpoolTicket = 18,
    RoomRules = 19,
    Picture = 20,
}

impl Kind {
    pub(super) const fn key(self, number: u8) -> u16 {
        u16::from_be_bytes([self as u8, number])
    }
}

/// The map, and the ledger's only buffer.
pub(super) struct Store<F: NorFlash> {
    map: MapStorage<u16, Guard<F>, Places>,
    buffer: [u8; ITEM_BYTES],
}

/// How a ledger is opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Opening {
    /// As it is.
    Whole,
    /// With its marks put in order.
    Rescue,
    /// Begun anew.
    Format,
}

fn told(error: &Error<FlashFault>) -> LedgerError {
    match error {
        Error::Storage { .. } => LedgerError::Flash,
        Error::FullStorage => LedgerError::Full,
        Error::ItemTooBig | Error::BufferTooSmall(_) | Error::SerializationError(_) => LedgerError::TooLong,
        _ => LedgerError::Damaged,
    }
}

impl<F: NorFlash> Store<F> {
    /// The ledger, and whether something was finished that a power cut had interrupted.
    pub(super) fn open(flash: F, opening: Opening) -> Result<(Self, bool), (LedgerError, F)> {
        let (mut guard, notes) = Guard::new(flash)?;
        let pages = guard.map_range();
        let ready = match opening {
            Opening::Format => guard.begin().map_err(LedgerError::from),
            Opening::Whole | Opening::Rescue => prepare(&mut guard, notes, opening),
        };
        if let Err(error) = ready {
            return Err((error, guard.into_flash()));
        }
        let mut store = match Self::over(guard, pages) {
            Ok(store) => store,
            Err(flash) => return Err((LedgerError::Unfit, flash)),
        };
        let ready = match opening {
            Opening::Format => store
                .put(Kind::Version.key(0), VERSION)
                .and_then(|()| store.map.flash().begun().map_err(LedgerError::from)),
            Opening::Whole | Opening::Rescue => match store.get(Kind::Version.key(0)) {
                Ok(Some(version)) if version == VERSION => Ok(()),
                Ok(Some(_)) => Err(LedgerError::Foreign),
                Ok(None) if notes == Notes::Lost => Err(LedgerError::Foreign),
                Ok(None) => Err(LedgerError::Damaged),
                Err(error) => Err(error),
            },
        };
        match ready {
            Ok(()) => Ok((store, notes == Notes::Interrupted)),
            Err(error) => Err((error, store.into_flash())),
        }
    }

    fn over(guard: Guard<F>, pages: Range<u32>) -> Result<Self, F> {
        let Ok(config) = MapConfig::try_new(pages) else { return Err(guard.into_flash()) };
        let places = Cache::new(Uncached, Uncached, ArrayKeyPointers::new());
        Ok(Self { map: MapStorage::new(guard, config, places), buffer: [0; ITEM_BYTES] })
    }

    pub(super) fn into_flash(self) -> F {
        let (guard, _) = self.map.destroy();
        guard.into_flash()
    }

    /// Bytes of rows that surely fit, whatever their order: one page is kept free, and each page may end with as
    /// much unused as the longest row needs.
    pub(super) fn room_bytes(&self) -> u32 {
        let range = self.map.flash_range();
        let pages = range.end.saturating_sub(range.start).checked_div(Guard::<F>::PAGE).unwrap_or_default();
        let lost = row_bytes(LEDGER_VALUE_BYTES).saturating_add(16);
        pages.saturating_sub(1).saturating_mul(Guard::<F>::PAGE.saturating_sub(lost))
    }

    /// The value under `key`, until the next call.
    #[inline(never)]
    pub(super) fn get(&mut self, key: u16) -> Result<Option<&[u8]>, LedgerError> {
        block_on(self.map.fetch_item::<&[u8]>(&mut self.buffer, &key)).map_err(|error| told(&error))
    }

    /// Keeps `value` under `key`: after this it is there, before and in between the old one. A value that is there
    /// already costs no write.
    #[inline(never)]
    pub(super) fn put(&mut self, key: u16, value: &[u8]) -> Result<(), LedgerError> {
        if value.len() > LEDGER_VALUE_BYTES {
            return Err(LedgerError::TooLong);
        }
        let mut tries = TRIES;
        // What is written is read back: a cell that does not take it, or a place that was not blank, shows here.
        while self.get(key)? != Some(value) {
            tries = tries.checked_sub(1).ok_or(LedgerError::Flash)?;
            block_on(self.map.store_item(&mut self.buffer, &key, &value)).map_err(|error| told(&error))?;
        }
        Ok(())
    }
}

/// Bytes of flash that a value of `bytes` takes: eight of head, two of key, in whole words.
pub(super) const fn row_bytes(bytes: usize) -> u32 {
    #[expect(clippy::cast_possible_truncation, reason = "held by the limit of a value")]
    let bytes = if bytes > LEDGER_VALUE_BYTES { LEDGER_VALUE_BYTES as u32 } else { bytes as u32 };
    bytes.saturating_add(2).next_multiple_of(8).saturating_add(8)
}

/// Makes the flash fit for the map, or says why it is not. Only an interrupted erase is finished unasked.
fn prepare<F: NorFlash>(guard: &mut Guard<F>, notes: Notes, opening: Opening) -> Result<(), LedgerError> {
    let rescue = opening == Opening::Rescue;
    match notes {
        Notes::Blank if guard.is_blank()? => return Err(LedgerError::Blank),
        Notes::Beginning => return Err(LedgerError::Blank),
        Notes::Blank | Notes::Lost if rescue => guard.renew_notes()?,
        Notes::Blank | Notes::Lost => return Err(LedgerError::Foreign),
        Notes::Interrupted => guard.resume()?,
        Notes::Quiet => {}
    }
    if rescue && !guard.is_in_order()? {
        guard.put_in_order()?;
    }
    if guard.is_in_order()? { Ok(()) } else { Err(LedgerError::Damaged) }
}
