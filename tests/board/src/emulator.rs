//! One emulated board.

use std::io::Read as _;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;

use anyhow::{Context as _, Result, bail};
use defmt_decoder::{DecodeError, Table};
use serde_json::json;
use tempfile::TempDir;

use crate::qmp::Qmp;
use crate::screen::{Shot, difference};
use holdpoint_shared::screens::Frame;

pub(crate) const QEMU: &str = "qemu-system-arm";

/// How long the board may say nothing before a test gives up on it: a guard against hanging for ever, far above
/// what anything takes.
pub(crate) const PATIENCE: Duration = Duration::from_secs(60);

/// Whether QEMU is there. When it is not, says so; in CI (the variable `CI` is set) that is a failure.
///
/// # Panics
/// In CI, when there is no QEMU.
#[must_use]
pub fn find_qemu() -> bool {
    let found = Command::new(QEMU).arg("--version").output().is_ok_and(|output| output.status.success());
    if !found {
        let note =
            format!("NOT RUN: {QEMU} is not installed, so the firmware was not tried on the emulated board");
        assert!(std::env::var_os("CI").is_none(), "{note}");
        eprintln!("{note}");
    }
    found
}

/// A button of the board, by the key that presses it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Key {
    /// Turns the knob back.
    Up,
    /// Turns the knob forward.
    Down,
    /// Turns the knob back.
    Left,
    /// Turns the knob forward.
    Right,
    /// Presses the knob.
    Select,
}

impl Key {
    /// All five.
    pub const ALL: [Self; 5] = [Self::Up, Self::Down, Self::Left, Self::Right, Self::Select];

    const fn code(self) -> &'static str {
        match self {
            Self::Up => "up",
            Self::Down => "down",
            Self::Left => "left",
            Self::Right => "right",
            Self::Select => "ctrl",
        }
    }
}

/// A running board.
#[derive(Debug)]
pub struct Emulator {
    qemu: Child,
    qmp: Qmp,
    lines: Receiver<String>,
    /// All lines so far, for the message of a test that fails.
    log: Vec<String>,
    folder: TempDir,
}

impl Emulator {
    /// Starts the board with a firmware, and with a card image in its slot (a power of two bytes) or none. The image
    /// is not changed: what the board writes is dropped at the end.
    ///
    /// # Errors
    /// When the firmware cannot be read, or QEMU does not start.
    pub fn start(firmware: &Path, card: Option<&Path>) -> Result<Self> {
        Self::start_with(firmware, card, &["-snapshot"])
    }

    /// The same, and what the board writes is in the image afterwards, and in any that is inserted.
    ///
    /// # Errors
    /// Those of [`start`](Self::start).
    pub fn start_writing(firmware: &Path, card: &Path) -> Result<Self> {
        Self::start_with(firmware, Some(card), &[])
    }

    fn start_with(firmware: &Path, card: Option<&Path>, more: &[&str]) -> Result<Self> {
        let elf = std::fs::read(firmware).with_context(|| {
            format!("{}: no firmware there; `.ci/firmware` builds it", firmware.display())
        })?;
        let folder = TempDir::new()?;
        let socket = folder.path().join("qmp");
        let mut command = Command::new(QEMU);
        command.args(["-M", "lm3s6965evb", "-display", "none", "-monitor", "none", "-serial", "none"]);
        command.args(["-semihosting-config", "enable=on,target=native"]);
        // Counts instructions as time (4 ns each), and does not sleep while the board does: the same log, run for run.
        command.args(["-icount", "shift=2,sleep=off"]).args(more);
        command.arg("-qmp").arg(format!("unix:{},server=on,wait=off", socket.display()));
        command.arg("-kernel").arg(firmware);
        command.arg("-drive").arg(match card {
            Some(card) => format!("if=sd,format=raw,file={}", card.display()),
            None => "if=sd".to_owned(),
        });
        let mut qemu =
            command.stdin(Stdio::null()).stdout(Stdio::piped()).spawn().context("starting QEMU")?;
        let output = qemu.stdout.take().context("QEMU has no output")?;
        let (sender, lines) = channel();
        std::thread::spawn(move || decode(&elf, output, &sender));
        let qmp = Qmp::connect(&socket);
        let qmp = match qmp {
            Ok(qmp) => qmp,
            Err(error) => {
                let _ = qemu.kill();
                let _ = qemu.wait();
                return Err(error);
            }
        };
        Ok(Self { qemu, qmp, lines, log: Vec::new(), folder })
    }

    /// The next line of the log; `None` when the board has ended.
    ///
    /// # Errors
    /// When the board says nothing for a minute.
    pub fn line(&mut self) -> Result<Option<&str>> {
        match self.lines.recv_timeout(PATIENCE) {
            Ok(line) => {
                self.log.push(line);
                Ok(self.log.last().map(String::as_str))
            }
            Err(RecvTimeoutError::Disconnected) => Ok(None),
            Err(RecvTimeoutError::Timeout) => {
                bail!("the board says nothing more; its log:\n{}", self.log.join("\n"))
            }
        }
    }

