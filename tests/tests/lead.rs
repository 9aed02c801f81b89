//! A room's lead at the device: settles a point with the key, takes that back, holds the machine, and nothing without the
//! key.

use holdpoint_desk::flash::Flash;
use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::power::Power;
use holdpoint_desk::script::{answer, key as enter, settle};
use holdpoint_desk::setup::Overrides;
use holdpoint_desk::slot::NamedCard;
use holdpoint_desk::world::World;
use holdpoint_shared::app::Event;
use holdpoint_shared::checks::Verdict;
use holdpoint_tests::images::{FileSpec, Kind, Table, card};
use holdpoint_tests::person::short_job;

/// The demo's sheet with a lead's code.
fn sheet() -> String {
    include_str!("../../sim/demo/HOLDPT/MACHINE.JSN").replacen("\"tag\"", "\"lead_code\": 4711, \"tag\"", 1)
}

/// Two versions of one job: the older one has the LOOK of check 8, and that alone.
fn world() -> World {
    let files = [
        FileSpec::new("HOLDPT/MACHINE.JSN", sheet(), 8, 0),
        FileSpec::new("HOLDPT/SPOOL.JSN", include_str!("../../sim/demo/HOLDPT/SPOOL.JSN"), 8, 0),
        FileSpec::new("HOLDPT/ROOM.JSN", include_str!("../../sim/demo/HOLDPT/ROOM.JSN"), 8, 0),
        FileSpec::new("teil_v1.gcode", short_job(), 9, 0),
        FileSpec::new("teil_v2.gcode", short_job(), 10, 0),
    ];
    let card = MemoryCard::new(card(Kind::Fat16, Table::None, &files), Power::new());
    let source = NamedCard::new("the card", card);
    World::new(Overrides::default(), source, Flash::blank(), holdpoint_desk::demo::clock()).expect("a world")
}

/// The device has taken the card's records over, and the card is out again.
fn introduce(world: &mut World) {
    world.insert().unwrap();
    settle(world);
    world.pull().unwrap();
    world.pass(1_000);
}

/// The older version's verdict on the screen.
fn choose_older(world: &mut World) {
    world.insert().unwrap();
    settle(world);
    world.knob(Event::Turn(1));
    world.knob(Event::Press);
    settle(world);
}

fn verdict(world: &World) -> Verdict {
    world.app().unwrap().chosen().expect("a job that was vetted").report().verdict
}

/// Holds the knob on the first point and enters a code.
fn key(world: &mut World, code: [i8; 4]) {
    world.knob(Event::Turn(1));
    world.knob(Event::Hold);
    world.knob(Event::LetGo);
    for digit in code {
        world.knob(Event::Turn(digit));
        world.knob(Event::Press);
    }
    settle(world);
}

#[test]
fn a_point_is_settled_with_the_key_kept_through_a_power_cut_and_taken_back() {
    let mut world = world();
    choose_older(&mut world);
    assert_eq!(verdict(&world), Verdict::Look, "{}", world.page());

    key(&mut world, [4, 7, 1, 2]);
    assert_eq!((world.page().as_str(), verdict(&world)), ("KeyWrong", Verdict::Look));
    world.knob(Event::Press);
    world.knob(Event::Turn(-1));

    key(&mut world, [4, 7, 1, 1]);
    assert_eq!((world.page().as_str(), verdict(&world)), ("Settled", Verdict::Clear));
    let app = world.app().unwrap();
    assert!(app.setup().settlement(8).is_some_and(|settled| settled.day.is_some()));

    world.power_off();
    world.pass(60_000);
    world.power_on().unwrap();
    settle(&mut world);
    if world.card_is_in() {
        world.pull().unwrap();
        world.pass(1_000);
    }
    choose_older(&mut world);
    assert_eq!(verdict(&world), Verdict::Clear, "{}", world.page());
    assert!(world.app().unwrap().setup().settlement(8).is_some());

    // The same way leads back: a settled point can be turned to, though nothing asks for it.
    key(&mut world, [4, 7, 1, 1]);
    assert_eq!((world.page().as_str(), verdict(&world)), ("Unsettled", Verdict::Look));
    assert!(world.app().unwrap().setup().settlement(8).is_none());
}

