//! How a job is written down: the habits of the trade.

use std::fmt::Write;

/// How retracts are written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Retract {
    /// Moves of the filament alone, of this length in mm.
    Moves(f64),
    /// G10 and G11.
    Words,
    Never,
}

/// How circles are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arcs {
    /// Many short lines.
    Lines,
    /// Full circles with I and J.
    Centre,
    /// Quarters with R.
    Radius,
}

/// Where comments stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Comments {
    None,
    /// Lines of their own after `;`, and some behind words.
    Semicolon,
    /// In `( )`.
    Brackets,
}

/// All habits of one job.
#[derive(Clone, Copy, Debug)]
pub struct Dialect {
    pub relative_feed: bool,
    /// Relative positions throughout the body.
    pub relative_positions: bool,
    pub arcs: Arcs,
    pub numbered: bool,
    pub crlf: bool,
    pub lower: bool,
    pub tight: bool,
    pub comments: Comments,
    /// `.5` for `0.5`.
    pub bare_point: bool,
    /// G92 E0 on every layer (absolute feed).
    pub reset_feed: bool,
    pub retract: Retract,
    pub hop: bool,
    /// M73-like progress and M117 texts.
    pub progress: bool,
    /// Both F and unchanged coordinates on every line.
    pub wordy: bool,
}

impl Default for Dialect {
    fn default() -> Self {
        Self {
            relative_feed: false,
            relative_positions: false,
            arcs: Arcs::Lines,
            numbered: false,
            crlf: false,
            lower: false,
            tight: false,
            comments: Comments::Semicolon,
            bare_point: false,
            reset_feed: true,
            retract: Retract::Moves(0.8),
            hop: false,
            progress: false,
            wordy: false,
        }
    }
}

/// A job being written. Positions are held in µm and filament in 10⁻⁵ mm, what the decimals written can hold, so
/// that sums of relative words do not drift.
pub(super) struct Writer {
    dialect: Dialect,
    pub(super) out: Vec<u8>,
    line: u32,
    pub(super) at: [i64; 3],
    pub(super) e: i64,
    /// All filament, net of what is pulled back, 10⁻⁵ mm.
    pub(super) net: i64,
    pub(super) most: i64,
    feed: u32,
    pulled: bool,
    /// Whether positions and filament are written relative just now.
    pub(super) relative: bool,
    pub(super) relative_feed: bool,
}

/// A fixed-point number, trailing zeros left out as usual.
fn decimal(value: i64, decimals: u32, bare: bool) -> String {
    let unit = 10_i64.pow(decimals);
    let sign = if value < 0 { "-" } else { "" };
    let (whole, part) = (value.abs() / unit, value.abs() % unit);
    if part == 0 {
        return format!("{sign}{whole}");
    }
    let part = format!("{part:0width$}", width = decimals as usize);
    let part = part.trim_end_matches('0');
    if bare && whole == 0 { format!("{sign}.{part}") } else { format!("{sign}{whole}.{part}") }
}

fn um(mm: f64) -> i64 {
    (mm * 1000.0).round() as i64
}

impl Writer {
    pub(super) fn new(dialect: Dialect) -> Self {
        Self {
            dialect,
            out: Vec::new(),
            line: 0,
            at: [0; 3],
            e: 0,
            net: 0,
            most: 0,
            feed: 0,
            pulled: false,
            relative: false,
            relative_feed: dialect.relative_feed,
        }
    }

    /// A line of words, with the habits of writing them.
    pub(super) fn line(&mut self, words: &str) {
        let mut text = words.to_owned();
        let (lower, tight) = (self.dialect.lower, self.dialect.tight);
        let plain = !text.contains(';') && !text.starts_with("M117") && !text.contains('_');
        if tight && plain {
            text.retain(|letter| letter != ' ');
        }
        if lower && plain {
            text = text.to_lowercase();
        }
        if self.dialect.numbered && !text.starts_with(';') {
            self.line += 1;
            let gap = if tight { "" } else { " " };
            text = format!("N{}{gap}{text}", self.line);
            let check = text.bytes().fold(0, |sum, byte| sum ^ byte);
            text = format!("{text}*{check}");
        }
        self.out.extend_from_slice(text.as_bytes());
        self.out.extend_from_slice(if self.dialect.crlf { b"\r\n" } else { b"\n" });
    }

    /// A comment on a line of its own.
    pub(super) fn comment(&mut self, text: &str) {
        match self.dialect.comments {
            Comments::None => {}
            Comments::Semicolon => self.line(&format!("; {text}")),
            Comments::Brackets => self.line(&format!("({text})")),
        }
    }

