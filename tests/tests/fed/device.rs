//! Rows of the catalogue that only a device can feed, through the whole of it: one run in which the row fires, and one
//! that comes close.

use holdpoint_shared::app::Event;
use holdpoint_shared::checks::Level;
use holdpoint_shared::ledger::Ledger;
use holdpoint_shared::phase::Phase;
use holdpoint_sim::args::Settings;
use holdpoint_sim::flash::{self, Flash};
use holdpoint_sim::memory_card::MemoryCard;
use holdpoint_sim::power::Power;
use holdpoint_sim::script::settle;
use holdpoint_sim::source::Source;
use holdpoint_sim::world::World;
use holdpoint_tests::images::FileSpec;
use holdpoint_tests::person::{short_card, short_job, world};

/// The level at which a check found something in the vetted job.
fn found(world: &World, check: u8) -> Option<Level> {
    let findings = &world.app()?.chosen()?.report().findings;
    findings.iter().find(|finding| finding.check == check).map(|finding| finding.level)
}

/// The card goes in, and its newest job is vetted.
fn vet(world: &mut World) {
    world.insert().unwrap();
    settle(world);
    for _ in 0..4 {
        if matches!(world.app().unwrap().phase(), Phase::Verdict { .. }) {
            break;
        }
        world.knob(Event::Press);
        settle(world);
    }
    assert!(matches!(world.app().unwrap().phase(), Phase::Verdict { .. }), "{}", world.page());
}

/// With the flash that another device left.
fn with(flash: Flash) -> World {
    let card = MemoryCard::new(short_card(&[]), Power::new());
    World::new(Settings::default(), Source::of_card("the card", card), flash, holdpoint_sim::demo::clock())
        .unwrap()
}

#[test]
fn row_67_a_run_that_was_never_closed_out() {
    let mut ledger = flash::open(Flash::blank(), None).unwrap();
    let run = ledger.begin_run().unwrap();
    // As the device keeps the number of a run that was started (value 3), and then loses the run itself.
    ledger.learn(3, &run.to_le_bytes()).unwrap();
    let mut open = with(ledger.close());
    vet(&mut open);
    assert_eq!(found(&open, 67), Some(Level::Look));

    let mut closed = with(Flash::blank());
    vet(&mut closed);
    assert_eq!(found(&closed, 67), None);
}

#[test]
fn row_71_the_days_since_a_wash() {
    for (days, level) in [(8, Some(Level::Look)), (7, None)] {
        let mut ledger: Ledger<Flash> = flash::open(Flash::blank(), None).unwrap();
        // 25 November 2026 is day 9,825 from 1 January 2000 on.
        ledger.learn(4, &(9_825_u16 - days).to_le_bytes()).unwrap();
        let mut world = with(ledger.close());
        vet(&mut world);
        assert_eq!(found(&world, 71), level, "{days}");
    }
}

#[test]
fn row_83_a_card_that_is_pulled_while_it_is_read() {
    let (mut pulled, _card) = world(short_card(&[]));
    pulled.insert().unwrap();
    assert!(matches!(pulled.app().unwrap().phase(), Phase::Reading), "{}", pulled.page());
    pulled.pull().unwrap();
    pulled.knob(Event::Press);
    pulled.pass(1_000);
    vet(&mut pulled);
    assert_eq!(found(&pulled, 83), Some(Level::Note));

    let (mut quiet, _card) = world(short_card(&[]));
    vet(&mut quiet);
    quiet.pull().unwrap();
    quiet.pass(1_000);
    vet(&mut quiet);
    assert_eq!(found(&quiet, 83), None);
}

#[test]
fn row_85_a_clock_that_lost_its_power_or_goes_back() {
    let (mut unset, _card) = world(short_card(&[]));
    unset.set_wall_known(false);
    vet(&mut unset);
    assert!(found(&unset, 85).is_some());

    // The last event was logged on 26 November; the demo's clock shows the 25th.
    let logged = |time_s: u32| {
        let mut ledger: Ledger<Flash> = flash::open(Flash::blank(), None).unwrap();
        let event = holdpoint_shared::ledger::LoggedEvent { code: 4, numbers: [0, 0], time_s };
        ledger.log(event).unwrap();
        let mut world = with(ledger.close());
        vet(&mut world);
        found(&world, 85)
    };
    // 9,826 and 9,824 days.
    assert_eq!(logged(9_826 * 86_400), Some(Level::Note));
    assert_eq!(logged(9_824 * 86_400), None);
}

#[test]
fn row_85_another_job_of_the_card_that_is_from_the_day_after_tomorrow() {
    // The job is older; the card's newest file is another one.
    let mut later = FileSpec::new("later.gcode", short_job(), 16, 0);
    later.saved += chrono::TimeDelta::days(2);
    let (mut late, _card) = world(short_card(&[later]));
    late.insert().unwrap();
    settle(&mut late);
    late.knob(Event::Turn(1));
    late.knob(Event::Press);
    settle(&mut late);
    assert!(late.app().unwrap().chosen().unwrap().entry().name.contains("short"), "{}", late.page());
    assert_eq!(found(&late, 85), Some(Level::Note));
}
