//! Every phase against every event: the table, and any sequence at all.

use proptest::prelude::*;
use std::format;
use std::string::{String, ToString};
use std::vec;
use std::vec::Vec;

use super::tests::{Rig, offer, wall};
use super::*;
use crate::checks::Verdict;
use crate::records::OwnerCode;
use crate::time::Instant;
use crate::units::Celsius;

const fn reading(plate: i16, nozzle: i16) -> Event {
    Event::Heat(HeatNews::Reading(Heat {
        plate: Some(Celsius(plate)),
        nozzle: Some(Celsius(nozzle)),
        measured: true,
        left_s: None,
    }))
}

const STAGES: [Stage; 7] = [
    Stage::Start,
    Stage::WarmUp,
    Stage::FirstLayer,
    Stage::Run,
    Stage::CoolDown,
    Stage::Plate,
    Stage::CloseOut,
];

/// One of each place, as a job comes there.
fn places() -> Vec<(String, Rig)> {
    let mut places = Vec::new();
    // Somebody has looked at the screen for a second.
    let mut put = |name: &str, mut rig: Rig| {
        rig.wait_ms(1_000);
        places.push((name.to_string(), rig));
    };
    let mut rig = Rig::new();
    put("Waiting", rig.clone());
    let mut desk = rig.clone();
    desk.event(Event::Desk);
    put("Waiting, desk", desk);
    rig.event(Event::CardIn);
    put("Reading", rig.clone());
    let mut none = rig.clone();
    none.event(Event::Listed { jobs: 0 });
    put("Nothing", none);
    let mut fault = rig.clone();
    fault.event(Event::CardFault);
    put("Fault", fault);
    rig.event(Event::Listed { jobs: 3 });
    put("Jobs", rig);
    put("Verdict, clear", Rig::at_verdict(&offer(Some(Verdict::Clear))));
    let with_points = |verdict| {
        let mut offer = offer(Some(verdict));
        offer.terms.looks = 2;
        Rig::at_verdict(&offer)
    };
    put("Verdict, look", with_points(Verdict::Look));
    let mut hold = with_points(Verdict::Hold);
    put("Verdict, hold", hold.clone());
    let mut points = hold.clone();
    points.event(Event::Pressed);
    put("Points, hold", points);
    hold.hold();
    put("Key", hold);
    let mut walk = Rig::at_verdict(&offer(Some(Verdict::Clear)));
    walk.event(Event::Pressed);
    put("Walk", walk.clone());
    let mut asks = offer(Some(Verdict::Clear));
    (asks.terms.asks_owner, asks.terms.codes[0]) = (true, OwnerCode::new("K7"));
    let mut owner = Rig::at_verdict(&asks);
    owner.event(Event::Pressed);
    put("Walk, owner", owner.clone());
    owner.event(Event::Turned(1));
    owner.event(Event::Turned(1));
    owner.event(Event::Pressed);
    put("Walk, owner's code", owner);
    (asks.terms.asks_owner, asks.terms.past_closing, asks.terms.attended) = (false, true, true);
    let mut in_charge = Rig::at_verdict(&asks);
    in_charge.event(Event::Pressed);
    put("Walk, in charge", in_charge);
    walk.answer(Answer::Sticker(1));
    put("Walk, wrong spool", walk.clone());
    let mut release = Rig::at_release();
    put("Release", release.clone());
    release.event(Event::Held);
    put("Release, held", release);
    walk.event(Event::CardOut);
    put("Away", walk.clone());
    walk.event(Event::CardIn);
    put("Away, card in", walk);
    for stage in STAGES {
        put(&format!("{stage:?}"), Rig::at(stage));
    }
    places
}

fn events() -> Vec<(&'static str, Event)> {
    Vec::from([
        ("card in", Event::CardIn),
        ("card out", Event::CardOut),
        ("card fault", Event::CardFault),
        ("3 jobs listed", Event::Listed { jobs: 3 }),
        ("vetted, 1 point", Event::Vetted { points: 1 }),
        ("turned on", Event::Turned(1)),
        ("turned back", Event::Turned(-1)),
        ("pressed", Event::Pressed),
        ("held", Event::Held),
        ("let go", Event::LetGo),
        ("heat 60 °C", reading(60, 210)),
        ("heat 38 °C", reading(38, 40)),
        ("heat rising", Event::Heat(HeatNews::Rising)),
        ("heat ready", Event::Heat(HeatNews::Ready)),
        ("heat stalled", Event::Heat(HeatNews::Stalled(Stall::Stuck))),
        ("heat falling", Event::Heat(HeatNews::Falling(120))),
        ("told: started", Event::Told(Told::Started)),
        ("told: paused", Event::Told(Told::Paused)),
        ("told: goes on", Event::Told(Told::GoesOn)),
        ("told: stopped", Event::Told(Told::Stopped)),
        ("told: ended", Event::Told(Told::Ended)),
        ("seal same", Event::Seal(Seal::Same)),
        ("seal changed", Event::Seal(Seal::Changed)),
        ("out of use", Event::OutOfUse(Some(OutOfUse::Nozzle))),
        ("desk", Event::Desk),
        ("tick", Event::Tick),
    ])
}

