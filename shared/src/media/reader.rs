//! The open job, read one buffer a call.

use hadris_fat::embedded::File;

use crate::limits::{BLOCK, BLOCK_BYTES};
use crate::media::block::media_error;
use crate::media::driver::Driver;
use crate::media::{BlockDevice, MediaError, MediaFault};

/// Clusters that one call follows on the way to a far place: 16 blocks of a FAT32 table where the file lies in
/// one piece, a block for each where it is scattered.
const CLUSTERS_A_POLL: u64 = 2_048;

/// An open file and where it is read next.
#[derive(Debug)]
pub(super) struct OpenFile<'m> {
    file: File<'m>,
    size: u64,
    /// The next byte asked for.
    position: u64,
    /// How far the chain of clusters was followed.
    reached: u64,
}

impl<'m> OpenFile<'m> {
    pub(super) const fn new(file: File<'m>, size: u64) -> Self {
        Self { file, size, position: 0, reached: 0 }
    }

    pub(super) fn into_file(self) -> File<'m> {
        self.file
    }

    /// Sets the next byte to be read; the way there is walked by [`poll_read`](Self::poll_read).
    pub(super) fn seek(&mut self, offset: u64) {
        self.position = offset.min(self.size);
    }

    /// Reads the next bytes, or goes some way to them.
    pub(super) fn poll_read<D: BlockDevice>(
        &mut self,
        driver: &mut Driver<'m, D>,
        buffer: &mut [u8],
    ) -> nb::Result<usize, MediaError> {
        if self.position >= self.size || buffer.is_empty() {
            return Ok(0);
        }
        if self.position < self.reached {
            self.reached = 0;
        }
        let stride = driver.cluster_bytes().saturating_mul(CLUSTERS_A_POLL);
        let next_stop = self.reached.saturating_add(stride);
        if self.position > next_stop {
            // Reading one byte there makes the library follow the chain and remember the place.
            read_at(driver, &self.file, next_stop, &mut [0])?;
            self.reached = next_stop;
            return Err(nb::Error::WouldBlock);
        }
        let read = read_at(driver, &self.file, self.position, buffer)?;
        self.position = self.position.saturating_add(read as u64).min(self.size);
        self.reached = self.position.saturating_sub(1);
        Ok(read)
    }
}

fn read_at<'m, D: BlockDevice>(
    driver: &mut Driver<'m, D>,
    file: &File<'m>,
    position: u64,
    buffer: &mut [u8],
) -> Result<usize, MediaError> {
    // Where the buffer can take whole blocks but the place is inside one, read up to the block's end first:
    // what follows then goes from the card straight into the buffer, many blocks a call.
    let into_block = usize::try_from(position % BLOCK).unwrap_or_default();
    let to_edge = BLOCK_BYTES.saturating_sub(into_block);
    let take = if into_block != 0 && buffer.len() > to_edge { to_edge } else { buffer.len() };
    let part = buffer.get_mut(..take).unwrap_or_default();
    let read =
        driver.read(file, position, part).map_err(|error| media_error(&error, MediaFault::ChainBroken))?;
    // The library gives all that was asked for up to the file's end, so nothing before the end is damage.
    if read == 0 { Err(MediaError::new(MediaFault::ChainBroken)) } else { Ok(read) }
}
