//! How a page is laid out: its head, its rows from the front, a slot for each row from the back.
//!
//! ```text
//! head (16)   row 0   row 1   ...   blank   ...   slot 1   slot 0   head again (16)
//! ```
//!
//! A row and its slot stand apart and say the same, so that one damaged place never hides both. All numbers are
//! little-endian.
//!
//! | what | bytes |
//! | --- | --- |
//! | head | `HPL2`, order of the page (32 bits), count of its first row (32 bits), CRC-32 of these twelve |
//! | row | key (16 bits), length (8), count (lowest 8), CRC-32 of these four and the value; then the value in whole words |
//! | slot | key (16), length (8), count (lowest 8), place of the row in the page (16, in words), CRC-16 of these six |
//!
//! The slot is written when the row was read back: it is what confirms. So a broken row without a slot is what a power
//! cut left, and a broken row with one was damaged.

use crate::limits::{LEDGER_VALUE_BYTES, NAME_BYTES, ROW_KEPT_BYTES, ROWS_GIVEN_UP, ROWS_KEPT};

use super::checksum::{Sum, check, crc16, crc32, turn_bit};

/// Opens every page of this layout.
const MAGIC: [u8; 4] = *b"HPL2";
/// Bytes of a page's head.
pub(super) const HEAD: u32 = 16;
/// Bytes of a slot.
pub(super) const SLOT: u32 = 8;
/// Bytes of a row before its value.
pub(super) const ROW_HEAD: usize = 8;
/// The longest row.
pub(super) const ROW_BYTES: usize = ROW_HEAD + LEDGER_VALUE_BYTES.next_multiple_of(8);
/// Slots that rows leave free: that the page is closed, and that an older page is erased.
pub(super) const SLOTS_KEPT: u32 = 2;

/// Instead of a length: the value was removed.
const REMOVED: u8 = 0xFF;
/// Instead of a key: the page is closed, the next one is begun.
const CLOSED: u16 = 0xFE01;
/// Instead of a key: all of the page whose number is the length was moved, and it is being erased.
const ERASING: u16 = 0xFE02;

/// Bytes of flash that a value of `bytes` takes, with its slot.
pub(super) const fn row_bytes(bytes: usize) -> u32 {
    row_size(bytes).saturating_add(SLOT)
}

/// Bytes of a row, without its slot.
#[expect(clippy::cast_possible_truncation, reason = "held by the limit of a value")]
pub(super) const fn row_size(bytes: usize) -> u32 {
    let bytes = if bytes > LEDGER_VALUE_BYTES { LEDGER_VALUE_BYTES } else { bytes };
    ROW_HEAD.saturating_add(bytes.next_multiple_of(8)) as u32
}

/// Whether a key is one that rows may have.
pub(super) const fn is_key(key: u16) -> bool {
    matches!(key >> 8, 1..32)
}

/// The head of a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct PageHead {
    /// Rises by one from page to page; from 1 on.
    pub(super) order: u32,
    /// The count of its first row.
    pub(super) first: u32,
}

impl PageHead {
    pub(super) fn bytes(self) -> [u8; HEAD as usize] {
        let [m0, m1, m2, m3] = MAGIC;
        let [o0, o1, o2, o3] = self.order.to_le_bytes();
        let [f0, f1, f2, f3] = self.first.to_le_bytes();
        let [c0, c1, c2, c3] = crc32(&[m0, m1, m2, m3, o0, o1, o2, o3, f0, f1, f2, f3]).to_le_bytes();
        [m0, m1, m2, m3, o0, o1, o2, o3, f0, f1, f2, f3, c0, c1, c2, c3]
    }

    pub(super) fn read(mut bytes: [u8; HEAD as usize]) -> Option<Self> {
        let [text @ .., c0, c1, c2, c3] = &mut bytes;
        match check(text, &[], u32::from_le_bytes([*c0, *c1, *c2, *c3])) {
            Sum::Whole | Sum::OneBit(None) => {}
            Sum::OneBit(Some(bit)) => turn_bit(text, bit),
            Sum::Broken => return None,
        }
        let [m0, m1, m2, m3, o0, o1, o2, o3, f0, f1, f2, f3, ..] = bytes;
        let head =
            Self { order: u32::from_le_bytes([o0, o1, o2, o3]), first: u32::from_le_bytes([f0, f1, f2, f3]) };
        ([m0, m1, m2, m3] == MAGIC && head.order > 0).then_some(head)
    }
}

