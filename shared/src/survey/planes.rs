//! The set of planes that beads lie on, in constant memory.

use heapless::Vec;

use crate::limits::PLANE_RUNS;

/// Evenly spaced planes, µm.
#[derive(Clone, Copy, Debug)]
struct EvenPlanes {
    first: i32,
    last: i32,
    /// 0 while there is one plane only.
    step: i32,
}

impl EvenPlanes {
    const fn holds(&self, z_um: i32) -> bool {
        if z_um == self.first {
            return true;
        }
        z_um > self.first
            && z_um <= self.last
            && matches!(z_um.saturating_sub(self.first).checked_rem(self.step), Some(0))
    }
}

/// Planes to the micrometre. Layers of one height take one run, however many they are.
#[derive(Clone, Debug, Default)]
pub(super) struct Planes {
    runs: Vec<EvenPlanes, PLANE_RUNS>,
    /// The run that grew last.
    latest: usize,
    count: u32,
    /// Whether a plane found no room.
    overflowed: bool,
    /// Whether a plane that found no room could be meant again.
    doubtful: bool,
    top: Option<i32>,
    first: Option<i32>,
}

impl Planes {
    pub(super) const fn count(&self) -> u32 {
        self.count
    }

    /// Whether `count` is certain.
    pub(super) const fn exact(&self) -> bool {
        !self.doubtful
    }

    pub(super) const fn top(&self) -> Option<i32> {
        self.top
    }

    /// The plane taken in first.
    pub(super) const fn first(&self) -> Option<i32> {
        self.first
    }

    /// The highest plane reaches up to here.
    pub(super) fn raise(&mut self, z_um: i32) {
        self.top = self.top.map(|top| top.max(z_um));
    }

    /// Takes in a plane.
    pub(super) fn add(&mut self, z_um: i32) {
        self.first.get_or_insert(z_um);
        let above_all = self.top.is_none_or(|top| z_um > top);
        if !above_all {
            if self.runs.iter().any(|run| run.holds(z_um)) {
                return;
            }
            self.doubtful |= self.overflowed;
        }
        self.count = self.count.saturating_add(1);
        if above_all {
            self.top = Some(z_um);
        }
        if let Some(run) = self.runs.get_mut(self.latest) {
            let step = z_um.saturating_sub(run.last);
            if step > 0 && (run.step == 0 || run.step == step) {
                run.step = step;
                run.last = z_um;
                return;
            }
        }
        if self.runs.push(EvenPlanes { first: z_um, last: z_um, step: 0 }).is_ok() {
            self.latest = self.runs.len() - 1;
        } else {
            self.overflowed = true;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_share_their_planes() {
        let mut planes = Planes::default();
        for _part in 0..3 {
            for layer in 1..=500 {
                planes.add(50 + 200 * layer);
            }
        }
        assert_eq!((planes.count(), planes.exact(), planes.top()), (500, true, Some(100_050)));
        // Another part with layers of its own.
        for layer in 1..=500 {
            planes.add(20 + 200 * layer);
        }
        assert_eq!((planes.count(), planes.exact()), (1000, true));
    }

    #[test]
    fn says_when_it_cannot_tell() {
        let mut planes = Planes::default();
        for layer in 1..200 {
            planes.add(layer * layer * 10);
        }
        assert_eq!((planes.count(), planes.exact()), (199, true));
        // Even one that was there before finds no run now, so that the count is a most only.
        planes.add(150 * 150 * 10);
        assert!(!planes.exact());
    }
}
