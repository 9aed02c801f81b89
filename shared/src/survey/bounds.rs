//! What bounds a single move: the machine sheet's limits, which the file may lower.

use super::corner::{FILAMENT_SHIFT, UNIT_SHIFT};
use super::fixed_point::{Acceleration, quotient, root, square};
use super::stretch::{Class, Stretch};
use crate::records::{Corner, Motion};

/// The limits a machine moves under, as its sheet states them. All per axis in the order X Y Z E.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct ClockLimits {
    /// Highest speed, µm/s. 4.29 m/s and more is held at that.
    pub max_speed_um_s: [u32; 4],
    /// Highest acceleration, µm/s². Held between 10 mm/s² and 130 m/s².
    pub max_accel_um_s2: [u32; 4],
    /// Acceleration of extruding moves, µm/s².
    pub print_accel_um_s2: u32,
    /// Acceleration of travel moves, µm/s².
    pub travel_accel_um_s2: u32,
    /// Acceleration of moves of the filament alone, µm/s².
    pub retract_accel_um_s2: u32,
    /// Corner rule.
    pub corner: Corner,
    /// Moves in the controller's buffer; 0 or more than the clock holds = all that it holds.
    pub look_ahead: u16,
}

impl From<&Motion> for ClockLimits {
    fn from(motion: &Motion) -> Self {
        let micro = |milli: u32| milli.saturating_mul(1000);
        Self {
            max_speed_um_s: motion.max_speed_mm_s.map(micro),
            max_accel_um_s2: motion.max_accel_mm_s2.map(micro),
            print_accel_um_s2: micro(motion.print_accel_mm_s2),
            travel_accel_um_s2: micro(motion.travel_accel_mm_s2),
            retract_accel_um_s2: micro(motion.retract_accel_mm_s2),
            corner: motion.corner,
            look_ahead: motion.look_ahead,
        }
    }
}

/// The limits in force: the sheet's, or what the file lowered them to. All per axis in the order X Y Z E.
#[derive(Clone, Copy, Debug)]
pub struct LimitsInForce {
    sheet: ClockLimits,
    /// nm/s.
    max_speed: [u32; 4],
    /// µm/s².
    max_accel: [u32; 4],
    print: Acceleration,
    travel: Acceleration,
    retract: Acceleration,
    /// Steps in nm/s, deviation in µm.
    corner: Corner,
    /// The last acceleration that an axis bound.
    bound: Acceleration,
    /// What bounds no level move that lays filament, see [`Self::renew_free`].
    free: Free,
}

/// A level move that lays filament is bound by no axis's acceleration, nor by the speed of X or Y, up to here.
#[derive(Clone, Copy, Debug)]
struct Free {
    /// Filament's share of the path at the class's acceleration, Q24; 0 where X or Y bound it already.
    share: i32,
    /// Speed, nm/s.
    speed: u32,
}

const fn nm_s(um_s: u32) -> u32 {
    um_s.saturating_mul(1000)
}

impl LimitsInForce {
    pub(super) fn new(sheet: &ClockLimits) -> Self {
        let print = Acceleration::new(sheet.print_accel_um_s2);
        let mut limits = Self {
            sheet: *sheet,
            max_speed: sheet.max_speed_um_s.map(|speed| nm_s(speed).max(1)),
            max_accel: sheet.max_accel_um_s2.map(|accel| Acceleration::new(accel).accel_um_s2),
            print,
            travel: Acceleration::new(sheet.travel_accel_um_s2),
            retract: Acceleration::new(sheet.retract_accel_um_s2),
            corner: match sheet.corner {
                Corner::AxisStep(steps) => Corner::AxisStep(steps.map(nm_s)),
                deviation @ Corner::Deviation(_) => deviation,
            },
            bound: print,
            free: Free { share: 0, speed: 0 },
        };
        limits.renew_free();
        limits
    }

    /// To be called after any limit of axes or of laying moves changed.
    #[inline(never)]
    fn renew_free(&mut self) {
        let ([x, y, _, e], accel) = (self.max_accel, self.print.accel_um_s2);
        let share = (u64::from(e) << FILAMENT_SHIFT) / u64::from(accel.max(1));
        self.free.share = if accel > x.min(y) { 0 } else { i32::try_from(share).unwrap_or(i32::MAX) };
        let [x, y, ..] = self.max_speed;
        self.free.speed = x.min(y);
    }

    /// Steps in nm/s, deviation in µm.
    pub(super) const fn corner(&self) -> &Corner {
        &self.corner
    }

    /// Lowers the axes' highest speeds, µm/s, for the moves pushed from now on (M203). `None` leaves an axis as it is;
    /// more than the sheet's counts as the sheet's, and 0 is ignored, since nothing could move.
    pub fn lower_speeds(&mut self, to_um_s: [Option<u32>; 4]) {
        let axes = self.max_speed.iter_mut().zip(self.sheet.max_speed_um_s);
        for ((in_force, sheet), wanted) in axes.zip(to_um_s) {
            if let Some(wanted @ 1..) = wanted {
                *in_force = nm_s(wanted.min(sheet)).max(1);
            }
        }
        self.renew_free();
    }

    /// Lowers the axes' highest accelerations, µm/s² (M201). As [`LimitsInForce::lower_speeds`].
    pub fn lower_accels(&mut self, to_um_s2: [Option<u32>; 4]) {
        let axes = self.max_accel.iter_mut().zip(self.sheet.max_accel_um_s2);
        for ((in_force, sheet), wanted) in axes.zip(to_um_s2) {
            if let Some(wanted @ 1..) = wanted {
                *in_force = Acceleration::new(wanted.min(sheet)).accel_um_s2;
            }
        }
        self.renew_free();
    }

