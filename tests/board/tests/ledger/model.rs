//! What the ledger's image must find: a plain account of the changes that its own file numbers, with no ledger in it.

/// Changes of a run, each with an event after it.
pub(crate) const A_RUN: u32 = 22;

/// Events that the ledger keeps.
const EVENTS_KEPT: u32 = 64;

/// All that the changes leave.
#[derive(Clone, Debug, Default)]
struct Left {
    event: u32,
    /// Left, error, used, and the run that was deducted.
    spool: Option<(i64, i64, i64, u32)>,
    run: u32,
    state: Vec<u8>,
    learned: [Vec<u8>; 2],
    settled: [bool; 2],
    closed: u32,
    hold: Option<u32>,
}

fn pattern(length: usize, run: u32) -> Vec<u8> {
    (0..length).map(|at| ((at as u32 * 31 + run) % 256) as u8).collect()
}

impl Left {
    fn make(&mut self, number: u32) {
        if number.is_multiple_of(2) {
            self.event = number;
            return;
        }
        let run = (number - 1) / A_RUN + 1;
        let odd = run % 2 == 1;
        match (number - 1) % A_RUN / 2 {
            0 => {
                let deducted = self.spool.map_or(0, |(_, _, _, run)| run);
                self.spool = Some((700_000 - 1000 * i64::from(run), 5_000 + i64::from(run), 0, deducted));
            }
            1 => self.run = run,
            2 => self.state = pattern(400, run),
            3 => self.state[300] ^= 0x55,
            4 => self.learned[(run % 2) as usize] = pattern(40, run),
            5 => self.settled[0] = odd,
            6 => self.settled[1] = odd,
            7 => {
                let (left, error, used, _) = self.spool.expect("weighed at the run's beginning");
                let mass = 12_000 + i64::from(run);
                self.spool = Some((left - mass, error, used + mass, run));
            }
            8 => self.closed = run,
            9 => self.state.clear(),
            _ => self.hold = odd.then_some(run),
        }
    }

    fn lines(&self) -> Vec<String> {
        let events = (self.event / 2).min(EVENTS_KEPT);
        let event = match i64::from(self.event) {
            0 => "0 0 0 0".to_owned(),
            code => format!("{code} {} {} {}", code * 1000, -code, 800_000_000 + code),
        };
        let spool = match self.spool {
            Some((left, error, used, run)) => {
                format!("found spool left {left} error {error} used {used} loads 0 run {run}")
            }
            None => "found no spool".to_owned(),
        };
        let [machine, on_spool] = self.settled;
        let [even, odd] = &self.learned;
        let closed = self.closed;
        let grade = if closed > 0 { " PLA" } else { "" };
        vec![
            format!("found events {events} newest {event}"),
            spool,
            format!(
                "found settled {machine} of {} and {on_spool} of {}",
                u8::from(machine),
                u8::from(on_spool)
            ),
            format!("found run {} state {:?}", self.run, self.state),
            format!("found learned {even:?}"),
            format!("found learned {odd:?}"),
            format!(
                "found machine run {closed} result {} starts {closed} minutes {} grade{grade}",
                closed % 4,
                97 * closed
            ),
            self.hold.map_or("found no hold".to_owned(), |run| {
                format!("found hold {} since {}", run % 8, 0x3200_0000 + run)
            }),
        ]
    }
}

/// The lines with which the image tells what it finds after so many changes.
pub(crate) fn after(changes: u32) -> Vec<String> {
    let mut left = Left::default();
    (1..=changes).for_each(|number| left.make(number));
    left.lines()
}
