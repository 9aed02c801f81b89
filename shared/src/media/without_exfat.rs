//! In the place of exFAT on boards that are short of flash: a volume that never is, so that whatever would be done with it
//! is not in the firmware.

use core::convert::Infallible;
use core::marker::PhantomData;
use core::ops::ControlFlow;

use hadris_fat::embedded::{File, MountToken};
use hadris_fat::exfat::embedded::{Dir, Entry, Node};
use hadris_fat_raw::exfat::Geometry;
use hadris_fs::{DirCursor, ErrorKind, MountError, OpenOptions, SeekFrom};

use crate::media::block::Blocks;
use crate::media::driver::LibraryError;
use crate::media::{BlockDevice, MediaFault};

/// There is none.
#[derive(Debug)]
pub(super) struct ExFat<'m, D> {
    never: Infallible,
    of: PhantomData<&'m D>,
}

/// Never called: an exFAT card is told before it would be mounted.
pub(super) fn mount_exfat<'t, 'b, D: BlockDevice>(
    blocks: Blocks<'b, D>,
    _: &'t mut MountToken,
) -> Result<ExFat<'t, D>, MountError<Blocks<'b, D>, MediaFault>> {
    Err(MountError::new(ErrorKind::NotRecognized.into(), blocks))
}

impl<'m, D> ExFat<'m, D> {
    pub(super) fn info(&self) -> &Geometry {
        match self.never {}
    }

    pub(super) fn was_dirty(&self) -> bool {
        match self.never {}
    }

    pub(super) fn root(&self) -> Dir {
        match self.never {}
    }

    pub(super) fn list(
        &mut self,
        _: Dir,
        _: DirCursor,
        _: impl FnMut(&Entry<'_>) -> ControlFlow<()>,
    ) -> Result<(), LibraryError> {
        match self.never {}
    }

    pub(super) fn open_dir(&mut self, _: Dir, _: &str) -> Result<Dir, LibraryError> {
        match self.never {}
    }

    pub(super) fn open_node(&mut self, _: Node, _: OpenOptions) -> Result<File<'m>, LibraryError> {
        match self.never {}
    }

    pub(super) fn seek(&mut self, _: &File<'_>, _: SeekFrom) -> Result<u64, LibraryError> {
        match self.never {}
    }

    pub(super) fn read(&mut self, _: &File<'_>, _: &mut [u8]) -> Result<usize, LibraryError> {
        match self.never {}
    }

    pub(super) fn close(&mut self, _: File<'_>) -> Result<(), LibraryError> {
        match self.never {}
    }
}
