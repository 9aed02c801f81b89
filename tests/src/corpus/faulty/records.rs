//! Faults of the three records and of a header's keys (checks 106 and 91).

use holdpoint_shared::checks::Value;
use holdpoint_shared::records::RecordName;

use super::{Fault, fault, look, plain, text};

pub(super) fn jobs() -> Vec<Fault> {
    let sheet = r#"{"tag":"M2","bed_mm":[220,220],"height_mm":250,"nozzle_max_c":280,"lined_throat":false,"bed_max_c":110,
        "flow_max_mm3_s":11,"plates":[{"name":"P1","face":"textured","max_c":110}],"absolute_resets_feed":false,
        "overrun_mm":5,"bore_mm":400}"#;
    let ticket = r#"{"id":"S1","material":"PLA","diameter_um":1750,"density_mg_cm3":1240,"left_mg":800000,"err_mg":10000,
        "open_hours":2,"shelf":"B2"}"#;
    let rules = r#"{"opens":{"mon":"09:00","wed":"09:00","wendsday":"08:00"},"closes":{"mon":"18:00","wed":"18:00"},
        "attended_rule":"looks","ambient_c":21,"vented":true,"langauge":"en"}"#;
    vec![
        with("a bore in millimetres on the sheet", RecordName::Machine, sheet, 0).told([
            text("MACHINE.JSN"),
            text("bore_mm"),
            text("bore_um"),
        ]),
        with("a ticket's key of nobody's", RecordName::Spool, ticket, 1)
            .told([text("SPOOL.JSN"), text("shelf")]),
        with("two keys of the rules mistyped", RecordName::Room, rules, 2)
            .told([text("ROOM.JSN"), Value::Count(2)]),
    ]
}

fn with(what: &str, record: RecordName, file: &str, wording: u8) -> Fault {
    let mut job = plain(what, |_| {});
    job.setup.take(record, file.as_bytes()).expect("it reads but for its key");
    fault(job, look(106, wording))
}

impl Fault {
    fn told(mut self, values: impl IntoIterator<Item = Value>) -> Self {
        if let Some(raised) = self.raises.first_mut() {
            raised.values = values.into_iter().enumerate().collect();
        }
        self
    }
}
