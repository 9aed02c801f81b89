//! The core's ledger on board one, for the tests on the emulator alone: it says what it finds, then makes changes
//! until it is told to end or its power is cut. Started again, it goes on where it was.
//!
//! The flash is a file of the host (`HostFlash`). On the command line stand two numbers: the last change to make, and
//! the steps after which the flash cuts the power (0 for never). In their place `rules` tries the flash's own rules.
//!
//! Changes are numbered from 1 on. The odd ones are what a run of the machine keeps, [`KINDS`] of them a run; each even
//! one logs an event with its number. So the newest event tells where it was, and the change after it is made again,
//! whether it was made or not: it must count once.

#![no_std]
#![no_main]

use cortex_m_rt::entry;
use cortex_m_semihosting::debug::EXIT_SUCCESS;
use embedded_storage::nor_flash::{NorFlash, NorFlashErrorKind, ReadNorFlash};
use holdpoint_firmware::boards::lm3s6965evb::{self, Clock, HostFlash, Parts};
use holdpoint_shared::ledger::{
    Ledger, LedgerError, LoggedEvent, MachineHold, MachineState, Refused, Settled, SettledFor,
};
use holdpoint_shared::limits::{LEDGER_EVENTS, RUN_STATE_BYTES};
use holdpoint_shared::units::Milligrams;

/// At `-icount shift=2` an instruction takes 4 ns, and a tick of the 50 MHz clock 20.
const INSTRUCTIONS_PER_TICK: u64 = 5;

const SPOOL: &str = "S-07";
/// The check that is settled for the machine, and the one for the spool.
const CHECKS: [u8; 2] = [31, 60];
/// Bytes of a run's state: four pieces in flash.
const STATE_BYTES: usize = 400;
/// Bytes of a learned value.
const LEARNED_BYTES: usize = 40;
/// Changes that a run keeps, each with an event after it.
const KINDS: u32 = 11;

/// Bytes that differ from each other and from run to run.
fn pattern<const N: usize>(run: u32) -> [u8; N] {
    core::array::from_fn(|at| (at as u8).wrapping_mul(31).wrapping_add(run as u8))
}

/// Makes the change of this number.
fn make(ledger: &mut Ledger<HostFlash>, number: u32) -> Result<(), LedgerError> {
    if number.is_multiple_of(2) {
        let numbers = [number as i32 * 1000, -(number as i32)];
        return ledger.log(LoggedEvent { code: number as u16, numbers, time_s: 800_000_000 + number });
    }
    let (run, kind) = ((number - 1) / (2 * KINDS) + 1, (number - 1) / 2 % KINDS);
    let odd = run % 2 == 1;
    match kind {
        0 => {
            let left = 700_000 - 1000 * i64::from(run);
            ledger.weigh(SPOOL, Milligrams(left), Milligrams(5_000 + i64::from(run))).map(drop)
        }
        1 if ledger.run() < run => ledger.begin_run().map(drop),
        1 => Ok(()),
        2 => ledger.save_run(&pattern::<STATE_BYTES>(run)),
        3 => {
            let mut state = pattern::<STATE_BYTES>(run);
            state[300] ^= 0x55;
            ledger.save_run(&state)
        }
        4 => ledger.learn(run as u8 % 2, &pattern::<LEARNED_BYTES>(run)),
        5 => ledger.settle(CHECKS[0], SettledFor::Machine, odd),
        6 => ledger.settle(CHECKS[1], SettledFor::Spool(SPOOL), odd),
        7 => ledger.deduct(SPOOL, run, Milligrams(12_000 + i64::from(run))).map(drop),
        8 => ledger
            .close_run(&MachineState {
                run,
                result: run as u8 & 3,
                starts_since_wash: run as u16,
                nozzle_minutes: 97 * run,
                grade: "PLA".try_into().unwrap_or_default(),
                ..MachineState::default()
            })
            .map(drop),
        9 => ledger.clear_run(),
        _ => {
            ledger.set_hold(odd.then_some(MachineHold { reason: run as u8 & 7, since_s: 0x3200_0000 + run }))
        }
    }
}

