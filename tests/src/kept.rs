//! What a ledger should hold, kept in plain maps, and the changes that are made to both.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use embedded_storage::nor_flash::NorFlash;
use holdpoint_shared::ledger::{
    Balance, GivenUp, Ledger, LedgerError, LoggedEvent, MachineHold, MachineState, Record, SettledFor,
};
use holdpoint_shared::limits::{
    LEARNED_VALUES, LEDGER_EVENTS, LEDGER_SPOOLS, RECORD_BYTES, ROW_KEPT_BYTES, RUN_STATE_BYTES,
};
use holdpoint_shared::units::Milligrams;

/// The records, in the order of [`Kept::records`].
pub const RECORDS: [Record; 3] = [Record::Machine, Record::Spool, Record::Room];

/// One change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// A spool's number, filament left and give or take, mg.
    Weigh(String, i64, i64),
    /// A spool's number.
    Load(String),
    /// A new run.
    BeginRun,
    /// A spool's number and the mg that the newest run used of it.
    Deduct(String, i64),
    /// A check, the spool or the machine, settled or not.
    Settle(u8, Option<String>, bool),
    /// The newest run is closed with this result.
    CloseRun(u8),
    /// Put on hold, or taken off.
    Hold(Option<u8>),
    /// An event with this number.
    Log(u16),
    /// A key and a value.
    Learn(u8, Vec<u8>),
    /// A record and its text.
    TakeOver(usize, Vec<u8>),
    /// The state of a run; empty when there is none.
    SaveRun(Vec<u8>),
    /// The picture of a run's first layer.
    SavePicture(Vec<u8>),
    /// A row waits under this number.
    KeepRow(u32, Vec<u8>),
    /// The oldest row waits no more.
    DropRow,
    /// A row of this number is given up.
    GiveUp(u32),
    /// A card has the name of the first that was given up.
    Told,
}

/// What a ledger holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Kept {
    /// Balances, and what is settled for each spool.
    pub spools: BTreeMap<String, (Balance, BTreeSet<u8>)>,
    /// What is settled for the machine.
    pub settled: BTreeSet<u8>,
    /// The machine's state.
    pub machine: MachineState,
    /// Why it is on hold.
    pub hold: Option<MachineHold>,
    /// The newest run.
    pub run: u32,
    /// The state of a run.
    pub saved: Vec<u8>,
    /// The picture of the first layer.
    pub picture: Vec<u8>,
    /// Machine sheet, spool ticket, room rules.
    pub records: [Vec<u8>; 3],
    /// The newest event first.
    pub events: VecDeque<LoggedEvent>,
    /// Learned values.
    pub learned: BTreeMap<u8, Vec<u8>>,
    /// Rows that wait, by number.
    pub rows: BTreeMap<u32, Vec<u8>>,
    /// Numbers of rows that were given up.
    pub given_up: BTreeSet<u32>,
}

fn closed(run: u32, result: u8) -> MachineState {
    MachineState {
        run,
        result,
        reason: result.wrapping_mul(3),
        plate: result & 1,
        purge: result & 7,
        same_fault: result >> 4,
        starts_since_wash: u16::from(result) + 1,
        nozzle_minutes: run.wrapping_mul(97),
        grade: "PET-GF10".try_into().expect("a short grade"),
    }
}

fn event(code: u16) -> LoggedEvent {
    let a = i32::from(code);
    LoggedEvent { code, numbers: [a * 1000, -a], time_s: 800_000_000 + u32::from(code) }
}

impl Kept {
    /// The change, made to the maps.
    pub fn make(&mut self, change: &Change) {
        match change.clone() {
            Change::Weigh(spool, left, error) => {
                let (balance, _) = self.spools.entry(spool).or_default();
                let run = balance.run;
                *balance =
                    Balance { left: Milligrams(left), error: Milligrams(error), run, ..Balance::default() };
            }
            Change::Load(spool) => {
                if let Some((balance, _)) = self.spools.get_mut(&spool) {
                    balance.loads += 1;
                }
            }
            Change::BeginRun => self.run += 1,
            Change::Deduct(spool, used) => {
                let run = self.run;
                if let Some((balance, _)) =
                    self.spools.get_mut(&spool).filter(|(balance, _)| balance.run < run)
                {
                    balance.left.0 -= used;
                    balance.used.0 += used;
                    balance.run = run;
                }
            }
            Change::Settle(check, spool, on) => {
                let settled = match spool {
                    None => Some(&mut self.settled),
                    Some(spool) => self.spools.get_mut(&spool).map(|(_, settled)| settled),
                };
                if let Some(settled) = settled {
                    if on {
                        settled.insert(check)
                    } else {
                        settled.remove(&check)
                    };
                }
            }
            Change::CloseRun(result) => {
                if self.run > self.machine.run {
                    self.machine = closed(self.run, result);
                }
            }
            Change::Hold(reason) => self.hold = reason.map(held),
            Change::Log(code) => {
                self.events.push_front(event(code));
                self.events.truncate(LEDGER_EVENTS.into());
            }
            Change::Learn(key, value) => {
                self.learned.insert(key, value);
            }
            Change::TakeOver(record, text) => self.records[record] = text,
            Change::SaveRun(state) => self.saved = state,
            Change::SavePicture(picture) => self.picture = picture,
            Change::KeepRow(number, row) => drop(self.rows.insert(number, row)),
            Change::DropRow => drop(self.rows.pop_first()),
            Change::GiveUp(number) => drop(self.given_up.insert(number)),
            Change::Told => drop(self.given_up.pop_first()),
        }
    }
}

