//! The time model: how long each move takes on a machine that speeds up, slows down and looks ahead.
//!
//! The definition stands at [`Clock`]. How it stays cheap: the greatest v² at the start of move i from which all later
//! corners can be met is the least of J(k)² + (sum of 2·a·d from i to k) over the later corners k, and the stop at
//! the end. So the backward pass is a minimum over a window that slides over J(k)² + S(k), S being the running sum,
//! and a queue that keeps only the corners which are lower than all behind them gives it in constant time a move,
//! however short the moves are. The forward pass is done as moves leave.

use super::bounds::{ClockLimits, LimitsInForce};
use super::corner::{axis_step, deviation};
use super::fixed_point::{Divisor, MOST_LENGTH_NM, root, square};
use super::profile::{EndSpeed, MoveSpan, settle};
use super::ring::Ring;
use super::stretch::{Class, SettledMove, Stretch};
use crate::records::Corner;

/// A move that waits for the moves behind it.
#[derive(Clone, Copy, Debug, Default)]
struct WaitingMove<T> {
    span: MoveSpan,
    tag: T,
}

/// A corner that may bound what comes before it.
#[derive(Clone, Copy, Debug, Default)]
struct CornerAhead {
    /// Square of its speed, plus the running sum of reaches up to it (wrapping).
    key: u64,
    /// Its speed, nm/s.
    speed: u32,
    /// Number of the move that starts at it.
    number: u32,
}

/// What the next corner needs of the move before it.
#[derive(Clone, Copy, Debug)]
struct Behind {
    exit: [i32; 4],
    class: Class,
    cap: u32,
    accel_um_s2: u32,
}

/// The streaming time model with a buffer of up to `N` moves, a power of two. `T` is whatever the caller wants back with a move.
///
/// # Definition
///
/// Of each move: its speed is at most its feed, and on each axis at most the axis's highest speed; its acceleration
/// is its class's, and on each axis at most the axis's; on an arc v² ≤ a·r. Two moves meet at most at the lower of
/// their highest speeds, and as the sheet's [`Corner`] allows:
///
/// - axis step: v·|w−u| ≤ step on each of the four axes, u and w being the directions on both sides of the corner;
/// - deviation: v² ≤ a·δ·s/(1−s), s = sin(θ/2), with the lower of the two accelerations. θ is the angle between the
///   legs of the path in space (180° straight on, 0° a reversal); between two moves of the filament alone it is one
///   of these two, and between such a move and one in space a right angle.
///
/// The machine stands still at the start and at every [`Clock::stop`]. The profile is the fastest one: each v² the
/// greatest that |v₁² − v₀²| ≤ 2·a·d allows.
///
/// The controller's buffer holds `look_ahead` moves. A move that is pushed into a full buffer makes the first move
/// leave it, and that one's speed at its end is planned so that the machine could still stop at the end of the last
/// move in the buffer at that moment (itself and the `look_ahead` − 1 moves behind it). With 1, every move stops.
///
/// # Accuracy
///
/// Whole numbers throughout. Totals stay within 10⁻⁶ of real arithmetic on ordinary jobs; what is asked of it is 10⁻⁴.
/// Accelerations are held in whole µm/s², speeds in nm/s, lengths in nm, times in ns.
///
/// ```
/// use holdpoint_shared::records::Corner;
/// use holdpoint_shared::survey::{Class, Clock, ClockLimits, Stretch};
/// let limits = ClockLimits {
///     max_speed_um_s: [300_000, 300_000, 10_000, 50_000],
///     max_accel_um_s2: [3_000_000, 3_000_000, 200_000, 5_000_000],
///     print_accel_um_s2: 1_000_000,
///     travel_accel_um_s2: 1_000_000,
///     retract_accel_um_s2: 1_000_000,
///     corner: Corner::AxisStep([8_000, 8_000, 400, 5_000]),
///     look_ahead: 32,
/// };
/// let mut clock = Clock::<(), 32>::new(&limits);
/// let along_x = [1 << 30, 0, 0, 0];
/// let hundred_mm = Stretch {
///     length_nm: 100_000_000,
///     enter: along_x,
///     exit: along_x,
///     share: along_x,
///     feed_nm_s: 100_000_000,
///     class: Class::Travel,
///     radius_nm: None,
/// };
/// let mut total_ns = 0;
/// let mut add = |(): &(), settled: holdpoint_shared::survey::SettledMove| total_ns += settled.duration_ns;
/// clock.push(&hundred_mm, (), &mut add);
/// clock.stop(&mut add);
/// // 100 mm at 100 mm/s and 1000 mm/s²: 1.1 s.
/// assert_eq!(total_ns, 1_100_000_000);
/// ```
#[derive(Clone, Debug)]
pub struct Clock<T: Copy + Default, const N: usize> {
    limits: LimitsInForce,
    look_ahead: usize,
    moves: Ring<WaitingMove<T>, N>,
    /// Corners inside the buffer, each lower than all behind it (by key); the first one's number is above `number`.
    corners: Ring<CornerAhead, N>,
    /// Number of the first move in the buffer.
    number: u32,
    /// Running sum of reaches at the start of the first move in the buffer, and at the end of the last (wrapping).
    sums: [u64; 2],
    /// Speed at the start of the first move in the buffer.
    entry: EndSpeed,
    behind: Option<Behind>,
    divisor: Divisor,
}

impl<T: Copy + Default, const N: usize> Clock<T, N> {
    /// With each reach at most 2⁵³, running sums over the buffer stay below 2⁶³ and can be compared though they wrap.
    const HOLDS: () = assert!(N <= 512, "a clock holds at most 512 moves");

