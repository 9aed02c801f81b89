//! Answers of the walk-round, and what becomes of them on the screens.

use holdpoint_desk::flash::Flash;
use holdpoint_desk::reading;
use holdpoint_desk::script::{answer, settle};
use holdpoint_desk::world::World;
use holdpoint_shared::app::Event;
use holdpoint_shared::checks::Level;
use holdpoint_shared::phase::{Gate, Phase, Stage};
use holdpoint_tests::person::{act_until, stage};

use super::scenes::{found, walk_to, with};

const ACTS: usize = 2_000;

fn press(world: &mut World) {
    world.pass(700);
    world.knob(Event::Press);
    settle(world);
}

fn hold(world: &mut World) {
    world.knob(Event::Hold);
    world.pass(1_750);
    world.knob(Event::LetGo);
    settle(world);
}

fn screen(world: &World) -> String {
    reading::read(&world.frame())
}

/// A wrong answer holds the job: its point is on the screen, no hold of the knob gets past it, and the same question
/// comes again until it is answered right.
#[test]
fn what_a_hand_finds_wrong_holds_until_it_is_put_right() {
    for (page, wrong, right, check, words) in [
        ("OuterTurn?", "Sticks", "TurnsFreely", 66, "Spool"),
        ("Plate?", "Occupied", "Bare", 67, "scrap"),
        ("Plate?", "NoPlate", "Bare", 67, "no plate"),
        ("Pins?", "Rocks", "TwoPins", 69, "pins"),
    ] {
        let mut world = with(Flash::blank());
        walk_to(&mut world, page);
        answer(&mut world, wrong).unwrap();
        assert_eq!(found(&world, check), Some(Level::Hold), "{page} {wrong}");
        hold(&mut world);
        assert!(matches!(world.app().unwrap().phase(), Phase::Verdict { .. }), "{page}: {}", screen(&world));
        assert!(screen(&world).contains("HOLD"), "{page}: {}", screen(&world));
        hold(&mut world);
        assert!(matches!(world.app().unwrap().phase(), Phase::Verdict { .. }), "{page}: {}", screen(&world));
        if world.page() == "NoKey" {
            press(&mut world);
        }
        press(&mut world);
        assert!(screen(&world).contains(words), "{page}: {}", screen(&world));
        press(&mut world);
        press(&mut world);
        assert_eq!(world.page(), page, "it is asked anew: {}", screen(&world));
        assert_eq!(world.app().unwrap().gate(), Gate::Shut);
        answer(&mut world, right).unwrap();
        assert_eq!(found(&world, check), None, "{page} {right}");
        let free = |world: &World| stage(world) == Some(Stage::Start);
        assert!(act_until(&mut world, ACTS, free), "{page}: {}", screen(&world));
    }
}

/// Whoever puts it right at once sees no verdict at all: the remedy, and the question.
#[test]
fn a_remedy_leads_back_to_its_question() {
    let mut world = with(Flash::blank());
    walk_to(&mut world, "Plate?");
    answer(&mut world, "Occupied").unwrap();
    assert_eq!(world.page(), "PlateOccupied");
    press(&mut world);
    assert_eq!(world.page(), "Plate?");
    answer(&mut world, "Bare").unwrap();
    assert_eq!(world.page(), "Pins?");
}