fn name(rig: &Rig) -> String {
    let phase = rig.phase();
    let text = match phase.stage() {
        Some(stage) => format!("{stage:?}"),
        None => format!("{phase:?}"),
    };
    let bare = text.split([' ', '{']).next().unwrap_or_default().to_string();
    let view = rig.view();
    match view.asked {
        Some(asked) if asked.wrong.is_some() => format!("{bare}: remedy"),
        Some(asked) => format!("{bare}: {:?}?", asked.question),
        None if view.fill_permille > 0 || rig.machine.fill.is_some() => format!("{bare}, filling"),
        None => bare,
    }
}

fn table() -> String {
    let mut text = String::from(
        "# Every phase against every event\n\nWritten by the test in `table_tests.rs`, which fails when the machine \
         does anything else (`UPDATE_TRANSITIONS=1 cargo test -p holdpoint-shared --lib phase::table` writes it anew: \
         then read the difference). What is not listed is refused and changes nothing. The question that stands \
         follows the phase; where a question stands, the knob answers it.\n\n| phase | event | then | asks for |\n\
         | --- | --- | --- | --- |\n",
    );
    for (place, rig) in places() {
        let from = name(&rig);
        for (event_name, event) in events() {
            let mut rig = rig.clone();
            rig.clear_done();
            if rig.event(event) == Action::Refused {
                assert_eq!(name(&rig), from, "a refusal changes nothing");
                continue;
            }
            text += &row(&place, &from, event_name, &rig);
        }
        // No answer is picked at first: a press alone says nothing.
        let mut answered = rig.clone();
        answered.clear_done();
        answered.event(Event::Turned(1));
        answered.clear_done();
        if answered.event(Event::Pressed) != Action::Refused && rig.question().is_some() {
            text += &row(&place, &from, "turned right, pressed", &answered);
        }
        for (later, seconds) in [("2 s later", 2), ("15 min later", 900), ("5 h later", 18_000)] {
            let mut rig = rig.clone();
            rig.clear_done();
            rig.wait(seconds);
            if name(&rig) != from {
                text += &row(&place, &from, later, &rig);
            }
        }
    }
    text
}

fn row(place: &str, from: &str, what: &str, rig: &Rig) -> String {
    let mut asks: Vec<_> = rig
        .done
        .iter()
        .filter(|action| **action != Action::Refused)
        .map(|action| format!("{action:?}"))
        .collect();
    asks.dedup();
    let then = name(rig);
    let then = if then == from { "=".to_string() } else { then };
    format!("| {place} ({from}) | {what} | {then} | {} |\n", asks.join(", "))
}

#[test]
fn the_table_of_transitions_is_true() {
    let table = table();
    if std::env::var_os("UPDATE_TRANSITIONS").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/phase/transitions.md");
        std::fs::write(path, &table).unwrap();
    }
    for (ours, written) in table.lines().zip(include_str!("transitions.md").lines()) {
        assert_eq!(ours, written);
    }
    assert_eq!(table.lines().count(), include_str!("transitions.md").lines().count());
}

