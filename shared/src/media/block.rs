//! The block device that a board or a simulator provides, and its way into the card's library.

use core::cell::Cell;

use hadris_io::{Error, ErrorKind, ErrorType, Location};
use hadris_storage::{BlockIndex as LibraryIndex, BlockSize};

use super::dot_entries::put_in_order;
use super::sound::vet;
use crate::limits::{BLOCK, BLOCK_BYTES};
use crate::media::{MediaError, MediaFault};

/// The number of a block of 512 bytes, counted from the card's first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct BlockIndex(pub u64);

/// What a device's error means, so that the core need not know the device's own errors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum BlockErrorKind {
    /// No card answers at all.
    NoCard,
    /// The card answered before and does not any more: pulled out.
    Gone,
    /// The card answered that it could not do it, or its answer failed its check.
    Failed,
    /// The card or its slot refuses to be written.
    WriteProtected,
}

/// An error of a block device.
pub trait BlockError: core::fmt::Debug {
    /// What it means.
    fn kind(&self) -> BlockErrorKind;
}

impl BlockError for BlockErrorKind {
    fn kind(&self) -> BlockErrorKind {
        *self
    }
}

/// A card or a disk image in blocks of 512 bytes.
///
/// Implemented by the board over its card slot and by the simulator over an image. The core never calls it but
/// within a call to [`Volume`](crate::media::Volume).
pub trait BlockDevice {
    /// The device's own error.
    type Error: BlockError;

    /// How many blocks the device has; 0 when no card answers.
    fn block_count(&self) -> u64;

    /// Whether it can be written. False unless overridden; then [`write`](Self::write) is never called.
    fn writable(&self) -> bool {
        false
    }

    /// Blocks that may be read at once to check the card before its first write. Where a watchdog waits for the round
    /// to end, so many that it never has to; a card that takes more is read and not written.
    fn blocks_to_check(&self) -> u32 {
        CHECKED_BLOCKS
    }

    /// Reads whole blocks from `first` on: `blocks` is one or more times 512 bytes, and lies within the device.
    ///
    /// # Errors
    /// When any of the blocks could not be read.
    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), Self::Error>;

    /// Writes whole blocks from `first` on: `blocks` is one or more times 512 bytes, and lies within the device.
    ///
    /// # Errors
    /// When any of the blocks could not be written.
    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), Self::Error>;

    /// Makes sure that everything written is on the card.
    ///
    /// # Errors
    /// When something could not be written.
    fn flush(&mut self) -> Result<(), Self::Error> {
        Ok(())
    }
}

impl<D: BlockDevice + ?Sized> BlockDevice for &mut D {
    type Error = D::Error;

    fn block_count(&self) -> u64 {
        D::block_count(self)
    }

    fn writable(&self) -> bool {
        D::writable(self)
    }

    fn blocks_to_check(&self) -> u32 {
        D::blocks_to_check(self)
    }

    fn read(&mut self, first: BlockIndex, blocks: &mut [u8]) -> Result<(), Self::Error> {
        D::read(self, first, blocks)
    }

    fn write(&mut self, first: BlockIndex, blocks: &[u8]) -> Result<(), Self::Error> {
        D::write(self, first, blocks)
    }

    fn flush(&mut self) -> Result<(), Self::Error> {
        D::flush(self)
    }
}

/// What one mounted card needs outside its [`Volume`](crate::media::Volume): make one, lend it to the mount, and
/// let it live as long as the volume. It can be used again for the next card.
#[derive(Debug, Default)]
pub struct MountToken {
    pub(super) library: hadris_fat::embedded::MountToken,
    pub(super) allowance: Allowance,
}

impl MountToken {
    /// A token for one mount at a time.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            library: hadris_fat::embedded::MountToken::new(),
            allowance: Allowance { left: Cell::new(0), mended: Cell::new(false), to_write: Cell::new(false) },
        }
    }
}

/// How many blocks the library may still read in this call. It ends every walk that a damaged card would make
/// endless, or long enough to look so.
#[derive(Debug, Default)]
pub(super) struct Allowance {
    left: Cell<u32>,
    mended: Cell<bool>,
    to_write: Cell<bool>,
}

impl Allowance {
    /// Grants `blocks` for the call that begins now.
    pub(super) fn grant(&self, blocks: u32) {
        self.left.set(blocks);
    }

