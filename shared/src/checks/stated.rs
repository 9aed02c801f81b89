//! Checks that only compare an answer or a flag: what it says is the finding.

use super::prelude::*;

macro_rules! stated {
    ($($name:ident: $number:literal $id:literal, $group:ident $level:ident $signal:ident $live:ident,
        never_silenced: $never:literal, $rule:literal, |$input:ident| $says:expr;)*) => {$(
        pub(crate) const $name: Check = Check {
            number: $number,
            id: $id,
            group: Group::$group,
            levels: &[Level::$level],
            rule: $rule,
            source: "judgement of the room's lead",
            live: Live::$live,
            needs: Needs::Nothing,
            never_silenced: $never,
            run: |$input, findings| {
                if $says {
                    findings.push(0, Level::$level, Signal::$signal, []);
                }
            },
        };
    )*};
}

stated! {
    READS_DIFFER: 4 "card reads differ", File Hold Notice Card, never_silenced: false,
        "two readings of the first and the last 16 KiB give different CRC-32 (ISO-HDLC)",
        |input| input.file.reads_differ;
    CHANGED_SINCE_VERDICT: 7 "changed since verdict", File Hold Notice Ledger, never_silenced: false,
        "the CRC kept with the verdict differs from the file's now",
        |input| input.file.changed_since_verdict;
    SPOOL_DRAG: 66 "spool drag, crossed turn", Spool Hold Notice Told, never_silenced: false,
        "20 cm of filament do not pull off freely, as answered",
        |input| input.answers.spool_free == Some(false);
    PURGE_LEFT: 68 "purge scrap left", Room Hold Notice Told, never_silenced: false,
        "the answer about the last job's purge place is \"some still there\"",
        |input| input.answers.purge_gone == Some(false);
    PINS: 69 "plate not on pins / missing", Room Hold Notice Told, never_silenced: true,
        "the answer is not \"2 pins, flat\"",
        |input| input.answers.pins == Some(false);
    MACHINE_HELD: 73 "machine on hold by lead", Room Hold Notice Ledger, never_silenced: false,
        "the lead took the machine out of use at the device, with a reason; only the same way back lifts it",
        |input| input.history.machine_held;
    CARD_PULLED: 83 "card pulled early", Room Note None Card, never_silenced: false,
        "a card left while it was read, before it was put in again: noted, and read from its beginning",
        |input| input.card.pulled_early;
    OTHER_FILE: 84 "other card / other file started", Room Note Notice Told, never_silenced: false,
        "the name or the length that the machine shows is answered to be another",
        |input| input.answers.same_job == Some(false);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, levels};

    #[test]
    fn only_the_answer_or_the_flag_finds() {
        type Say = fn(&mut CheckInput<'_>, bool);
        let all: [(&Check, Level, Say); 8] = [
            (&READS_DIFFER, Level::Hold, |input, bad| input.file.reads_differ = bad),
            (&CHANGED_SINCE_VERDICT, Level::Hold, |input, bad| input.file.changed_since_verdict = bad),
            (&SPOOL_DRAG, Level::Hold, |input, bad| input.answers.spool_free = Some(!bad)),
            (&PURGE_LEFT, Level::Hold, |input, bad| input.answers.purge_gone = Some(!bad)),
            (&PINS, Level::Hold, |input, bad| input.answers.pins = Some(!bad)),
            (&MACHINE_HELD, Level::Hold, |input, bad| input.history.machine_held = bad),
            (&CARD_PULLED, Level::Note, |input, bad| input.card.pulled_early = bad),
            (&OTHER_FILE, Level::Note, |input, bad| input.answers.same_job = Some(!bad)),
        ];
        for (check, level, say) in all {
            let bench = Bench::new();
            let mut input = bench.input();
            assert!(levels(check, &input).is_empty(), "{}: not asked", check.id);
            say(&mut input, false);
            assert!(levels(check, &input).is_empty(), "{}", check.id);
            say(&mut input, true);
            assert_eq!(levels(check, &input), [(level, 0)], "{}", check.id);
        }
    }
}