/// What somebody does who wants the machine free: knob, card and patience, nothing else.
fn free(rig: &mut Rig) -> bool {
    rig.event(Event::LetGo);
    rig.event(Event::CardOut);
    for _ in 0..60 {
        if rig.phase() == Phase::Waiting {
            return true;
        }
        let Some(asked) = rig.view().asked else {
            if rig.phase() == Phase::Away {
                rig.wait(120);
                rig.event(Event::CardOut);
            } else if rig.phase().is_released() {
                rig.wait(1);
                if rig.view().asked.is_none() {
                    rig.event(Event::Pressed);
                }
            } else {
                // The same job again, or nothing to do with a run.
                rig.event(Event::CardIn);
                rig.event(Event::CardFault);
                rig.event(Event::CardOut);
            }
            continue;
        };
        if asked.wrong.is_some() {
            rig.event(Event::Pressed);
            continue;
        }
        match asked.question {
            Question::Hand(_) | Question::Lead | Question::Owner | Question::InCharge => {
                rig.event(Event::CardIn);
                rig.event(Event::CardFault);
                rig.event(Event::CardOut);
            }
            Question::Shown => rig.answer(Answer::Shown(Shown::NotStarted)),
            Question::Strip => rig.answer(Answer::Strip(Strip::Solid)),
            Question::FirstLayer => rig.answer(Answer::FirstLayer(FirstLayer::Blob)),
            Question::AfterFault => rig.answer(Answer::AfterFault(AfterFault::Stopped)),
            Question::Running => rig.answer(Answer::Running(Running::Stopped)),
            Question::AfterTrouble => rig.answer(Answer::AfterTrouble(AfterTrouble::Stopped)),
            Question::StillRunning => rig.answer(Answer::StillRunning(StillRunning::Stopped)),
            Question::PartOff => rig.answer(Answer::PartOff(PartOff::Off)),
            Question::PlateBack => rig.answer(Answer::PlateBack(PlateBack::TwoPins)),
            Question::Outcome => rig.answer(Answer::Outcome(Outcome::Usable)),
            Question::Reason => rig.answer(Answer::Reason(FailReason::Other)),
            Question::Again => rig.answer(Answer::Again(Again::Free)),
            Question::Use => rig.answer(Answer::Use(None)),
        }
    }
    false
}

#[test]
fn every_phase_can_reach_waiting_with_the_knob() {
    for (place, mut rig) in places() {
        assert!(free(&mut rig), "{place} ends in {:?}", rig.phase());
        rig.wait(100_000);
        assert_eq!(rig.machine.gate(), Gate::Shut, "{place}: cold at last");
    }
}

fn any_event() -> impl Strategy<Value = Event> {
    prop_oneof![
        2 => Just(Event::CardIn),
        1 => Just(Event::CardOut),
        1 => Just(Event::CardFault),
        2 => (0..500_u16).prop_map(|jobs| Event::Listed { jobs }),
        1 => (0..30_u8).prop_map(|points| Event::Vetted { points }),
        6 => any::<i8>().prop_map(Event::Turned),
        10 => Just(Event::Pressed),
        3 => Just(Event::Held),
        1 => Just(Event::LetGo),
        3 => (any::<i16>(), any::<i16>()).prop_map(|(plate, nozzle)| reading(plate, nozzle)),
        1 => Just(Event::Heat(HeatNews::Reading(Heat::default()))),
        1 => Just(Event::Heat(HeatNews::Rising)),
        1 => Just(Event::Heat(HeatNews::Ready)),
        1 => Just(Event::Heat(HeatNews::Stalled(Stall::Stuck))),
        1 => Just(Event::Heat(HeatNews::Falling(120))),
        1 => proptest::sample::select(&[Told::Started, Told::Paused, Told::GoesOn, Told::Stopped, Told::Ended][..])
            .prop_map(Event::Told),
        2 => proptest::bool::ANY.prop_map(|same| Event::Seal(if same { Seal::Same } else { Seal::Changed })),
        1 => proptest::option::of(Just(OutOfUse::Spool)).prop_map(Event::OutOfUse),
        1 => Just(Event::Desk),
        1 => Just(Event::Tick),
    ]
}

#[derive(Clone, Debug)]
enum Step {
    Event(Event),
    Wait(u64),
    Offer(std::boxed::Box<Offer>),
    Jump(Stage),
    PowerCut(Option<i64>),
}

fn any_offer() -> impl Strategy<Value = Offer> {
    let verdict = proptest::option::of(proptest::sample::select(
        &[Verdict::Clear, Verdict::Look, Verdict::Hold, Verdict::NoVerdict][..],
    ));
    let numbers = (any::<u16>(), any::<u32>(), any::<u16>(), any::<u16>(), any::<u32>());
    (verdict, any::<u8>(), proptest::option::of(0..10_u16), 0..3_u8, numbers).prop_map(
        |(verdict, looks, code, grades, (hands, end_s, warm_s, permille, time))| {
            let mut offer = offer(verdict);
            offer.terms = Terms { verdict, looks, code, grades, wanted: Some(1), ..Terms::default() };
            (offer.terms.asks_owner, offer.terms.past_closing, offer.terms.attended) =
                (looks & 1 != 0, looks & 2 != 0, looks & 4 != 0);
            offer.terms.codes[0] = OwnerCode::new("K7").filter(|_| looks & 8 != 0);
            offer.plan.hands = hands;
            offer.plan.end_s = end_s;
            offer.plan.warm_s = warm_s;
            offer.plan.time_permille = permille;
            offer.plan.spread_permille = permille;
            offer.plan.closing_in_s = Some(time);
            offer.plan.stops.push(time).unwrap();
            offer.plan.points.push(Point { at_s: time, share: permille, layer: hands }).ok();
            offer
        },
    )
}

