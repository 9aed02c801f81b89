//! The emulator's control socket (QEMU Machine Protocol): one JSON object a line, each command answered.

use std::io::{BufRead as _, BufReader, Write as _};
use std::os::unix::net::UnixStream;
use std::path::Path;
use std::time::Duration;

use anyhow::{Context as _, Result, bail};
use serde_json::{Value, json};

/// How long an emulator may take to open its socket or to answer a command before the test gives up.
const PATIENCE: Duration = Duration::from_secs(60);

/// A connection that takes commands.
#[derive(Debug)]
pub(crate) struct Qmp {
    lines: BufReader<UnixStream>,
}

impl Qmp {
    /// Waits for the socket, then asks for command mode.
    pub(crate) fn connect(socket: &Path) -> Result<Self> {
        const STEP: Duration = Duration::from_millis(10);
        let mut waited = Duration::ZERO;
        let stream = loop {
            match UnixStream::connect(socket) {
                Ok(stream) => break stream,
                Err(error) if waited >= PATIENCE => {
                    return Err(error).context("the emulator opens no control socket");
                }
                Err(_) => std::thread::sleep(STEP),
            }
            waited += STEP;
        };
        stream.set_read_timeout(Some(PATIENCE))?;
        let mut qmp = Self { lines: BufReader::new(stream) };
        qmp.line()?;
        qmp.ask("qmp_capabilities", json!({}))?;
        Ok(qmp)
    }

    /// Sends a command and gives its answer; events that come between are dropped.
    pub(crate) fn ask(&mut self, command: &str, arguments: Value) -> Result<Value> {
        let mut text = json!({ "execute": command, "arguments": arguments }).to_string();
        text.push('\n');
        self.lines.get_mut().write_all(text.as_bytes())?;
        loop {
            let mut answer = self.line()?;
            if let Some(result) = answer.get_mut("return") {
                return Ok(result.take());
            }
            if let Some(error) = answer.get("error") {
                bail!("the emulator refuses {command}: {error}");
            }
        }
    }

    fn line(&mut self) -> Result<Value> {
        let mut line = String::new();
        if self.lines.read_line(&mut line)? == 0 {
            bail!("the emulator closed its control socket");
        }
        Ok(serde_json::from_str(&line)?)
    }
}
