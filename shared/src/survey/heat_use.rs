//! Targets asked for, what was fed at them, and how long their waits take.

use crate::limits::{FAN_TURNS_PERMILLE, HOT_NOZZLE_C, TOOLS};
use crate::motion::{Heater, Wait};
use crate::records::Heaters;
use crate::units::Celsius;

use super::lump::{LONGEST_WAIT_S, Lumps};
use super::values::{FanUse, HeatStep, HeaterUse};

/// How far a spiral runs level at most before its rise shows in the file's decimals, nm: half a micrometre of a rise of
/// 0.1 mm over half a metre, doubled twice for a rise that begins slowly.
const LEVEL_BEGIN_NM: u64 = 10_000_000;

/// Different targets that filament is counted at to find the commonest.
const TARGETS: usize = 6;

/// Heaters while the job is read.
#[derive(Clone, Debug)]
pub(super) struct HeatWatch {
    lumps: Lumps,
    nozzle: [i16; TOOLS],
    bed: i16,
    /// The highest bed target that was waited for, and when the present one was set, s.
    bed_waited: i16,
    bed_target_s: u32,
    chamber: i16,
    pub(super) tool: u8,
    /// Set when a feed or a bead has something new to note.
    pub(super) fresh_feed: bool,
    pub(super) fresh_bead: bool,
    /// The most that the fan was on over the first layer before its last word.
    fan_before: u16,
    waited: bool,
    target_s: u32,
    fed: bool,
    /// Whether the last word for the tool in use turned it off after it had fed.
    off: bool,
    above_first: bool,
    amounts: [(i16, i64); TARGETS],
    forward_then: i64,
    fan: u16,
    fan_sum: u64,
    fan_path_then: u64,
    fan_path_from: u64,
    ever_hot: bool,
    /// Whether the job had words for the nozzle and for the bed.
    told: [bool; 2],
    /// Heat came from elsewhere, as from the machine's own start: filament was fed before any word made it hot.
    elsewhere: bool,
}

/// A heater's word: whose, the target in 10⁻⁶ °C, and whether it waits.
#[derive(Clone, Copy, Debug)]
pub(super) struct HeatWord {
    pub(super) heater: Heater,
    pub(super) tool: u8,
    pub(super) target: Option<i64>,
    pub(super) wait: Wait,
}

/// A word's place in the job.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub(super) now_ns: u64,
    pub(super) at_s: u32,
    pub(super) layer: u32,
    pub(super) line: u32,
}

/// 10⁻⁶ °C to whole degrees, to the nearest.
fn degrees(micro: i64) -> i16 {
    let whole = micro.saturating_add(500_000).div_euclid(1_000_000);
    whole.clamp(i64::from(i16::MIN), i64::from(i16::MAX)) as i16
}

impl HeatWatch {
    pub(super) fn new(heaters: Option<&Heaters>) -> Self {
        Self {
            lumps: Lumps::new(heaters),
            nozzle: [0; TOOLS],
            bed: 0,
            bed_waited: 0,
            bed_target_s: 0,
            chamber: 0,
            tool: 0,
            fresh_feed: true,
            fresh_bead: true,
            fan_before: 0,
            waited: false,
            target_s: 0,
            fed: false,
            off: false,
            above_first: false,
            amounts: [(0, 0); TARGETS],
            forward_then: 0,
            fan: 0,
            fan_sum: 0,
            fan_path_then: 0,
            fan_path_from: 0,
            ever_hot: false,
            told: [false; 2],
            elsewhere: false,
        }
    }

    fn nozzle_target(&self) -> i16 {
        self.nozzle.get(usize::from(self.tool).min(TOOLS - 1)).copied().unwrap_or(0)
    }

    fn nozzle_highest(&self) -> i16 {
        self.nozzle.iter().copied().max().unwrap_or(0)
    }

    /// Whether a nozzle's target is one at which melt chars.
    pub(super) fn nozzle_hot(&self) -> bool {
        self.nozzle_highest() > HOT_NOZZLE_C
    }

    /// Whether something was on and nothing is now.
    pub(super) fn all_off(&self) -> bool {
        self.ever_hot && self.knows() && self.nozzle_highest() <= 0 && self.bed <= 0 && self.chamber <= 0
    }

    /// Whether words alone tell what is on: what was heated elsewhere is on until a word says otherwise.
    fn knows(&self) -> bool {
        !self.elsewhere || self.told == [true; 2]
    }

