//! Both ends of a job are read twice: for its comments, and when it is surveyed. A card that gives different bytes the
//! second time is worn or false (check 4).

use crate::survey::Crc32;

/// Sums over the bytes that are read twice.
pub(super) struct Reread {
    first: Crc32,
    second: Crc32,
    first_bytes: u64,
    second_bytes: u64,
    /// The head's bytes end here.
    head_to: u64,
    /// The tail's bytes begin here; the file's size where there is no tail.
    tail_from: u64,
}

impl core::fmt::Debug for Reread {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        // A running sum has no form to be shown in.
        f.debug_struct("Reread")
            .field("head_to", &self.head_to)
            .field("tail_from", &self.tail_from)
            .finish_non_exhaustive()
    }
}

impl Reread {
    /// For a file whose first `head_to` bytes and all from `tail_from` on are read first.
    pub(super) fn new(head_to: u64, tail_from: u64) -> Self {
        Self {
            first: Crc32::new(),
            second: Crc32::new(),
            first_bytes: 0,
            second_bytes: 0,
            head_to,
            tail_from,
        }
    }

    /// The bytes of the ends, in their order.
    pub(super) fn feed_first(&mut self, bytes: &[u8]) {
        self.first.update(bytes);
        self.first_bytes = self.first_bytes.saturating_add(bytes.len() as u64);
    }

    /// All of the file's bytes: these stand at `offset`.
    pub(super) fn feed_second(&mut self, offset: u64, bytes: &[u8]) {
        let to = offset.saturating_add(bytes.len() as u64);
        for (from, until) in [(0, self.head_to), (self.tail_from.max(self.head_to), u64::MAX)] {
            let from = from.max(offset).saturating_sub(offset);
            let until = until.min(to).saturating_sub(offset);
            if let (Ok(from), Ok(until)) = (usize::try_from(from), usize::try_from(until))
                && let Some(part) = bytes.get(from..until)
            {
                self.second.update(part);
                self.second_bytes = self.second_bytes.saturating_add(part.len() as u64);
            }
        }
    }

    /// The ends' sum as they were read first.
    pub(super) fn first_sum(&self) -> u32 {
        self.first.value()
    }

    /// Whether the two readings differ, once both are complete.
    pub(super) fn differs(&self) -> bool {
        self.first_bytes != self.second_bytes || self.first.value() != self.second.value()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::vec::Vec;

    fn twice(second: &[u8], chunk: usize) -> bool {
        let first: Vec<u8> = (0..100).collect();
        let mut sums = Reread::new(16, 80);
        sums.feed_first(&first[..10]);
        sums.feed_first(&first[10..16]);
        sums.feed_first(&first[80..]);
        for (number, bytes) in second.chunks(chunk).enumerate() {
            sums.feed_second((number * chunk) as u64, bytes);
        }
        sums.differs()
    }

    #[test]
    fn a_change_at_either_end_is_told_and_one_between_is_not() {
        let file: Vec<u8> = (0..100).collect();
        for chunk in [1, 7, 16, 64, 100] {
            assert!(!twice(&file, chunk), "{chunk}");
            for (at, told) in [(0, true), (15, true), (16, false), (79, false), (80, true), (99, true)] {
                let mut changed = file.clone();
                changed[at] ^= 1;
                assert_eq!(twice(&changed, chunk), told, "byte {at}, chunk {chunk}");
            }
            assert!(twice(&file[..99], chunk), "a byte is gone");
        }
    }
}
