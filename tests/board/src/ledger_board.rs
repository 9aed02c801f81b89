//! The emulated board with its ledger's image, over flash in a file that outlives it.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};

use anyhow::{Context as _, Result, bail};
use tempfile::TempDir;

use crate::emulator::{PATIENCE, QEMU, decode, target};

/// Bytes of the flash.
const FLASH_BYTES: usize = 36 * 1024;

/// The flash: a file in a folder of its own, which goes when this does.
#[derive(Debug)]
pub struct FlashFile {
    folder: TempDir,
}

impl FlashFile {
    /// Flash in which nothing was ever written.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn blank() -> Result<Self> {
        Self::of(&[0xFF; FLASH_BYTES])
    }

    /// Flash with these bytes.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn of(bytes: &[u8]) -> Result<Self> {
        let flash = Self { folder: TempDir::new()? };
        std::fs::write(flash.path(), bytes)?;
        Ok(flash)
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("flash.bin")
    }

    /// What it holds.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn bytes(&self) -> Result<Vec<u8>> {
        Ok(std::fs::read(self.path())?)
    }
}

/// How a run of the image ended, and what it had said until then.
#[derive(Debug)]
pub struct Ended {
    /// The log, without time stamps.
    pub lines: Vec<String>,
    /// Whether it ended by itself, and well.
    pub well: bool,
}

/// The board while it runs.
#[derive(Debug)]
pub struct LedgerBoard {
    qemu: Child,
    lines: Receiver<String>,
    log: Vec<String>,
}

impl LedgerBoard {
    /// Starts the image with these words on its command line: its own file says which it knows.
    ///
    /// # Errors
    /// When the image cannot be read, or QEMU does not start.
    pub fn start(flash: &FlashFile, words: &[&str]) -> Result<Self> {
        let image = std::path::absolute(target().join("thumbv7m-none-eabi/firmware/lm3s6965evb-ledger"))?;
        let elf = read_image(&image)?;
        let mut semihosting = OsString::from("enable=on,target=native");
        for word in words {
            semihosting.push(",arg=");
            semihosting.push(word);
        }
        let mut command = Command::new(QEMU);
        command.current_dir(flash.folder.path());
        command.args(["-M", "lm3s6965evb", "-display", "none", "-monitor", "none", "-serial", "none"]);
        command.arg("-semihosting-config").arg(semihosting);
        command.args(["-icount", "shift=2,sleep=off", "-kernel"]).arg(image);
        let mut qemu =
            command.stdin(Stdio::null()).stdout(Stdio::piped()).spawn().context("starting QEMU")?;
        let output = qemu.stdout.take().context("QEMU has no output")?;
        let (sender, lines) = channel();
        std::thread::spawn(move || decode(&elf, output, &sender));
        Ok(Self { qemu, lines, log: Vec::new() })
    }

    /// Takes in the next line of the log; `false` when there is none any more.
    ///
    /// # Errors
    /// When the board says nothing for a minute.
    pub fn listen(&mut self) -> Result<bool> {
        match self.lines.recv_timeout(PATIENCE) {
            Ok(line) => {
                // Time and level stand before it; an error's level is kept.
                let text = line.split_once(" INFO ").map_or(line.as_str(), |(_, text)| text);
                self.log.push(text.trim().to_owned());
                Ok(true)
            }
            Err(RecvTimeoutError::Disconnected) => Ok(false),
            Err(RecvTimeoutError::Timeout) => {
                bail!("the board says nothing more; its log:\n{}", self.log.join("\n"))
            }
        }
    }

    /// Stops the board where it stands, as a power cut does; what it had said until then is heard out.
    ///
    /// # Errors
    /// When it cannot be stopped.
    pub fn cut(mut self) -> Result<Ended> {
        self.qemu.kill()?;
        self.end()
    }

    /// Waits for the board to end.
    ///
    /// # Errors
    /// When it falls silent first.
    pub fn end(mut self) -> Result<Ended> {
        while self.listen()? {}
        let well = self.qemu.wait()?.success();
        Ok(Ended { lines: std::mem::take(&mut self.log), well })
    }
}

impl Drop for LedgerBoard {
    fn drop(&mut self) {
        // Already gone when it ended by itself.
        let _ = self.qemu.kill();
        let _ = self.qemu.wait();
    }
}

fn read_image(image: &Path) -> Result<Vec<u8>> {
    std::fs::read(image)
        .with_context(|| format!("{}: no image there; `.ci/firmware` builds it", image.display()))
}
