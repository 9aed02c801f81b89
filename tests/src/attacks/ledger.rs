//! Damage to the ledger's flash.

use std::sync::OnceLock;

use holdpoint_shared::ledger::{Ledger, LedgerError};

use crate::kept::{Change, Kept, make, read_all};
use crate::nor::{HalfErased, Nor};
use crate::oracle::{Survived, judge};
use crate::trade::Rng;

use super::Attack;

const PAGE: usize = 1024;
/// Pages of a small chip, and of one with room for rows that wait.
const PAGES: [usize; 2] = [18, 60];
type Chip = Nor<PAGE, 4>;

/// Every attack on the ledger.
pub const ATTACKS: &[Attack] = &[
    Attack { name: "ledger: one bit flipped", case: |rng| damage(rng, |rng, cells| flip(rng, cells, 1)) },
    Attack { name: "ledger: two bits flipped", case: |rng| damage(rng, |rng, cells| flip(rng, cells, 2)) },
    Attack { name: "ledger: 10 bits flipped", case: |rng| damage(rng, |rng, cells| flip(rng, cells, 10)) },
    Attack { name: "ledger: 1 to 200 bytes overwritten", case: |rng| damage(rng, overwrite) },
    Attack {
        name: "ledger: 1 to 200 bytes stuck at 0",
        case: |rng| damage(rng, |rng, cells| fill(rng, cells, 0)),
    },
    Attack {
        name: "ledger: 1 to 40 bytes erased",
        case: |rng| damage(rng, |rng, cells| erase(rng, cells, 40)),
    },
    Attack { name: "ledger: a page erased or overwritten", case: |rng| damage(rng, page) },
    Attack { name: "ledger: two pages swapped", case: |rng| damage(rng, swap) },
    Attack { name: "ledger: power cut at a write", case: |rng| cut(rng, 0) },
    Attack { name: "ledger: power cut, then one bit flipped", case: |rng| cut(rng, 1) },
    Attack { name: "ledger: worn cells", case: worn },
];

/// Bytes that differ from each other and from text to text.
fn text(length: usize, seed: u8) -> Vec<u8> {
    (0..length).map(|at| (at as u8).wrapping_mul(31).wrapping_add(seed)).collect()
}

/// What a machine's day changes on a chip with room for rows.
fn long_day(number: u8) -> Vec<Change> {
    let row = u32::from(number) * 2;
    let mut changes = day(number);
    changes.extend([
        Change::KeepRow(row, text(100 + usize::from(number) * 11 % 268, number)),
        Change::KeepRow(row + 1, text(368 - usize::from(number) * 7 % 300, !number)),
    ]);
    // Cards come seldom: up to fifteen rows wait, and two were given up.
    match number % 7 {
        3 => changes.push(Change::GiveUp(row + 1)),
        6 => changes.extend((0..14).map(|_| Change::DropRow).chain([Change::Told])),
        _ => {}
    }
    changes
}

/// The changes of day after day, on a chip with room for rows or without.
fn days(pages: usize, from: u8) -> impl Iterator<Item = Change> {
    (from..).flat_map(if pages == PAGES[0] { day } else { long_day })
}

/// What a machine's day changes.
#[must_use]
pub fn day(number: u8) -> Vec<Change> {
    let spool = |name: &str| name.to_string();
    let state = text(700, number);
    let mut later = state.clone();
    later[300] ^= 0x55;
    vec![
        Change::Weigh(spool("S17"), 110_000 + i64::from(number), 5_000),
        Change::Load(spool("S17")),
        Change::Log(u16::from(number) * 10),
        Change::BeginRun,
        Change::SavePicture(text(90 + usize::from(number), number)),
        Change::SaveRun(state),
        Change::Settle(31, None, true),
        Change::Settle(60, Some(spool("S17")), number & 1 == 0),
        Change::Learn(number & 3, text(40, number)),
        Change::SaveRun(later),
        Change::Log(u16::from(number) * 10 + 1),
        Change::Deduct(spool("S17"), 5_000 + i64::from(number)),
        Change::CloseRun(number),
        Change::SaveRun(Vec::new()),
        Change::SavePicture(Vec::new()),
        Change::Hold((number & 1 == 0).then_some(number)),
        Change::Weigh(spool("S4"), 1_000_000, 20_000),
        Change::TakeOver(usize::from(number) % 3, text(200 + usize::from(number) * 7, number)),
    ]
}

