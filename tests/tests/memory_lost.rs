//! What the device's flash lost is shown on its screen, in the day book's events and by `holdpoint ledger`, once.

use holdpoint_cli::day_book::gather::Books;
use holdpoint_cli::progress::Progress;
use holdpoint_desk::flash::Flash;
use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::power::Power;
use holdpoint_desk::script::settle;
use holdpoint_desk::setup::Overrides;
use holdpoint_desk::slot::NamedCard;
use holdpoint_desk::world::World;
use holdpoint_shared::app::Event;
use holdpoint_tests::images::{FileSpec, Kind, Table, card};
use holdpoint_tests::person::short_job;

fn memory_card() -> MemoryCard {
    let files = [
        FileSpec::new("HOLDPT/MACHINE.JSN", include_str!("../../sim/demo/HOLDPT/MACHINE.JSN"), 8, 0),
        FileSpec::new("HOLDPT/SPOOL.JSN", include_str!("../../sim/demo/HOLDPT/SPOOL.JSN"), 8, 0),
        FileSpec::new("HOLDPT/ROOM.JSN", include_str!("../../sim/demo/HOLDPT/ROOM.JSN"), 8, 0),
        FileSpec::new("teil.gcode", short_job(), 9, 0),
    ];
    MemoryCard::new(card(Kind::Fat16, Table::None, &files), Power::new())
}

fn world(card: &MemoryCard, flash: Flash) -> World {
    let source = NamedCard::new("the card", card.clone());
    World::new(Overrides::default(), source, flash, holdpoint_desk::demo::clock()).expect("a world")
}

/// A device that has weighed the card's spool, with the balance's row overwritten.
fn damaged(card: &MemoryCard) -> Vec<u8> {
    let mut world = world(card, Flash::blank());
    world.insert().unwrap();
    settle(&mut world);
    world.pull().unwrap();
    world.pass(1_000);
    let mut cells = world.into_flash().expect("its flash").bytes().to_vec();
    // A row of a spool: key 0x06 and a slot, the value after eight bytes of head begins with the tag's length.
    let row = (0..cells.len() - 16)
        .step_by(8)
        .rfind(|at| cells[at + 1] == 6 && cells[at + 8] == 3 && cells[at + 9..].starts_with(b"S17"))
        .expect("the balance");
    cells[row + 9..row + 12].copy_from_slice(b"???");
    cells
}

#[test]
fn a_lost_balance_is_told_once() {
    let card = memory_card();
    let mut world = world(&card, Flash::of(damaged(&card)));
    assert_eq!(world.page(), "BalanceLost", "before anything else");
    world.insert().unwrap();
    settle(&mut world);
    assert_eq!(world.page(), "BalanceLost", "until somebody reads it");
    world.knob(Event::Press);
    assert_ne!(world.page(), "BalanceLost");
    settle(&mut world);
    world.power_off();
    world.power_on().unwrap();
    assert_ne!(world.page(), "BalanceLost", "it was read");

    let here = tempfile::tempdir().unwrap();
    let path = here.path().join("card.img");
    std::fs::write(&path, card.bytes()).unwrap();
    let books = Books::read(&[path], holdpoint_desk::demo::clock(), &Progress::new("book")).unwrap();
    let losses: Vec<_> = books.books[0].losses.iter().map(|loss| loss.what.as_str()).collect();
    assert_eq!(losses, ["spool balance"]);
}

/// One flipped bit anywhere in the flash is nothing to tell.
#[test]
fn one_flipped_bit_is_not_even_told() {
    let card = memory_card();
    let mut first = world(&card, Flash::blank());
    first.insert().unwrap();
    settle(&mut first);
    first.pull().unwrap();
    first.pass(1_000);
    let cells = first.into_flash().expect("its flash").bytes().to_vec();
    for bit in (0..2_000).step_by(61) {
        let mut flipped = cells.clone();
        flipped[bit / 8] ^= 1 << (bit % 8);
        let world = world(&card, Flash::of(flipped));
        assert_ne!(world.page(), "BalanceLost", "bit {bit}");
    }
}
