//! Arcs in the XY plane: centre and radius form, true length, true extremes. RS274/NGC 3.5.3.

use super::UnreadKind;
use super::root::{hypot2, nearest};
use crate::units::{product, signed_mul_div, times};

/// Largest centre offset or chord that is reckoned with, nm: 1 km.
const LARGEST_NM: u64 = 1_000_000_000_000;

/// Difference of the radius at start and end that RS274/NGC 3.5.3.2 still allows, nm: 0.002 mm.
const MISMATCH_NM: u64 = 2_000;

/// Beyond this no rounding of a file explains it, and machines differ in what they do: they refuse it, or bend it to its end,
/// nm (judgement).
const TORN_NM: u64 = 500_000;

/// π in Q40.
const PI_Q40: u64 = 3_454_217_652_358;

/// An arc. Positions from its centre.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Arc {
    /// Centre, nm, X Y.
    pub centre: [i64; 2],
    /// Start less centre, nm.
    pub start: [i64; 2],
    /// End less centre, nm.
    pub end: [i64; 2],
    /// Radius at the start, nm; never 0.
    pub radius_nm: u64,
    /// G3.
    pub counter_clockwise: bool,
    /// Angle swept, radians in Q40, up to a full turn.
    pub sweep_q40: u64,
    /// Which of the directions +X, +Y, −X, −Y from the centre it passes between start and end (bit 0 to 3).
    pub passes: u8,
    /// Whether start and end differ in radius by more than 0.002 mm.
    pub mismatch: bool,
}

impl Arc {
    /// From its centre's offset (I, J). An end that is the start makes a full turn.
    pub(super) fn by_centre(
        from: [i64; 2],
        to: [i64; 2],
        offset: [i64; 2],
        counter_clockwise: bool,
    ) -> Result<Self, UnreadKind> {
        let [x0, y0] = from;
        let [x1, y1] = to;
        let [i, j] = offset;
        let centre = [x0.saturating_add(i), y0.saturating_add(j)];
        let [cx, cy] = centre;
        let start = [i.saturating_neg(), j.saturating_neg()];
        let end = [x1.saturating_sub(cx), y1.saturating_sub(cy)];
        Self::new(centre, start, end, hypot2(i, j), counter_clockwise)
    }

    /// From its radius (R): up to half a turn, or with a negative one more than half.
    pub(super) fn by_radius(
        from: [i64; 2],
        to: [i64; 2],
        radius: i64,
        counter_clockwise: bool,
    ) -> Result<Self, UnreadKind> {
        let [x0, y0] = from;
        let [x1, y1] = to;
        let (dx, dy) = (x1.saturating_sub(x0), y1.saturating_sub(y0));
        if [dx, dy, radius].iter().any(|part| part.unsigned_abs() > LARGEST_NM) {
            return Err(UnreadKind::TooLarge);
        }
        let chord_square = (product(dx, dx) + product(dy, dy)).unsigned_abs();
        let diameter = 2 * radius.unsigned_abs();
        if radius == 0 || chord_square == 0 {
            return Err(UnreadKind::ArcRadius);
        }
        let chord = root(chord_square);
        if chord > diameter + MISMATCH_NM {
            return Err(UnreadKind::ArcRadius);
        }
        // The centre stands beside the chord's middle, to its right for a clockwise arc of up to half a turn.
        let twice_height = root(times(diameter.into(), diameter).saturating_sub(chord_square));
        let right = counter_clockwise == (radius < 0);
        let aside = |part| {
            let aside = signed_mul_div(part, twice_height, 2 * chord);
            if right { aside } else { -aside }
        };
        let i = (dx / 2).saturating_add(aside(dy));
        let j = (dy / 2).saturating_sub(aside(dx));
        let centre = [x0.saturating_add(i), y0.saturating_add(j)];
        let [cx, cy] = centre;
        let start = [x0.saturating_sub(cx), y0.saturating_sub(cy)];
        let end = [x1.saturating_sub(cx), y1.saturating_sub(cy)];
        Self::new(centre, start, end, radius.unsigned_abs(), counter_clockwise)
    }