/// Says all that the changes can have left, always in as many lines.
fn tell(ledger: &mut Ledger<HostFlash>) -> Result<(), LedgerError> {
    let mut events = 0_u8;
    while events < LEDGER_EVENTS && ledger.event(events)?.is_some() {
        events += 1;
    }
    let LoggedEvent { code, numbers: [a, b], time_s } = ledger.event(0)?.unwrap_or_default();
    defmt::info!("found events {=u8} newest {=u16} {=i32} {=i32} {=u32}", events, code, a, b, time_s);
    match ledger.balance(SPOOL)? {
        Some(spool) => defmt::info!(
            "found spool left {=i64} error {=i64} used {=i64} loads {=u16} run {=u32}",
            spool.left.0,
            spool.error.0,
            spool.used.0,
            spool.loads,
            spool.run
        ),
        None => defmt::info!("found no spool"),
    }
    let settled = |settled: &Settled, check| (settled.contains(check), settled.iter().count());
    let (machine, machine_count) = settled(&ledger.settled(SettledFor::Machine)?, CHECKS[0]);
    let (spool, spool_count) = settled(&ledger.settled(SettledFor::Spool(SPOOL))?, CHECKS[1]);
    defmt::info!(
        "found settled {=bool} of {=usize} and {=bool} of {=usize}",
        machine,
        machine_count,
        spool,
        spool_count
    );
    let mut state = [0; RUN_STATE_BYTES];
    let length = ledger.saved_run(&mut state)?.unwrap_or_default();
    defmt::info!("found run {=u32} state {=[u8]}", ledger.run(), &state[..length]);
    for key in 0..2 {
        defmt::info!("found learned {=[u8]}", ledger.learned(key)?.unwrap_or_default());
    }
    let machine = ledger.machine()?;
    defmt::info!(
        "found machine run {=u32} result {=u8} starts {=u16} minutes {=u32} grade {=str}",
        machine.run,
        machine.result,
        machine.starts_since_wash,
        machine.nozzle_minutes,
        &machine.grade
    );
    match ledger.hold()? {
        Some(hold) => defmt::info!("found hold {=u8} since {=u32}", hold.reason, hold.since_s),
        None => defmt::info!("found no hold"),
    }
    Ok(())
}

/// The ledger; a blank one is begun, any other stays as it is.
fn opened(flash: HostFlash) -> Result<Ledger<HostFlash>, LedgerError> {
    let ledger = match Ledger::open(flash) {
        Err(Refused { error: LedgerError::Blank, flash }) => {
            defmt::info!("blank: begun");
            Ledger::format(flash)
        }
        opened => opened,
    };
    ledger.map_err(|refused| refused.error)
}

/// Says what is found, then makes all changes up to the last.
fn go_on(flash: HostFlash, clock: Clock, last: u32) -> Result<(), LedgerError> {
    let mut ledger = opened(flash)?;
    if ledger.finished_an_erase() {
        defmt::info!("finished an erase");
    }
    tell(&mut ledger)?;
    let newest = ledger.event(0)?.map_or(0, |event| u32::from(event.code));
    for number in newest + 1..=last {
        defmt::info!("begins {=u32}", number);
        let start = clock.ticks();
        make(&mut ledger, number)?;
        let instructions = (clock.ticks() - start) * INSTRUCTIONS_PER_TICK;
        defmt::info!("kept {=u32} instructions {=u64}", number, instructions);
    }
    Ok(())
}

/// Tries the rules of the flash on its first page.
fn try_rules(flash: &mut HostFlash) -> Result<(), NorFlashErrorKind> {
    let mut cells = [0; 4];
    flash.erase(0, HostFlash::ERASE_SIZE as u32)?;
    flash.read(4, &mut cells)?;
    defmt::info!("erased {=[u8]}", cells);
    for written in [[0xF0, 0x55, 0xFF, 0x00], [0x0F, 0x5A, 0x81, 0xFF]] {
        flash.write(4, &written)?;
        flash.read(4, &mut cells)?;
        defmt::info!("written {=[u8]}", cells);
    }
    let end = flash.capacity() as u32;
    let refused = [
        flash.write(2, &cells).is_err(),
        flash.write(4, &cells[..3]).is_err(),
        flash.write(end, &cells).is_err(),
        flash.erase(4, HostFlash::ERASE_SIZE as u32).is_err(),
        flash.erase(0, end + HostFlash::ERASE_SIZE as u32).is_err(),
        flash.read(end - 2, &mut cells).is_err(),
    ];
    defmt::info!("refused {=[u8]}", refused.map(u8::from));
    Ok(())
}

#[entry]
fn main() -> ! {
    let Some(Ok(parts)) = Parts::take() else { defmt::panic!("the board cannot be set up") };
    let mut line = [0; 64];
    let Some(line) = lm3s6965evb::command_line(&mut line) else { defmt::panic!("no command line") };
    let mut words = line.split(' ');
    let first = words.next().unwrap_or_default();
    let steps = words.next().and_then(|word| word.parse().ok()).filter(|steps| *steps > 0);
    let Some(mut flash) = HostFlash::open(steps) else { defmt::panic!("no flash.bin of 36 KiB") };
    if first == "rules" {
        if try_rules(&mut flash).is_err() {
            defmt::panic!("the flash failed");
        }
    } else {
        let Ok(last) = first.parse() else { defmt::panic!("no last change on the command line") };
        if let Err(error) = go_on(flash, parts.clock, last) {
            defmt::panic!("ledger: {}", error);
        }
    }
    defmt::info!("done");
    lm3s6965evb::exit(EXIT_SUCCESS)
}
