//! 78: a longer job, or more jobs of one owner, than the room allows.

use super::forecast::duration;
use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal, Value};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;
use crate::units::Seconds;

pub(crate) const CHECK: Check = Check {
    number: 78,
    id: "too long a job / too many",
    group: Group::Room,
    levels: &[Level::Hold],
    rule: "the job takes longer than longest_job_min of the room rules; or its owner, as told, has most_running jobs on already, where somebody counts them: a device sees no machine but its own",
    source: "room rules; rooms' caps of 4 to 48 h are on record, none is built in",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let longest = input.room.longest_job_min.map(|minutes| Seconds(u32::from(minutes) * 60));
    if let (Some(takes), Some(most)) = (duration(input), longest)
        && takes > most
    {
        findings.push(78, 0, Level::Hold, Signal::None, [takes.into(), most.into()]);
    }
    if let (Some(running), Some(most)) = (input.history.owner_running, input.room.most_running)
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

    #[test]
    fn the_rooms_cap() {
        // The bench's job takes 9600 s and 300 s of warming up: 165 min.
        let mut bench = Bench::new();
        assert!(bench.run(&CHECK).is_empty());
        bench.room.longest_job_min = Some(165);
        assert!(bench.run(&CHECK).is_empty());
        bench.room.longest_job_min = Some(164);
        assert_eq!(bench.levels(&CHECK), [(HOLD, 0)]);
    }

    #[test]
    fn the_owners_count() {
        let mut bench = Bench::new();
        bench.room.most_running = Some(2);
        let mut input = bench.input();
        input.history.owner_running = Some(1);
        assert!(levels(&CHECK, &input).is_empty());
        input.history.owner_running = Some(2);
        assert_eq!(levels(&CHECK, &input), [(HOLD, 1)]);
    }
}
