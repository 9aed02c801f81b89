//! Machines, spools and rooms, as their records' files would say it.

use holdpoint_shared::app::Setup;
use holdpoint_shared::records::{Machine, Room, Spool};

use super::rng::Rng;

/// What the trade prints of a material. Temperatures lie inside the windows that spool makers print on their boxes
/// (common practice, no source).
#[derive(Clone, Copy, Debug)]
pub struct Material {
    pub name: &'static str,
    /// Words that people write for it.
    pub words: &'static [&'static str],
    pub nozzle_c: (i32, i32),
    pub bed_c: (i32, i32),
    /// Share of the hot end's highest flow with PLA that a careful profile uses, percent.
    pub flow_percent: i32,
    /// Highest speed of the first layer, mm/s.
    pub first_mm_s: f64,
    /// Fan from the second or third layer on, of 255.
    pub fan: (i32, i32),
    pub closed_box: bool,
    pub face: &'static str,
    /// Highest speed of any bead, mm/s.
    pub most_mm_s: f64,
}

const PLAIN: Material = Material {
    name: "PLA",
    words: &["PLA", "pla", "Polylactide"],
    nozzle_c: (200, 216),
    bed_c: (45, 60),
    flow_percent: 80,
    first_mm_s: 30.0,
    fan: (150, 255),
    closed_box: false,
    face: "textured",
    most_mm_s: 90.0,
};

pub const MATERIALS: [Material; 9] = [
    PLAIN,
    Material {
        name: "PETG",
        words: &["PETG", "petg", "PET-G"],
        nozzle_c: (230, 245),
        bed_c: (75, 84),
        flow_percent: 60,
        fan: (60, 130),
        most_mm_s: 60.0,
        ..PLAIN
    },
    Material {
        name: "ABS",
        words: &["ABS", "abs"],
        nozzle_c: (238, 255),
        bed_c: (95, 105),
        flow_percent: 60,
        fan: (0, 40),
        closed_box: true,
        ..PLAIN
    },
    Material {
        name: "ASA",
        words: &["ASA"],
        nozzle_c: (245, 258),
        bed_c: (95, 105),
        flow_percent: 60,
        fan: (0, 40),
        closed_box: true,
        ..PLAIN
    },
    Material {
        name: "TPU",
        words: &["TPU", "TPU 95A"],
        nozzle_c: (218, 232),
        bed_c: (30, 50),
        flow_percent: 20,
        first_mm_s: 18.0,
        fan: (80, 200),
        most_mm_s: 28.0,
        ..PLAIN
    },
    Material {
        name: "PC",
        words: &["PC", "Polycarbonate"],
        nozzle_c: (265, 285),
        bed_c: (102, 112),
        flow_percent: 45,
        fan: (0, 20),
        closed_box: true,
        ..PLAIN
    },
    Material {
        name: "PA12",
        words: &["PA12", "Nylon 12"],
        nozzle_c: (248, 265),
        bed_c: (75, 95),
        flow_percent: 45,
        fan: (0, 30),
        closed_box: true,
        face: "laminate",
        ..PLAIN
    },
    Material {
        name: "PP",
        words: &["PP", "polypropylene"],
        nozzle_c: (220, 240),
        bed_c: (85, 95),
        flow_percent: 45,
        fan: (0, 80),
        closed_box: true,
        face: "polypropylene",
        most_mm_s: 45.0,
        ..PLAIN
    },
    Material { name: "PLA-CF", words: &["PLA-CF", "PLA CF"], nozzle_c: (205, 218), ..PLAIN },
];

/// A machine as its sheet describes it.
#[derive(Clone, Debug)]
pub struct Place {
    pub material: Material,
    pub bed: (f64, f64),
    /// Offset of the plate's near left corner from zero.
    pub origin: (f64, f64),
    pub height: f64,
    pub bore: f64,
    pub filament: f64,
    /// Highest flow with this material, mm³/s.
    pub flow: f64,
    pub tube: bool,
    pub hardened: bool,
    pub absolute_resets_feed: bool,
    pub clearance: (f64, f64),
    pub tag: &'static str,
    pub left_g: u32,
    /// The material on the spool.
    pub spool: &'static str,
}

