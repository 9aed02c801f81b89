//! A heater as far as a survey reckons with it: how long a wait takes.

/// Room air where the sheet's heaters start from, m°C. Common practice, no source.
const AMBIENT_MC: i64 = 20_000;

/// Longest wait that is reckoned, s: a heater that does not arrive in an hour never will.
pub(super) const LONGEST_WAIT_S: u32 = 3600;

/// One heater as a lump: C dT/dt = P − k (T − T∞), in steps of a second.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lump {
    pub(super) now_mc: i64,
    pub(super) target_mc: i64,
    power_mw: i64,
    j_per_k: i64,
    mw_per_k: i64,
}

impl Lump {
    pub(super) fn new(watts: u16, j_per_k: u16, mw_per_k: u16) -> Self {
        Self {
            now_mc: AMBIENT_MC,
            target_mc: 0,
            power_mw: i64::from(watts) * 1000,
            j_per_k: i64::from(j_per_k.max(1)),
            mw_per_k: i64::from(mw_per_k),
        }
    }

    pub(super) fn second(&mut self) {
        let loss_mw = self.mw_per_k * (self.now_mc - AMBIENT_MC) / 1000;
        if self.now_mc < self.target_mc {
            self.now_mc = (self.now_mc + (self.power_mw - loss_mw) / self.j_per_k).min(self.target_mc);
        } else if self.now_mc > self.target_mc {
            self.now_mc = (self.now_mc - loss_mw / self.j_per_k).max(self.target_mc);
        }
    }

    pub(super) fn pass(&mut self, seconds: u32) {
        for _ in 0..seconds.min(LONGEST_WAIT_S) {
            let before = self.now_mc;
            self.second();
            if self.now_mc == before {
                break;
            }
        }
    }
}
