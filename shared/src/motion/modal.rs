//! Modal state: what a line's words mean after all lines before it.

use crate::text::{MICRO, Words};
use crate::units::{mul_div, product, wide_div};

use super::command::{Known, known_g};
use super::{Applied, MotionSink, Move, UnreadKind};

/// A factor of one, in 10⁻⁶.
pub(super) const ONE: i64 = MICRO;

/// The state that words leave behind.
#[derive(Clone, Debug)]
pub struct Modal {
    /// Machine position, nm.
    pub(super) at: [i64; 3],
    /// Machine position less what words call it (G92), nm.
    pub(super) offset: [i64; 3],
    /// Filament position as words call it, nm.
    pub(super) feed_at: i64,
    /// Feed as written, 10⁻⁶ mm/min.
    pub(super) feed_word: i64,
    /// Feed with its factor, nm/s.
    speed_nm_s: u32,
    pub(super) feed_factor: i64,
    pub(super) flow_factor: i64,
    /// What the flow factor left over, 10⁻⁶ nm, so that nothing drifts.
    flow_rest: i64,
    motion: Known,
    pub(super) inch: bool,
    relative: bool,
    pub(super) feed_relative: bool,
    pub(super) feed_mode_stated: bool,
    pub(super) feed_mode_ambiguous: bool,
    /// Whether the next E word is the first after its number was set anew.
    pub(super) feed_reset: bool,
    pub(super) z_stated: bool,
    pub(super) plane_other: bool,
    feed_form_other: bool,
    pub(super) tool: u8,
    /// Whether G90 and G91 set the feed mode; `None` = the sheet does not say.
    absolute_resets_feed: Option<bool>,
    /// The move under way.
    pub(super) step: Move,
}

impl Modal {
    /// As machines start: millimetres, positions and feed absolute, all at zero, no feed set.
    #[must_use]
    pub const fn new(absolute_resets_feed: Option<bool>) -> Self {
        Self {
            at: [0; 3],
            offset: [0; 3],
            feed_at: 0,
            feed_word: 0,
            speed_nm_s: 0,
            feed_factor: ONE,
            flow_factor: ONE,
            flow_rest: 0,
            motion: Known::Line,
            inch: false,
            relative: false,
            feed_relative: false,
            feed_mode_stated: false,
            feed_mode_ambiguous: false,
            feed_reset: true,
            z_stated: false,
            plane_other: false,
            feed_form_other: false,
            tool: 0,
            absolute_resets_feed,
            step: Move::NONE,
        }
    }

    /// Machine position, nm.
    #[must_use]
    pub const fn position(&self) -> [i64; 3] {
        self.at
    }

    /// Takes the words of one line; gives `sink` what they come to, in the order of RS274/NGC Table 8 as far as it
    /// matters: feed, tool, M words, units and modes, then motion.
    #[inline]
    pub fn apply(&mut self, words: &Words, sink: &mut impl MotionSink) {
        let mut command = None;
        if let Some(0 | 10) = words.only_g() {
            // The usual line: one motion word.
            self.motion = Known::Line;
            command = Some(Known::Line);
        } else if !(words.g().is_empty() && words.no_m()) {
            let Some(found) = self.modes(words, sink) else { return };
            command = found;
        }
        if words.has(b'F') {
            self.set_feed(words.raw(b'F'));
        }
        if words.has(b'T') && words.no_m() {
            self.set_tool(words, sink);
        }
        let axes = words.has(b'X') | words.has(b'Y') | words.has(b'Z') | words.has(b'E');
        match command {
            Some(Known::Line) => {
                if axes {
                    self.line(words, sink);
                }
            }
            Some(known) => self.other(known, words, sink),
            // Axis words alone go on with the last motion word, unless an M word takes them.
            None => {
                if (axes | words.has(b'I') | words.has(b'J')) && words.no_m() {
                    match self.motion {
                        Known::Line if axes => self.line(words, sink),
                        Known::Line => {}
                        known => self.other(known, words, sink),
                    }
                } else if words.bare != 0 && words.no_m() {
                    sink.applied(Applied::Malformed);
                }
            }
        }
        if matches!(command, Some(Known::Line | Known::ArcClockwise | Known::ArcCounterClockwise))
            && words.bare != 0
        {
            sink.applied(Applied::Malformed);
        }
    }

