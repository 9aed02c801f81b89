//! Numbers and texts to and from the bytes of a value, little-endian.

use core::str;

use heapless::{String, Vec};

use crate::limits::LEDGER_VALUE_BYTES;

/// Writes a value.
#[derive(Debug, Default)]
pub(super) struct RowWriter {
    bytes: Vec<u8, LEDGER_VALUE_BYTES>,
}

impl RowWriter {
    #[inline(never)]
    pub(super) fn bytes(&mut self, bytes: &[u8]) -> &mut Self {
        // No row comes near the limit: the longest text in one is a material of 32 bytes.
        let _ = self.bytes.extend_from_slice(bytes);
        self
    }

    pub(super) fn byte(&mut self, value: u8) -> &mut Self {
        self.bytes(&[value])
    }

    pub(super) fn half(&mut self, value: u16) -> &mut Self {
        self.bytes(&value.to_le_bytes())
    }

    pub(super) fn word(&mut self, value: u32) -> &mut Self {
        self.bytes(&value.to_le_bytes())
    }

    /// A text with its length in front.
    pub(super) fn text(&mut self, text: &str) -> &mut Self {
        self.byte(u8::try_from(text.len()).unwrap_or_default()).bytes(text.as_bytes())
    }

    pub(super) fn row(&self) -> &[u8] {
        &self.bytes
    }
}

/// Reads a value; `None` where it ends too early.
#[derive(Debug)]
pub(super) struct RowReader<'a>(pub(super) &'a [u8]);

impl<'a> RowReader<'a> {
    #[inline(never)]
    pub(super) fn bytes(&mut self, count: usize) -> Option<&'a [u8]> {
        let (bytes, rest) = self.0.split_at_checked(count)?;
        self.0 = rest;
        Some(bytes)
    }

    pub(super) fn byte(&mut self) -> Option<u8> {
        self.bytes(1)?.first().copied()
    }

    pub(super) fn half(&mut self) -> Option<u16> {
        Some(u16::from_le_bytes(self.bytes(2)?.try_into().ok()?))
    }

    pub(super) fn word(&mut self) -> Option<u32> {
        Some(u32::from_le_bytes(self.bytes(4)?.try_into().ok()?))
    }

    pub(super) fn text<const N: usize>(&mut self) -> Option<String<N>> {
        let length = usize::from(self.byte()?);
        String::try_from(str::from_utf8(self.bytes(length)?).ok()?).ok()
    }
}
