//! Modal state: what a line's words mean after all lines before it.

use crate::text::{MICRO, Words};
use crate::units::{mul_div, product, wide_div};

use super::command::{Known, WordClass};
use super::{Applied, MotionSink, Move, MoveWording, UnreadKind};

/// A factor of one, in 10⁻⁶.
pub(super) const ONE: i64 = MICRO;

/// The state that words leave behind.
#[derive(Clone, Debug)]
pub struct Modal {
    /// Machine position less what words call it (G92), nm.
    pub(super) offset: [i64; 3],
    /// Baby steps so far, nm. They are part of [`offset`](Self::offset).
    pub(super) baby: [i64; 3],
    /// The offset while a line of G53 is read without it.
    pub(super) aside: Option<[i64; 3]>,
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
    pub(super) motion: Known,
    pub(super) plane_other: bool,
    pub(super) feed_form_other: bool,
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
            step: Move { wording: MoveWording { e_reset: true, ..Move::NONE.wording }, ..Move::NONE },
        }
    }

    /// Machine position, nm.
    #[must_use]
    pub const fn position(&self) -> [i64; 3] {
        self.step.to
    }

    /// A word that only its class is known of.
    #[cold]
    pub(super) fn classed(letter: u8, code: u32, class: WordClass, sink: &mut impl MotionSink) {
        if !matches!(class, WordClass::Modelled | WordClass::Tuning | WordClass::Report) {
            sink.applied(Applied::Word { letter, code, class });
        }
    }

    pub(super) fn set_positions(&mut self, relative: bool) {
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

    pub(super) fn set_feed(&mut self, micro: i64) {
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
        // Each on its own: of the array the compiler makes a call.
        let [flow, volume] = self.scale;
        (if flow == ONE && volume == ONE { fed } else { self.scaled(fed) }, Some(value))
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
    pub(super) fn line(&mut self, words: &Words, sink: &mut impl MotionSink) {
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
