//! Who prints and who is in charge: asked where the room wants it, kept through a power cut, written where a lead looks.

use holdpoint_desk::flash::Flash;
use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::power::Power;
use holdpoint_desk::reading;
use holdpoint_desk::script::{answer, code, key, settle};
use holdpoint_desk::setup::Overrides;
use holdpoint_desk::slot::NamedCard;
use holdpoint_desk::world::World;
use holdpoint_shared::app::Event;
use holdpoint_shared::checks::Verdict;
use holdpoint_shared::phase::{Gate, Stage};
use holdpoint_tests::images::{FileSpec, Kind, Table, card};
use holdpoint_tests::person::{act, act_until, short_job, stage};

/// The demo's room with these keys in front.
fn room(keys: &str) -> String {
    include_str!("../../sim/demo/HOLDPT/ROOM.JSN").replacen("\"opens\"", &format!("{keys}, \"opens\""), 1)
}

/// On the demo's day at this time.
fn world_at(room: &str, hour: u32, minute: u32) -> (World, MemoryCard) {
    let sheet = include_str!("../../sim/demo/HOLDPT/MACHINE.JSN");
    let files = [
        FileSpec::new(
            "HOLDPT/MACHINE.JSN",
            sheet.replacen("\"tag\"", "\"lead_code\": 4711, \"tag\"", 1),
            8,
            0,
        ),
        FileSpec::new("HOLDPT/SPOOL.JSN", include_str!("../../sim/demo/HOLDPT/SPOOL.JSN"), 8, 0),
        FileSpec::new("HOLDPT/ROOM.JSN", room, 8, 0),
        FileSpec::new("short.gcode", short_job(), 9, 0),
    ];
    let card = MemoryCard::new(card(Kind::Fat16, Table::None, &files), Power::new());
    let now = holdpoint_desk::demo::clock().date().and_hms_opt(hour, minute, 0).unwrap();
    let source = NamedCard::new("the card", card.clone());
    (World::new(Overrides::default(), source, Flash::blank(), now).expect("a world"), card)
}

/// From the card to the first question of the walk-round.
fn to_walk_round(world: &mut World) {
    world.insert().unwrap();
    settle(world);
    for _ in 0..2 {
        world.knob(Event::Press);
        settle(world);
    }
}

fn screen(world: &World) -> String {
    reading::read(&world.frame())
}

/// The card's file of this name, as text.
fn book(card: &MemoryCard, name: &str) -> String {
    let bytes = card.bytes();
    let disk = std::io::Cursor::new(bytes);
    let volume = fatfs::FileSystem::new(disk, fatfs::FsOptions::new()).expect("a volume");
    let mut text = String::new();
    let mut file = volume.root_dir().open_file(&format!("HOLDPT/{name}")).expect("the book");
    std::io::Read::read_to_string(&mut file, &mut text).expect("text");
    text
}

/// The cells of the `owner` column, by its name.
fn owners(card: &MemoryCard) -> Vec<String> {
    let text = book(card, "DAYBOOK.CSV");
    let mut lines = text.lines();
    let at = lines.next().unwrap().split(',').position(|name| name == "owner").expect("a column");
    lines.map(|line| line.split(',').nth(at).unwrap().to_owned()).collect()
}

#[test]
fn a_code_goes_to_the_row_the_events_the_screens_and_the_next_list() {
    let (mut world, card) = world_at(&room("\"owner_codes\": true"), 10, 0);
    to_walk_round(&mut world);
    // Nobody has used this machine yet: put in at once.
    assert_eq!(world.page(), "CodeEntry");
    code(&mut world, "LE").unwrap();
    assert_eq!(world.page(), "Sticker?");
    assert!(act_until(&mut world, 60, |world| stage(world) == Some(Stage::Start)), "{}", world.page());
    assert!(act_until(&mut world, 400, |world| world.page() == "MayLeave"), "{}", world.page());
    assert!(screen(&world).contains("LE"), "{}", screen(&world));

    world.power_off();
    world.pass(20_000);
    world.power_on().unwrap();
    settle(&mut world);
    assert!(act_until(&mut world, 100, |world| world.page() == "Running"), "{}", world.page());
    world.knob(Event::Turn(-1));
    assert_eq!(world.page(), "RunningWho");
    let shown = screen(&world);
    assert!(shown.contains("owner") && shown.contains("LE"), "{shown}");

    assert!(act_until(&mut world, 2_000, |world| stage(world).is_none()), "{}", world.page());
    assert!(act_until(&mut world, 60, |world| world.page() == "Owner?"), "{}", world.page());
    let rows = owners(&card);
    assert!(rows.len() >= 2 && rows.iter().all(|owner| owner == "LE"), "{rows:?}");
    let events = book(&card, "EVENTS.JSL");
    assert!(events.contains("\"question\":\"Owner\",\"answer\":\"LE\""), "{events}");

    // The next person finds it in the list, and is not it by a press alone.
    world.knob(Event::Press);
    assert_eq!(world.page(), "Owner?");
    world.knob(Event::Turn(1));
    assert!(screen(&world).contains("LE"), "{}", screen(&world));
    code(&mut world, "K7").unwrap();
    assert!(act_until(&mut world, 60, |world| stage(world) == Some(Stage::Start)), "{}", world.page());
    assert_eq!(owners(&card).last().map(String::as_str), Some("K7"));
}

