//! Where the volume begins: in an MBR or GPT partition, or at block 0 with no partition table.
//!
//! Block 0 is tried as a volume first, because the boot code of a volume with no table may look like a table.
//! Type codes are not trusted: small devices and old tools write what they like. Every partition is tried.

use core::ops::ControlFlow;

use hadris_fat::embedded::MountToken as LibraryToken;
use hadris_fs::ErrorKind;
use heapless::Vec;

use crate::limits::{BLOCK, BLOCK_BYTES};
use crate::media::block::{Blocks, media_error};
use crate::media::driver::{VolumeKind, fat_kind, mount_fat};
use crate::media::exfat::mount_exfat;
use crate::media::{BlockDevice, MediaError, MediaFault};

/// Partitions that are tried. A card for a machine has one; a table with more than these holds other systems.
const PARTITIONS: usize = 16;

/// A partition as the table gives it: first block and how many.
#[derive(Clone, Copy, Debug)]
struct Partition {
    first: u64,
    count: u64,
}

/// Narrows `blocks` to the first volume that can be read, and says of which kind it is.
///
/// # Errors
/// `NoCard`, `Blank`, `Foreign`, `Damaged`, `Truncated`, and read faults.
// Out of line, so that what trying takes is given back before the volume is mounted.
#[inline(never)]
pub(super) fn find<'m, D: BlockDevice>(
    blocks: Blocks<'m, D>,
) -> Result<(Blocks<'m, D>, VolumeKind), MediaError> {
    if blocks.count() == 0 {
        return Err(MediaError::new(MediaFault::NoCard));
    }
    let (mut blocks, at_zero) = probe(blocks)?;
    let fault = match at_zero {
        Ok(kind) => return Ok((blocks, kind)),
        Err(fault) => fault,
    };
    let (parts, table_fault) = partitions(&mut blocks)?;
    let all = blocks.count();
    // With a table, block 0 is no volume, whatever its boot code looks like.
    let mut worst = if parts.is_empty() { fault } else { MediaFault::Foreign };
    for part in &parts {
        if part.first >= all {
            worst = MediaFault::Truncated;
            continue;
        }
        blocks.narrow(part.first, part.count);
        let (tried, found) = probe(blocks)?;
        blocks = tried;
        match found {
            Ok(kind) => return Ok((blocks, kind)),
            Err(MediaFault::Foreign) => {}
            Err(fault) => worst = fault,
        }
    }
    blocks.narrow(0, all);
    if let Some(fault) = table_fault {
        worst = fault;
    }
    if worst == MediaFault::Foreign && is_blank(&mut blocks)? {
        worst = MediaFault::Blank;
    }
    Err(MediaError::new(worst))
}

/// Tries the present part as a volume, by mounting it for a moment. The outer error is the device's.
fn probe<'m, D: BlockDevice>(
    mut blocks: Blocks<'m, D>,
) -> Result<(Blocks<'m, D>, Result<VolumeKind, MediaFault>), MediaError> {
    let mut boot = [0; BLOCK_BYTES];
    blocks.read_one(0, &mut boot)?;
    let mut token = LibraryToken::new();
    let failed = match boot.get(3..11) {
        Some(b"EXFAT   ") => match mount_exfat(blocks, &mut token) {
            Ok(volume) => return Ok((volume.unmount(), Ok(VolumeKind::ExFat))),
            Err(failed) => failed,
        },
        Some(b"NTFS    ") => return Ok((blocks, Err(MediaFault::Foreign))),
        _ => match mount_fat(blocks, &mut token) {
            Ok(volume) => {
                let kind = fat_kind(volume.info().kind()).ok_or(MediaFault::Foreign);
                return Ok((volume.into_inner(), kind));
            }
            Err(failed) => failed,
        },
    };
    let (error, blocks) = failed.into_parts();
    if error.device_error().is_some() {
        return Err(media_error(&error, MediaFault::Damaged));
    }
    let fault = match error.kind() {
        ErrorKind::NotRecognized => MediaFault::Foreign,
        _ if says_larger(&boot, blocks.count()) => MediaFault::Truncated,
        _ => MediaFault::Damaged,
    };
    Ok((blocks, Err(fault)))
}