/// The change, made to the ledger.
///
/// # Errors
/// The ledger's; a spool that is not known is none.
pub fn make<F: NorFlash>(ledger: &mut Ledger<F>, change: &Change) -> Result<(), LedgerError> {
    let run = ledger.run();
    let done = match change {
        Change::Weigh(spool, left, error) => {
            ledger.weigh(spool, Milligrams(*left), Milligrams(*error)).map(drop)
        }
        Change::Load(spool) => ledger.load(spool),
        Change::BeginRun => ledger.begin_run().map(drop),
        Change::Deduct(spool, used) => ledger.deduct(spool, run, Milligrams(*used)).map(drop),
        Change::Settle(check, spool, on) => {
            ledger.settle(*check, spool.as_deref().map_or(SettledFor::Machine, SettledFor::Spool), *on)
        }
        Change::CloseRun(result) => ledger.close_run(&closed(run, *result)).map(drop),
        Change::Hold(reason) => ledger.set_hold(reason.map(held)),
        Change::Log(code) => ledger.log(event(*code)),
        Change::Learn(key, value) => ledger.learn(*key, value),
        Change::TakeOver(record, text) => ledger.take_over(RECORDS[*record], text),
        Change::SaveRun(state) => ledger.save_run(state),
        Change::SavePicture(picture) => ledger.save_picture(picture),
        Change::KeepRow(number, row) => ledger.keep_row(*number, row),
        Change::DropRow => match ledger.oldest_row(0, &mut [0; ROW_KEPT_BYTES])? {
            Some((number, _)) => ledger.drop_row(number),
            None => Ok(()),
        },
        Change::GiveUp(number) => ledger.give_up(&given_up(*number)),
        Change::Told => match ledger.given_up(0)? {
            Some(row) => ledger.given_up_is_told(row.number),
            None => Ok(()),
        },
    };
    match done {
        Err(LedgerError::UnknownSpool) => Ok(()),
        done => done,
    }
}

fn given_up(number: u32) -> GivenUp {
    let job = format!("job {number}.gcode").as_str().try_into().expect("a short name");
    GivenUp { number, started_s: 800_000_000 + number, more: 0, job }
}

/// A hold for this reason, each since a time of its own.
fn held(reason: u8) -> MachineHold {
    MachineHold { reason, since_s: 0x3200_0000 + u32::from(reason) * 0x0001_0101 }
}

/// What the ledger says of all that `like` has. To look for what is not there takes long: [`read_all`] does.
///
/// # Errors
/// The ledger's.
pub fn read<F: NorFlash>(ledger: &mut Ledger<F>, like: &Kept) -> Result<Kept, LedgerError> {
    let mut kept =
        Kept { run: ledger.run(), machine: ledger.machine()?, hold: ledger.hold()?, ..Kept::default() };
    for tag in like.spools.keys() {
        if let Some(balance) = ledger.balance(tag)? {
            let settled = ledger.settled(SettledFor::Spool(tag))?.iter().collect();
            kept.spools.insert(tag.clone(), (balance, settled));
        }
    }
    kept.settled = ledger.settled(SettledFor::Machine)?.iter().collect();
    let mut buffer = vec![0; RECORD_BYTES.max(RUN_STATE_BYTES)];
    if let Some(length) = ledger.saved_run(&mut buffer)? {
        kept.saved = buffer[..length].to_vec();
    }
    if let Some(length) = ledger.saved_picture(&mut buffer)? {
        kept.picture = buffer[..length].to_vec();
    }
    for (record, text) in RECORDS.into_iter().zip(&mut kept.records) {
        if let Some(length) = ledger.record(record, &mut buffer)? {
            *text = buffer[..length].to_vec();
        }
    }
    for ago in 0..LEDGER_EVENTS {
        let Some(event) = ledger.event(ago)? else { break };
        kept.events.push_back(event);
    }
    for key in like.learned.keys().copied() {
        if let Some(value) = ledger.learned(key)? {
            kept.learned.insert(key, value.to_vec());
        }
    }
    let (mut row, mut from) = ([0; ROW_KEPT_BYTES], 0);
    while let Some((number, length)) = ledger.oldest_row(from, &mut row)? {
        if let Some(length) = length {
            kept.rows.insert(number, row[..length].to_vec());
        }
        from = number + 1;
    }
    from = 0;
    while let Some(row) = ledger.given_up(from)? {
        kept.given_up.insert(row.number);
        from = row.number + 1;
    }
    Ok(kept)
}

/// As [`read`], and looks for more than `like` has.
///
/// # Errors
/// The ledger's.
pub fn read_all<F: NorFlash>(ledger: &mut Ledger<F>, like: &Kept) -> Result<Kept, LedgerError> {
    let mut more = like.clone();
    for slot in 0..LEDGER_SPOOLS {
        if let Some((tag, _)) = ledger.spool_in(slot)? {
            more.spools.entry(tag.to_string()).or_default();
        }
    }
    for key in 0..LEARNED_VALUES {
        more.learned.entry(key).or_default();
    }
    read(ledger, &more)
}
