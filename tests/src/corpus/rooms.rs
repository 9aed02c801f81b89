//! Machine sheets, spool tickets and room rules, as the files a room would write.

use holdpoint_shared::app::Setup;
use holdpoint_shared::records::{Machine, Room, Spool};

const MOTION: &str = r#""motion":{"max_speed_mm_s":[250,250,12,60],"max_accel_mm_s2":[2000,2000,150,5000],
    "print_accel":1000,"travel_accel":1500,"retract_accel":1500,"corner":"axis-step","step_um_s":[8000,8000,400,5000]}"#;
const HEATERS: &str = r#""heaters":{"nozzle_w":40,"bed_w":220,"nozzle_j_per_k":25,"bed_j_per_k":700,
    "nozzle_mw_per_k":120,"bed_mw_per_k":1500}"#;

fn machine(keys: &str) -> Machine {
    let text = format!("{{{keys},{MOTION}}}");
    Machine::from_json(text.as_bytes()).expect("a sheet of ours")
}

/// A bench machine with the corner as its zero.
#[must_use]
pub fn bench() -> Machine {
    machine(&format!(
        r#""tag":"M2","also":["window bench"],"bed_mm":[220,220],"height_mm":250,"nozzle_max_c":280,"lined_throat":false,
        "bed_max_c":110,{HEATERS},"flow_max_mm3_s":11,"home_s":25,"probe_s":40,
        "plates":[{{"name":"P1","face":"textured","max_c":110}}],"absolute_resets_feed":false,"name_max":20,
        "start_words":["WARM_UP","DONE"],"clearance":{{"radius_mm":40,"height_mm":30}},"overrun_mm":5"#
    ))
}

/// A round plate with its centre as zero; the head homes upwards; the filament comes through a tube.
#[must_use]
pub fn round() -> Machine {
    machine(
        r#""tag":"D1","bed_mm":[200,200],"origin":"centre","round":true,"height_mm":300,"nozzle_max_c":260,
        "lined_throat":false,"bed_max_c":100,"flow_max_mm3_s":11,"plates":[{"name":"G","face":"textured"}],
        "feed_path":"tube","overrun_mm":10,"clearance":{"radius_mm":30,"height_mm":200}"#,
    )
}

/// A big open frame with a 0.6 mm nozzle.
#[must_use]
pub fn big() -> Machine {
    machine(
        r#""tag":"XL","bed_mm":[400,400],"height_mm":450,"bore_um":600,"nozzle_max_c":270,"lined_throat":false,
        "bed_max_c":100,"flow_max_mm3_s":22,"plates":[{"name":"A","face":"textured"}],"overrun_mm":4,
        "absolute_resets_feed":false"#,
    )
}

/// A closed box with a hard nozzle, and a plate of the face that the material wants.
#[must_use]
pub fn closed_box(face: &str, bore_um: u32) -> Machine {
    machine(&format!(
        r#""tag":"BX","bed_mm":[250,250],"height_mm":240,"bore_um":{bore_um},"nozzle_metal":"hardened",
        "nozzle_max_c":310,"lined_throat":false,"bed_max_c":120,{HEATERS},"flow_max_mm3_s":16,"probe_s":60,
        "plates":[{{"name":"B1","face":"{face}","max_c":120}}],"enclosed":true,"overrun_mm":3,
        "absolute_resets_feed":false,"clearance":{{"radius_mm":40,"height_mm":35}}"#
    ))
}

/// A small machine with a fine nozzle.
#[must_use]
pub fn fine() -> Machine {
    machine(
        r#""tag":"MINI","bed_mm":[120,120],"height_mm":120,"bore_um":250,"nozzle_max_c":260,"bed_max_c":80,
        "flow_max_mm3_s":5,"plates":[{"name":"S","face":"smooth","max_c":80}],"overrun_mm":2"#,
    )
}

/// An old machine for thick filament, through a tube; its words for absolute positions also set the feed.
#[must_use]
pub fn thick() -> Machine {
    machine(
        r#""tag":"OLD","bed_mm":[210,210],"height_mm":200,"filament_um":2850,"nozzle_max_c":260,"bed_max_c":100,
        "flow_max_mm3_s":10,"plates":[{"name":"GL","face":"glass"}],"feed_path":"tube","absolute_resets_feed":true,
        "overrun_mm":5"#,
    )
}

/// A machine whose zero is the middle of a square plate.
#[must_use]
pub fn centred() -> Machine {
    machine(
        r#""tag":"C3","bed_mm":[300,300],"origin":"centre","height_mm":300,"nozzle_max_c":275,"lined_throat":false,
        "bed_max_c":110,"flow_max_mm3_s":15,"plates":[{"name":"A","face":"textured"}],"overrun_mm":5,
        "absolute_resets_feed":false"#,
    )
}

/// A nearly full spool, opened this morning.
#[must_use]
pub fn spool(material: &str, diameter_um: u32, density: u32) -> Spool {
    let text = format!(
        r#"{{"id":"S1","material":"{material}","colour":"black","diameter_um":{diameter_um},
        "density_mg_cm3":{density},"left_mg":800000,"err_mg":10000,"tare_mg":210000,"open_hours":2,"loads":1}}"#
    );
    Spool::from_json(text.as_bytes()).expect("a ticket of ours")
}

/// Open from nine to six on workdays, vented, attended with looks.
#[must_use]
pub fn room() -> Room {
    let text = br#"{"opens":{"mon":"09:00","tue":"09:00","wed":"09:00","thu":"09:00","fri":"09:00"},
        "closes":{"mon":"18:00","tue":"18:00","wed":"18:00","thu":"18:00","fri":"18:00"},
        "attended_rule":"looks","ambient_c":21,"vented":true}"#;
    Room::from_json(text).expect("rules of ours")
}

/// A machine with PLA of its own filament diameter.
#[must_use]
pub fn with_pla(machine: Machine) -> Setup {
    let diameter = machine.filament_um;
    Setup::new(machine, Some(spool("PLA", diameter, 1240)), room())
}
