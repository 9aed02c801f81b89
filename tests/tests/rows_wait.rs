//! Rows that no card takes: many runs of them wait in the device's flash, and one that must be given up is told by name
//! on the screen, in the next card's events and by `holdpoint ledger`.

use std::collections::BTreeSet;

use holdpoint_cli::day_book::gather::{Books, Loss};
use holdpoint_cli::progress::Progress;
use holdpoint_desk::flash::Flash;
use holdpoint_desk::image::Image;
use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::power::Power;
use holdpoint_desk::script::settle;
use holdpoint_desk::setup::Overrides;
use holdpoint_desk::slot::NamedCard;
use holdpoint_desk::world::World;
use holdpoint_shared::app::Event;
use holdpoint_shared::limits::ROWS_KEPT;
use holdpoint_shared::media::{MountToken, Volume};
use holdpoint_shared::phase::Phase;
use holdpoint_tests::cards::read_record;
use holdpoint_tests::images::FileSpec;
use holdpoint_tests::person::{act_until, short_card, short_job};

/// Rows that wait in a device at most: in the ledger, beside the run, and the newest.
const WAIT: u32 = ROWS_KEPT as u32 + 2;

/// A card on which the newest job reaches for the firmware: it is never let through, and each try is a row.
fn barred_card() -> MemoryCard {
    let job = short_job() + "M997\n";
    MemoryCard::new(short_card(&[FileSpec::new("barred.gcode", job, 10, 0)]), Power::new())
}

fn world(card: &MemoryCard, flash: Flash) -> World {
    let source = NamedCard::new("the card", card.clone());
    World::new(Overrides::default(), source, flash, holdpoint_desk::demo::clock()).expect("a world")
}

/// Somebody tries the job and is refused.
fn refused(world: &mut World) {
    world.insert().expect("a card");
    settle(world);
    let held = |world: &World| {
        world.app().is_some_and(|app| matches!(app.phase(), Phase::Verdict { .. } | Phase::Points { .. }))
    };
    assert!(act_until(world, 40, held), "{}", world.page());
    settle(world);
    let _ = world.pull();
    world.pass(1_000);
}

/// The card can be written again, and is in until the device has nothing more for it.
fn rows_go_out(world: &mut World, card: &MemoryCard) {
    card.protect(false);
    world.insert().expect("a card");
    world.pass(60_000);
    let _ = world.pull();
    world.pass(1_000);
}

fn numbers(card: &MemoryCard) -> Vec<u32> {
    let mut token = MountToken::new();
    let mut volume = Volume::mount(Image::from_bytes(card.bytes()), &mut token).expect("a card");
    let Ok(book) = read_record(&mut volume, "DAYBOOK.CSV") else { return Vec::new() };
    let book = String::from_utf8(book).expect("text");
    book.lines().skip(1).map(|row| row.split(',').next().unwrap().parse().expect("a number")).collect()
}

fn losses(card: &MemoryCard) -> Vec<Loss> {
    let here = tempfile::tempdir().unwrap();
    let path = here.path().join("card.img");
    std::fs::write(&path, card.bytes()).unwrap();
    let books = Books::read(&[path], holdpoint_desk::demo::clock(), &Progress::new("book")).unwrap();
    books.books[0].losses.clone()
}

#[test]
fn rows_of_many_runs_wait_for_a_card_through_power_cuts() {
    let card = barred_card();
    card.protect(true);
    let mut world = world(&card, Flash::blank());
    for number in 0..WAIT {
        refused(&mut world);
        assert_ne!(world.page(), "RowLost", "row {number}");
        if number % 5 == 4 {
            world.power_off();
            world.power_on().unwrap();
        }
    }
    rows_go_out(&mut world, &card);
    assert_eq!(numbers(&card), (1..=WAIT).collect::<Vec<_>>(), "each once, in their order");
    assert_eq!(losses(&card), []);
    // All places are free again.
    card.protect(true);
    for _ in 0..WAIT {
        refused(&mut world);
    }
    rows_go_out(&mut world, &card);
    assert_eq!(numbers(&card), (1..=2 * WAIT).collect::<Vec<_>>());
}

#[test]
fn a_row_that_is_given_up_is_told_by_name() {
    let card = barred_card();
    card.protect(true);
    let mut world = world(&card, Flash::blank());
    for _ in 0..WAIT {
        refused(&mut world);
    }
    refused(&mut world);
    assert_eq!(world.page(), "RowLost", "before anything else");
    world.power_off();
    world.power_on().unwrap();
    assert_eq!(world.page(), "RowLost", "until a card says it");
    world.knob(Event::Press);
    assert_ne!(world.page(), "RowLost");
    for _ in 0..6 {
        refused(&mut world);
        world.knob(Event::Press);
    }
    rows_go_out(&mut world, &card);
    let lost = losses(&card);
    let named: Vec<_> = lost.iter().map(|loss| (loss.rec, loss.job.as_deref(), loss.more)).collect();
    let barred = Some("barred.gcode");
    // Seven for which there was no place; four are named, the last with how many stand before it.
    let expected = [(Some(1), barred, 0), (Some(2), barred, 0), (Some(3), barred, 0), (Some(7), barred, 3)];
    assert_eq!(named, expected);
    assert!(lost.iter().all(|loss| loss.started.is_some() && loss.what == "row"), "{lost:?}");
    assert_eq!(numbers(&card), (8..8 + WAIT).collect::<Vec<_>>());
    world.power_off();
    world.power_on().unwrap();
    assert_ne!(world.page(), "RowLost", "it was told");
}

/// The power goes at any write of a refusal for which a row must be given up: each start is in the book, or named, or was
/// never kept as one.
#[test]
fn a_cut_while_a_row_is_given_up_loses_no_other() {
    let card = barred_card();
    card.protect(true);
    let mut first = world(&card, Flash::blank());
    for _ in 0..WAIT {
        refused(&mut first);
    }
    let full = first.into_flash().expect("its flash").bytes().to_vec();
    let mut cut = 0;
    for writes in 0.. {
        let card = barred_card();
        card.protect(true);
        let mut world = world(&card, Flash::of(full.clone()));
        world.insert().unwrap();
        settle(&mut world);
        world.power().cut_after(writes);
        refused_or_cut(&mut world);
        let done = world.app().is_some();
        world.power().restore();
        if !done {
            world.power_on().unwrap();
        }
        while world.page() == "RowLost" {
            world.knob(Event::Press);
        }
        rows_go_out(&mut world, &card);
        let rows: BTreeSet<u32> = numbers(&card).into_iter().collect();
        let named: BTreeSet<u32> = losses(&card).iter().filter_map(|loss| loss.rec).collect();
        for number in 1..=WAIT {
            assert!(rows.contains(&number) || named.contains(&number), "{number} after {writes} writes");
        }
        assert!(named.is_subset(&BTreeSet::from([1])), "{named:?} after {writes} writes");
        if done {
            break;
        }
        cut += 1;
    }
    assert!(cut > 10, "{cut}");
}

fn refused_or_cut(world: &mut World) {
    let over = |world: &World| {
        world.app().is_none_or(|app| matches!(app.phase(), Phase::Verdict { .. } | Phase::Points { .. }))
    };
    act_until(world, 40, over);
    if world.app().is_some() {
        settle(world);
        let _ = world.pull();
        world.pass(1_000);
    }
}
