//! Files and the command line of the host, through the emulator or a debugger ("Semihosting for AArch32 and AArch64",
//! Arm). The kept crate opens the log's stream alone, so the calls for a file stand here.

use cortex_m_semihosting::nr::{GET_CMDLINE, open};
use cortex_m_semihosting::{syscall, syscall1};

/// What these calls answer when they failed, where it is not a count of what is left.
const FAILED: usize = usize::MAX;

/// A file of the host, opened for reading and writing. Nothing closes it: it goes with the emulator.
#[derive(Debug)]
pub(super) struct HostFile(usize);

impl HostFile {
    /// Opens a file that is there, in the folder in which the emulator was started, and tells its bytes.
    pub(super) fn open(name: &core::ffi::CStr) -> Option<(Self, usize)> {
        // SAFETY: the host reads the name up to its nought, which is not counted, and writes nothing.
        let file = unsafe { syscall!(OPEN, name.as_ptr(), open::RW_BINARY, name.count_bytes()) };
        if file == FAILED {
            return None;
        }
        // SAFETY: asks for a number, and touches no memory.
        let bytes = unsafe { syscall!(FLEN, file) };
        (bytes != FAILED).then_some((Self(file), bytes))
    }

    fn seek(&mut self, at: u32) -> Option<()> {
        // SAFETY: moves the host's own place in the file, and touches no memory.
        let failed = unsafe { syscall!(SEEK, self.0, at) };
        (failed == 0).then_some(())
    }

    /// Reads all of `bytes` from a place in the file; `None` when that failed.
    pub(super) fn read(&mut self, at: u32, bytes: &mut [u8]) -> Option<()> {
        self.seek(at)?;
        // SAFETY: the host writes into `bytes` and not behind it; nothing else looks at them meanwhile.
        let left = unsafe { syscall!(READ, self.0, bytes.as_mut_ptr(), bytes.len()) };
        (left == 0).then_some(())
    }

    /// Writes all of `bytes` to a place in the file; `None` when that failed.
    pub(super) fn write(&mut self, at: u32, bytes: &[u8]) -> Option<()> {
        self.seek(at)?;
        // SAFETY: the host reads `bytes` and no more.
        let left = unsafe { syscall!(WRITE, self.0, bytes.as_ptr(), bytes.len()) };
        (left == 0).then_some(())
    }
}

/// The words that the emulator was started with for its program (QEMU: `-semihosting-config …,arg=WORD`), one space
/// between two. `None` when `into` is too short for them, or the host gives none.
pub fn command_line(into: &mut [u8]) -> Option<&str> {
    let mut place = [into.as_mut_ptr() as usize, into.len()];
    // SAFETY: the host writes the words into `into` and not behind it, and their length into `place`: both are borrowed
    // by this function alone.
    let failed = unsafe { syscall1(GET_CMDLINE, &raw mut place as usize) };
    let [_, length] = place;
    let words = if failed == 0 { into.get(..length)? } else { return None };
    core::str::from_utf8(words).ok()
}
