//! Moments to look again.

use holdpoint_desk::world::World;
use holdpoint_shared::screens::{Item, ScreenModel};
use holdpoint_shared::words::run::Term;
use holdpoint_tests::images::FileSpec;
use holdpoint_tests::person::{act_until, short_card, short_job, world};

const ACTS: usize = 2_000;

/// The short job at a fifth of its speed, with a comment before its 20th layer's first bead.
fn job(comment: &str) -> String {
    let job = short_job().replace("F1500", "F300");
    let layer = job.find("G0 Z4.0 F600").expect("layer 20");
    let bead = layer + job[layer..].find("G1 X130").expect("its first bead");
    format!("{}{comment}{}", &job[..bead], &job[bead..])
}

/// What the screen that lets the person go says of the next look: when, minutes from now, and why.
fn next_look(world: &World) -> Option<(i64, Term)> {
    let now = world.wall();
    world.model(|model| match model {
        ScreenModel::Run(run) => {
            let clock = run.items.iter().find_map(|item| match item {
                Item::Clock(clock) => Some((clock.at - now).num_minutes()),
                _ => None,
            });
            let term = run.items.iter().find_map(|item| match item {
                Item::Term(term) => Some(*term),
                _ => None,
            });
            clock.zip(term)
        }
        _ => None,
    })?
}

fn may_leave(comment: &str) -> World {
    let (mut world, _) = world(short_card(&[FileSpec::new("slow.gcode", job(comment), 9, 30)]));
    assert!(act_until(&mut world, ACTS, |world| world.page() == "MayLeave"), "{}", world.page());
    world
}

/// Layer 20 of 60 begins 19 · 160 mm / 5 mm/s = 608 s behind the first one's begin, a tenth later by what is not learned
/// yet; the person may go after five minutes.
#[test]
fn a_comment_that_names_supports_is_a_reason_to_look() {
    let mut world = may_leave("; supports begin\n");
    let (minutes, why) = next_look(&world).expect("a look");
    assert_eq!(why, Term::Supports);
    assert!((4..=8).contains(&minutes), "{minutes}");
    let left_at = world.wall();
    assert!(act_until(&mut world, ACTS, |world| world.page() == "LookDue"), "{}", world.page());
    let due = world.model(|model| match model {
        ScreenModel::Run(run) => run.items.contains(&Item::Term(Term::Supports)),
        _ => false,
    });
    assert_eq!(due, Some(true));
    let waited = (world.wall() - left_at).num_minutes();
    assert!((minutes - 1..=minutes + 1).contains(&waited), "{waited} of {minutes}");
}

#[test]
fn without_one_the_looks_are_those_by_the_clock() {
    for comment in ["", "; support = none\n"] {
        let world = may_leave(comment);
        let (_, why) = next_look(&world).expect("a look");
        assert_ne!(why, Term::Supports, "{comment}");
    }
}