    /// A heater's word; gives the time that it waits, ns, and whether that is known.
    pub(super) fn word(
        &mut self,
        asked: HeatWord,
        place: Place,
        forward_nm: i64,
        use_of: &mut HeaterUse,
    ) -> (u64, bool) {
        let HeatWord { heater, tool, target, wait } = asked;
        // A bed that was never asked for heat waits for none: such a wait ends at once.
        let [_, bed_highest, _] = use_of.highest;
        let cold_bed = heater == Heater::Bed && wait == Wait::Heat && target == Some(0) && bed_highest.0 <= 0;
        if wait != Wait::No && target.is_none_or(|t| t <= 0) && !cold_bed {
            use_of.waits_for_nothing.add(place.line);
        }
        if wait == Wait::HeatOrCool {
            use_of.cool_waits.add(place.line);
        }
        let Some(target) = target else { return (0, true) };
        let celsius = degrees(target);
        self.note_amount(forward_nm);
        let index = usize::from(tool).min(TOOLS - 1);
        let held = match heater {
            Heater::Nozzle => self.nozzle.get_mut(index),
            Heater::Bed => Some(&mut self.bed),
            Heater::Chamber => Some(&mut self.chamber),
        };
        let anew = self.elsewhere && self.told.get(heater as usize) == Some(&false);
        let repeats = !anew && held.as_ref().is_some_and(|held| **held == celsius);
        if let Some(held) = held {
            *held = celsius;
        }
        if let Some(told) = self.told.get_mut(heater as usize) {
            *told = true;
        }
        self.ever_hot |= celsius > 0;
        self.fresh_feed = true;
        self.fresh_bead = true;
        if !(repeats && wait == Wait::No) {
            self.note_step(asked, celsius, place, use_of);
        }
        if heater == Heater::Nozzle {
            if tool == self.tool {
                self.off = self.fed && celsius <= 0;
            }
            if !repeats {
                self.target_s = place.at_s;
                self.waited = false;
            }
            self.waited |= wait != Wait::No && celsius > 0;
        }
        if heater == Heater::Bed {
            if !repeats {
                self.bed_target_s = place.at_s;
            }
            if wait != Wait::No {
                self.bed_waited = self.bed_waited.max(celsius);
            }
        }
        let (ns, known) = self.lumps.wait(heater, celsius, wait, place.now_ns);
        if heater != Heater::Nozzle {
            // Still warm from the last job, it keeps nobody waiting: no time in which the nozzle is sure to heat.
            let waited_s = u32::try_from(ns / 1_000_000_000).unwrap_or(u32::MAX);
            self.target_s = self.target_s.saturating_add(waited_s);
        }
        if ns >= u64::from(LONGEST_WAIT_S) * 1_000_000_000 {
            use_of.unreached.add(place.line);
        }
        (ns, known)
    }

    fn note_step(&mut self, asked: HeatWord, celsius: i16, place: Place, use_of: &mut HeaterUse) {
        let HeatWord { heater, tool, wait, .. } = asked;
        use_of.step_count = use_of.step_count.saturating_add(1);
        let step = HeatStep {
            heater,
            tool,
            target: Celsius(celsius),
            wait,
            at_s: place.at_s,
            layer: place.layer,
            line: place.line,
        };
        // Full: counted only.
        let _ = use_of.steps.push(step);
        let index = heater as usize;
        if let (Some(highest), Some(line)) =
            (use_of.highest.get_mut(index), use_of.highest_line.get_mut(index))
            && celsius > highest.0
        {
            *highest = Celsius(celsius);
            *line = place.line;
        }
    }

    /// Filament fed at the target in force until now.
    fn note_amount(&mut self, forward_nm: i64) {
        let target = self.nozzle_target();
        let amount = forward_nm.saturating_sub(self.forward_then);
        self.forward_then = forward_nm;
        if amount <= 0 {
            return;
        }
        let slot = self.amounts.iter_mut().find(|(known, sum)| *sum == 0 || *known == target);
        if let Some((known, sum)) = slot {
            *known = target;
            *sum = sum.saturating_add(amount);
        }
    }

    /// Another tool.
    pub(super) fn change_tool(&mut self, tool: u8, forward_nm: i64) {
        self.note_amount(forward_nm);
        self.tool = tool;
        self.off = false;
        self.fresh_feed = true;
    }

    /// The first forward feed since something changed.
    #[cold]
    pub(super) fn feeds(&mut self, place: Place, use_of: &mut HeaterUse) {
        self.fresh_feed = false;
        let target = Celsius(self.nozzle_target());
        if self.off {
            use_of.fed_after_off.add(place.line);
        }
        if !self.fed {
            self.fed = true;
            self.elsewhere = !self.ever_hot;
            self.ever_hot = true;
            use_of.waited_before_feed = Some(self.waited);
            use_of.target_to_feed_s = place.at_s.saturating_sub(self.target_s);
            let [nozzle_then, _] = self.lumps.at(place.now_ns);
            use_of.nozzle_then = nozzle_then;
        }
        if use_of.nozzle_lowest_feeding.is_none_or(|lowest| target < lowest) {
            use_of.nozzle_lowest_feeding = Some(target);
            use_of.nozzle_lowest_line = place.line;
        }
        if use_of.nozzle_highest_feeding.is_none_or(|highest| target > highest) {
            use_of.nozzle_highest_feeding = Some(target);
            use_of.nozzle_highest_line = place.line;
        }
    }