/// Whether a boot sector claims more blocks than there are.
///
/// FAT: bytes a sector at 11, sectors at 19 (16 bits) or 32 (32 bits), Microsoft's FAT overview 1.03. exFAT:
/// sectors at 72 (64 bits), the shift of the sector's size at 108, Microsoft's exFAT specification.
fn says_larger(boot: &[u8; BLOCK_BYTES], count: u64) -> bool {
    let (sectors, per_sector) = if boot.get(3..11) == Some(b"EXFAT   ") {
        let shift = boot.get(108).copied().unwrap_or_default();
        let Some(over) = shift.checked_sub(9).filter(|over| *over <= 3) else {
            return false;
        };
        (little_endian(boot, 72, 8), 1_u64.wrapping_shl(u32::from(over)))
    } else {
        let small = little_endian(boot, 19, 2);
        let sectors = if small == 0 { little_endian(boot, 32, 4) } else { small };
        (sectors, little_endian(boot, 11, 2) / BLOCK)
    };
    sectors.saturating_mul(per_sector) > count
}

/// The little-endian number of `bytes` bytes at `at`.
fn little_endian(block: &[u8; BLOCK_BYTES], at: usize, bytes: usize) -> u64 {
    let field = block.iter().skip(at).take(bytes);
    field.rev().fold(0, |number, byte| number.wrapping_shl(8) | u64::from(*byte))
}

/// The partitions of the table at block 0, and what is wrong with the table itself if nothing was found by it.
#[inline(never)]
fn partitions<D: BlockDevice>(
    blocks: &mut Blocks<'_, D>,
) -> Result<(Vec<Partition, PARTITIONS>, Option<MediaFault>), MediaError> {
    let mut parts = Vec::new();
    let scanned = hadris_part::sync::scan(blocks, |partition| {
        let part = Partition { first: partition.start(), count: partition.len() };
        // A part with no blocks, or one that begins at the table itself, holds no volume.
        if part.first > 0 && part.count > 0 && parts.push(part).is_err() {
            return ControlFlow::Break(());
        }
        ControlFlow::Continue(())
    });
    let Err(error) = scanned else {
        return Ok((parts, None));
    };
    if error.device_error().is_some() {
        return Err(media_error(&error, MediaFault::Damaged));
    }
    let fault = match hadris_part::Detail::of(&error) {
        // No signature, or bytes that are no entries: not a table.
        Some(hadris_part::Detail::NoTable | hadris_part::Detail::MbrEntry) | None => None,
        // A broken chain of logical partitions after whole primary ones.
        Some(hadris_part::Detail::EbrChain) => (!parts.is_empty()).then_some(MediaFault::Damaged),
        Some(_) => Some(if gpt_is_cut_off(blocks)? { MediaFault::Truncated } else { MediaFault::Damaged }),
    };
    Ok((parts, fault))
}

/// Whether the GPT header at block 1 places its second copy beyond the end (its block at byte 32, UEFI
/// Specification, GPT Header).
#[inline(never)]
fn gpt_is_cut_off<D: BlockDevice>(blocks: &mut Blocks<'_, D>) -> Result<bool, MediaError> {
    let count = blocks.count();
    if count < 2 {
        return Ok(true);
    }
    let mut header = [0; BLOCK_BYTES];
    blocks.read_one(1, &mut header)?;
    Ok(header.starts_with(b"EFI PART") && little_endian(&header, 32, 8) >= count)
}

/// Whether all of a sample of the blocks read as one value.
#[inline(never)]
fn is_blank<D: BlockDevice>(blocks: &mut Blocks<'_, D>) -> Result<bool, MediaError> {
    let count = blocks.count();
    let last = count.saturating_sub(1);
    // Where tables and volumes usually have their first blocks, then the middle and the end.
    let sample = [0, 1, 2, 6, 12, 24, 32, 63, 64, 128, 2_048, 8_192, 32_768, count / 2, last];
    let mut value = None;
    let mut block = [0; BLOCK_BYTES];
    for index in sample.into_iter().filter(|index| *index < count) {
        blocks.read_one(index, &mut block)?;
        let [first, ..] = block;
        if *value.get_or_insert(first) != first || block.iter().any(|byte| *byte != first) {
            return Ok(false);
        }
    }
    Ok(true)
}