    /// Lowers the acceleration of a class of moves, µm/s² (M204). More than the sheet's counts as the sheet's, and
    /// 0 is ignored.
    pub fn lower_class_accel(&mut self, class: Class, to_um_s2: u32) {
        if to_um_s2 == 0 {
            return;
        }
        let (in_force, sheet) = match class {
            Class::Print => (&mut self.print, self.sheet.print_accel_um_s2),
            Class::Travel => (&mut self.travel, self.sheet.travel_accel_um_s2),
            Class::Retract => (&mut self.retract, self.sheet.retract_accel_um_s2),
        };
        *in_force = Acceleration::new(to_um_s2.min(sheet));
        self.renew_free();
    }

    /// Lowers the axes' steps of speed at a corner, µm/s (M205). Without effect on a machine that goes by deviation.
    /// 0 is taken: such an axis stops before it changes.
    pub fn lower_steps(&mut self, to_um_s: [Option<u32>; 4]) {
        if let (Corner::AxisStep(in_force), Corner::AxisStep(sheet)) = (&mut self.corner, &self.sheet.corner)
        {
            for ((in_force, &sheet), wanted) in in_force.iter_mut().zip(sheet).zip(to_um_s) {
                if let Some(wanted) = wanted {
                    *in_force = nm_s(wanted.min(sheet));
                }
            }
        }
    }

    /// Lowers the deviation at a corner, µm (M205). Without effect on a machine that goes by axis steps.
    pub fn lower_deviation(&mut self, to_um: u32) {
        if let (Corner::Deviation(in_force), Corner::Deviation(sheet)) =
            (&mut self.corner, &self.sheet.corner)
        {
            *in_force = to_um.min(*sheet);
        }
    }

    /// The acceleration of a move: its class's, or less where an axis cannot take its share.
    #[inline(always)]
    pub(super) fn acceleration(&mut self, stretch: &Stretch) -> Acceleration {
        let [.., z, e] = stretch.share;
        if stretch.class == Class::Print && z == 0 && e < self.free.share {
            // Nearly always: no axis is asked for more than it can.
            return self.print;
        }
        let acceleration = match stretch.class {
            Class::Print => self.print,
            Class::Travel => self.travel,
            Class::Retract => self.retract,
        };
        let accel = bounded(acceleration.accel_um_s2, stretch.share, &self.max_accel);
        if accel == acceleration.accel_um_s2 {
            return acceleration;
        }
        if accel != self.bound.accel_um_s2 {
            self.bound = Acceleration::new(accel);
        }
        self.bound
    }

    /// The highest speed of a move, nm/s.
    #[inline(always)]
    pub(super) fn cap(&self, stretch: &Stretch, acceleration: &Acceleration) -> u32 {
        let (feed, [.., z, e], [.., most_e]) = (stretch.feed_nm_s, stretch.share, self.max_speed);
        let cap = if z == 0 && feed <= self.free.speed {
            filament_bounded(feed, e, most_e)
        } else {
            bounded(feed, stretch.share, &self.max_speed)
        };
        match stretch.radius_nm {
            None => cap.max(1),
            Some(radius_nm) => on_arc(cap, radius_nm, acceleration).max(1),
        }
    }
}

/// The most that an arc's radius allows, nm/s.
#[inline(never)]
fn on_arc(cap: u32, radius_nm: u64, acceleration: &Acceleration) -> u32 {
    // v² = a·r is half of the reach over r; a small cap can come out as 0 only where the radius is 0.
    let square_of_cap = square(cap);
    let allowed = acceleration.reach_over(radius_nm, (square_of_cap << 1) + 2) >> 1;
    if allowed < square_of_cap { root(allowed) } else { cap }
}

/// A speed or acceleration along a path, lowered where an axis's share of it is more than that axis can.
#[cfg_attr(target_pointer_width = "64", inline(always))]
fn bounded(along: u32, shares: [i32; 4], most: &[u32; 4]) -> u32 {
    let ([x, y, z, e], [most_x, most_y, most_z, most_e]) = (shares, *most);
    let mut along = along;
    // No share in space is above 1: what an axis can do alone it can do as a part, and needs no product.
    if along > most_x {
        along = on_axis(along, x.unsigned_abs(), most_x, UNIT_SHIFT);
    }
    if along > most_y {
        along = on_axis(along, y.unsigned_abs(), most_y, UNIT_SHIFT);
    }
    // Nearly always slower than the others, and rarely moved.
    if z != 0 && along > most_z {
        along = on_axis(along, z.unsigned_abs(), most_z, UNIT_SHIFT);
    }
    filament_bounded(along, e, most_e)
}

/// The same for the filament's share alone.
#[inline(always)]
fn filament_bounded(along: u32, share: i32, most: u32) -> u32 {
    let share = share.unsigned_abs();
    if u64::from(share) * u64::from(along) > u64::from(most) << FILAMENT_SHIFT {
        on_axis(along, share, most, FILAMENT_SHIFT)
    } else {
        along
    }
}

#[inline(never)]
fn on_axis(along: u32, share: u32, most: u32, shift: u32) -> u32 {
    let allowed = u64::from(most) << shift;
    if u64::from(share) * u64::from(along) <= allowed {
        along
    } else if share == 1 << shift {
        // Along an axis its own limit holds, without a division.
        most
    } else {
        // Below `along`.
        quotient(allowed, share)
    }
}