    /// Sets a new count of the filament.
    pub(super) fn reset_feed(&mut self) {
        self.e = 0;
        self.line("G92 E0");
    }

    fn words(&mut self, word: &str, to: [Option<f64>; 3], extra: &str, filament: Option<f64>, feed: u32) {
        let bare = self.dialect.bare_point;
        let mut line = word.to_owned();
        for ((letter, at), to) in ['X', 'Y', 'Z'].into_iter().zip(0..3).zip(to) {
            let Some(to) = to.map(um) else { continue };
            let same = to == self.at[at];
            if !(same && !self.dialect.wordy && at == 2) {
                let value = if self.relative { to - self.at[at] } else { to };
                let _ = write!(line, " {letter}{}", decimal(value, 3, bare));
            }
            self.at[at] = to;
        }
        line.push_str(extra);
        if let Some(filament) = filament {
            let filament = (filament * 1e5).round() as i64;
            self.e += filament;
            self.net += filament;
            self.most = self.most.max(self.net);
            let value = if self.relative_feed { filament } else { self.e };
            let _ = write!(line, " E{}", decimal(value, 5, bare));
        }
        if feed != self.feed || self.dialect.wordy {
            self.feed = feed;
            let _ = write!(line, " F{feed}");
        }
        self.line(&line);
    }

    /// A straight move without filament, mm and mm/min.
    pub(super) fn go(&mut self, to: [Option<f64>; 3], feed: u32) {
        self.words("G0", to, "", None, feed);
    }

    /// A bead.
    pub(super) fn bead(&mut self, to: [f64; 2], z: Option<f64>, filament: f64, feed: u32) {
        self.words("G1", [Some(to[0]), Some(to[1]), z], "", Some(filament), feed);
    }

    /// The filament alone.
    pub(super) fn push(&mut self, filament: f64, feed: u32) {
        self.words("G1", [None; 3], "", Some(filament), feed);
    }

    /// A counter-clockwise circle round a centre from where the head stands, in the habit's form.
    pub(super) fn circle(&mut self, centre: [f64; 2], radius: f64, filament: f64, feed: u32) {
        let bare = self.dialect.bare_point;
        if self.dialect.arcs == Arcs::Centre {
            let start = [centre[0] + radius, centre[1]];
            let extra = format!(" I{} J0", decimal(um(centre[0]) - self.at[0], 3, bare));
            self.words("G3", [Some(start[0]), Some(start[1]), None], &extra, Some(filament), feed);
            return;
        }
        let pieces = if self.dialect.arcs == Arcs::Radius { 4 } else { 40 };
        for piece in 1..=pieces {
            let angle = std::f64::consts::TAU * f64::from(piece) / f64::from(pieces);
            let to = [centre[0] + radius * angle.cos(), centre[1] + radius * angle.sin()];
            let share = filament / f64::from(pieces);
            if pieces == 4 {
                let extra = format!(" R{}", decimal(um(radius), 3, bare));
                self.words("G3", [Some(to[0]), Some(to[1]), None], &extra, Some(share), feed);
            } else {
                self.bead(to, None, share, feed);
            }
        }
    }

    /// To a place over what is printed: retract, hop, go, back.
    pub(super) fn travel(&mut self, to: [f64; 2], feed: u32) {
        let [x, y] = [um(to[0]) - self.at[0], um(to[1]) - self.at[1]];
        let far = (x as f64).hypot(y as f64) > 3000.0;
        let z = self.at[2] as f64 / 1000.0;
        if far {
            self.pull();
            if self.dialect.hop {
                self.go([None, None, Some(z + 0.4)], feed);
            }
        }
        self.go([Some(to[0]), Some(to[1]), None], feed);
        if far {
            if self.dialect.hop {
                self.go([None, None, Some(z)], feed);
            }
            self.unpull();
        }
    }

    pub(super) fn pull(&mut self) {
        if self.pulled {
            return;
        }
        match self.dialect.retract {
            Retract::Moves(length) => self.push(-length, 2100),
            Retract::Words => self.line("G10"),
            Retract::Never => return,
        }
        self.pulled = true;
    }

    pub(super) fn unpull(&mut self) {
        if !std::mem::take(&mut self.pulled) {
            return;
        }
        match self.dialect.retract {
            Retract::Moves(length) => self.push(length, 2100),
            Retract::Words => self.line("G11"),
            Retract::Never => {}
        }
    }
}
