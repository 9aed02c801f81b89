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
    /// Work of this name begins now; it counts pieces.
    #[must_use]
    pub fn new(work: &'static str) -> Self {
        Self::with_form(work, "{prefix} {pos} of {len}: {wide_msg}")
    }

    /// Work that is a part of other work, whose progress is shown.
    #[must_use]
    pub fn quiet() -> Self {
        Self { began: Instant::now(), line: ProgressBar::hidden() }
    }

    /// Work of this name begins now; it counts bytes.
    #[must_use]
    pub fn of_bytes(work: &'static str) -> Self {
        Self::with_form(work, "{prefix} {msg} {wide_bar} {bytes} of {total_bytes}")
    }

    fn with_form(work: &'static str, form: &str) -> Self {
        // The library keeps quiet by itself where standard error is no terminal.
        let line = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr()).with_prefix(work);
        if let Ok(style) = ProgressStyle::with_template(form) {
            line.set_style(style);
        }
        Self { began: Instant::now(), line }
    }

    /// `done` of `all` are behind us, `name` is at work.
    pub fn show(&self, done: usize, all: usize, name: &str) {
        self.show_bytes(done as u64, all as u64, name);
    }

    /// `done` of `all` bytes are behind us, `name` is at work.
    pub fn show_bytes(&self, done: u64, all: u64, name: &str) {
        if self.began.elapsed() >= PATIENCE {
            self.line.set_message(name.to_owned());
            self.line.set_length(all);
            self.line.set_position(done);
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