    /// The first bead since something changed.
    #[cold]
    pub(super) fn lays(&mut self, layer: u32, place: Place, use_of: &mut HeaterUse, fan: &mut FanUse) {
        self.fresh_bead = false;
        let bed = Celsius(self.bed);
        if layer <= 1 {
            if use_of.nozzle_first_layer.is_none() {
                use_of.nozzle_first_layer = Some(Celsius(self.nozzle_target()));
                use_of.bed_first_layer = Some(bed);
                use_of.bed_waited = Celsius(self.bed_waited);
                use_of.bed_target_to_bead_s = place.at_s.saturating_sub(self.bed_target_s);
                let [_, bed_then] = self.lumps.at(place.now_ns);
                use_of.bed_then = bed_then;
            }
            if use_of.bed_lowest_first.is_none_or(|lowest| bed < lowest) {
                use_of.bed_lowest_first = Some(bed);
            }
            if self.fan > fan.first_layer_permille {
                self.fan_before = core::mem::replace(&mut fan.first_layer_permille, self.fan);
            }
        } else {
            use_of.bed_highest_laying = use_of.bed_highest_laying.max(Some(bed));
            if use_of.bed_lowest_laying.is_none_or(|lowest| bed < lowest) {
                use_of.bed_lowest_laying = Some(bed);
            }
            fan.highest_permille = fan.highest_permille.max(self.fan);
        }
        if self.fan >= FAN_TURNS_PERMILLE && fan.on_at_layer.is_none() {
            fan.on_at_layer = Some(layer);
        }
    }

    /// The first layer begins anew: what was noted of it was a purge strip's.
    pub(super) fn first_again(&mut self, use_of: &mut HeaterUse, fan: &mut FanUse) {
        use_of.nozzle_first_layer = None;
        use_of.bed_first_layer = None;
        use_of.bed_lowest_first = None;
        fan.first_layer_permille = 0;
        fan.on_at_layer = None;
        self.fresh_bead = true;
    }

    /// The second layer begins: amounts and means count from here.
    pub(super) fn above_first(&mut self, forward_nm: i64, bead_path_nm: u64) {
        if !self.above_first {
            self.above_first = true;
            self.amounts = [(0, 0); TARGETS];
            self.forward_then = forward_nm;
            self.fan_sum = 0;
            self.fan_path_then = bead_path_nm;
            self.fan_path_from = bead_path_nm;
        }
        self.fresh_bead = true;
    }

    /// A spiral rises from the first layer. A fan that came on right before it was meant for the spiral: rounding makes
    /// its first beads level.
    #[cold]
    pub(super) fn spiral_begins(&mut self, bead_path_nm: u64, fan: &mut FanUse) {
        let since = bead_path_nm.saturating_sub(self.fan_path_then);
        if since <= LEVEL_BEGIN_NM && self.fan == fan.first_layer_permille && self.fan > self.fan_before {
            fan.first_layer_permille = self.fan_before;
            fan.on_at_layer = fan.on_at_layer.filter(|_| self.fan_before > 0);
            self.fresh_bead = true;
        }
    }

    /// The fan's word.
    pub(super) fn set_fan(&mut self, permille: u16, bead_path_nm: u64) {
        self.add_fan(bead_path_nm);
        self.fan = permille;
        self.fresh_bead = true;
    }

    fn add_fan(&mut self, bead_path_nm: u64) {
        // In µm, so that thousandths of a long job fit.
        let path = bead_path_nm.saturating_sub(self.fan_path_then) / 1000;
        self.fan_sum = self.fan_sum.saturating_add(path.saturating_mul(u64::from(self.fan)));
        self.fan_path_then = bead_path_nm;
    }

    /// The end.
    pub(super) fn finish(
        &mut self,
        forward_nm: i64,
        bead_path_nm: u64,
        use_of: &mut HeaterUse,
        fan: &mut FanUse,
    ) {
        self.note_amount(forward_nm);
        use_of.nozzle_typical = self
            .amounts
            .iter()
            .filter(|(_, sum)| *sum > 0)
            .max_by_key(|(_, sum)| *sum)
            .map(|(t, _)| Celsius(*t));
        use_of.nozzle_end = Celsius(self.nozzle_highest());
        use_of.bed_end = Celsius(self.bed);
        use_of.chamber_end = Celsius(self.chamber);
        use_of.end_known = self.knows();
        self.add_fan(bead_path_nm);
        let path = bead_path_nm.saturating_sub(self.fan_path_from) / 1000;
        if self.above_first {
            fan.mean_permille = self.fan_sum.checked_div(path).unwrap_or(0).min(1000) as u16;
        }
    }
}
