//! 93: the sticker on the spool says another material than its ticket.

use crate::checks::prelude::*;
use crate::checks::spool::compare::{Relation, relation};

pub(crate) const CHECK: Check = Check {
    number: 93,
    id: "ticket differs from sticker",
    group: Group::Own,
    levels: &[Level::Note],
    rule: "what somebody read off the sticker is not what the ticket says: the sticker counts, the lead corrects the ticket",
    source: "judgement of the room's lead",
    live: Live::Told,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let (Some(sticker), Some(spool)) = (input.answers.sticker, input.spool) else { return };
    let Some(ticket) = input.room.grade(&spool.material) else { return };
    if !matches!(relation(ticket, sticker), Relation::Same | Relation::Modified) {
        let values = [Value::text(&sticker.mark()), Value::text(&ticket.mark())];
        findings.push(0, Level::Note, Signal::None, values);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, NOTE, grade, levels};

    #[test]
    fn only_another_material_is_noted() {
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.sticker = Some(grade("PLA"));
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.sticker = Some(grade("Tough PLA"));
        assert!(levels(&CHECK, &input).is_empty());
        input.answers.sticker = Some(grade("PLA-WD30"));
        assert_eq!(levels(&CHECK, &input), [(NOTE, 0)]);
        input.answers.sticker = Some(grade("PETG"));
        assert_eq!(levels(&CHECK, &input), [(NOTE, 0)]);
    }
}
