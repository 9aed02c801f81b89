//! Modal state: what a line's words mean after all lines before it.

use crate::text::{MICRO, Words};

use super::arc::Arc;
use super::command::{Known, known_g};
use super::{Applied, MotionSink, Move, UnreadKind};

/// A factor of one, in 10⁻⁶.
pub(super) const ONE: i64 = MICRO;

/// The state that words leave behind.
#[derive(Clone, Debug)]
pub struct Modal {
    /// Machine position, nm.
    at: [i64; 3],
    /// Machine position less what words call it (G92), nm.
    offset: [i64; 3],
    /// Filament position as words call it, nm.
    feed_at: i64,
    /// Feed as written, 10⁻⁶ mm/min.
    pub(super) feed_word: i64,
    /// Feed with its factor, nm/s.
    speed_nm_s: u32,
    pub(super) feed_factor: i64,
    pub(super) flow_factor: i64,
    /// What the flow factor left over, 10⁻⁶ nm, so that nothing drifts.
    flow_rest: i64,
    motion: Known,
    inch: bool,
    relative: bool,
    pub(super) feed_relative: bool,
    pub(super) feed_mode_stated: bool,
    pub(super) feed_mode_ambiguous: bool,
    /// Whether the next E word is the first after its number was set anew.
    feed_reset: bool,
    z_stated: bool,
    plane_other: bool,
    feed_form_other: bool,
    pub(super) tool: u8,
    /// Whether G90 and G91 set the feed mode; `None` = the sheet does not say.
    absolute_resets_feed: Option<bool>,
    /// The move under way.
    step: Move,
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
        match (words.g(), words.m()) {
            // The usual line: one motion word.
            ([0 | 10], []) => {
                self.motion = Known::Line;
                command = Some(Known::Line);
            }
            ([], []) => {}
            (g, m) => {
                let Some(found) = self.modes(g, m, words, sink) else { return };
                command = found;
            }
        }
        if words.has(b'F') {
            self.set_feed(words.raw(b'F'));
        }
        if words.has(b'T') && words.m().is_empty() {
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
                if (axes | words.has(b'I') | words.has(b'J')) && words.m().is_empty() {
                    match self.motion {
                        Known::Line if axes => self.line(words, sink),
                        Known::Line => {}
                        known => self.other(known, words, sink),
                    }
                } else if words.bare != 0 && words.m().is_empty() {
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
    fn modes(
        &mut self,
        g: &[u32],
        m: &[u32],
        words: &Words,
        sink: &mut impl MotionSink,
    ) -> Option<Option<Known>> {
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
            let scaled = u128::from(word) * self.feed_factor.unsigned_abs() as u128;
            u64::try_from(scaled / (60 * ONE as u128)).unwrap_or(u64::MAX)
        };
        self.speed_nm_s = u32::try_from(nm_s).unwrap_or(u32::MAX).max(1);
    }

    /// A value in millimetres or inches as nm (or nm/min).
    #[inline]
    fn to_mm(&self, micro: i64) -> i64 {
        if self.inch { inch_to_mm(micro) } else { micro }
    }

    /// Begins a move from where the machine stands to where the words send it. The machine stands there at once.
    ///
    /// All in place: on a small board a copy of a move costs as much as making it.
    #[inline(always)]
    fn begin_move(&mut self, words: &Words) {
        let (inch, relative) = (self.inch, self.relative);
        self.step.from = self.at;
        let ([x, y, z], [at_x, at_y, at_z], [dx, dy, dz]) = (&mut self.step.to, &mut self.at, self.offset);
        if words.has(b'X') {
            go(at_x, words.raw(b'X'), [inch, relative], dx);
        }
        if words.has(b'Y') {
            go(at_y, words.raw(b'Y'), [inch, relative], dy);
        }
        if words.has(b'Z') {
            go(at_z, words.raw(b'Z'), [inch, relative], dz);
        }
        (*x, *y, *z) = (*at_x, *at_y, *at_z);
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
        let product = i128::from(fed) * i128::from(self.flow_factor) + i128::from(self.flow_rest);
        self.flow_rest = (product % i128::from(ONE)) as i64;
        i64::try_from(product / i128::from(ONE)).unwrap_or(i64::MAX)
    }

    #[inline]
    fn line(&mut self, words: &Words, sink: &mut impl MotionSink) {
        self.begin_move(words);
        self.finish_move(words, sink);
    }

    #[inline]
    fn finish_move(&mut self, words: &Words, sink: &mut impl MotionSink) {
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

    /// The commands other than lines.
    fn other(&mut self, known: Known, words: &Words, sink: &mut impl MotionSink) {
        match known {
            Known::ArcClockwise => self.arc(false, words, sink),
            Known::ArcCounterClockwise => self.arc(true, words, sink),
            Known::Dwell => {
                // The trade: P milliseconds, S seconds.
                let ms = words.get(b'P').unwrap_or(0) / MICRO + words.get(b'S').unwrap_or(0) / 1000;
                sink.applied(Applied::Dwell(u64::try_from(ms).unwrap_or(0)));
            }
            Known::RetractOrOffset => {
                if words.has(b'L') {
                    sink.applied(Applied::Word { letter: b'G', code: 100, memory: true });
                } else {
                    sink.applied(Applied::MachineRetract);
                }
            }
            Known::Home => self.home(words, sink),
            Known::Probe => sink.applied(Applied::Probe),
            Known::SetPosition => self.set_position(words),
            _ => {}
        }
    }

    fn home(&mut self, words: &Words, sink: &mut impl MotionSink) {
        let named =
            |letter: u8| words.has(letter) || words.bare & (1 << (letter | 0x20).wrapping_sub(b'a')) != 0;
        let all = ![b'X', b'Y', b'Z'].into_iter().any(named);
        for ((letter, at), offset) in [b'X', b'Y', b'Z'].into_iter().zip(&mut self.at).zip(&mut self.offset) {
            if all || named(letter) {
                *at = 0;
                *offset = 0;
            }
        }
        let z = all || named(b'Z');
        if z {
            self.z_stated = false;
        }
        sink.applied(Applied::Home { z });
    }

    /// G92: no motion; where the machine stands is called by these numbers from now on.
    fn set_position(&mut self, words: &Words) {
        let inch = self.inch;
        for ((letter, at), offset) in [b'X', b'Y', b'Z'].into_iter().zip(self.at).zip(&mut self.offset) {
            if words.has(letter) {
                let value = words.raw(letter);
                *offset = at - if inch { inch_to_mm(value) } else { value };
            }
        }
        if words.has(b'E') {
            self.feed_at = self.to_mm(words.raw(b'E'));
            self.feed_reset = true;
        }
        let bare = words.present & axis_bits() == 0;
        if bare {
            // Without words, all are called zero.
            self.offset = self.at;
            self.feed_at = 0;
            self.feed_reset = true;
        }
    }

    fn arc(&mut self, counter_clockwise: bool, words: &Words, sink: &mut impl MotionSink) {
        self.begin_move(words);
        let ([x0, y0, _], [x1, y1, _]) = (self.step.from, self.step.to);
        let arc = if self.plane_other {
            Err(UnreadKind::ArcPlane)
        } else if words.has(b'R') {
            let radius = self.to_mm(words.raw(b'R'));
            Arc::by_radius([x0, y0], [x1, y1], radius, counter_clockwise)
        } else {
            let offset = [b'I', b'J'].map(|letter| self.to_mm(words.get(letter).unwrap_or(0)));
            Arc::by_centre([x0, y0], [x1, y1], offset, counter_clockwise)
        };
        match arc {
            Ok(arc) => {
                if arc.mismatch {
                    sink.applied(Applied::ArcMismatch);
                }
                self.step.arc = Some(arc);
            }
            Err(why) => {
                // Its end and its filament still count, as a straight line's would.
                sink.applied(Applied::Unread(why));
            }
        }
        self.finish_move(words, sink);
    }

    pub(super) fn set_tool(&mut self, words: &Words, sink: &mut impl MotionSink) {
        let tool = words.raw(b'T') / MICRO;
        self.tool = u8::try_from(tool.clamp(0, 255)).unwrap_or(u8::MAX);
        sink.applied(Applied::Tool(self.tool));
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
fn held_back(position: i64) -> i64 {
    position.clamp(-FARTHEST_NM, FARTHEST_NM)
}

const fn axis_bits() -> u32 {
    (1 << (b'x' - b'a')) | (1 << (b'y' - b'a')) | (1 << (b'z' - b'a')) | (1 << (b'e' - b'a'))
}

/// 1 in = 25.4 mm exactly (international inch, 1959), rounded half away from zero: exact up to five decimals.
fn inch_to_mm(micro: i64) -> i64 {
    let tenths = micro.saturating_mul(254);
    (tenths + 5 * tenths.signum()) / 10
}
