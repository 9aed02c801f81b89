//! Records: found by the device itself, compared, taken over with the lead's key, refused with all their faults.

use holdpoint_desk::flash::Flash;
use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::power::Power;
use holdpoint_desk::script::{key, settle};
use holdpoint_desk::setup::Overrides;
use holdpoint_desk::slot::NamedCard;
use holdpoint_desk::world::World;
use holdpoint_shared::app::Event;
use holdpoint_shared::checks::Verdict;
use holdpoint_tests::images::{FileSpec, Kind, Table, card};
use holdpoint_tests::person::short_job;

const SHEET: &str = include_str!("../../../sim/demo/HOLDPT/MACHINE.JSN");
const TICKET: &str = include_str!("../../../sim/demo/HOLDPT/SPOOL.JSN");
const RULES: &str = include_str!("../../../sim/demo/HOLDPT/ROOM.JSN");

fn image(records: &[(&str, &str)]) -> Vec<u8> {
    let mut files: Vec<FileSpec> = Vec::new();
    for (name, text) in records {
        files.push(FileSpec::new(&format!("HOLDPT/{name}"), *text, 8, 0));
    }
    files.push(FileSpec::new("short.gcode", short_job(), 9, 0));
    card(Kind::Fat16, Table::None, &files)
}

fn source(records: &[(&str, &str)]) -> NamedCard {
    NamedCard::new("the card", MemoryCard::new(image(records), Power::new()))
}

fn world(records: &[(&str, &str)]) -> World {
    World::new(Overrides::default(), source(records), Flash::blank(), holdpoint_desk::demo::clock()).unwrap()
}

fn insert(world: &mut World) {
    world.insert().unwrap();
    settle(world);
}

fn change(world: &mut World, records: &[(&str, &str)]) {
    world.pull().unwrap();
    world.pass(1_000);
    world.take_card(source(records)).unwrap();
    insert(world);
}

fn tag(world: &World) -> String {
    world.app().unwrap().setup().machine.tag.to_string()
}

#[test]
fn a_cards_records_replace_the_devices_with_the_leads_key_alone() {
    let with_code = SHEET.replacen("\"tag\"", "\"lead_code\": 4711, \"tag\"", 1);
    let other = with_code.replacen("\"M2\"", "\"M9\"", 1);
    let mut world = world(&[("MACHINE.JSN", &with_code), ("SPOOL.JSN", TICKET), ("ROOM.JSN", RULES)]);
    insert(&mut world);
    assert_eq!(tag(&world), "M2", "a device without records takes the first card's");

    // A card without records changes nothing, and asks nothing.
    change(&mut world, &[]);
    assert_eq!(tag(&world), "M2");
    assert!(world.page().contains("Jobs"), "{}", world.page());

    // A card with others is read, and they wait.
    change(&mut world, &[("MACHINE.JSN", &other)]);
    assert_eq!(tag(&world), "M2");
    world.knob(Event::Press);
    key(&mut world, "0000").unwrap();
    settle(&mut world);
    assert_eq!(tag(&world), "M2", "a wrong key");

    change(&mut world, &[("MACHINE.JSN", &other)]);
    world.knob(Event::Press);
    key(&mut world, "4711").unwrap();
    settle(&mut world);
    assert_eq!(tag(&world), "M9", "{}", world.page());
    assert_eq!(world.app().unwrap().setup().spool.as_ref().unwrap().id.as_str(), "S17", "the spool stays");

    // Kept through a power cut without the card.
    world.pull().unwrap();
    world.power_off();
    world.pass(60_000);
    world.power_on().unwrap();
    settle(&mut world);
    assert_eq!(tag(&world), "M9");
}

fn verdict(world: &mut World) -> (Verdict, Vec<u8>) {
    for _ in 0..4 {
        if world.app().unwrap().chosen().is_some_and(holdpoint_shared::app::Vetting::is_done) {
            break;
        }
        world.knob(Event::Press);
        settle(world);
    }
    let report = world.app().unwrap().chosen().expect("a vetted job").report();
    (report.verdict, report.findings.iter().map(|finding| finding.check).collect())
}

#[test]
fn a_refused_record_is_no_verdict_and_the_next_cards_is_taken() {
    let bad = TICKET.replacen("\"left_mg\"", "\"left_mg\": -1, \"left_mg\"", 1);
    let mut world = world(&[("MACHINE.JSN", SHEET), ("SPOOL.JSN", &bad), ("ROOM.JSN", RULES)]);
    insert(&mut world);
    assert_eq!(world.page(), "RecordRefused");
    let screen = holdpoint_desk::reading::read(&world.frame());
    assert!(screen.contains("SPOOL.JSN") && screen.contains("(+1)"), "{screen}");
    let (told, checks) = verdict(&mut world);
    assert_eq!(told, Verdict::NoVerdict);
    assert!(checks.contains(&91), "{checks:?}");
    change(&mut world, &[("SPOOL.JSN", TICKET)]);
    let (told, checks) = verdict(&mut world);
    assert_ne!(told, Verdict::NoVerdict, "{checks:?}");
}

#[test]
fn a_mistyped_key_is_looked_at_until_it_is_gone() {
    let sheet = SHEET.replacen("\"bore_um\"", "\"bore_mm\"", 1);
    assert_ne!(sheet, SHEET);
    let mut world = world(&[("MACHINE.JSN", &sheet), ("SPOOL.JSN", TICKET), ("ROOM.JSN", RULES)]);
    insert(&mut world);
    let (_, checks) = verdict(&mut world);
    assert!(checks.contains(&106), "{checks:?}");

    world.power_off();
    world.pass(60_000);
    world.power_on().unwrap();
    settle(&mut world);
    let (_, checks) = verdict(&mut world);
    assert!(checks.contains(&106), "after a power cut: {checks:?}");
}
