//! How often the knob is pressed for a clear job, and that each question has its reason in the guide.

use std::path::Path;

use holdpoint_desk::script::{Begin, Script, Step, play};
use holdpoint_shared::phase::Phase;
use holdpoint_tests::run_items::questions;

/// A clear job on the first day with its spool: the demo's way from the slot to a clear plate.
const WAY: &str = include_str!("../../sim/demo/way.txt");

/// The same job once more: what was answered for the spool and the room holds.
const ONCE_MORE: &str = "\
insert
choose Bohrlehre
press
press
answer Bare
answer TwoPins
hold 1.6 s
pull
printer start
answer SameJob
until FirstLayer? within 40 min
answer Good
until MayLift within 2 h
turn 1
answer Off
answer TwoPins
answer Good
expect screen Waiting
";

/// Presses up to the release, it included, and after it.
fn presses(text: &str) -> [usize; 2] {
    let script = Script::parse(Path::new("presses.txt"), text).expect("a script");
    let mut counts = [0, 0];
    let mut released = false;
    for (_, line) in script.lines() {
        if matches!(line.step, Step::Press | Step::Answer(_) | Step::Hold(_)) {
            counts[usize::from(released)] += 1;
        }
        released |= matches!(line.step, Step::Hold(_));
    }
    counts
}

#[test]
fn a_clear_job_takes_ten_presses_at_most() {
    let text = format!("{WAY}{ONCE_MORE}");
    let script = Script::parse(Path::new("presses.txt"), &text).expect("a script");
    let played =
        play(&script, Begin::default(), &|_| unreachable!("it names no card"), |_, _| {}).expect("a run");
    played.ended.as_ref().expect("every answer fits its question");
    assert_eq!(played.world.app().expect("power is on").phase(), Phase::Waiting);
    // Up to the start ten are the most, on the first day of a spool too.
    let first = presses(WAY);
    assert!(first[0] <= 8 && first[1] <= 6, "{first:?}");
    // A practised hand: the whole job, the plate cleared and the row closed.
    let again = presses(ONCE_MORE);
    assert!(again.iter().sum::<usize>() <= 10, "{again:?}");
}

#[test]
fn each_question_has_its_reason_in_the_guide() {
    let page = include_str!("../../sim/guide/src/run.md");
    let missing: Vec<_> = questions()
        .into_iter()
        .map(|asked| asked.name())
        .filter(|name| !page.contains(&format!("`{name}`")))
        .collect();
    assert!(missing.is_empty(), "sim/guide/src/run.md says nothing of {missing:?}");
}
