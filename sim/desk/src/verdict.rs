//! What a verdict means to whoever called the program: its word, its colour, its exit code.

use anstyle::{AnsiColor, Style};
use holdpoint_shared::checks::{Signal, Verdict};

/// Exit code when an input could not be read; the same as of NO VERDICT.
pub const EXIT_INPUT: u8 = 3;

/// The verdict's word: the same in every language, in text, JSON and CSV.
#[must_use]
pub const fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Clear => "CLEAR",
        Verdict::Look => "LOOK",
        Verdict::Hold => "HOLD",
        Verdict::NoVerdict => "NO VERDICT",
    }
}

/// The exit code of `vet`; the worst over all jobs is the largest.
#[must_use]
pub const fn exit_code(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Clear => 0,
        Verdict::Look => 1,
        Verdict::Hold => 2,
        Verdict::NoVerdict => EXIT_INPUT,
    }
}

/// The signal word, where there is one.
#[must_use]
pub const fn signal_word(signal: Signal) -> Option<&'static str> {
    match signal {
        Signal::None => None,
        Signal::Notice => Some("NOTICE"),
        Signal::Caution => Some("CAUTION"),
        Signal::Warning => Some("WARNING"),
    }
}

/// The colour that goes with the verdict's word, never without it.
#[must_use]
pub const fn style(verdict: Verdict) -> Style {
    let color = match verdict {
        Verdict::Clear => AnsiColor::Green,
        Verdict::Look => AnsiColor::Yellow,
        Verdict::Hold => AnsiColor::Red,
        Verdict::NoVerdict => AnsiColor::Magenta,
    };
    color.on_default().bold()
}