fn any_step() -> impl Strategy<Value = Step> {
    prop_oneof![
        20 => any_event().prop_map(Step::Event),
        4 => (0..700_u64).prop_map(Step::Wait),
        4 => (0..20_000_u64).prop_map(|seconds| Step::Wait(seconds * 1000)),
        2 => any_offer().prop_map(|offer| Step::Offer(offer.into())),
        1 => proptest::sample::select(&STAGES[..]).prop_map(Step::Jump),
        1 => proptest::option::of(-1_000..100_000_i64).prop_map(Step::PowerCut),
    ]
}

/// What must hold after anything.
fn holds(rig: &Rig) -> Result<(), TestCaseError> {
    match rig.phase() {
        Phase::Jobs { chosen, jobs } | Phase::Verdict { chosen, jobs, .. } => prop_assert!(chosen < jobs),
        Phase::Points { chosen, jobs, points, point, .. } => prop_assert!(chosen < jobs && point < points),
        Phase::Key { entered, digit } => prop_assert!(entered <= CODE_DIGITS && digit < 10),
        Phase::Released(_) => prop_assert_eq!(rig.machine.gate(), Gate::Open, "open through the run"),
        Phase::Waiting
        | Phase::Reading
        | Phase::Nothing
        | Phase::Fault
        | Phase::Walk
        | Phase::Release
        | Phase::Away => {}
    }
    let view = rig.view();
    if view.hot && rig.done.contains(&Action::Gate(Gate::Shut)) {
        prop_assert!(false, "shut while hot");
    }
    // A question that stands can be answered: its knob has places.
    if let Some(asked) = view.asked
        && !matches!(asked.question, Question::Hand(Hand::Sticker) | Question::Owner | Question::InCharge)
    {
        prop_assert!(asked.question.answer(asked.order, 0).is_some());
    }
    prop_assert!(view.percent <= 100 && view.fill_permille <= 1000);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// No event in any phase panics, ranks stay in range, the gate is never shut on a run or on heat, and a person
    /// with a knob brings the machine back to Waiting from wherever it is.
    #[test]
    fn all_events_in_all_phases(steps in proptest::collection::vec(any_step(), 0..60)) {
        let mut rig = Rig::new();
        for step in steps {
            let before = rig.phase();
            rig.clear_done();
            match step {
                Step::Event(event) => {
                    if rig.event(event) == Action::Refused {
                        prop_assert_eq!(before, rig.phase());
                    }
                }
                Step::Wait(ms) => rig.wait_ms(ms),
                Step::Offer(offer) => {
                    rig.offer(&offer);
                }
                Step::Jump(stage) => rig = Rig::at(stage),
                Step::PowerCut(gone) => {
                    if let Some(state) = rig.machine.run_state(rig.now, gone.map(|_| wall(0))) {
                        let text = serde_json::to_string(&state).unwrap();
                        let state: RunState = serde_json::from_str(&text).unwrap();
                        rig = Rig::resume(&state, Instant(7), gone.map(wall));
                    }
                }
            }
            holds(&rig)?;
        }
        prop_assert!(free(&mut rig), "{:?} {:?}", rig.phase(), rig.view().asked);
    }

    /// What comes back from a store may be anything that has the right shape.
    #[test]
    fn any_state_of_text_is_resumed_without_a_panic(said in any::<u16>(), numbers in any::<[u32; 8]>(), gone in any::<i32>()) {
        let mut state = Rig::at(Stage::Run).persisted();
        state.run.said = said;
        state.run.started_s = Some(numbers[0]);
        state.run.ready_s = Some(numbers[1]);
        state.run.paused_s = numbers[2];
        state.run.paused_at = Some(numbers[3]);
        state.run.ended_s = Some(numbers[4]);
        state.run.watch_to_s = Some(numbers[5]);
        state.run_s = numbers[6];
        state.plan.end_s = numbers[7];
        let mut rig = Rig::resume(&state, Instant(0), Some(wall(gone.into())));
        holds(&rig)?;
        prop_assert!(free(&mut rig));
    }
}
