//! 106: a key of a record is not known, so what it states is read by nobody.

use crate::checks::prelude::*;
use crate::records::RecordName;

pub(crate) const CHECK: Check = Check {
    number: 106,
    id: "key not known",
    group: Group::Own,
    levels: &[Level::Look],
    rule: "a key of the machine sheet, the spool ticket or the room rules is not known; or a key of the job header is nearly a \
           known one: the nearest known key is named",
    source: "Holdpoint's rule: what a person states is never dropped in silence",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: true,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    for (record, unknown) in RecordName::ALL.iter().zip(input.unknown_keys) {
        let Some(unknown) = unknown else { continue };
        let (file, key) = (Value::name(record.file()), Value::name(&unknown.key));
        match unknown.nearest {
            _ if unknown.count > 1 => {
                findings.push(2, Level::Look, Signal::None, [file, Value::Count(unknown.count.into()), key]);
            }
            Some(nearest) => {
                findings.push(0, Level::Look, Signal::None, [file, key, Value::name(nearest)]);
            }
            None => findings.push(1, Level::Look, Signal::None, [file, key]),
        }
    }
    if let Some(unknown) = input.mistyped {
        let nearest = Value::name(unknown.nearest.unwrap_or_default());
        findings.push(3, Level::Look, Signal::None, [Value::name(&unknown.key), nearest]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, levels, run};
    use crate::records::UnknownKey;

    #[test]
    fn each_record_names_its_key_and_the_nearest() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        let near = UnknownKey { key: "bore_mm".try_into().unwrap(), nearest: Some("bore_um"), count: 1 };
        let far = UnknownKey { key: "shelf".try_into().unwrap(), nearest: None, count: 1 };
        let many = UnknownKey { count: 3, ..near.clone() };
        input.unknown_keys = [Some(&near), Some(&far), Some(&many)];
        input.mistyped = Some(&near);
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0), (LOOK, 1), (LOOK, 2), (LOOK, 3)]);
        let found = run(&CHECK, &input);
        let text = Value::text;
        assert_eq!(found[0].values[..3], [text("MACHINE.JSN"), text("bore_mm"), text("bore_um")]);
        assert_eq!(found[2].values[1], Value::Count(3));
    }
}
