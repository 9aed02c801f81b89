//! Values longer than one row, replaced as a whole: in pieces, and a head that says which pieces count.
//!
//! Each piece has two places. A changed piece goes to the place that does not count, an unchanged one stays where it
//! is; then one row, the head, makes the new whole count. So a power cut leaves the old whole or the new one, and a
//! run's state in which little changed costs little.
//!
//! Head: length (16 bits), CRC-32 of the whole, one bit a piece for the place that counts; all little-endian.

use embedded_storage::nor_flash::NorFlash;

use crate::limits::{LEDGER_VALUE_BYTES, RECORD_BYTES, RUN_STATE_BYTES};

use super::LedgerError;
use super::checksum::{RunningCrc, crc32};
use super::kind::Kind;
use super::layout::row_bytes;
use super::store::Store;

/// The head's number, beyond those of the pieces.
pub(super) const HEAD: u8 = 0x7F;
/// The other place of a piece.
const OTHER_PLACE: u8 = 0x80;
/// The longest of them all.
const MOST_BYTES: usize = if RECORD_BYTES > RUN_STATE_BYTES { RECORD_BYTES } else { RUN_STATE_BYTES };
#[expect(clippy::cast_possible_truncation, reason = "held by the assertion below")]
const MOST_PIECES: u8 = MOST_BYTES.div_ceil(LEDGER_VALUE_BYTES) as u8;
const _: () = assert!(MOST_BYTES.div_ceil(LEDGER_VALUE_BYTES) <= 64, "one bit a piece");

/// Bytes of flash that a whole takes, if all its pieces stand in one place only.
pub(super) const fn long_bytes(bytes: usize) -> u32 {
    #[expect(clippy::cast_possible_truncation, reason = "a whole is a few kilobytes")]
    let pieces = bytes.div_ceil(LEDGER_VALUE_BYTES) as u32;
    pieces.saturating_mul(row_bytes(LEDGER_VALUE_BYTES)).saturating_add(row_bytes(14))
}

#[derive(Clone, Copy, Debug, Default)]
struct LongHead {
    length: u16,
    crc: u32,
    places: u64,
}

impl LongHead {
    fn pieces(self) -> u8 {
        u8::try_from(usize::from(self.length).div_ceil(LEDGER_VALUE_BYTES)).unwrap_or(MOST_PIECES)
    }

    fn key(self, kind: Kind, piece: u8) -> u16 {
        let other = self.places.wrapping_shr(u32::from(piece)) & 1 != 0;
        kind.key(if other { piece | OTHER_PLACE } else { piece })
    }

    fn flip(&mut self, piece: u8) {
        self.places ^= 1_u64.wrapping_shl(u32::from(piece));
    }
}

impl<F: NorFlash> Store<F> {
    fn head(&mut self, kind: Kind) -> Result<LongHead, LedgerError> {
        let Some(bytes) = self.get(kind.key(HEAD))? else { return Ok(LongHead::default()) };
        let Ok([l0, l1, c0, c1, c2, c3, places @ ..]) = <[u8; 14]>::try_from(bytes) else {
            return Err(LedgerError::Damaged);
        };
        Ok(LongHead {
            length: u16::from_le_bytes([l0, l1]),
            crc: u32::from_le_bytes([c0, c1, c2, c3]),
            places: u64::from_le_bytes(places),
        })
    }

    /// Bytes kept of a kind; 0 when there is none.
    pub(super) fn long_length(&mut self, kind: Kind) -> Result<usize, LedgerError> {
        Ok(usize::from(self.head(kind)?.length))
    }

    /// Reads the whole into the beginning of `into`, and says its length; `None` when there is none.
    #[inline(never)]
    pub(super) fn get_long(&mut self, kind: Kind, into: &mut [u8]) -> Result<Option<usize>, LedgerError> {
        let head = self.head(kind)?;
        let length = usize::from(head.length);
        if length == 0 {
            return Ok(None);
        }
        let whole = into.get_mut(..length).ok_or(LedgerError::TooLong)?;
        for (piece, part) in (0_u8..).zip(whole.chunks_mut(LEDGER_VALUE_BYTES)) {
            match self.get(head.key(kind, piece))? {
                Some(bytes) if bytes.len() == part.len() => part.copy_from_slice(bytes),
                _ => return Err(LedgerError::Damaged),
            }
        }
        // Each row has a checksum of its own; this one holds the rows together, should one be lost and an older one
        // take its place.
        if crc32(whole) == head.crc { Ok(Some(length)) } else { Err(LedgerError::Damaged) }
    }

    /// Whether all pieces that count are there and belong together; so they do where there are none.
    #[inline(never)]
    pub(super) fn is_whole(&mut self, kind: Kind) -> Result<bool, LedgerError> {
        let (head, mut sum, mut length) = match self.head(kind) {
            Ok(head) => (head, RunningCrc::new(), 0_usize),
            Err(LedgerError::Damaged) => return Ok(false),
            Err(error) => return Err(error),
        };
        for piece in 0..head.pieces() {
            match self.get(head.key(kind, piece)) {
                Ok(Some(bytes)) => {
                    sum.feed(bytes);
                    length = length.saturating_add(bytes.len());
                }
                Ok(None) | Err(LedgerError::Damaged) => return Ok(false),
                Err(error) => return Err(error),
            }
        }
        Ok(length == usize::from(head.length) && (length == 0 || sum.sum() == head.crc))
    }

    /// Replaces the whole. An empty one counts as none.
    #[inline(never)]
    pub(super) fn put_long(&mut self, kind: Kind, whole: &[u8]) -> Result<(), LedgerError> {
        // A head that cannot be read must not keep a new whole out.
        let old = self.head(kind).or_else(|error| match error {
            LedgerError::Damaged => Ok(LongHead::default()),
            error => Err(error),
        })?;
        let length = u16::try_from(whole.len()).ok().filter(|_| whole.len() <= MOST_BYTES);
        let mut new = LongHead {
            length: length.ok_or(LedgerError::TooLong)?,
            crc: if whole.is_empty() { 0 } else { crc32(whole) },
            places: old.places,
        };
        for (piece, part) in (0_u8..).zip(whole.chunks(LEDGER_VALUE_BYTES)) {
            if piece < old.pieces()
                && matches!(self.get(old.key(kind, piece)), Ok(Some(there)) if there == part)
            {
                continue;
            }
            new.flip(piece);
            self.put(new.key(kind, piece), part)?;
        }
        let [l0, l1] = new.length.to_le_bytes();
        let [c0, c1, c2, c3] = new.crc.to_le_bytes();
        let [p0, p1, p2, p3, p4, p5, p6, p7] = new.places.to_le_bytes();
        self.put(kind.key(HEAD), &[l0, l1, c0, c1, c2, c3, p0, p1, p2, p3, p4, p5, p6, p7])
    }

    /// Gives back the flash of pieces that do not count.
    #[inline(never)]
    pub(super) fn tidy_long(&mut self, kind: Kind) -> Result<(), LedgerError> {
        let mut head = self.head(kind)?;
        let pieces = head.pieces();
        for piece in 0..MOST_PIECES {
            for counts in [true, false] {
                let key = head.key(kind, piece);
                if !(counts && piece < pieces) {
                    self.remove(key)?;
                }
                head.flip(piece);
            }
        }
        Ok(())
    }
}