/// A used ledger, and every state that it ever had.
type Used = (Chip, Vec<Kept>);

/// Ledgers of some changes, some days, and so many that the pages went round.
fn used(rng: &mut Rng) -> &'static Used {
    static USED: OnceLock<Vec<Used>> = OnceLock::new();
    let used = USED.get_or_init(|| {
        let used = [(18, 5), (18, 12), (18, 19), (18, 60), (18, 19 * 12 + 7), (60, 90), (60, 700)];
        used.map(|(pages, changes)| after(pages, changes).expect("room for it")).into()
    });
    &used[rng.below(used.len())]
}

fn after(pages: usize, changes: usize) -> Result<Used, LedgerError> {
    let mut ledger = Ledger::format(Chip::blank(pages)).map_err(|refused| refused.error)?;
    let mut history = vec![Kept::default()];
    for change in days(pages, 0).take(changes) {
        let mut kept = history.last().cloned().unwrap_or_default();
        kept.make(&change);
        history.push(kept);
        make(&mut ledger, &change)?;
    }
    Ok((ledger.close(), history))
}

/// Opens it twice, and uses it on: what it says must be right each time.
fn survives(chip: Chip, history: &[Kept]) -> Result<Survived, String> {
    let last = history.last().ok_or("no history")?;
    let (before, pages) = (chip.cells.clone(), chip.cells.len() / PAGE);
    let mut ledger = match Ledger::open(chip) {
        Ok(ledger) => ledger,
        // Told, and left as it is for somebody to decide.
        Err(refused) if refused.error == LedgerError::Foreign && refused.flash.cells == before => {
            return Ok(Survived::Told(1));
        }
        Err(refused) => return Err(format!("{} though it holds data", refused.error)),
    };
    let found = read_all(&mut ledger, last).map_err(|error| error.to_string())?;
    let survived = judge(&found, history, ledger.losses())?;
    let mut ledger = Ledger::open(ledger.close()).map_err(|refused| refused.error.to_string())?;
    let found = read_all(&mut ledger, last).map_err(|error| error.to_string())?;
    let again = judge(&found, history, ledger.losses())?;
    if again != survived {
        return Err(format!(
            "{survived:?} at the first opening, {again:?} at the second: {:?}",
            ledger.losses()
        ));
    }
    ledger.losses_are_read().map_err(|error| error.to_string())?;
    for change in days(pages, 50).take(if pages == PAGES[0] { 36 } else { 40 }) {
        make(&mut ledger, &change).map_err(|error| format!("{error} in {change:?}"))?;
    }
    let ledger = Ledger::open(ledger.close()).map_err(|refused| refused.error.to_string())?;
    if ledger.losses().is_empty() { Ok(survived) } else { Err(format!("lost later: {:?}", ledger.losses())) }
}

fn damage(rng: &mut Rng, how: fn(&mut Rng, &mut [u8])) -> Result<Survived, String> {
    let (chip, history) = used(rng);
    let mut chip = chip.clone();
    how(rng, &mut chip.cells);
    survives(chip, history)
}

/// Where something is written, nine times out of ten.
fn place(rng: &mut Rng, cells: &[u8]) -> usize {
    for _ in 0..40 {
        let at = rng.below(cells.len());
        if cells[at] != 0xFF || rng.chance(2) {
            return at;
        }
    }
    0
}

fn flip(rng: &mut Rng, cells: &mut [u8], bits: usize) {
    for _ in 0..bits {
        let at = place(rng, cells);
        cells[at] ^= 1 << rng.below(8);
    }
}

