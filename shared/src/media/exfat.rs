//! exFAT, as the card's library has it.

use hadris_fat::embedded::{MountToken, Options};
use hadris_fat::exfat::embedded::sync;
use hadris_fs::MountError;

use crate::media::block::Blocks;
use crate::media::{BlockDevice, MediaFault};

/// The open job or record: exFAT is only read.
const FILES: usize = 1;

/// An exFAT volume.
pub(super) type ExFat<'m, D> = sync::ExFat<'m, Blocks<'m, D>, FILES>;

/// Mounts an exFAT volume, which is never written.
///
/// Out of line: trying and mounting are the same code, once in the firmware.
#[inline(never)]
pub(super) fn mount_exfat<'t, 'b, D: BlockDevice>(
    blocks: Blocks<'b, D>,
    token: &'t mut MountToken,
) -> Result<sync::ExFat<'t, Blocks<'b, D>, FILES>, MountError<Blocks<'b, D>, MediaFault>> {
    sync::ExFat::mount_with(blocks, token, Options::new())
}
