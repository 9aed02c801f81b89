//! What the probes read in each stage of a run, in the events of the day book, against what the world gave.

use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::plant::Part;
use holdpoint_desk::script::settle;
use holdpoint_desk::world::{Given, Lead, World};
use holdpoint_shared::app::Probe;
use holdpoint_shared::daybook::{LineState, event_state};
use holdpoint_shared::heat::ProbeReading;
use holdpoint_shared::phase::{Phase, Stage};
use holdpoint_tests::cards::{in_memory, read_record};
use holdpoint_tests::person::{act_until, short_card, stage, world};
use serde_json::Value;

const ACTS: usize = 3_000;

/// Stages in their order, with their words in the file.
const STAGES: [(Stage, &str); 5] = [
    (Stage::WarmUp, "WARM"),
    (Stage::FirstLayer, "WATCH"),
    (Stage::Run, "RUN"),
    (Stage::CoolDown, "COOL"),
    (Stage::Plate, "LIFT"),
];
const PROBES: [(Probe, &str); 3] = [(Probe::Plate, "plate"), (Probe::Nozzle, "nozzle"), (Probe::Air, "air")];

/// The card's events of one kind; each line is whole.
fn events(card: &MemoryCard, kind: &str) -> Vec<Value> {
    let text = in_memory(card.bytes(), |volume| read_record(volume, "EVENTS.JSL")).unwrap_or_default();
    let lines = text.split_inclusive(|byte| *byte == b'\n');
    let events = lines.map(|line| {
        assert_eq!(event_state(line), LineState::Whole, "{}", String::from_utf8_lossy(line));
        serde_json::from_slice::<Value>(line).expect("one object a line")
    });
    events.filter(|event| event["event"] == kind).collect()
}

/// Through the whole job, and the card in again.
fn to_the_end(world: &mut World) {
    let mut released = false;
    let free = |world: &World| {
        released |= stage(world) == Some(Stage::CloseOut);
        released && world.app().is_some_and(|app| app.phase() == Phase::Waiting)
    };
    assert!(act_until(world, ACTS, free), "{}", world.page());
    world.insert().expect("a card");
    settle(world);
    world.pass(2_000);
}

/// Least and greatest of what was given, °C.
fn extremes<'g>(given: impl Iterator<Item = &'g Given>) -> (f64, f64) {
    let celsius = given.filter_map(|given| match given.reading {
        ProbeReading::At(at) => Some(f64::from(at.0) / 1000.0),
        _ => None,
    });
    celsius.fold((f64::MAX, f64::MIN), |(least, most), at| (least.min(at), most.max(at)))
}

/// The device looks at its probes once a second: what came in the second of a change belongs to either stage.
fn agrees(event: &Value, world: &World, stage: Stage, probe: Probe) {
    let of_probe = || world.readings().iter().filter(move |given| given.probe == probe);
    let within = || of_probe().filter(move |given| given.stage == Some(stage)).map(|given| given.at_ms);
    let (from, to) = (within().min().expect("readings"), within().max().expect("readings"));
    let (least, most) =
        (event["min_c"].as_f64().expect("a number"), event["max_c"].as_f64().expect("a number"));
    let inner =
        extremes(of_probe().filter(|given| (from + 1_000..=to.saturating_sub(1_000)).contains(&given.at_ms)));
    let outer =
        extremes(of_probe().filter(|given| (from.saturating_sub(1_000)..=to + 1_000).contains(&given.at_ms)));
    // To the nearest tenth.
    let slack = 0.051;
    let what = format!("{event}: inner {inner:?}, outer {outer:?}");
    assert!(least <= inner.0 + slack && least >= outer.0 - slack, "{what}");
    assert!(most >= inner.1 - slack && most <= outer.1 + slack, "{what}");
}

#[test]
fn every_stage_of_a_run_leaves_each_probes_extremes() {
    let (mut world, card) = world(short_card(&[]));
    world.keep_readings();
    to_the_end(&mut world);
    let events = events(&card, "probe");
    let told: Vec<_> = events.iter().map(|event| (event["phase"].clone(), event["probe"].clone())).collect();
    let expected: Vec<_> = STAGES
        .iter()
        .flat_map(|(_, phase)| PROBES.map(|(_, probe)| (Value::from(*phase), Value::from(probe))))
        .collect();
    assert_eq!(told, expected);
    for (event, (stage, probe)) in
        events.iter().zip(STAGES.iter().flat_map(|stage| PROBES.map(|probe| (stage.0, probe.0))))
    {
        agrees(event, &world, stage, probe);
        assert_eq!((&event["rec"], event["t"].is_string()), (&1.into(), true), "{event}");
    }
    // The heater did what the job asks for: 215 °C, within what a thermistor and a regulator do.
    let hot = events.iter().find(|event| event["phase"] == "RUN" && event["probe"] == "nozzle").unwrap();
    assert!((hot["max_c"].as_f64().unwrap() - 215.0).abs() < 3.0, "{hot}");
    // Written once: the card comes again.
    world.pull().unwrap();
    world.insert().unwrap();
    settle(&mut world);
    assert_eq!(self::events(&card, "probe"), events);
}

#[test]
fn a_probe_that_is_not_fitted_or_broken_leaves_nothing() {
    for lead in [Lead::None, Lead::Open, Lead::Shorted] {
        let (mut world, card) = world(short_card(&[]));
        world.set_lead(Part::Nozzle, lead);
        to_the_end(&mut world);
        let events = events(&card, "probe");
        assert!(events.iter().all(|event| event["probe"] != "nozzle"), "{lead:?}");
        assert_eq!(events.iter().filter(|event| event["probe"] == "plate").count(), STAGES.len(), "{lead:?}");
    }
}

/// The power goes in the middle of each stage: what was read in it before is lost, and nothing else.
#[test]
fn a_power_cut_costs_the_extremes_of_its_stage_and_no_row() {
    for (cut_in, word) in STAGES {
        let (mut world, card) = world(short_card(&[]));
        world.keep_readings();
        assert!(act_until(&mut world, ACTS, |world| stage(world) == Some(cut_in)), "{word}");
        world.pass(20_000);
        let cut_ms = world.now_ms();
        world.power_off();
        world.pass(3_000);
        world.power_on().expect("power");
        to_the_end(&mut world);
        let events = events(&card, "probe");
        for (stage, phase) in STAGES {
            let event = events.iter().filter(|event| event["phase"] == phase && event["probe"] == "air");
            assert_eq!(event.clone().count(), 1, "cut in {word}: {phase} {events:?}");
            let plate = events.iter().find(|event| event["phase"] == phase && event["probe"] == "plate");
            if stage != cut_in {
                agrees(
                    plate.unwrap_or_else(|| panic!("cut in {word}: {phase}")),
                    &world,
                    stage,
                    Probe::Plate,
                );
            } else if let Some(plate) = plate {
                let after = world
                    .readings()
                    .iter()
                    .filter(|given| given.at_ms > cut_ms && given.probe == Probe::Plate);
                let (least, _) = extremes(after.filter(|given| given.stage == Some(stage)));
                assert!(plate["min_c"].as_f64().unwrap() >= least - 0.051, "cut in {word}: {plate}");
            }
        }
        let book = in_memory(card.bytes(), |volume| read_record(volume, "DAYBOOK.CSV")).expect("a book");
        assert_eq!(String::from_utf8_lossy(&book).matches(",good,").count(), 1, "{word}");
    }
}
