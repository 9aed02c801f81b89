//! Card images from the tools that everybody uses: mkfs.vfat and mcopy.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, SystemTime};

use anyhow::{Context as _, Result, ensure};
use tempfile::TempDir;

/// KiB of an image: 32 MiB, since the emulated card wants a power of two.
const IMAGE_KIB: u32 = 32_768;

/// A FAT card image, which goes when this does.
#[derive(Debug)]
pub struct Card {
    folder: TempDir,
}

impl Card {
    /// Makes a card with these files, each a path with `/` and its text. The first is the oldest, and each is a
    /// minute newer than the one before.
    ///
    /// # Errors
    /// When mkfs.vfat, mmd or mcopy are not installed, or fail.
    pub fn with(files: &[(&str, &str)]) -> Result<Self> {
        Self::sized(IMAGE_KIB, files)
    }

    /// The same of so many KiB, a power of two.
    ///
    /// # Errors
    /// Those of [`with`](Self::with).
    pub fn sized(kib: u32, files: &[(&str, &str)]) -> Result<Self> {
        /// 2026-01-01 00:00 UTC, in seconds of Unix time.
        const FIRST: u64 = 1_767_225_600;
        let card = Self { folder: TempDir::new()? };
        let image = card.image();
        run(Command::new("mkfs.vfat").args(["-C"]).arg(&image).arg(kib.to_string()))?;
        for (number, (path, text)) in (0..).zip(files) {
            if let Some((folder, _)) = path.rsplit_once('/') {
                // It may stand there already, from a file before; if it does not after this, mcopy says so.
                let _ = run(Command::new("mmd").arg("-i").arg(&image).arg(format!("::/{folder}")));
            }
            let source = card.folder.path().join("source");
            std::fs::write(&source, text)?;
            let saved = SystemTime::UNIX_EPOCH + Duration::from_secs(FIRST + 60 * number);
            std::fs::File::options().append(true).open(&source)?.set_modified(saved)?;
            run(Command::new("mcopy").args(["-m", "-i"]).arg(&image).arg(&source).arg(format!("::/{path}")))?;
        }
        Ok(card)
    }

    /// A card that was never formatted: all zeros.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn blank() -> Result<Self> {
        let card = Self { folder: TempDir::new()? };
        std::fs::File::create(card.image())?.set_len(8 << 20)?;
        Ok(card)
    }

    /// The text of a file on it, by mcopy.
    ///
    /// # Errors
    /// When mcopy is not installed, or finds no such file.
    pub fn read(&self, path: &str) -> Result<String> {
        let copy = self.folder.path().join("copy");
        run(Command::new("mcopy").args(["-n", "-i"]).arg(self.image()).arg(format!("::/{path}")).arg(&copy))?;
        Ok(std::fs::read_to_string(copy)?)
    }

    /// Whether fsck.vfat finds nothing to mend.
    ///
    /// # Errors
    /// When it is not installed, or finds something.
    pub fn check(&self) -> Result<()> {
        run(Command::new("fsck.vfat").arg("-n").arg(self.image()))
    }

    /// Where the image lies.
    #[must_use]
    pub fn image(&self) -> PathBuf {
        self.folder.path().join("card.img")
    }
}

fn run(command: &mut Command) -> Result<()> {
    let tool = Path::new(command.get_program()).display().to_string();
    // Debian keeps mkfs.vfat where only root looks.
    let path = std::env::var("PATH").unwrap_or_default();
    command.env("PATH", format!("{path}:/usr/sbin:/sbin"));
    // The same image, run for run.
    command.env("SOURCE_DATE_EPOCH", "1767225600").env("TZ", "UTC").env("MTOOLS_SKIP_CHECK", "1");
    let output = command.output().with_context(|| format!("{tool}: `.ci/prepare` installs it"))?;
    ensure!(
        output.status.success(),
        "{tool}: {}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
    Ok(())
}
