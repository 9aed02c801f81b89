//! Modal state: what a line's words mean after all lines before it.

use crate::text::{Code, MICRO, Words};
use crate::units::{mul_div, product, wide_div};

use super::command::{Known, WordClass};
use super::table;
use super::{Applied, MotionSink, Move, UnreadKind, Wording, may_act};

/// A factor of one, in 10⁻⁶.
pub(super) const ONE: i64 = MICRO;

/// G52: its axis words are its own.
const LOCAL_OFFSET: u32 = 520;
/// Bits of letters as in [`Words::present`].
const fn bits(letters: &[u8]) -> u32 {
    let (mut bits, mut rest) = (0, letters);
    while let [first, others @ ..] = rest {
        bits |= 1 << (*first & 31);
        rest = others;
    }
    bits
}

/// Letters that no word of a move has: mistaken or damaged digits, such as `X1O5`.
const FOREIGN: u32 = bits(b"DLOQ");

/// Letters that ask for more than a straight move.
const NOT_OF_LINES: u32 = FOREIGN | bits(b"T");

/// The state that words leave behind.
#[derive(Clone, Debug)]
pub struct Modal {
    /// Machine position less what words call it (G92), nm.
    pub(super) offset: [i64; 3],
    /// Baby steps so far, nm. They are part of [`offset`](Self::offset).
    pub(super) baby: [i64; 3],
    /// The offset while a line of G53 is read without it.
    aside: Option<[i64; 3]>,
    /// Filament position as words call it, nm.
    pub(super) feed_at: i64,
    /// Feed as written, 10⁻⁶ mm/min.
    pub(super) feed_word: i64,
    pub(super) feed_factor: i64,
    pub(super) flow_factor: i64,
    /// Diameter by which filament is counted by volume, µm, where it ever was.
    pub(super) volume_um: i64,
    by_volume: bool,
    /// Filament a number of E: `scale[0]` / `scale[1]`, the flow factor and the volume's cross-section.
    scale: [i64; 2],
    /// What the scale left over, in parts of its divisor, so that nothing drifts.
    flow_rest: i64,
    motion: Known,
    pub(super) plane_other: bool,
    feed_form_other: bool,
    pub(super) tool: u8,
    /// Whether G90 and G91 set the feed mode; `None` = the sheet does not say.
    absolute_resets_feed: Option<bool>,
    /// The last move, then the one under way. Its end is the machine's position, its speed the feed in force, its
    /// wording the modes: copying them into every move would cost as much as reading it.
    pub(super) step: Move,
}

impl Modal {
    /// As machines start: millimetres, positions and feed absolute, all at zero, no feed set.
    #[must_use]
    pub const fn new(absolute_resets_feed: Option<bool>) -> Self {
        Self {
            offset: [0; 3],
            baby: [0; 3],
            aside: None,
            feed_at: 0,
            feed_word: 0,
            feed_factor: ONE,
            flow_factor: ONE,
            volume_um: 0,
            by_volume: false,
            scale: [ONE; 2],
            flow_rest: 0,
            motion: Known::Line,
            plane_other: false,
            feed_form_other: false,
            tool: 0,
            absolute_resets_feed,
            step: Move { wording: Wording { e_reset: true, ..Move::NONE.wording }, ..Move::NONE },
        }
    }

    /// Machine position, nm.
    #[must_use]
    pub const fn position(&self) -> [i64; 3] {
        self.step.to
    }

    /// Takes the words of one line; gives `sink` what they come to, in the order of RS274/NGC Table 8 as far as it
    /// matters: feed, tool, M words, units and modes, then motion.
    #[inline]
    pub fn apply(&mut self, words: &Words, sink: &mut impl MotionSink) {
        let mut command = None;
        let axes = words.has(b'X') | words.has(b'Y') | words.has(b'Z') | words.has(b'E');
        let straight = matches!(words.only_g(), Some(0 | 10));
        if straight {
            self.motion = Known::Line;
            command = Some(Known::Line);
        } else if !(words.g().is_empty() && words.no_m()) {
            let Some(found) = self.modes(words, sink) else {
                self.back_from_aside();
                return;
            };
            command = found;
        }
        if words.has(b'F') {
            self.set_feed(words.raw(b'F'));
        }
        if straight && axes && (words.bare | words.present & NOT_OF_LINES) == 0 {
            // The usual line.
            self.line(words, sink);
            return;
        }
        if words.has(b'T') && words.no_m() {
            self.set_tool(words, sink);
        }
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
        if (words.bare | words.present & FOREIGN) != 0
            && matches!(command, Some(Known::Line | Known::ArcClockwise | Known::ArcCounterClockwise))
        {
            sink.applied(Applied::Malformed);
        }
        if self.aside.is_some() {
            self.back_from_aside();
        }
    }

