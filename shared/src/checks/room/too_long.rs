//! 78: a longer job, or more jobs of one owner, than the room allows.

use super::forecast::duration;
use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 78,
    id: "too long a job / too many",
    group: Group::Room,
    levels: &[Level::Hold],
    rule: "the job takes longer than the room allows, or its owner already has as many running as the room allows",
    source: "room rules; rooms' caps of 4 to 48 h are on record, none is built in",
    live: Live::Ledger,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let history = &input.history;
    if let (Some(takes), Some(most)) = (duration(input), history.longest_job)
        && takes > most
    {
        findings.push(78, 0, Level::Hold, Signal::None, [takes.into(), most.into()]);
    }
    if let (Some(running), Some(most)) = (history.owner_running, history.most_running)
        && running >= most
    {
        findings.push(
            78,
            1,
            Level::Hold,
            Signal::None,
            [Value::Count(running.into()), Value::Count(most.into())],
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD, levels};
    use crate::units::Seconds;

    #[test]
    fn the_rooms_cap() {
        // The bench's job takes 9600 s and 300 s of warming up.
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.history.longest_job = Some(Seconds(9_900));
        assert!(levels(&CHECK, &input).is_empty());
        input.history.longest_job = Some(Seconds(9_899));
        assert_eq!(levels(&CHECK, &input), [(HOLD, 0)]);
    }

    #[test]
    fn the_owners_count() {
        let bench = Bench::new();
        let mut input = bench.input();
        (input.history.owner_running, input.history.most_running) = (Some(1), Some(2));
        assert!(levels(&CHECK, &input).is_empty());
        input.history.owner_running = Some(2);
        assert_eq!(levels(&CHECK, &input), [(HOLD, 1)]);
    }
}