/// Holds the knob for as long as the desk wants it.
fn hold(world: &mut World) {
    world.knob(Event::Hold);
    world.pass(1_600);
    world.knob(Event::LetGo);
}

#[test]
fn wrong_keys_count_together_and_the_rest_outlasts_leaving() {
    let mut world = world();
    choose_older(&mut world);
    for tried in 0..2 {
        key(&mut world, [4, 7, 1, 2]);
        assert_eq!(world.page(), "KeyWrong", "{tried}");
        world.knob(Event::Press);
        world.knob(Event::Turn(-1));
    }
    world.pull().unwrap();
    world.pass(1_000);
    // The third at another door.
    hold(&mut world);
    enter(&mut world, "0000").unwrap();
    assert_eq!(world.page(), "KeyWrong");
    world.knob(Event::Press);
    hold(&mut world);
    assert_eq!(world.page(), "KeyRests");
    world.knob(Event::Press);

    choose_older(&mut world);
    world.knob(Event::Turn(1));
    world.knob(Event::Hold);
    world.knob(Event::LetGo);
    assert_eq!(world.page(), "KeyRests", "nor here");
    world.knob(Event::Press);
    world.knob(Event::Turn(-1));
    world.pass(60_000);
    key(&mut world, [4, 7, 1, 1]);
    assert_eq!(world.page(), "Settled");
}

#[test]
fn a_desk_that_nobody_goes_on_with_shuts() {
    let mut world = world();
    introduce(&mut world);
    hold(&mut world);
    assert_eq!(world.page(), "DeskKey");
    world.pass(59_000);
    assert_eq!(world.page(), "DeskKey");
    world.pass(2_000);
    assert_eq!(world.page(), "Waiting");
}

#[test]
fn a_machine_is_taken_out_of_use_kept_so_through_a_power_cut_and_given_back() {
    let mut world = world();
    introduce(&mut world);
    hold(&mut world);
    enter(&mut world, "4711").unwrap();
    assert_eq!(world.page(), "Use?");
    answer(&mut world, "Heater").unwrap();
    assert_eq!(world.page(), "OutOfUse");
    let screen = holdpoint_desk::reading::read(&world.frame());
    for said in ["heat, probe", "14:42", "room lead"] {
        assert!(screen.contains(said), "{said}: {screen}");
    }

    world.power_off();
    world.pass(60_000);
    world.power_on().unwrap();
    settle(&mut world);
    assert_eq!(world.page(), "OutOfUse");
    assert!(holdpoint_desk::reading::read(&world.frame()).contains("14:42"), "since when");

    // No key of a HOLD opens it.
    choose_older(&mut world);
    assert_eq!(verdict(&world), Verdict::Hold);
    let findings = &world.app().unwrap().chosen().unwrap().report().findings;
    assert!(findings.iter().any(|finding| finding.check == 73));
    hold(&mut world);
    assert_eq!(world.page(), "NoKey");
    world.knob(Event::Press);
    world.pull().unwrap();
    world.pass(1_000);
    assert_eq!(world.page(), "OutOfUse");

    hold(&mut world);
    enter(&mut world, "4711").unwrap();
    answer(&mut world, "InUse").unwrap();
    assert_eq!(world.page(), "Waiting");
    choose_older(&mut world);
    assert_eq!(verdict(&world), Verdict::Look);
}

#[test]
fn without_a_key_on_the_sheet_nobody_has_a_desk() {
    let (mut world, _card) = holdpoint_tests::person::world(holdpoint_tests::person::short_card(&[]));
    introduce(&mut world);
    hold(&mut world);
    assert_eq!(world.page(), "Waiting");
}