impl Place {
    #[must_use]
    pub fn choose(rng: &mut Rng) -> Self {
        let weights = [40, 18, 8, 5, 10, 4, 4, 4, 7];
        let mut at = rng.below(100);
        let mut material = MATERIALS[0];
        for (share, one) in weights.into_iter().zip(MATERIALS) {
            if at < share {
                material = one;
                break;
            }
            at -= share;
        }
        let soft = material.name == "TPU";
        let bore = if material.name == "PLA-CF" || soft {
            rng.pick(&[0.4, 0.6])
        } else {
            rng.pick(&[0.4, 0.4, 0.4, 0.4, 0.6, 0.25, 0.8])
        };
        let size =
            rng.pick(&[(180.0, 180.0), (220.0, 220.0), (235.0, 235.0), (250.0, 210.0), (300.0, 300.0)]);
        let centred = rng.chance(12);
        let tube = rng.chance(30) && !soft;
        let thick = rng.chance(6) && !soft;
        let most = match bore {
            b if b < 0.3 => 5.0,
            b if b > 0.5 => 20.0,
            _ => rng.pick(&[11.0, 15.0]),
        };
        Self {
            material,
            bed: size,
            origin: if centred { (-size.0 / 2.0, -size.1 / 2.0) } else { (0.0, 0.0) },
            height: rng.pick(&[180.0, 210.0, 250.0, 300.0]),
            bore,
            filament: if thick { 2.85 } else { 1.75 },
            flow: most * f64::from(material.flow_percent) / 100.0,
            tube,
            hardened: material.name == "PLA-CF" || rng.chance(25),
            absolute_resets_feed: rng.chance(25),
            clearance: rng.pick(&[(28.0, 30.0), (35.0, 24.0), (45.0, 60.0)]),
            tag: rng.pick(&["M1", "M2", "BENCH", "LEFT"]),
            left_g: 800,
            spool: material.name,
        }
    }

    /// Whether a point lies on the plate, a bead's half width from its edges.
    #[must_use]
    pub fn holds(&self, (x, y): (f64, f64)) -> bool {
        let within = |at: f64, from: f64, size: f64| (from + 0.5..=from + size - 0.5).contains(&at);
        within(x, self.origin.0, self.bed.0) && within(y, self.origin.1, self.bed.1)
    }

    /// The records' files with their names: machine sheet, spool ticket, room rules.
    #[must_use]
    pub fn records(&self) -> [(&'static str, String); 3] {
        let Material { closed_box, face, .. } = self.material;
        let most = (self.flow * 100.0 / f64::from(self.material.flow_percent)).round() as i64;
        let sheet = format!(
            r#"{{"tag":"{}","bed_mm":[{},{}],"origin":"{}","height_mm":{},"filament_um":{},"bore_um":{},
            "nozzle_metal":"{}","nozzle_max_c":300,"lined_throat":false,"bed_max_c":120,"flow_max_mm3_s":{most},
            "heaters":{{"nozzle_w":50,"bed_w":300,"nozzle_j_per_k":22,"bed_j_per_k":650,"nozzle_mw_per_k":130,
            "bed_mw_per_k":1500}},"home_s":20,"probe_s":45,"plates":[{{"name":"A","face":"{face}","max_c":120}}],
            "enclosed":{closed_box},"feed_path":"{}","absolute_resets_feed":{},"name_max":30,
            "clearance":{{"radius_mm":{},"height_mm":{}}},"overrun_mm":4}}"#,
            self.tag,
            self.bed.0,
            self.bed.1,
            if self.origin.0 < 0.0 { "centre" } else { "corner" },
            self.height,
            (self.filament * 1000.0).round(),
            (self.bore * 1000.0).round(),
            if self.hardened { "hardened" } else { "brass" },
            if self.tube { "tube" } else { "direct" },
            self.absolute_resets_feed,
            self.clearance.0,
            self.clearance.1,
        );
        let ticket = format!(
            r#"{{"id":"S9","material":"{}","colour":"grey","diameter_um":{},"left_mg":{},"err_mg":10000,
            "tare_mg":220000,"open_hours":1,"loads":1}}"#,
            self.spool,
            (self.filament * 1000.0).round(),
            self.left_g * 1000,
        );
        let rules = r#"{"opens":{"mon":"08:00","tue":"08:00","wed":"08:00","thu":"08:00","fri":"08:00"},
            "closes":{"mon":"22:00","tue":"22:00","wed":"22:00","thu":"22:00","fri":"22:00"},
            "attended_rule":"looks","ambient_c":21,"vented":true,"age_group":"adults"}"#;
        [("MACHINE.JSN", sheet), ("SPOOL.JSN", ticket), ("ROOM.JSN", rules.to_owned())]
    }

    /// # Panics
    /// When a record does not read: a fault of this module.
    #[must_use]
    pub fn setup(&self) -> Setup {
        let [sheet, ticket, rules] = self.records().map(|(_, text)| text);
        Setup::new(
            Machine::from_json(sheet.as_bytes()).expect("a machine sheet"),
            Some(Spool::from_json(ticket.as_bytes()).expect("a spool ticket")),
            Room::from_json(rules.as_bytes()).expect("room rules"),
        )
    }
}