#[test]
fn a_room_that_wants_no_codes_is_never_asked() {
    let (mut world, card) = world_at(&room("\"owner_codes\": false"), 10, 0);
    for _ in 0..2_000 {
        assert!(!matches!(world.page().as_str(), "Owner?" | "CodeEntry" | "InCharge?"));
        if owners_so_far(&card).len() >= 2 {
            break;
        }
        act(&mut world);
    }
    let rows = owners(&card);
    assert!(rows.len() >= 2 && rows.iter().all(String::is_empty), "{rows:?}");
}

fn owners_so_far(card: &MemoryCard) -> Vec<String> {
    let bytes = card.bytes();
    if bytes.windows(11).any(|name| name == b"DAYBOOK CSV") { owners(card) } else { Vec::new() }
}

#[test]
fn what_ends_after_closing_has_somebody_in_charge() {
    let (mut world, card) = world_at(&room("\"owner_codes\": true"), 17, 45);
    assert!(act_until(&mut world, 60, |world| world.page() == "CodeEntry"), "{}", world.page());
    code(&mut world, "LE").unwrap();
    assert_eq!(world.page(), "InCharge?", "{}", screen(&world));
    answer(&mut world, "Nobody").unwrap();
    assert_eq!(world.page(), "Sticker?");
    assert!(act_until(&mut world, 60, |world| stage(world) == Some(Stage::Start)), "{}", world.page());
    let events = book(&card, "EVENTS.JSL");
    assert!(events.contains("\"question\":\"InCharge\",\"answer\":\"Nobody\""), "{events}");
    assert!(act_until(&mut world, 2_000, |world| world.page() == "Closing"), "{}", world.page());
    let shown = screen(&world);
    assert!(shown.contains("LE") && shown.contains("no one"), "{shown}");
}

#[test]
fn where_somebody_must_be_there_nobody_keeps_the_gate_shut() {
    let rules = room("\"owner_codes\": false").replace("\"looks\"", "\"always\"");
    let (mut world, _card) = world_at(&rules, 17, 45);
    to_walk_round(&mut world);
    assert_eq!(world.app().unwrap().chosen().unwrap().report().verdict, Verdict::Hold);
    world.knob(Event::Hold);
    world.pass(1_600);
    world.knob(Event::LetGo);
    key(&mut world, "4711").unwrap();
    answer(&mut world, "Attended").unwrap();
    assert_eq!(world.page(), "InCharge?");
    answer(&mut world, "Nobody").unwrap();
    assert_eq!(world.page(), "NobodyThere");
    world.pass(1_000);
    world.knob(Event::Press);
    assert_eq!((world.page().as_str(), world.app().unwrap().gate()), ("InCharge?", Gate::Shut));
    code(&mut world, "RL").unwrap();
    assert_eq!(world.page(), "Sticker?");
    assert!(act_until(&mut world, 60, |world| stage(world) == Some(Stage::Start)), "{}", world.page());
}

#[test]
fn that_a_lead_held_the_machine_is_told_to_the_next_card() {
    let (mut world, card) = world_at(&room("\"owner_codes\": false"), 10, 0);
    // The device knows its sheet from the card.
    world.insert().unwrap();
    settle(&mut world);
    world.pull().unwrap();
    world.pass(1_000);
    world.knob(Event::Hold);
    world.pass(1_600);
    world.knob(Event::LetGo);
    key(&mut world, "4711").unwrap();
    answer(&mut world, "Spool").unwrap();
    world.pass(600_000);
    world.insert().unwrap();
    settle(&mut world);
    let events = book(&card, "EVENTS.JSL");
    let line = events.lines().find(|line| line.contains("\"question\":\"Use\",\"answer\":\"Spool\""));
    assert!(
        line.is_some_and(|line| line.starts_with("{\"t\":\"2026-11-25T10:00")),
        "when it was said: {events}"
    );
}