    /// Reads the log up to a line that holds `marker`, and gives that line.
    ///
    /// # Errors
    /// When the board ends or falls silent first.
    pub fn wait_for(&mut self, marker: &str) -> Result<String> {
        loop {
            match self.line()? {
                Some(line) if line.contains(marker) => return Ok(line.to_owned()),
                Some(_) => {}
                None => bail!("the board ended before it said {marker:?}; its log:\n{}", self.log.join("\n")),
            }
        }
    }

    /// Presses a button and lets it go.
    ///
    /// # Errors
    /// When the emulator refuses.
    pub fn press(&mut self, key: Key) -> Result<()> {
        /// Of the board's time.
        const HOLD_MS: u32 = 50;
        let keys = json!([{ "type": "qcode", "data": key.code() }]);
        self.qmp.ask("send-key", json!({ "keys": keys, "hold-time": HOLD_MS }))?;
        Ok(())
    }

    /// Takes the card out.
    ///
    /// # Errors
    /// When there is none.
    pub fn eject(&mut self) -> Result<()> {
        self.qmp.ask("eject", json!({ "device": "sd0", "force": true }))?;
        Ok(())
    }

    /// Puts a card image into the slot, in place of what is there.
    ///
    /// # Errors
    /// When the image cannot be opened.
    pub fn insert(&mut self, card: &Path) -> Result<()> {
        self.qmp
            .ask("blockdev-change-medium", json!({ "device": "sd0", "filename": card, "format": "raw" }))?;
        Ok(())
    }

    /// What the display shows at this moment.
    ///
    /// # Errors
    /// When the emulator cannot dump it.
    pub fn screen(&mut self) -> Result<Shot> {
        let path = self.folder.path().join("screen.png");
        self.qmp.ask("screendump", json!({ "filename": path, "format": "png" }))?;
        Shot::read(&path)
    }

    /// Waits until the display shows this frame: looks after each line that says that a screen was drawn. What
    /// was shown instead is kept as PNGs under `target/board/` beside what was wanted.
    ///
    /// # Errors
    /// When the board ends or falls silent first.
    pub fn expect(&mut self, name: &str, frame: &Frame) -> Result<()> {
        let wanted = Shot::of(frame);
        loop {
            let got = self.screen()?;
            if difference(&got, &wanted).is_none() {
                return Ok(());
            }
            if let Err(error) = self.wait_for("screen ") {
                return Err(error.context(mismatch(name, &got, &wanted)?));
            }
        }
    }

    /// Waits for the firmware to end by itself.
    ///
    /// # Errors
    /// When it falls silent first.
    pub fn end(mut self) -> Result<ExitStatus> {
        while self.line()?.is_some() {}
        Ok(self.qemu.wait()?)
    }
}

/// What differs between two screens, which are kept as PNGs under `target/board/`.
fn mismatch(name: &str, got: &Shot, wanted: &Shot) -> Result<String> {
    let kept = target().join("board");
    std::fs::create_dir_all(&kept)?;
    got.write(&kept.join(format!("{name}-got.png")))?;
    wanted.write(&kept.join(format!("{name}-wanted.png")))?;
    let difference = difference(got, wanted).unwrap_or_default();
    Ok(format!("{name}: {difference}\ngot:\n{}wanted:\n{}", got.text(), wanted.text()))
}

impl Drop for Emulator {
    fn drop(&mut self) {
        // Already gone when it ended by itself.
        let _ = self.qemu.kill();
        let _ = self.qemu.wait();
    }
}

/// The workspace's build folder.
pub(crate) fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR")
        .map_or_else(|| PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../target")), PathBuf::from)
}

/// The image of this bench, as `.ci/firmware` builds it.
#[must_use]
pub fn image(bench: &str) -> PathBuf {
    target().join(format!("thumbv7m-none-eabi/firmware/lm3s6965evb-{bench}"))
}

/// Turns the board's defmt frames into lines until it ends.
pub(crate) fn decode(elf: &[u8], mut output: ChildStdout, lines: &Sender<String>) {
    let table = match Table::parse(elf) {
        Ok(Some(table)) => table,
        Ok(None) => return drop(lines.send("this firmware holds no log table".to_owned())),
        Err(error) => return drop(lines.send(format!("the firmware's log table: {error:#}"))),
    };
    let mut decoder = table.new_stream_decoder();
    let mut buffer = [0; 4096];
    while let Ok(count) = output.read(&mut buffer) {
        if count == 0 {
            return;
        }
        decoder.received(&buffer[..count]);
        loop {
            let line = match decoder.decode() {
                Ok(frame) => frame.display(false).to_string(),
                Err(DecodeError::UnexpectedEof) => break,
                Err(DecodeError::Malformed) => "(a log frame that cannot be read)".to_owned(),
            };
            if lines.send(line).is_err() {
                return;
            }
        }
    }
}
