//! What the device's own flash keeps of a run, whatever became of its card.

use holdpoint_shared::ledger::Ledger;
use holdpoint_tests::person::{act_until, short_card, stage, world};

/// Codes of what is logged, as the core's documentation numbers them.
const ANSWER: u16 = 2;
const ROW: u16 = 3;
const GATE: u16 = 4;

#[test]
fn answers_rows_and_the_gate_stand_among_the_last_events() {
    let (mut world, _card) = world(short_card(&[]));
    assert!(act_until(&mut world, 2_000, |world| stage(world).is_some()), "{}", world.page());
    let mut ledger = Ledger::open(world.into_flash().expect("power")).expect("a ledger");
    let mut events = Vec::new();
    while let Some(event) = ledger.event(u8::try_from(events.len()).unwrap()).unwrap() {
        events.push(event);
    }
    let of = |code| events.iter().filter(move |event| event.code == code);
    assert_eq!(of(ROW).count(), 1, "the start: {events:?}");
    assert_eq!(of(GATE).map(|event| event.numbers).collect::<Vec<_>>(), [[1, 0]], "opened once");
    assert!(of(ANSWER).count() >= 4, "sticker, outer turn, plate and pins: {events:?}");
    assert!(events.iter().all(|event| event.time_s > 0), "the clock was set: {events:?}");
}