/// What a slot says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Slot {
    /// A row of this key and length stands so many words from the page's start.
    Row { key: u16, length: u8, count: u8, at: u16 },
    /// There is no value under this key from here on.
    Removed { key: u16, count: u8 },
    /// The next page was begun.
    Closed,
    /// That page, of this order (lowest 16 bits), is being erased.
    Erasing { page: u8, order: u16 },
}

/// A slot as it is found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FoundSlot {
    Blank,
    Broken,
    Slot(Slot),
}

impl Slot {
    pub(super) fn bytes(self) -> [u8; SLOT as usize] {
        let (key, length, count, at) = match self {
            Self::Row { key, length, count, at } => (key, length, count, at),
            Self::Removed { key, count } => (key, REMOVED, count, 0),
            Self::Closed => (CLOSED, 0, 0, 0),
            Self::Erasing { page, order } => (ERASING, page, 0, order),
        };
        let ([k0, k1], [a0, a1]) = (key.to_le_bytes(), at.to_le_bytes());
        let [c0, c1] = crc16(&[k0, k1, length, count, a0, a1]).to_le_bytes();
        [k0, k1, length, count, a0, a1, c0, c1]
    }

    /// Whether bytes are at most a bit away from the beginning of such a note.
    pub(super) fn may_be_erasing([k0, k1, ..]: [u8; SLOT as usize]) -> bool {
        (u16::from_le_bytes([k0, k1]) ^ ERASING).count_ones() <= 1
    }

    pub(super) fn whole(bytes: [u8; SLOT as usize]) -> Option<Self> {
        let [k0, k1, length, count, a0, a1, c0, c1] = bytes;
        if crc16(&[k0, k1, length, count, a0, a1]) != u16::from_le_bytes([c0, c1]) {
            return None;
        }
        let (key, at) = (u16::from_le_bytes([k0, k1]), u16::from_le_bytes([a0, a1]));
        match (key, length) {
            (CLOSED, _) => Some(Self::Closed),
            (ERASING, page) => Some(Self::Erasing { page, order: at }),
            (key, REMOVED) if is_key(key) => Some(Self::Removed { key, count }),
            (key, length) if is_key(key) && usize::from(length) <= LEDGER_VALUE_BYTES => {
                Some(Self::Row { key, length, count, at })
            }
            _ => None,
        }
    }
}

impl FoundSlot {
    pub(super) fn read(mut bytes: [u8; SLOT as usize]) -> Self {
        if bytes == [0xFF; SLOT as usize] {
            return Self::Blank;
        }
        if let Some(slot) = Slot::whole(bytes) {
            return Self::Slot(slot);
        }
        for bit in 0..8 * SLOT {
            turn_bit(&mut bytes, bit);
            if let Some(slot) = Slot::whole(bytes) {
                return Self::Slot(slot);
            }
            turn_bit(&mut bytes, bit);
        }
        Self::Broken
    }
}

/// The checksum of a row.
pub(super) fn row_crc(key: u16, length: u8, count: u8, value: &[u8]) -> u32 {
    let [k0, k1] = key.to_le_bytes();
    let mut digest = super::checksum::RunningCrc::new();
    digest.feed(&[k0, k1, length, count]);
    digest.feed(value);
    digest.sum()
}

/// Number, length and checksum of the row, before its first bytes.
pub(super) const WAITING_HEAD: usize = 10;
/// Pieces of the longest row.
pub(super) const WAITING_PIECES: u8 = 3;
const _: () =
    assert!(ROW_KEPT_BYTES == WAITING_PIECES as usize * LEDGER_VALUE_BYTES - WAITING_HEAD, "a row's pieces");
const _: () = assert!(ROWS_KEPT.checked_mul(WAITING_PIECES).is_some(), "a key for each piece");

/// Keys that waiting rows and the names of those given up take.
pub(super) const WAITING_KEYS: usize = ROWS_KEPT as usize * WAITING_PIECES as usize + ROWS_GIVEN_UP as usize;

/// Flash that they take at most.
pub(super) const WAITING_BYTES: u32 =
    ROWS_KEPT as u32 * WAITING_PIECES as u32 * row_bytes(LEDGER_VALUE_BYTES)
        + ROWS_GIVEN_UP as u32 * row_bytes(GIVEN_UP_BYTES);

const GIVEN_UP_BYTES: usize = 11 + NAME_BYTES;
