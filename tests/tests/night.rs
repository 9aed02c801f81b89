//! The demo's scripted night, and what is left of it: the day book on the card, the balance, the gate.

use holdpoint_shared::phase::Gate;
use holdpoint_sim::args::Settings;
use holdpoint_sim::commands::snap::night;
use holdpoint_sim::script::play;
use holdpoint_tests::cards::{in_memory, read_record};

#[test]
fn the_night_is_booked_to_the_gram() {
    let played = play(&night().unwrap(), &Settings::default(), |_, _| {}).unwrap();
    let book = in_memory(played.card.bytes(), |volume| read_record(volume, "DAYBOOK.CSV").unwrap());
    let events = in_memory(played.card.bytes(), |volume| read_record(volume, "EVENTS.JSL").unwrap_or_default());
    println!("{}", String::from_utf8_lossy(&book));
    println!("{}", String::from_utf8_lossy(&events));
    println!("{:?}", played.world.gate());
    println!("{:?}", played.world.sounds());
    let _ = Gate::Open;
}
