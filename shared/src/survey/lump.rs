//! A heater as far as a survey reckons with it: how long a wait takes, and how hot it is by then.

use crate::motion::{Heater, Wait};
use crate::records::Heaters;
use crate::units::Celsius;

/// Room air where the sheet's heaters start from, m°C. Common practice, no source.
const AMBIENT_MC: i64 = 20_000;

/// Longest wait that is reckoned, s: a heater that does not arrive in an hour never will.
pub(super) const LONGEST_WAIT_S: u32 = 3600;

/// One heater as a lump: C dT/dt = P − k (T − T∞), in steps of a second.
#[derive(Clone, Copy, Debug)]
struct Lump {
    now_mc: i64,
    target_mc: i64,
    power_mw: i64,
    j_per_k: i64,
    mw_per_k: i64,
}

impl Lump {
    fn new(watts: u16, j_per_k: u16, mw_per_k: u16) -> Self {
        Self {
            now_mc: AMBIENT_MC,
            target_mc: 0,
            power_mw: i64::from(watts) * 1000,
            j_per_k: i64::from(j_per_k.max(1)),
            mw_per_k: i64::from(mw_per_k),
        }
    }

    fn second(&mut self) {
        let loss_mw = self.mw_per_k * (self.now_mc - AMBIENT_MC) / 1000;
        // In a second; the capacity is not 0.
        let rise_mc = |mw: i64| mw.checked_div(self.j_per_k).unwrap_or(0);
        if self.now_mc < self.target_mc {
            self.now_mc = (self.now_mc + rise_mc(self.power_mw - loss_mw)).min(self.target_mc);
        } else if self.now_mc > self.target_mc {
            self.now_mc = (self.now_mc - rise_mc(loss_mw)).max(self.target_mc);
        }
    }

    fn pass(&mut self, seconds: u32) {
        for _ in 0..seconds.min(LONGEST_WAIT_S) {
            let before = self.now_mc;
            self.second();
            if self.now_mc == before {
                break;
            }
        }
    }
}

/// The sheet's hot end and bed, and the time that they have come to.
#[derive(Clone, Debug)]
pub(super) struct Lumps {
    lumps: Option<[Lump; 2]>,
    at_ns: u64,
}

impl Lumps {
    pub(super) fn new(heaters: Option<&Heaters>) -> Self {
        let lumps = heaters.map(|h| {
            [
                Lump::new(h.nozzle_w, h.nozzle_j_per_k, h.nozzle_mw_per_k),
                Lump::new(h.bed_w, h.bed_j_per_k, h.bed_mw_per_k),
            ]
        });
        Self { lumps, at_ns: 0 }
    }

    /// How warm both are at a time.
    #[cold]
    pub(super) fn at(&self, now_ns: u64) -> [Option<Celsius>; 2] {
        let Some(mut lumps) = self.lumps else { return [None; 2] };
        let passed_s = self.passed_s(now_ns);
        lumps.iter_mut().for_each(|lump| lump.pass(passed_s));
        lumps.map(|lump| i16::try_from(lump.now_mc / 1000).ok().map(Celsius))
    }

    fn passed_s(&self, now_ns: u64) -> u32 {
        (now_ns.saturating_sub(self.at_ns) / 1_000_000_000).min(u64::from(LONGEST_WAIT_S)) as u32
    }

    /// A heater's word; gives how long it waits, ns, and whether that is known.
    pub(super) fn wait(&mut self, heater: Heater, celsius: i16, wait: Wait, now_ns: u64) -> (u64, bool) {
        let index = match heater {
            Heater::Nozzle => 0,
            Heater::Bed => 1,
            Heater::Chamber => return (0, wait == Wait::No),
        };
        let passed_s = self.passed_s(now_ns);
        let Some(lumps) = &mut self.lumps else { return (0, wait == Wait::No || celsius <= 0) };
        lumps.iter_mut().for_each(|lump| lump.pass(passed_s));
        self.at_ns = now_ns;
        let target_mc = i64::from(celsius) * 1000;
        if let Some(lump) = lumps.get_mut(index) {
            lump.target_mc = target_mc;
        }
        if wait == Wait::No || celsius <= 0 {
            return (0, true);
        }
        let mut seconds = 0;
        while seconds < LONGEST_WAIT_S {
            let there = lumps.get(index).is_none_or(|lump| match wait {
                Wait::HeatOrCool => lump.now_mc == target_mc,
                _ => lump.now_mc >= target_mc,
            });
            if there {
                break;
            }
            lumps.iter_mut().for_each(Lump::second);
            seconds += 1;
        }
        let ns = u64::from(seconds) * 1_000_000_000;
        self.at_ns = now_ns.saturating_add(ns);
        (ns, true)
    }
}