    /// After a line of G53 the offset is in force again.
    #[cold]
    fn back_from_aside(&mut self) {
        if let Some(offset) = self.aside.take() {
            self.offset = offset;
        }
    }

    /// A word that only its class is known of.
    #[cold]
    pub(super) fn classed(letter: u8, code: u32, class: WordClass, sink: &mut impl MotionSink) {
        if !matches!(class, WordClass::Modelled | WordClass::Tuning | WordClass::Report) {
            sink.applied(Applied::Word { letter, code, class });
        }
    }

    /// Units, modes and M words of a line; gives the one word that takes the axis words. `None` = the line is
    /// not to be read.
    fn modes(&mut self, words: &Words, sink: &mut impl MotionSink) -> Option<Option<Known>> {
        let (g, m) = (words.g(), words.m());
        if m.len() > 1 || !(m.is_empty() || g.is_empty()) {
            sink.applied(Applied::Unread(UnreadKind::ManyWords));
        }
        let garbled =
            m.iter().any(|code| table::known(b'M', *code, words) != Known::Unknown) && words.has(b'O');
        if garbled || words.bare & bits(b"SR") != 0 && !m.is_empty() && may_act(words) {
            sink.applied(Applied::Malformed);
        }
        if stands_against(g) {
            sink.applied(Applied::Unread(UnreadKind::TwoCommands));
        }
        let mut command = None;
        let mut only_classed = false;
        for &code in m {
            self.machine_word(code, words, sink);
        }
        for &code in g {
            let known = match code {
                0 | 10 => Known::Line,
                20 => Known::ArcClockwise,
                30 => Known::ArcCounterClockwise,
                _ => table::known(b'G', code, words),
            };
            match known {
                Known::Units { inch } => {
                    self.step.wording.inch = inch;
                    if inch {
                        sink.applied(Applied::Inch);
                    }
                }
                Known::Positions { relative } => self.set_positions(relative),
                Known::PlaneXy => self.plane_other = false,
                Known::PlaneOther => self.plane_other = true,
                Known::FeedForm { other } => self.feed_form_other = other,
                Known::ClearOffset => self.offset = self.baby,
                Known::MachinePlaces => {
                    self.aside.get_or_insert(self.offset);
                    self.offset = self.baby;
                }
                Known::Tuning => only_classed |= code == LOCAL_OFFSET,
                known if known.class() != WordClass::Modelled => {
                    only_classed = true;
                    Self::classed(b'G', code, known.class(), sink);
                }
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
        // The axis words of a line without a command belong to such a word.
        if only_classed && command.is_none() { None } else { Some(command) }
    }

    fn set_positions(&mut self, relative: bool) {
        self.step.wording.relative = relative;
        match self.absolute_resets_feed {
            Some(true) => {
                self.step.wording.feed_relative = relative;
                self.step.wording.feed_mode_stated = true;
            }
            Some(false) => {}
            None => self.step.wording.feed_mode_ambiguous = self.step.wording.feed_relative != relative,
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
        self.step.speed_nm_s = u32::try_from(nm_s).unwrap_or(u32::MAX).max(1);
    }

    /// A value in millimetres or inches as nm (or nm/min).
    #[inline]
    pub(super) fn to_mm(&self, micro: i64) -> i64 {
        if self.step.wording.inch { inch_to_mm(micro) } else { micro }
    }

    /// Begins a move from where the machine stands to where the words send it. The machine stands there at once.
    ///
    /// All in place: on a small board a copy of a move costs as much as making it.
    #[inline(always)]
    pub(super) fn begin_move(&mut self, words: &Words) {
        let Move { from, to, wording, .. } = &mut self.step;
        let (inch, relative) = (wording.inch, wording.relative);
        *from = *to;
        if inch | relative {
            go_otherwise(to, words, [inch, relative], self.offset);
        } else {
            // Each on its own: two values just written are waited for where they are read as one. Words have at most
            // nine digits before the point, positions are held: no sum overflows.
            let ([x, y, z], [dx, dy, dz]) = (to, self.offset);
            if words.has(b'X') {
                *x = held(words.raw(b'X') + dx);
            }
            if words.has(b'Y') {
                *y = held(words.raw(b'Y') + dy);
            }
            if words.has(b'Z') {
                *z = held(words.raw(b'Z') + dz);
            }
        }
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
        let fed = if self.step.wording.feed_relative {
            self.feed_at = held(self.feed_at + value);
            value
        } else {
            let fed = value - self.feed_at;
            self.feed_at = value;
            fed
        };
        (if self.scale == [ONE; 2] { fed } else { self.scaled(fed) }, Some(value))
    }

    /// Counts filament by volume from now on, or by length.
    pub(super) fn by_volume(&mut self, by_volume: bool) {
        self.by_volume = by_volume;
        self.renew_scale();
    }

    pub(super) fn renew_scale(&mut self) {
        let [_, before] = self.scale;
        // Length = volume / (π d²/4), π = 355/113; 10⁻⁶ mm³ over µm² is 10⁻⁶ mm times 10⁶, which the factor has.
        self.scale = if self.by_volume {
            [self.flow_factor.saturating_mul(4 * 113), 355 * self.volume_um * self.volume_um]
        } else {
            [self.flow_factor, ONE]
        };
        let [_, divisor] = self.scale;
        if divisor != before {
            self.flow_rest = 0;
        }
    }

    #[cold]
    fn scaled(&mut self, fed: i64) -> i64 {
        let [factor, divisor] = self.scale;
        let product = product(fed, factor) + i128::from(self.flow_rest);
        let size = wide_div(product.unsigned_abs(), divisor.unsigned_abs().into());
        let sign = if product < 0 { -1 } else { 1 };
        // The rest is below the divisor, so that what overflows on both sides cancels out.
        self.flow_rest = (product as i64).wrapping_sub((size as i64).wrapping_mul(sign * divisor));
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
        let Move { feed_nm: feed, wording, .. } = &mut self.step;
        *feed = feed_nm;
        if words.has(b'Z') {
            wording.z_stated = true;
        }
        wording.x = None;
        if words.has(b'X') {
            let raw = words.raw(b'X');
            wording.x = Some(if wording.inch { inch_to_mm(raw) } else { raw });
        }
        wording.e = e;
        sink.moved(&self.step);
        if e.is_some() {
            self.step.wording.e_reset = false;
        }
    }
}

/// Whether two modes of one group stand on the line (RS274/NGC 3.4: one word of a group): which one holds is the
/// controller's choice.
fn stands_against(g: &[Code]) -> bool {
    let has = |code: Code| g.contains(&code);
    has(200) && has(210) || has(900) && has(910) || has(930) | has(950) && has(940)
}

/// Positions that relative words add up to end here, nm: a million kilometres.
const FARTHEST_NM: i64 = 1 << 60;

/// Takes positions to where words send them in inches or relative to where they are.
#[inline(never)]
fn go_otherwise(to: &mut [i64; 3], words: &Words, [inch, relative]: [bool; 2], offset: [i64; 3]) {
    for ((letter, at), offset) in [b'X', b'Y', b'Z'].into_iter().zip(to).zip(offset) {
        if words.has(letter) {
            let raw = words.raw(letter);
            let value = if inch { inch_to_mm(raw) } else { raw };
            *at = held(value + if relative { *at } else { offset });
        }
    }
}

/// A position within [`FARTHEST_NM`].
#[inline(always)]
fn held(position: i64) -> i64 {
    // The upper half alone tells, moved up so that one comparison does for both ends.
    const HALF: u32 = (FARTHEST_NM >> 32) as u32;
    let upper = (position >> 32) as u32;
    if upper.wrapping_add(HALF) < 2 * HALF { position } else { held_back(position) }
}

#[cold]
#[inline(never)]
fn held_back(position: i64) -> i64 {
    if position < 0 { -FARTHEST_NM } else { FARTHEST_NM }
}

/// 1 in = 25.4 mm exactly (international inch, 1959), rounded half away from zero: exact up to five decimals.
pub(super) fn inch_to_mm(micro: i64) -> i64 {
    let tenths = micro.saturating_mul(254);
    (tenths + 5 * tenths.signum()) / 10
}