    /// A clock at rest with an empty buffer.
    #[must_use]
    pub fn new(limits: &ClockLimits) -> Self {
        const { Self::HOLDS };
        let wanted = usize::from(limits.look_ahead);
        Self {
            limits: LimitsInForce::new(limits),
            look_ahead: if wanted == 0 || wanted > N { N } else { wanted },
            moves: Ring::new(),
            corners: Ring::new(),
            number: 0,
            sums: [0; 2],
            entry: EndSpeed::default(),
            behind: None,
            divisor: Divisor::new(1),
        }
    }

    /// Moves that the buffer holds.
    #[must_use]
    pub const fn look_ahead(&self) -> u16 {
        // At most 512.
        self.look_ahead as u16
    }

    /// Takes the next move; calls `out` for the move that leaves the buffer, if one does.
    ///
    /// Limits apply as they are in force now. Nothing is refused: a length or a feed of 0 counts as 1 nm or 1 nm/s.
    #[cfg_attr(target_pointer_width = "64", inline(always))]
    pub fn push(&mut self, stretch: &Stretch, tag: T, out: &mut impl FnMut(&T, SettledMove)) {
        if self.moves.len() >= self.look_ahead {
            self.settle_first(out);
        }
        let length_nm = held(stretch.length_nm);
        let acceleration = self.limits.acceleration(stretch);
        let cap = self.limits.cap(stretch, &acceleration);
        // More than twice the cap's square makes no difference to any speed.
        let reach = acceleration.reach_over(length_nm, square(cap) << 1);

        let [_, end] = self.sums;
        if let (Some(behind), 1..) = (&self.behind, self.moves.len()) {
            let speed = self.corner_speed(behind, stretch, acceleration.accel_um_s2, cap);
            let key = end.wrapping_add(square(speed));
            // A corner that is not lower than a later one bounds nothing that the later one does not.
            while self.corners.back().is_some_and(|last| last.key.wrapping_sub(key) < 1 << 63) {
                self.corners.drop_back();
            }
            let number = self.number.wrapping_add(self.moves.len() as u32);
            // Never full: there are fewer corners than moves in the buffer.
            self.corners.push_back(CornerAhead { key, speed, number });
        }
        self.sums[1] = end.wrapping_add(reach);
        self.behind = Some(Behind {
            exit: stretch.exit,
            class: stretch.class,
            cap,
            accel_um_s2: acceleration.accel_um_s2,
        });
        // Never full: the first move left above if it was.
        self.moves.push_back(WaitingMove {
            span: MoveSpan { length_nm, reach, cap, inverse: acceleration.inverse },
            tag,
        });
    }

    /// The machine comes to rest after the last move (a dwell, a heat wait, homing, probing, the end): all moves
    /// leave the buffer, and the next one starts from rest.
    pub fn stop(&mut self, out: &mut impl FnMut(&T, SettledMove)) {
        while !self.moves.is_empty() {
            self.settle_first(out);
        }
        self.entry = EndSpeed::default();
        self.behind = None;
    }

    /// The limits in force, which a file may lower for the moves pushed from then on.
    pub const fn limits_mut(&mut self) -> &mut LimitsInForce {
        &mut self.limits
    }

    /// The speed at the corner between the last move and this one, nm/s.
    fn corner_speed(&self, behind: &Behind, stretch: &Stretch, accel_um_s2: u32, cap: u32) -> u32 {
        let cap = cap.min(behind.cap);
        match self.limits.corner() {
            Corner::AxisStep(steps) => axis_step(&behind.exit, &stretch.enter, steps, cap),
            Corner::Deviation(deviation_um) => {
                let accel_um_s2 = accel_um_s2.min(behind.accel_um_s2);
                let classes = [behind.class, stretch.class];
                deviation(&behind.exit, &stretch.enter, classes, accel_um_s2, *deviation_um, cap)
            }
        }
    }

    /// Lets the first move leave the buffer.
    #[inline]
    fn settle_first(&mut self, out: &mut impl FnMut(&T, SettledMove)) {
        // Looked at in place: a copy of it costs a small board more than what is done with it here.
        let Some(WaitingMove { span, tag }) = self.moves.front() else { return };
        let [start, end] = self.sums;
        let here = start.wrapping_add(span.reach);
        self.number = self.number.wrapping_add(1);

        let mut exit_square = (self.entry.square + span.reach).min(end.wrapping_sub(here));
        let mut known = None;
        if let Some(corner) = self.corners.front() {
            let allowed = corner.key.wrapping_sub(here);
            let is_next = corner.number == self.number;
            if allowed <= exit_square {
                exit_square = allowed;
                known = is_next.then_some(corner.speed);
            }
            if is_next {
                self.corners.drop_front();
            }
        }
        let speed = match known {
            Some(speed) => speed,
            None if exit_square == 0 => 0,
            None if exit_square == self.entry.square => self.entry.speed,
            None => root(exit_square),
        };
        let exit = EndSpeed { speed, square: exit_square };
        let settled = settle(span, self.entry, exit, &mut self.divisor);
        self.sums[0] = here;
        self.entry = exit;
        out(tag, settled);
        self.moves.drop_front();
    }
}

/// A length that the model can take, nm.
#[inline(always)]
fn held(length_nm: u64) -> u64 {
    if length_nm.wrapping_sub(1) < MOST_LENGTH_NM { length_nm } else { length_nm.clamp(1, MOST_LENGTH_NM) }
}

#[cfg(test)]
#[path = "clock_tests.rs"]
mod tests;