    /// Units, modes and M words of a line; gives the one word that takes the axis words. `None` = the line is
    /// not to be read.
    fn modes(&mut self, words: &Words, sink: &mut impl MotionSink) -> Option<Option<Known>> {
        let (g, m) = (words.g(), words.m());
        let mut command = None;
        for &code in m {
            self.machine_word(code, words, sink);
        }
        for &code in g {
            match known_g(code) {
                Known::Units { inch } => {
                    self.inch = inch;
                    if inch {
                        sink.applied(Applied::Inch);
                    }
                }
                Known::Positions { relative } => self.set_positions(relative),
                Known::PlaneXy => self.plane_other = false,
                Known::PlaneOther => self.plane_other = true,
                Known::FeedForm { other } => self.feed_form_other = other,
                Known::Quiet => {}
                Known::Unknown => sink.applied(Applied::Word { letter: b'G', code, memory: false }),
                known => {
                    if command.is_some() {
                        sink.applied(Applied::Unread(UnreadKind::TwoCommands));
                        return None;
                    }
                    if matches!(known, Known::Line | Known::ArcClockwise | Known::ArcCounterClockwise) {
                        self.motion = known;
                    }
                    command = Some(known);
                }
            }
        }
        // A line with an unknown G word alone has nothing to go on with.
        let only_unknown = command.is_none() && g.iter().any(|code| known_g(*code) == Known::Unknown);
        if only_unknown { None } else { Some(command) }
    }

    fn set_positions(&mut self, relative: bool) {
        self.relative = relative;
        match self.absolute_resets_feed {
            Some(true) => {
                self.feed_relative = relative;
                self.feed_mode_stated = true;
            }
            Some(false) => {}
            None => self.feed_mode_ambiguous = self.feed_relative != relative,
        }
    }

    fn set_feed(&mut self, micro: i64) {
        let word = self.to_mm(micro);
        if word > 0 && word != self.feed_word {
            self.feed_word = word;
            self.renew_speed();
        }
    }

    pub(super) fn renew_speed(&mut self) {
        let word = self.feed_word as u64;
        // 10⁻⁶ mm/min = 1 nm/min.
        let nm_s = if self.feed_factor == ONE {
            (word + 30) / 60
        } else {
            mul_div(word, self.feed_factor.unsigned_abs(), 60 * ONE as u64).unwrap_or(u64::MAX)
        };
        self.speed_nm_s = u32::try_from(nm_s).unwrap_or(u32::MAX).max(1);
    }

    /// A value in millimetres or inches as nm (or nm/min).
    #[inline]
    pub(super) fn to_mm(&self, micro: i64) -> i64 {
        if self.inch { inch_to_mm(micro) } else { micro }
    }

    /// Begins a move from where the machine stands to where the words send it. The machine stands there at once.
    ///
    /// All in place: on a small board a copy of a move costs as much as making it.
    #[inline(always)]
    pub(super) fn begin_move(&mut self, words: &Words) {
        let (inch, relative) = (self.inch, self.relative);
        self.step.from = self.at;
        let ([x, y, z], [at_x, at_y, at_z], [dx, dy, dz]) = (&mut self.step.to, &mut self.at, self.offset);
        // Each on its own: two values just written are waited for where they are read as one.
        if words.has(b'X') {
            go(at_x, words.raw(b'X'), [inch, relative], dx);
        }
        *x = *at_x;
        if words.has(b'Y') {
            go(at_y, words.raw(b'Y'), [inch, relative], dy);
        }
        *y = *at_y;
        if words.has(b'Z') {
            go(at_z, words.raw(b'Z'), [inch, relative], dz);
        }
        *z = *at_z;
        if self.step.arc.is_some() {
            self.step.arc = None;
        }
    }

