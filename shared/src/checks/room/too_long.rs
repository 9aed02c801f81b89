//! 78: a longer job than the room allows.

use super::forecast::duration;
use crate::checks::prelude::*;
use crate::units::Seconds;

pub(crate) const CHECK: Check = Check {
    number: 78,
    id: "too long a job",
    group: Group::Room,
    levels: &[Level::Hold],
    rule: "the job takes longer than longest_job_min of the room rules (most_running is not yet compared: a device sees no \
           machine but its own)",
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
        findings.push(0, Level::Hold, Signal::None, [takes.into(), most.into()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, HOLD};

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
}
