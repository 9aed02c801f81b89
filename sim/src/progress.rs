//! Progress of long work: on standard error, only on a terminal, only once it has taken half a second.

use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// How long work may take before it says how far it is.
const PATIENCE: Duration = Duration::from_millis(500);

/// A line that says how far the work is.
#[derive(Debug)]
pub struct Progress {
    began: Instant,
    line: ProgressBar,
}

impl Progress {
    /// Work of this name begins now.
    #[must_use]
    pub fn new(work: &'static str) -> Self {
        // The library keeps quiet by itself where standard error is no terminal.
        let line = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr()).with_prefix(work);
        if let Ok(style) = ProgressStyle::with_template("{prefix} {pos} of {len}: {wide_msg}") {
            line.set_style(style);
        }
        Self { began: Instant::now(), line }
    }

    /// `done` of `all` are behind us, `name` is at work.
    pub fn show(&self, done: usize, all: usize, name: &str) {
        if self.began.elapsed() >= PATIENCE {
            self.line.set_length(all as u64);
            self.line.set_position(done as u64);
            self.line.set_message(name.to_owned());
        }
    }

    /// Does something that prints, with the line out of its way.
    pub fn hidden<R>(&self, print: impl FnOnce() -> R) -> R {
        self.line.suspend(print)
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.line.finish_and_clear();
    }
}