fn overwrite(rng: &mut Rng, cells: &mut [u8]) {
    let (at, length) = (place(rng, cells), 1 + rng.below(200));
    for cell in cells.iter_mut().skip(at).take(length) {
        *cell = (rng.bits() >> 20) as u8;
    }
}

fn fill(rng: &mut Rng, cells: &mut [u8], with: u8) {
    let (at, length) = (place(rng, cells), 1 + rng.below(200));
    cells.iter_mut().skip(at).take(length).for_each(|cell| *cell = with);
}

fn erase(rng: &mut Rng, cells: &mut [u8], most: usize) {
    let (at, length) = (place(rng, cells), 1 + rng.below(most));
    cells.iter_mut().skip(at).take(length).for_each(|cell| *cell = 0xFF);
}

fn page(rng: &mut Rng, cells: &mut [u8]) {
    // Of a ledger in its very first page an erase leaves a blank chip, which is what a new one is.
    let used = (0..cells.len() / PAGE)
        .filter(|page| cells[page * PAGE..][..PAGE].iter().any(|cell| *cell != 0xFF))
        .count();
    let page = place(rng, cells) / PAGE;
    let kind = rng.below(3);
    for cell in &mut cells[page * PAGE..][..PAGE] {
        *cell = match kind {
            0 if used > 1 => 0xFF,
            1 => 0,
            _ => (rng.bits() >> 20) as u8,
        };
    }
}

fn swap(rng: &mut Rng, cells: &mut [u8]) {
    let pages = cells.len() / PAGE;
    let (one, other) = (rng.below(pages), rng.below(pages));
    for at in 0..PAGE {
        cells.swap(one * PAGE + at, other * PAGE + at);
    }
}

/// A change cut at any step, then so many bits flipped: as before it or as after it, or told.
fn cut(rng: &mut Rng, bits: usize) -> Result<Survived, String> {
    let (chip, history) = used(rng);
    let mut chip = chip.clone().seeded(rng.bits()).powered(Some(rng.below(700) as u64));
    chip.half_erased = HalfErased::ALL[rng.below(6)];
    let changes = history.len() - 1;
    let change = days(chip.cells.len() / PAGE, 0).nth(changes).ok_or("no change")?;
    let mut ledger = Ledger::open(chip).map_err(|refused| refused.error.to_string())?;
    let done = make(&mut ledger, &change).is_ok();
    let mut chip = ledger.close().powered(None);
    flip(rng, &mut chip.cells, bits);
    let mut later = history.clone();
    let mut kept = history.last().cloned().unwrap_or_default();
    kept.make(&change);
    later.push(kept);
    let as_after = survives(chip.clone(), &later);
    match (done, as_after) {
        (_, Ok(Survived::Exact)) => Ok(Survived::Exact),
        (true, as_after) => as_after,
        (false, as_after) => survives(chip, history).or(as_after),
    }
}

/// Cells that take no write any more, while a ledger is used: what was confirmed is there, or it is told.
fn worn(rng: &mut Rng) -> Result<Survived, String> {
    let pages = rng.pick(&PAGES);
    let mut chip = Chip::blank(pages);
    chip.worn = Some(rng.below(PAGE * pages));
    let mut ledger = match Ledger::format(chip) {
        Ok(ledger) => ledger,
        Err(_) => return Ok(Survived::Told(1)),
    };
    let mut history = vec![Kept::default()];
    for change in days(pages, 0).take(19 + rng.below(200)) {
        let mut kept = history.last().cloned().unwrap_or_default();
        kept.make(&change);
        // A change that is refused is told, and is as before or as after.
        if make(&mut ledger, &change).is_err() {
            return Ok(Survived::Told(1));
        }
        history.push(kept);
    }
    let last = history.last().ok_or("no history")?;
    let mut ledger = Ledger::open(ledger.close()).map_err(|refused| refused.error.to_string())?;
    let found = read_all(&mut ledger, last).map_err(|error| error.to_string())?;
    judge(&found, &history, ledger.losses())
}
