//! Folders that begin with long names of their own `.` and `..`.
//!
//! Microsoft's FAT overview 1.03 wants a folder's first two entries to be `.` and `..`; the volume library refuses a
//! folder that begins otherwise. At least one widely used writer puts a long-name entry before each, and other
//! readers take no offence, so such a block is put in order on its way in: the two first, the long names marked as
//! deleted. Nothing is written; a block that is written back for another reason goes back in that order.

const ENTRY_BYTES: usize = 32;
const ATTRIBUTES: usize = 11;
const LONG_NAME: u8 = 0x0F;
const FOLDER: u8 = 0x10;
const DELETED: u8 = 0xE5;
/// A long name's only piece: number 1, and the last.
const ONLY_PIECE: u8 = 0x41;

/// Puts the beginning of such a folder in order; leaves every other block alone.
pub(super) fn put_in_order(block: &mut [u8]) {
    // Told by two bytes in all blocks but these.
    if block.first() != Some(&ONLY_PIECE) || block.get(ATTRIBUTES) != Some(&LONG_NAME) {
        return;
    }
    let Some((head, _)) = block.split_at_mut_checked(4 * ENTRY_BYTES) else { return };
    let (long_own, rest) = head.split_at_mut(ENTRY_BYTES);
    let (own, rest) = rest.split_at_mut(ENTRY_BYTES);
    let (long_parent, parent) = rest.split_at_mut(ENTRY_BYTES);
    let is_long = |entry: &[u8], name: &[u8]| {
        entry.starts_with(&[ONLY_PIECE])
            && entry.get(1..7) == Some(name)
            && entry.get(ATTRIBUTES) == Some(&LONG_NAME)
    };
    let is_folder = |entry: &[u8], name: &[u8]| {
        entry.starts_with(name) && entry.get(ATTRIBUTES).is_some_and(|attributes| attributes & FOLDER != 0)
    };
    if !is_long(long_own, b".\0\0\0\xFF\xFF")
        || !is_folder(own, b".          ")
        || !is_long(long_parent, b".\0.\0\0\0")
        || !is_folder(parent, b"..         ")
    {
        return;
    }
    // long ., ., long .., ..  →  ., .., deleted, deleted
    long_own.swap_with_slice(own);
    own.swap_with_slice(parent);
    for long in [long_parent, parent] {
        if let Some(mark) = long.first_mut() {
            *mark = DELETED;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder() -> [u8; 512] {
        let mut block = [0; 512];
        block[..7].copy_from_slice(b"\x41.\0\0\0\xFF\xFF");
        block[ATTRIBUTES] = LONG_NAME;
        block[32..44].copy_from_slice(b".          \x10");
        block[64..71].copy_from_slice(b"\x41.\0.\0\0\0");
        block[64 + ATTRIBUTES] = LONG_NAME;
        block[96..108].copy_from_slice(b"..         \x10");
        block[128..140].copy_from_slice(b"PART    GCO\x20");
        block
    }

    #[test]
    fn dots_come_first_and_the_rest_stays() {
        let mut block = folder();
        put_in_order(&mut block);
        assert!(block.starts_with(b".          \x10"));
        assert!(block[32..].starts_with(b"..         \x10"));
        assert_eq!((block[64], block[96]), (DELETED, DELETED));
        assert_eq!(block[128..], folder()[128..]);
    }

    #[test]
    fn other_blocks_stay_as_they_are() {
        for at in [0, 1, 3, ATTRIBUTES, 32, 33, 43, 64, 65, 67, 64 + ATTRIBUTES, 96, 97, 107] {
            let mut block = folder();
            block[at] ^= 0x30;
            let before = block;
            put_in_order(&mut block);
            assert_eq!(block, before, "byte {at}");
        }
        let mut short = [ONLY_PIECE, 0, 0];
        put_in_order(&mut short);
    }
}
