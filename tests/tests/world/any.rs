//! Hands, cards, wires and power that do anything in any order: nothing panics, and whatever came of it, somebody who
//! does what the screen asks for comes to a free machine.

use holdpoint_desk::plant::Part;
use holdpoint_desk::world::{Lead, World};
use holdpoint_shared::app::Event;
use holdpoint_shared::phase::Phase;
use holdpoint_tests::person::{act, act_until, short_card, world};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};

#[derive(Clone, Copy, Debug)]
enum Do {
    Turn(i8),
    Press,
    Hold(u16),
    Wait(u32),
    Insert,
    Pull,
    Printer(u8),
    Lead(u8),
    Power(u32),
    Cut(u8),
    Clock(bool),
    /// What the screen asks for, so many times: deep states are found.
    Sensible(u8),
}

fn any_do() -> impl Strategy<Value = Do> {
    prop_oneof![
        3 => (-5_i8..=5).prop_map(Do::Turn),
        4 => Just(Do::Press),
        2 => (0_u16..3_000).prop_map(Do::Hold),
        3 => (0_u32..900_000).prop_map(Do::Wait),
        2 => Just(Do::Insert),
        2 => Just(Do::Pull),
        2 => (0_u8..4).prop_map(Do::Printer),
        1 => (0_u8..8).prop_map(Do::Lead),
        1 => (0_u32..600_000).prop_map(Do::Power),
        1 => (0_u8..40).prop_map(Do::Cut),
        1 => any::<bool>().prop_map(Do::Clock),
        4 => (1_u8..40).prop_map(Do::Sensible),
    ]
}

fn make(world: &mut World, what: Do) {
    match what {
        Do::Turn(detents) => world.knob(Event::Turn(detents)),
        Do::Press => world.knob(Event::Press),
        Do::Hold(ms) => {
            world.knob(Event::Hold);
            world.pass(ms.into());
            world.knob(Event::LetGo);
        }
        Do::Wait(ms) => world.pass(ms.into()),
        Do::Insert => drop(world.insert()),
        Do::Pull => drop(world.pull()),
        Do::Printer(0) => drop(world.start_printer()),
        Do::Printer(1) => world.at_printer(|printer, plant| printer.stop(plant)),
        Do::Printer(2) => world.at_printer(|printer, plant| printer.pause(plant)),
        Do::Printer(_) => world.at_printer(|printer, plant| printer.go_on(plant)),
        Do::Lead(of) => {
            let part = if of & 1 == 0 { Part::Bed } else { Part::Nozzle };
            world.set_lead(part, [Lead::Whole, Lead::Open, Lead::Shorted, Lead::None][usize::from(of / 2)]);
        }
        Do::Power(ms) => {
            world.power_off();
            world.pass(ms.into());
            world.power_on().expect("what the flash holds is a ledger");
        }
        Do::Cut(writes) => world.power().cut_after(writes.into()),
        Do::Clock(known) => world.set_wall_known(known),
        Do::Sensible(times) => (0..times).for_each(|_| act(world)),
    }
    // What is on the screen can be drawn and named.
    let _ = (world.frame(), world.page());
}

fn is_free(world: &World) -> bool {
    world.app().is_some_and(|app| app.phase() == Phase::Waiting)
}

#[test]
fn whatever_happens_the_machine_can_be_free_again() {
    let bytes = short_card(&[]);
    let cases = u32::try_from(super::cases(16)).unwrap_or(u32::MAX);
    let mut runner = TestRunner::new(Config { cases, failure_persistence: None, ..Config::default() });
    let all = proptest::collection::vec(any_do(), 1..40);
    let outcome = runner.run(&all, |all| {
        let (mut world, _) = world(bytes.clone());
        for what in all {
            make(&mut world, what);
        }
        // A person makes the room as it should be, and goes on from there.
        world.set_lead(Part::Bed, Lead::Whole);
        world.set_lead(Part::Nozzle, Lead::Whole);
        if world.app().is_some_and(|app| !app.phase().is_released()) {
            // Before a release the card comes out, and that is all.
            let _ = world.pull();
            world.pass(180_000);
        }
        world.at_printer(|printer, plant| printer.go_on(plant));
        let free = act_until(&mut world, 3_000, is_free);
        prop_assert!(free, "the screen is {}", world.page());
        Ok(())
    });
    if let Err(error) = outcome {
        panic!("{error}");
    }
}

/// The power goes while the row is written to the card, so that the card bears the mark of one that was not ejected, and
/// the job's next verdict has two points. Found by the test above, whose person then read the first one for good.
#[test]
fn a_verdict_with_points_is_no_end() {
    let (mut world, _) = world(short_card(&[]));
    for what in [
        Do::Sensible(14),
        Do::Wait(94_941),
        Do::Sensible(20),
        Do::Wait(727_073),
        Do::Press,
        Do::Sensible(36),
        Do::Press,
        Do::Insert,
        Do::Hold(2_612),
        Do::Press,
        Do::Press,
        Do::Hold(1_390),
        Do::Cut(5),
        Do::Sensible(2),
        Do::Cut(12),
    ] {
        make(&mut world, what);
    }
    let mut points = 0;
    let free = act_until(&mut world, 3_000, |world| {
        points += u32::from(world.page() == "Point");
        is_free(world)
    });
    assert!(free, "the screen is {}", world.page());
    assert!(points > 0);
}