    fn new(
        centre: [i64; 2],
        start: [i64; 2],
        end: [i64; 2],
        radius_nm: u64,
        counter_clockwise: bool,
    ) -> Result<Self, UnreadKind> {
        if radius_nm == 0 {
            return Err(UnreadKind::ArcIncomplete);
        }
        if start.iter().chain(&end).any(|part| part.unsigned_abs() > LARGEST_NM) {
            return Err(UnreadKind::TooLarge);
        }
        let [x, y] = end;
        let off_nm = radius_nm.abs_diff(hypot2(x, y));
        if off_nm > TORN_NM {
            return Err(UnreadKind::ArcRadius);
        }
        let mismatch = off_nm > MISMATCH_NM;
        // Clockwise from start to end is counter-clockwise from end to start.
        let (first, last) = if counter_clockwise { (start, end) } else { (end, start) };
        let full = start == end;
        let (cross, dot) = products(first, last);
        let steps = if full {
            4
        } else {
            match (quadrant(last) + 4 - quadrant(first)) & 3 {
                0 if cross < 0 => 4,
                steps => steps,
            }
        };
        let mut passes = 0;
        for step in 1..=steps {
            passes |= 1 << ((quadrant(first) + step) & 3);
        }
        let sweep_q40 = if full { 2 * PI_Q40 } else { angle_q40(cross, dot) };
        Ok(Self { centre, start, end, radius_nm, counter_clockwise, sweep_q40, passes, mismatch })
    }

    /// Length in the plane, nm.
    #[must_use]
    pub const fn length_nm(&self) -> u64 {
        ((times(self.radius_nm as u128, self.sweep_q40) + (1 << 39)) >> 40) as u64
    }

    /// The points between start and end that are farthest along an axis, nm.
    pub fn extremes(&self) -> impl Iterator<Item = [i64; 2]> {
        let [x, y] = self.centre;
        let r = self.radius_nm as i64;
        let points = [
            [x.saturating_add(r), y],
            [x, y.saturating_add(r)],
            [x.saturating_sub(r), y],
            [x, y.saturating_sub(r)],
        ];
        let passes = self.passes;
        points.into_iter().enumerate().filter(move |(k, _)| passes & (1 << k) != 0).map(|(_, point)| point)
    }

    /// Whether it passes a direction from its centre, its ends counted.
    #[must_use]
    pub fn passes_direction(&self, direction: [i64; 2]) -> bool {
        let (first, last) =
            if self.counter_clockwise { (self.start, self.end) } else { (self.end, self.start) };
        let turns = |a: [i64; 2], b: [i64; 2]| products(a, b).0;
        if first == last {
            true
        } else if self.sweep_q40 <= PI_Q40 {
            turns(first, direction) >= 0 && turns(direction, last) >= 0
        } else {
            turns(last, direction) <= 0 || turns(direction, first) <= 0
        }
    }

    /// Direction of travel at a point given from the centre: a vector of about the radius' length.
    #[must_use]
    pub const fn heading(&self, at: [i64; 2]) -> [i64; 2] {
        let [x, y] = at;
        if self.counter_clockwise { [-y, x] } else { [y, -x] }
    }

    /// Whether it passes a place where it runs along X, and along Y.
    #[must_use]
    pub const fn runs_along(&self) -> [bool; 2] {
        [self.passes & 0b1010 != 0, self.passes & 0b0101 != 0]
    }

    /// Quarter turns of its heading, counter-clockwise positive, from the quadrant it starts in to that it ends in.
    #[must_use]
    pub const fn quarters(&self) -> i32 {
        let count = self.passes.count_ones() as i32;
        if self.counter_clockwise { count } else { -count }
    }
}