    /// The call that begins now is to write: the card is vetted before the library looks for room, which takes as long
    /// on a full card.
    pub(super) fn ask_to_write(&self) {
        self.to_write.set(true);
    }

    fn spend(&self, blocks: u32) -> bool {
        let left = self.left.get().checked_sub(blocks);
        self.left.set(left.unwrap_or(0));
        left.is_some()
    }

    /// Whether the vetting has just mended the card, so that the write that asked for it was refused: what was read of
    /// the table before is to be read anew.
    pub(super) fn take_mended(&self) -> bool {
        self.mended.replace(false)
    }
}

/// What is known of a card that is to be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Writes {
    /// It is vetted before its first write.
    Unvetted,
    /// That goes on.
    Vetting,
    /// It may be written.
    Sound,
    /// It is not written.
    Refused(MediaFault),
}

/// The volume's part of a device, as the card's library wants it.
#[derive(Debug)]
pub(super) struct Blocks<'m, D> {
    device: D,
    first: u64,
    count: u64,
    allowance: &'m Allowance,
    writes: Writes,
}

/// Where nothing waits for it: three times through the tables of a full card of 2 TiB in clusters of 32 KiB.
const CHECKED_BLOCKS: u32 = 1_600_000;

/// The only block size that the library's drivers without a heap take.
const BLOCK_SIZE: BlockSize = match BlockSize::new(512) {
    Some(size) => size,
    None => unreachable!(),
};

impl<'m, D: BlockDevice> Blocks<'m, D> {
    /// The whole device.
    pub(super) fn whole(device: D, allowance: &'m Allowance) -> Self {
        let count = device.block_count();
        Self { device, first: 0, count, allowance, writes: Writes::Unvetted }
    }

    /// Narrows to `count` blocks from `first` of the device, as far as it has them.
    pub(super) fn narrow(&mut self, first: u64, count: u64) {
        let all = self.device.block_count();
        self.first = first.min(all);
        self.count = count.min(all.saturating_sub(self.first));
    }

    /// Blocks of the present part.
    pub(super) fn count(&self) -> u64 {
        self.count
    }

    /// Reads one block of the present part.
    pub(super) fn read_one(&mut self, index: u64, block: &mut [u8; BLOCK_BYTES]) -> Result<(), MediaError> {
        self.read_at(index, block)
    }

    fn read_at(&mut self, index: u64, buffer: &mut [u8]) -> Result<(), MediaError> {
        let at = self.place(index, buffer.len(), MediaFault::Truncated)?;
        let blocks = u32::try_from(buffer.len() / BLOCK_BYTES).unwrap_or(u32::MAX);
        if !self.allowance.spend(blocks) {
            return Err(MediaError::at(MediaFault::Damaged, at));
        }
        self.device
            .read(BlockIndex(at), buffer)
            .map_err(|error| MediaError::at(fault_of(error.kind(), MediaFault::ReadFailed), at))
    }

    fn write_at(&mut self, index: u64, buffer: &[u8]) -> Result<(), MediaError> {
        let at = self.place(index, buffer.len(), MediaFault::Damaged)?;
        self.device
            .write(BlockIndex(at), buffer)
            .map_err(|error| MediaError::at(fault_of(error.kind(), MediaFault::WriteFailed), at))
    }

    /// Vets the card before its first write; whether it was mended by that.
    ///
    /// It stays in the slot until the volume is mounted anew, so once is enough.
    #[inline(never)]
    pub(super) fn vet(&mut self) -> Result<bool, Error<MediaFault>> {
        match self.writes {
            Writes::Sound | Writes::Vetting => return Ok(false),
            Writes::Refused(fault) => return Err(library_error(MediaError::new(fault))),
            Writes::Unvetted => self.writes = Writes::Vetting,
        }
        let left = self.allowance.left.get();
        self.allowance.grant(self.device.blocks_to_check());
        let mut vetted = vet(self);
        if vetted.is_err() && self.allowance.left.get() == 0 {
            vetted = Err(library_error(MediaError::new(MediaFault::Unchecked)));
        }
        self.allowance.grant(left);
        self.writes = match &vetted {
            Ok(_) => Writes::Sound,
            Err(error) => match media_error(error, MediaFault::Damaged).fault {
                fault @ (MediaFault::Damaged | MediaFault::Unchecked) => Writes::Refused(fault),
                // The card may answer the next time.
                _ => Writes::Unvetted,
            },
        };
        vetted
    }

