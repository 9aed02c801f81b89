//! The ledger: nothing that was confirmed is lost at a power cut, and nothing is there by half.

#[path = "ledger/cuts.rs"]
mod cuts;
#[path = "ledger/damage.rs"]
mod damage;
#[path = "ledger/limits.rs"]
mod limits;
#[path = "ledger/wear.rs"]
mod wear;

use holdpoint_shared::ledger::{Ledger, LedgerError, Refused};
use holdpoint_tests::kept::Change;
use holdpoint_tests::nor::Nor;

/// A small microcontroller's flash: pages of 1 KiB, words of four bytes.
type Chip = Nor<1024, 4>;

fn begun<const PAGE: usize, const WORD: usize>(pages: usize) -> Ledger<Nor<PAGE, WORD>> {
    Ledger::format(Nor::blank(pages)).expect("a blank chip is begun")
}

fn error_of<F: embedded_storage::nor_flash::NorFlash>(opened: Result<Ledger<F>, Refused<F>>) -> LedgerError {
    opened.expect_err("refused").error
}

/// Bytes that differ from each other and from text to text.
fn text(length: usize, seed: u8) -> Vec<u8> {
    (0..length).map(|at| (at as u8).wrapping_mul(31).wrapping_add(seed)).collect()
}

/// A day with some of everything.
fn day(number: u8) -> Vec<Change> {
    let spool = |name: &str| name.to_string();
    let mut state = text(700, number);
    let mut changes = vec![
        Change::Weigh(spool("S17"), 750_000 + i64::from(number), 5_000),
        Change::Load(spool("S17")),
        Change::Log(u16::from(number) * 10),
        Change::BeginRun,
        Change::SavePicture(text(90 + usize::from(number), number)),
        Change::SaveRun(state.clone()),
        Change::Settle(31, None, true),
        Change::Settle(60, Some(spool("S17")), number & 1 == 0),
        Change::Learn(number & 3, text(40, number)),
    ];
    state[300] ^= 0x55;
    changes.extend([
        Change::SaveRun(state.clone()),
        Change::Log(u16::from(number) * 10 + 1),
        Change::Deduct(spool("S17"), 12_345),
        Change::CloseRun(number),
        Change::SaveRun(Vec::new()),
        // A record would take its place in little flash.
        Change::SavePicture(Vec::new()),
        Change::Hold((number & 1 == 0).then_some(number)),
        Change::Weigh(spool("S4"), 1_000_000, 20_000),
        Change::TakeOver(usize::from(number) % 3, text(200 + usize::from(number) * 7, number)),
    ]);
    changes
}
