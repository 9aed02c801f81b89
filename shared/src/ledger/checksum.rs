//! Checksums that also find a single flipped bit: flash that wears loses one bit long before it loses two.

use crc::{CRC_16_IBM_3740, CRC_32_ISO_HDLC, Crc, NoTable};

static CRC: Crc<u32, NoTable> = Crc::<u32, NoTable>::new(&CRC_32_ISO_HDLC);
static CRC_16: Crc<u16, NoTable> = Crc::<u16, NoTable>::new(&CRC_16_IBM_3740);

/// The polynomial of CRC-32, bits reversed: what a flip of the last bit changes.
const LAST_BIT: u32 = 0xEDB8_8320;

/// CRC-32 of `bytes`, computed without a table: they are few.
#[inline(never)]
pub(super) fn crc32(bytes: &[u8]) -> u32 {
    CRC.checksum(bytes)
}

/// CRC-32 of several parts, one after the other.
pub(super) struct RunningCrc(crc::Digest<'static, u32, NoTable>);

impl RunningCrc {
    pub(super) fn new() -> Self {
        Self(CRC.digest())
    }

    pub(super) fn feed(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    pub(super) fn sum(self) -> u32 {
        self.0.finalize()
    }
}

pub(super) fn crc16(bytes: &[u8]) -> u16 {
    CRC_16.checksum(bytes)
}

/// What a checksum says of its bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sum {
    /// They are as they were written.
    Whole,
    /// They are, once this bit is turned back; counted from the first byte's lowest. `None` = a bit of the checksum.
    OneBit(Option<u32>),
    /// More is wrong than can be mended.
    Broken,
}

/// Holds a message in two parts against its CRC-32.
#[inline(never)]
pub(super) fn check(first: &[u8], rest: &[u8], sum: u32) -> Sum {
    let mut digest = RunningCrc::new();
    digest.feed(first);
    digest.feed(rest);
    let syndrome = digest.sum() ^ sum;
    if syndrome == 0 {
        return Sum::Whole;
    }
    if syndrome.is_power_of_two() {
        return Sum::OneBit(None);
    }
    // A CRC is linear: what a flipped bit does to it depends on its distance from the end alone.
    let bytes = first.len().saturating_add(rest.len());
    let bits = u32::try_from(bytes.saturating_mul(8)).unwrap_or_default();
    let mut effect = LAST_BIT;
    for bit in (0..bits).rev() {
        if effect == syndrome {
            return Sum::OneBit(Some(bit));
        }
        effect = (effect >> 1) ^ if effect & 1 == 1 { LAST_BIT } else { 0 };
    }
    Sum::Broken
}

/// Turns a bit of `bytes`, counted from the first byte's lowest; beyond them nothing.
pub(super) fn turn_bit(bytes: &mut [u8], bit: u32) {
    if let Some(byte) = usize::try_from(bit >> 3).ok().and_then(|at| bytes.get_mut(at)) {
        *byte ^= 1_u8.wrapping_shl(bit & 7);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_single_bit_is_found_and_two_are_not_mended() {
        let first = *b"head";
        let rest: [u8; 126] = core::array::from_fn(|at| (at * 37 % 256).try_into().unwrap());
        let mut digest = RunningCrc::new();
        digest.feed(&first);
        digest.feed(&rest);
        let sum = digest.sum();
        assert_eq!(check(&first, &rest, sum), Sum::Whole);
        for bit in 0..8 * 130 {
            let mut bytes = [0; 130];
            bytes[..4].copy_from_slice(&first);
            bytes[4..].copy_from_slice(&rest);
            turn_bit(&mut bytes, bit);
            assert_eq!(check(&bytes[..4], &bytes[4..], sum), Sum::OneBit(Some(bit)));
            turn_bit(&mut bytes, (bit + 77) % 1040);
            assert_eq!(check(&bytes[..4], &bytes[4..], sum), Sum::Broken);
        }
        for bit in 0..32 {
            assert_eq!(check(&first, &rest, sum ^ (1 << bit)), Sum::OneBit(None));
        }
    }
}