/// Which quarter a direction lies in, each from its own axis on: 0 from +X to before +Y, and so on.
#[must_use]
pub(crate) const fn quadrant(direction: [i64; 2]) -> u32 {
    let [x, y] = direction;
    if x > 0 && y >= 0 {
        0
    } else if x <= 0 && y > 0 {
        1
    } else if x < 0 {
        2
    } else {
        3
    }
}

/// The root of the square of a length, to the nearest. Beyond 2 m the last digits go: better than 10⁻⁹ of the length.
fn root(square: u128) -> u64 {
    if square == 0 {
        return 0;
    }
    let shift = (128 - square.leading_zeros()).saturating_sub(62).div_ceil(2);
    nearest((square >> (2 * shift)) as u64).0 << shift
}

/// Cross and dot product, shortened together to 61 bits.
fn products(a: [i64; 2], b: [i64; 2]) -> (i64, i64) {
    let ([ax, ay], [bx, by]) = (a, b);
    let (cross, dot) = (product(ax, by) - product(ay, bx), product(ax, bx) + product(ay, by));
    let bits = 128 - (cross.unsigned_abs() | dot.unsigned_abs()).leading_zeros();
    let shift = bits.saturating_sub(60);
    ((cross >> shift) as i64, (dot >> shift) as i64)
}

/// Steps of [`angle_q40`].
const STEPS: usize = 32;

/// atan 2⁻ᵏ in Q40.
const ATAN_Q40: [i64; STEPS] = atan_table();

/// The series of atan in Q60, exact enough for Q40: atan x = x − x³/3 + x⁵/5 …; atan 1 = π/4.
#[expect(clippy::indexing_slicing, reason = "evaluated when compiled: out of bounds would not build")]
const fn atan_table() -> [i64; STEPS] {
    let mut table = [0; STEPS];
    table[0] = (PI_Q40 / 4) as i64;
    let mut k = 1;
    while k < STEPS {
        let x_shift = k as u32;
        let mut sum = 0_i128;
        let mut n = 0_u32;
        // Terms 2^(60 − k(2n+1)) / (2n+1).
        while x_shift * (2 * n + 1) < 60 {
            let term = (1_i128 << (60 - x_shift * (2 * n + 1))) / (2 * n as i128 + 1);
            sum += if n.is_multiple_of(2) { term } else { -term };
            n += 1;
        }
        table[k] = ((sum + (1 << 19)) >> 20) as i64;
        k += 1;
    }
    table
}

/// Angle counter-clockwise from the first vector to the second, from their products: 0 up to a full turn, radians
/// in Q40.
///
/// Turns the vector by ever smaller known angles (Volder's CORDIC, 1959) in whole numbers; no float, and the small
/// board has no unit for them. Small angles by their series.
fn angle_q40(cross: i64, dot: i64) -> u64 {
    let (mut x, mut y) = (dot, cross);
    let mut angle = 0_i64;
    if x < 0 {
        angle = if y >= 0 { PI_Q40 as i64 } else { -(PI_Q40 as i64) };
        x = -x;
        y = -y;
    }
    // Scaled up so that the shifts keep the digits; the growth by 1.65 stays below 2⁶³.
    let room = (x.unsigned_abs() | y.unsigned_abs()).leading_zeros().saturating_sub(3);
    x <<= room;
    y <<= room;
    for (k, step) in ATAN_Q40.iter().enumerate() {
        let (dx, dy) = (x >> k, y >> k);
        if y >= 0 {
            x += dy;
            y -= dx;
            angle += step;
        } else {
            x -= dy;
            y += dx;
            angle -= step;
        }
    }
    // What is left is small: y/x.
    angle += (y >> 12).checked_div(x >> 52).unwrap_or(0);
    let turn = 2 * PI_Q40 as i64;
    (if angle < 0 { angle + turn } else { angle }) as u64
}
