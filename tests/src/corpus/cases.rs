//! Materials as the trade prints them, and plans laid out for a machine's plate.

use holdpoint_shared::app::Setup;
use holdpoint_shared::records::Machine;

use super::plan::{Plan, Purge};
use super::rooms::{room, spool};

/// A material and the heat, speed and fan that the trade prints it with (common practice, no source).
#[derive(Clone, Copy, Debug)]
pub struct Stuff {
    pub name: &'static str,
    pub density: u32,
    pub nozzle: [i32; 2],
    pub bed: [i32; 2],
    pub speed: [u32; 4],
    pub fan: &'static [u32],
}

const BRISK: [u32; 4] = [20, 45, 60, 150];
const CALM: [u32; 4] = [20, 35, 45, 120];
const SLOW: [u32; 4] = [15, 20, 25, 100];

const fn stuff(
    name: &'static str,
    density: u32,
    nozzle: [i32; 2],
    bed: [i32; 2],
    speed: [u32; 4],
    fan: &'static [u32],
) -> Stuff {
    Stuff { name, density, nozzle, bed, speed, fan }
}

pub const PLA: Stuff = stuff("PLA", 1240, [210, 205], [60, 60], BRISK, &[85, 170, 255]);
pub const PETG: Stuff = stuff("PETG", 1270, [240, 235], [80, 75], CALM, &[0, 77, 128]);
pub const ABS: Stuff = stuff("ABS", 1050, [245, 240], [105, 100], CALM, &[0, 0, 50]);
pub const ASA: Stuff = stuff("ASA", 1070, [255, 250], [105, 100], CALM, &[0, 0, 40]);
pub const PC: Stuff = stuff("PC", 1200, [285, 280], [115, 110], CALM, &[]);
pub const PA12: Stuff = stuff("PA12", 1010, [260, 255], [90, 90], CALM, &[]);
pub const PA6: Stuff = stuff("PA6", 1140, [265, 260], [90, 90], CALM, &[0, 30]);
pub const TPU: Stuff = stuff("TPU 95A", 1210, [225, 225], [40, 40], SLOW, &[0, 128]);
pub const PVAL: Stuff = stuff("PVAL", 1230, [205, 200], [55, 55], SLOW, &[0, 128]);
pub const PP: Stuff = stuff("PP", 900, [235, 230], [95, 90], CALM, &[0, 60]);
pub const HIPS: Stuff = stuff("PS-HI", 1040, [240, 235], [105, 100], CALM, &[0, 40]);
pub const WOOD: Stuff = stuff("PLA wood", 1180, [205, 200], [55, 50], CALM, &[85, 170, 255]);
pub const PETG_CF: Stuff = stuff("PETG-CF", 1300, [248, 245], [80, 80], CALM, &[0, 77]);
pub const PLA_SILK: Stuff = stuff("PLA silk", 1240, [215, 210], [60, 55], CALM, &[85, 170, 255]);

impl Stuff {
    /// The plan printed with this.
    #[must_use]
    pub fn plan(&self, mut plan: Plan) -> Plan {
        self.name.clone_into(&mut plan.material);
        (plan.nozzle, plan.bed, plan.speed, plan.fan) =
            (self.nozzle, self.bed, self.speed, self.fan.to_vec());
        plan
    }

    /// A machine loaded with this.
    #[must_use]
    pub fn on(&self, machine: Machine) -> Setup {
        let diameter = machine.filament_um;
        Setup::new(machine, Some(spool(self.name, diameter, self.density)), room())
    }
}

/// The middle of the plate, mm.
#[must_use]
pub fn middle(machine: &Machine) -> [f64; 2] {
    if machine.origin_centre { [0.0; 2] } else { machine.bed_um.map(|um| um as f64 / 2000.0) }
}

/// The plan in the middle of this machine's plate, with its nozzle and filament, purged along the front edge.
#[must_use]
pub fn laid_out(machine: &Machine, mut plan: Plan) -> Plan {
    let [cx, cy] = middle(machine);
    let [w, d] = machine.bed_um.map(|um| um as f64 / 1000.0);
    plan.bore = f64::from(machine.bore_um) / 1000.0;
    plan.filament = f64::from(machine.filament_um) / 1000.0;
    let layer = (plan.bore * 50.0).round() / 100.0;
    plan.width = plan.bore * 1.12;
    (plan.first, plan.layer) = (layer, layer);
    plan.centres = vec![[cx, cy]];
    (plan.purge, plan.park) = if machine.round {
        (
            Purge::Line { x: cx - 25.0, length: 50.0, y: cy - d / 2.0 + 8.0, z: layer },
            [cx, cy + d / 2.0 - 12.0],
        )
    } else {
        let x = cx - w / 2.0 + 10.0;
        (Purge::Line { x, length: w * 0.4, y: cy - d / 2.0 + 3.0, z: layer }, [x, cy + d / 2.0 - 10.0])
    };
    plan
}
