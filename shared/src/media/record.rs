//! Whole rows appended to a record in the card's own folder.
//!
//! The card's library writes new bytes first and the file's length last, in one block: whatever the moment of a
//! power cut, the file ends with a whole row. A card that was not taken out cleanly stays marked so; the library
//! clears only a mark that it set itself.

use core::ops::ControlFlow;

use hadris_fat::embedded::File;
use hadris_fs::{DirCursor, ErrorKind, OpenOptions, SeekFrom};
use hadris_io::Error;

use crate::media::block::{Allowance, media_error};
use crate::media::driver::DriverFat;
use crate::media::{BlockDevice, MediaError, MediaFault, RECORDS_FOLDER};

/// The line end of RFC 4180, set before a row if the file does not end with a line end.
const LINE_END: &[u8] = b"\r\n";

/// Appends `rows` to `HOLDPT/name`; `header` goes first into a new or empty file.
pub(super) fn append<D: BlockDevice>(
    volume: &mut DriverFat<'_, D>,
    allowance: &Allowance,
    name: &str,
    header: &[u8],
    rows: &[u8],
) -> Result<(), MediaError> {
    if volume.is_read_only() {
        return Err(MediaError::new(MediaFault::ReadOnly));
    }
    let mut written = write(volume, name, header, rows);
    if written.is_err() && allowance.take_mended() {
        // Nothing was written yet but what was mended. The library has a block of the table from before: a look at the
        // root takes its place.
        let root = volume.root();
        volume
            .list(root, DirCursor::from_raw(0), |_| ControlFlow::Break(()))
            .map_err(|error| media_error(&error, MediaFault::Damaged))?;
        written = write(volume, name, header, rows);
    }
    // Also after a failure: what the library holds of an unfinished step is written or freed now if it can be.
    let synced = volume.sync();
    written.and(synced).map_err(|error| media_error(&error, MediaFault::Damaged))
}

fn write<D: BlockDevice>(
    volume: &mut DriverFat<'_, D>,
    name: &str,
    header: &[u8],
    rows: &[u8],
) -> Result<(), Error<MediaFault>> {
    let root = volume.root();
    let folder = match volume.open_dir(root, RECORDS_FOLDER) {
        Err(error) if error.kind() == ErrorKind::NotFound => volume.create_dir(root, RECORDS_FOLDER)?,
        found => found?,
    };
    let file = volume.open(folder, name, OpenOptions::new().read().write().append().create())?;
    let written = write_rows(volume, &file, header, rows);
    let closed = volume.close(file);
    written.and(closed)
}

fn write_rows<D: BlockDevice>(
    volume: &mut DriverFat<'_, D>,
    file: &File<'_>,
    header: &[u8],
    rows: &[u8],
) -> Result<(), Error<MediaFault>> {
    let size = volume.stat(file)?.len();
    let first = if size == 0 { header } else { line_end(volume, file, size)? };
    let added = (first.len() as u64).saturating_add(rows.len() as u64);
    // FAT keeps a length in 32 bits. Refuse before writing, so that no part of a row is left.
    if size.saturating_add(added) > u64::from(u32::MAX) {
        return Err(ErrorKind::NoSpace.into());
    }
    for part in [first, rows] {
        volume.write(file, part)?;
    }
    Ok(())
}

/// What must stand before a new row: nothing after a line end, else a line end.
fn line_end<D: BlockDevice>(
    volume: &mut DriverFat<'_, D>,
    file: &File<'_>,
    size: u64,
) -> Result<&'static [u8], Error<MediaFault>> {
    let mut last = [0];
    volume.seek(file, SeekFrom::Start(size.saturating_sub(1)))?;
    volume.read(file, &mut last)?;
    Ok(if last == *b"\n" { &[] } else { LINE_END })
}