    /// Filament that the line feeds, nm, and its E word.
    #[inline]
    fn fed(&mut self, words: &Words) -> (i64, Option<i64>) {
        if !words.has(b'E') {
            return (0, None);
        }
        let value = self.to_mm(words.raw(b'E'));
        let fed = if self.feed_relative {
            self.feed_at = held(self.feed_at + value);
            value
        } else {
            let fed = value - self.feed_at;
            self.feed_at = value;
            fed
        };
        (if self.flow_factor == ONE { fed } else { self.scaled(fed) }, Some(value))
    }

    #[cold]
    fn scaled(&mut self, fed: i64) -> i64 {
        let product = product(fed, self.flow_factor) + i128::from(self.flow_rest);
        let size = wide_div(product.unsigned_abs(), ONE as u128);
        let sign = if product < 0 { -1 } else { 1 };
        // The rest is below ONE, so that what overflows on both sides cancels out.
        self.flow_rest = (product as i64).wrapping_sub((size as i64).wrapping_mul(sign * ONE));
        i64::try_from(size).map_or(i64::MAX, |size| sign * size)
    }

    #[inline]
    fn line(&mut self, words: &Words, sink: &mut impl MotionSink) {
        self.begin_move(words);
        self.finish_move(words, sink);
    }

    #[inline]
    pub(super) fn finish_move(&mut self, words: &Words, sink: &mut impl MotionSink) {
        if self.feed_form_other {
            sink.applied(Applied::Unread(UnreadKind::FeedForm));
        }
        let (feed_nm, e) = self.fed(words);
        if words.has(b'Z') {
            self.z_stated = true;
        }
        let step = &mut self.step;
        step.feed_nm = feed_nm;
        step.speed_nm_s = self.speed_nm_s;
        let wording = &mut step.wording;
        wording.x = None;
        if words.has(b'X') {
            let raw = words.raw(b'X');
            wording.x = Some(if self.inch { inch_to_mm(raw) } else { raw });
        }
        wording.e = e;
        wording.relative = self.relative;
        wording.feed_relative = self.feed_relative;
        wording.feed_mode_stated = self.feed_mode_stated;
        wording.feed_mode_ambiguous = self.feed_mode_ambiguous;
        wording.inch = self.inch;
        wording.z_stated = self.z_stated;
        wording.e_reset = self.feed_reset;
        if e.is_some() {
            self.feed_reset = false;
        }
        sink.moved(&self.step);
    }
}

/// Positions that relative words add up to end here, nm: a million kilometres.
const FARTHEST_NM: i64 = 1 << 60;

/// Takes a position to where a word sends it, which is in inches or relative or neither.
#[inline(always)]
fn go(at: &mut i64, raw: i64, [inch, relative]: [bool; 2], offset: i64) {
    let value = if inch { inch_to_mm(raw) } else { raw };
    // Values have at most nine digits before the point, positions are held: no sum overflows.
    *at = held(value + if relative { *at } else { offset });
}

/// A position within [`FARTHEST_NM`].
#[inline(always)]
fn held(position: i64) -> i64 {
    // The upper half alone tells nearly always.
    let upper = (position >> 32) as i32;
    if upper.unsigned_abs() < (FARTHEST_NM >> 32) as u32 { position } else { held_back(position) }
}

#[cold]
#[inline(never)]
fn held_back(position: i64) -> i64 {
    position.clamp(-FARTHEST_NM, FARTHEST_NM)
}

/// 1 in = 25.4 mm exactly (international inch, 1959), rounded half away from zero: exact up to five decimals.
pub(super) fn inch_to_mm(micro: i64) -> i64 {
    let tenths = micro.saturating_mul(254);
    (tenths + 5 * tenths.signum()) / 10
}
