//! A card that is pulled, changed, only read or full, in every phase.

use std::io::Cursor;

use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::reading;
use holdpoint_desk::script::settle;
use holdpoint_desk::world::World;
use holdpoint_shared::app::Event;
use holdpoint_shared::phase::Stage;
use holdpoint_tests::cards::{in_memory, read_record};
use holdpoint_tests::generate::{Plan, job};
use holdpoint_tests::images::FileSpec;
use holdpoint_tests::person::{act, act_until, short_card, short_job, world};

const ACTS: usize = 2_000;

/// The phases of a run in their order, by the names of their first screens.
const PHASES: [&str; 12] = [
    "Jobs",
    "Verdict",
    "Walk",
    "Release",
    "Start",
    "WarmUp",
    "FirstLayer",
    "Run",
    "CoolDown",
    "Plate",
    "CloseOut",
    "Waiting",
];

fn phase(world: &World) -> String {
    let phase = world.app().expect("power").phase();
    let name = phase.stage().map_or_else(|| format!("{phase:?}"), |stage| format!("{stage:?}"));
    name.split([' ', '{']).next().unwrap_or_default().to_owned()
}

fn in_phase(name: &str) -> (World, MemoryCard) {
    let (mut world, card) = world(short_card(&[]));
    assert!(act_until(&mut world, ACTS, |world| phase(world) == name), "{name}: {}", world.page());
    (world, card)
}

fn free_again(world: &mut World, what: &str) {
    let mut released = false;
    let free = |world: &World| {
        released |= phase(world) == "CloseOut";
        released && phase(world) == "Waiting"
    };
    assert!(act_until(world, ACTS, free), "{what}: {}", world.page());
}

fn book(card: &MemoryCard) -> String {
    let book = in_memory(card.bytes(), |volume| read_record(volume, "DAYBOOK.CSV"));
    String::from_utf8(book.unwrap_or_default()).unwrap()
}

#[test]
fn a_card_that_is_pulled_leads_to_a_place_that_is_defined_and_the_work_can_be_done_after_all() {
    for name in PHASES {
        let (mut world, card) = in_phase(name);
        let _ = world.pull();
        world.pass(1_000);
        let expected: &[&str] = match name {
            "Jobs" | "Verdict" | "Waiting" => &["Waiting"],
            "Walk" | "Release" => &["Away"],
            stage => &[stage][..],
        };
        assert!(expected.contains(&phase(&world).as_str()), "{name}: {}", phase(&world));
        if phase(&world) == "Away" {
            let text = reading::read(&world.frame());
            assert!(text.contains("CARD IS OUT") && text.contains("two"), "{name}: {text}");
        }
        free_again(&mut world, name);
        world.insert().unwrap();
        settle(&mut world);
        assert_eq!(book(&card).matches(",good,").count(), 1, "{name}: {}", book(&card));
    }
}

#[test]
fn a_card_that_leaves_before_its_verdict_is_asked_for_again() {
    let long = job(&Plan { bytes: 400_000, layers: 4_000, ..Plan::default() });
    let (mut world, _card) = world(short_card(&[FileSpec::new("long.gcode", long, 12, 59)]));
    world.insert().unwrap();
    assert!(world.pass_until(60_000, 1, |world| phase(world) == "Jobs"), "{}", world.page());
    world.knob(Event::Press);
    assert!(world.pass_until(60_000, 1, |world| world.page() == "Vetting"), "{}", world.page());
    world.pull().unwrap();
    world.pass(1_000);
    assert_eq!(world.page(), "CardEarly");
    let text = reading::read(&world.frame());
    assert!(text.contains("TOO SOON") && text.contains("verdict yet."), "{text}");
    // It goes with the card's return, and the verdict comes.
    world.insert().unwrap();
    world.pass(1_000);
    assert_ne!(world.page(), "CardEarly");
    assert!(act_until(&mut world, ACTS, |world| phase(world) == "Walk"), "{}", world.page());
    // With its verdict told, it may leave without a word.
    let (mut world, _card) = in_phase("Verdict");
    settle(&mut world);
    world.pull().unwrap();
    world.pass(1_000);
    assert_ne!(world.page(), "CardEarly");
}

#[test]
fn a_card_that_comes_back_changed_is_vetted_again_before_a_release_and_taken_back_after_one() {
    let longer = short_job().replace("X130", "X131");
    let changed = |card: &MemoryCard| {
        card.replace(short_card(&[FileSpec::new("note.txt", "", 9, 1)]));
        let other = short_card(&[]);
        // The same card, its job another: 131 for 130 is the same number of bytes.
        let (from, to) = (short_job().into_bytes(), longer.clone().into_bytes());
        let at =
            other.windows(64).position(|window| window == &from[..64]).expect("the job lies in one piece");
        let mut bytes = other;
        bytes[at..at + to.len()].copy_from_slice(&to);
        card.replace(bytes);
    };
    for name in ["Walk", "Release", "Start"] {
        let (mut world, card) = in_phase(name);
        if world.card_is_in() {
            world.pull().unwrap();
        }
        changed(&card);
        world.pass(5_000);
        world.insert().unwrap();
        world.pass_until(60_000, 100, |world| world.page() == "CardChanged");
        let text = reading::read(&world.frame());
        assert!(text.contains("CARD CHANGED") && text.contains("vetted again"), "{name}: {text}");
        act(&mut world);
        assert!(!world.app().unwrap().phase().is_released(), "{name}: {:?}", phase(&world));
        free_again(&mut world, name);
    }
}

/// A card that is only read, and one without a free cluster: the row stays in the device, which says so, and the next
/// card takes it.
#[test]
fn a_card_that_takes_no_row_is_told_and_the_next_one_takes_it() {
    let roomy = fatfs::FileSystem::new(Cursor::new(short_card(&[])), fatfs::FsOptions::new()).unwrap();
    let (stats, cluster) = (roomy.stats().unwrap(), roomy.cluster_size());
    let free_bytes = stats.free_clusters() as usize * cluster as usize;
    let full = short_card(&[FileSpec::new("filler.bin", vec![7; free_bytes], 7, 0)]);
    for (name, bytes, protected) in [("only read", short_card(&[]), true), ("full", full, false)] {
        let (mut world, card) = world(bytes);
        card.protect(protected);
        let mut said = String::new();
        let told = |world: &World| {
            if world.page() == "DayBookHere" {
                said = reading::read(&world.frame());
            }
            phase(world) == "Run"
        };
        assert!(act_until(&mut world, ACTS, told), "{name}: {}", world.page());
        let said = said.replace('\n', " ");
        assert!(said.contains("Card full") && said.contains("stays in this"), "{name}: {said}");
        free_again(&mut world, name);
        assert_eq!(book(&card), "", "{name}");
        let next = MemoryCard::new(short_card(&[]), world.power().clone());
        world.take_card(holdpoint_desk::slot::NamedCard::new("the next card", next.clone())).unwrap();
        world.insert().unwrap();
        settle(&mut world);
        assert_eq!(book(&next).matches(",good,").count(), 1, "{name}: {}", book(&next));
        assert_eq!(world.app().unwrap().phase().stage(), None::<Stage>);
    }
}