    /// The same; a card that was mended by it is not written, since what was read of its tables before is stale.
    fn vet_to_write(&mut self) -> Result<(), Error<MediaFault>> {
        if self.vet()? {
            self.allowance.mended.set(true);
            return Err(library_error(MediaError::new(MediaFault::WriteFailed)));
        }
        Ok(())
    }

    /// The device's number of block `index` of this part, when `bytes` whole blocks from there lie within it.
    fn place(&self, index: u64, bytes: usize, beyond: MediaFault) -> Result<u64, MediaError> {
        let at = self.first.saturating_add(index);
        let blocks = bytes as u64 / BLOCK;
        let whole = bytes.is_multiple_of(BLOCK_BYTES);
        let end = index.checked_add(blocks).filter(|end| whole && *end <= self.count);
        end.map(|_| at).ok_or(MediaError::at(beyond, at))
    }
}

fn fault_of(kind: BlockErrorKind, failed: MediaFault) -> MediaFault {
    match kind {
        BlockErrorKind::NoCard => MediaFault::NoCard,
        BlockErrorKind::Gone => MediaFault::Gone,
        BlockErrorKind::Failed => failed,
        BlockErrorKind::WriteProtected => MediaFault::ReadOnly,
    }
}

/// The library's error for one of ours: the kind decides what the library does next. Of ours it carries the fault
/// alone, a byte, because the library hands its errors on by value in a hundred places; the block is its location.
#[cold]
#[inline(never)]
fn library_error(error: MediaError) -> Error<MediaFault> {
    let kind = if error.fault == MediaFault::ReadOnly { ErrorKind::ReadOnly } else { ErrorKind::Io };
    let library = Error::device(error.fault, "the card failed").with_kind(kind);
    match error.block {
        Some(block) => library.with_location(Location::Block(block.into())),
        None => library,
    }
}

impl<D> ErrorType for Blocks<'_, D> {
    type Error = MediaFault;
}

impl<D: BlockDevice> hadris_storage::sync::BlockDevice for Blocks<'_, D> {
    fn block_size(&self) -> BlockSize {
        BLOCK_SIZE
    }

    fn block_count(&self) -> u64 {
        self.count
    }

    fn disk_offset(&self) -> u64 {
        self.first.saturating_mul(BLOCK)
    }

    fn writable(&self) -> bool {
        self.device.writable()
    }

    fn read_blocks(&mut self, first: LibraryIndex, buffer: &mut [u8]) -> Result<(), Error<MediaFault>> {
        if self.allowance.to_write.replace(false) {
            self.vet_to_write()?;
        }
        self.read_at(first.get(), buffer).map_err(library_error)?;
        buffer.chunks_exact_mut(BLOCK_BYTES).for_each(put_in_order);
        Ok(())
    }

    fn write_blocks(&mut self, first: LibraryIndex, buffer: &[u8]) -> Result<(), Error<MediaFault>> {
        self.vet_to_write()?;
        self.write_at(first.get(), buffer).map_err(library_error)
    }

    fn flush(&mut self) -> Result<(), Error<MediaFault>> {
        self.device
            .flush()
            .map_err(|error| library_error(MediaError::new(fault_of(error.kind(), MediaFault::WriteFailed))))
    }
}

/// What a library error says of the card. `otherwise` is for everything that only a wrong volume can cause.
#[inline(never)]
pub(super) fn media_error(error: &Error<MediaFault>, otherwise: MediaFault) -> MediaError {
    let block = match error.location() {
        Some(Location::Block(block)) => u32::try_from(block).ok(),
        _ => None,
    };
    if let Some(fault) = error.device_error() {
        return MediaError { fault: *fault, block };
    }
    let fault = match error.kind() {
        ErrorKind::NotFound => MediaFault::NotFound,
        ErrorKind::ReadOnly => MediaFault::ReadOnly,
        ErrorKind::NoSpace | ErrorKind::FileTooLarge => MediaFault::Full,
        ErrorKind::NotADirectory | ErrorKind::IsADirectory => MediaFault::InTheWay,
        _ => otherwise,
    };
    MediaError { fault, block }
}
