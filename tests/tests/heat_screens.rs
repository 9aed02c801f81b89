//! What the screens say of heat, from the warm-up to the lifted plate: never a lift without the nozzle's state, never
//! hands on what is hot, never a time that can be read as leave to touch.

use std::collections::BTreeSet;

use holdpoint_desk::flash::Flash;
use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::plant::Part;
use holdpoint_desk::power::Power;
use holdpoint_desk::script::answer;
use holdpoint_desk::setup::Overrides;
use holdpoint_desk::slot::NamedCard;
use holdpoint_desk::world::{Lead, World};
use holdpoint_shared::app::Event;
use holdpoint_shared::phase::Stage;
use holdpoint_shared::records::Language;
use holdpoint_shared::screens::{ClockTime, Day, Figure, Item, PlateHeat, ScreenModel};
use holdpoint_shared::units::{Celsius, Seconds};
use holdpoint_shared::words::run::RunPage;
use holdpoint_shared::words::{Words, words};
use holdpoint_tests::images::{FileSpec, Kind as Fat, Table, card};
use holdpoint_tests::person::{act, short_job, stage};
use holdpoint_tests::run_items::{Kind, of_page, of_question, questions, usual_items};

const LANGUAGES: [Language; 2] = [Language::English, Language::German];

/// A plate above this is not lifted with bare hands, °C: children's, and so everybody's.
const BARE_HANDS_C: i16 = 40;

/// Words that send hands to the plate.
const TO_THE_PLATE: &[&str] = &[
    "may lift",
    "lift it off",
    "lift,",
    "to lift",
    "bend",
    "bent",
    "flex",
    "wash",
    "detergent",
    "feel both pins",
    "pick it off",
    "turn the plate",
    "thin glue stick",
    "clear it first",
    "put it on",
    "seat it on",
    "gloves",
    "plate sits", //
    "abheben",
    "biegen",
    "gebogen",
    "waschen",
    "spülmittel",
    "stifte fühlen",
    "abzupfen",
    "platte wenden",
    "klebestift",
    "abräumen",
    "flach auf die stifte",
    "handschuh",
    "sie sitzt",
];

/// A screen in words, its heat, times and names put in.
fn text(row: &str, items: &[Item<'_>], words: &Words) -> String {
    let mut out = row.to_owned();
    let degrees = |figure: Figure<Celsius>| format!("{}{} °C", about(figure.estimated), figure.value.0);
    for (place, item) in items.iter().enumerate() {
        let heat = |heat: PlateHeat, [may_be, hot, below]: [&str; 3]| match heat {
            PlateHeat::NoReading => may_be.to_owned(),
            PlateHeat::Hot(figure) => format!("{hot} {}", degrees(figure)),
            PlateHeat::BelowLimit(figure) => format!("{below} {}", degrees(figure)),
        };
        let put = match *item {
            Item::Heat(figure) => degrees(figure),
            Item::Plate(of) => heat(of, [words.may_be_hot, words.hot_plate, words.plate]),
            Item::Nozzle(of) => heat(of, [words.nozzle_may_be_hot, words.hot_nozzle, words.cool_nozzle]),
            Item::Countdown(Figure { value, estimated }) | Item::Span(Figure { value, estimated }) => {
                let about = about(estimated);
                match value.0 {
                    0..600 => format!("{about}{}:{:02}", value.0 / 60, value.0 % 60),
                    _ => format!("{about}{} min", value.0 / 60),
                }
            }
            Item::Clock(clock) => clock.at.format("%H:%M").to_string(),
            Item::Term(term) => words.run.term(term).to_owned(),
            Item::Text(name) => name.to_owned(),
            _ => "-".to_owned(),
        };
        out = out.replace(&format!("{{{place}}}"), &put);
    }
    // As it is read: line after line.
    out.replace(['|', '~', '#', '!', '^'], " ").to_lowercase()
}

const fn about(estimated: bool) -> &'static str {
    if estimated { "≈" } else { "" }
}

/// What every screen must keep to; `measured` = a probe reads the plate.
fn check(row: &str, items: &[Item<'_>], words: &Words, measured: bool) {
    let said = &text(row, items, words);
    let has = |word: &str| said.contains(word);
    if TO_THE_PLATE.iter().any(|word| has(word)) {
        assert!(has("nozzle") || has("düse"), "hands at the plate, the nozzle not shown: {said}");
    }
    let waits = has("hands off for") || has("hände weg noch") || has("comes off in") || has("löst sich ");
    assert!(!(waits && has("0:00")), "nothing is left to wait for: {said}");
    if has("do not lift") || has("noch nicht abheben") {
        assert!(!has("0:00") && !has("may lift"), "{said}");
    }
    for wash in ["wash", "detergent", "waschen", "spülmittel"] {
        if let Some(at) = said.find(wash) {
            let before = &said[..at];
            assert!(["cool", "kühl"].iter().any(|cool| before.contains(cool)), "washed while hot: {said}");
        }
    }
    for contact in ["at most", "max.", "metal ", "metall ", "glass ", "glas "] {
        assert!(!has(contact) || has("metal scraper"), "a time of contact: {said}");
    }
    for bare in ["bare hands", "bloße hände"] {
        assert!(!has(bare) || measured || has("estimated") || has("geschätzt"), "{said}");
    }
    let hot = |of: PlateHeat| match of {
        PlateHeat::NoReading | PlateHeat::Hot(_) => true,
        PlateHeat::BelowLimit(figure) => figure.value.0 > 43,
    };
    for (place, item) in items.iter().enumerate() {
        if let Item::Plate(of) | Item::Nozzle(of) = *item {
            let shown = row.contains(&format!("{{{place}}}"));
            let line = has("hot") || has("heiss");
            assert!(line || !shown || !hot(of), "what is hot is not said to be: {said}");
        }
    }
}

/// Every page and question of a run with every heat and time that it can show.
#[test]
fn no_screen_of_a_run_breaks_the_rules_whatever_it_shows() {
    let heats = |estimated| {
        [20, 27, 39, 40, 41, 43, 44, 60, 110, 215, 300]
            .map(|celsius| Figure { value: Celsius(celsius), estimated })
    };
    let mut seen = 0;
    for language in LANGUAGES {
        let words = words(language);
        let pages = RunPage::ALL.iter().map(|&page| (words.run.page(page), of_page(page)));
        let asked = questions().into_iter().map(|asked| (words.run.question(asked), of_question(asked)));
        for (row, kinds) in pages.chain(asked) {
            for measured in [false, true] {
                for figure in heats(!measured) {
                    for left in [1, 59, 600, 3540] {
                        let state = match (figure.value.0 > 43, measured) {
                            (true, _) => PlateHeat::Hot(figure),
                            (false, true) => PlateHeat::BelowLimit(figure),
                            (false, false) => PlateHeat::NoReading,
                        };
                        let mut items = usual_items(kinds);
                        for (item, kind) in items.iter_mut().zip(kinds) {
                            match kind {
                                Kind::Plate => *item = Item::Plate(state),
                                Kind::NozzleHeat => *item = Item::Nozzle(state),
                                Kind::Countdown | Kind::Short => {
                                    *item = Item::Countdown(Figure::estimated(Seconds(left)));
                                }
                                Kind::Clock => {
                                    let at = holdpoint_desk::demo::clock();
                                    *item = Item::Clock(ClockTime { at, day: Day::Today });
                                }
                                _ => {}
                            }
                        }
                        check(row, &items, words, measured);
                        seen += 1;
                    }
                }
            }
        }
    }
    assert!(seen > 15_000, "{seen}");
}

/// A world with the short job, a room's rules of these keys and a plate probe's lead.
fn room(keys: &str, lead: Lead) -> World {
    let rules = include_str!("../../sim/demo/HOLDPT/ROOM.JSN")
        .replace(r#""age_group": "children","#, &format!("{keys},"));
    let files = [
        FileSpec::new("HOLDPT/MACHINE.JSN", include_str!("../../sim/demo/HOLDPT/MACHINE.JSN"), 8, 0),
        FileSpec::new("HOLDPT/SPOOL.JSN", include_str!("../../sim/demo/HOLDPT/SPOOL.JSN"), 8, 0),
        FileSpec::new("HOLDPT/ROOM.JSN", rules, 8, 0),
        FileSpec::new("short.gcode", short_job(), 9, 0),
    ];
    let card = MemoryCard::new(card(Fat::Fat16, Table::None, &files), Power::new());
    let source = NamedCard::new("the card", card);
    let mut world = World::new(Overrides::default(), source, Flash::blank(), holdpoint_desk::demo::clock())
        .expect("a world");
    world.set_lead(Part::Bed, lead);
    world
}

/// Checks what is on the screen now, in both languages, against the machine as it is; its page.
fn look(world: &World, lead: Lead, seen: &mut BTreeSet<String>) {
    let truth = world.plant().celsius(Part::Bed);
    let measured = lead == Lead::Whole;
    world.model(|model| {
        for language in LANGUAGES {
            let words = words(language);
            let (row, items) = match model {
                ScreenModel::Run(run) => (words.run.page(run.page), run.items),
                ScreenModel::Asked(asked) => (words.run.question(asked.question), asked.items),
                _ => continue,
            };
            check(row, items, words, measured);
            let said = text(row, items, words);
            if let ScreenModel::Run(run) = model {
                let free = matches!(run.page, RunPage::MayLift | RunPage::DoneCool);
                assert!(!free || truth <= f64::from(BARE_HANDS_C) + 3.0, "{truth} °C: {said}");
                let by_clock = matches!(run.page, RunPage::MayLiftByClock | RunPage::CoolingByClock);
                let warned =
                    said.contains("estimated") || said.contains("geschätzt") || said.contains("schätzung");
                assert!(
                    !by_clock || warned && (said.contains("glove") || said.contains("handschuh")),
                    "{said}"
                );
            }
        }
    });
    seen.insert(world.page());
}

/// What a person does in the run.
#[derive(Clone, Copy, PartialEq)]
enum Does {
    /// What the screen asks for.
    AsAsked,
    /// Takes the plate while it is hot.
    LiftsEarly,
    /// Stops it for loose strands.
    Stops,
    /// Heats the bed again before the plate is off.
    Reheats,
}

/// From the card to the plate that was lifted, every screen on the way looked at.
fn run(keys: &str, lead: Lead, does: Does, seen: &mut BTreeSet<String>) {
    let mut world = room(keys, lead);
    let mut quit = false;
    for _ in 0..3_000 {
        look(&world, lead, seen);
        if stage(&world) == Some(Stage::CloseOut) {
            return;
        }
        let page = world.page();
        let hot = world.plant().celsius(Part::Bed) > 45.0;
        if does == Does::LiftsEarly && hot && matches!(page.as_str(), "Cooling" | "CoolingByClock") {
            world.knob(Event::Press);
            world.pass(300);
        } else if does == Does::LiftsEarly && hot && page == "PartOff?" {
            // It asks again in a while.
            let _ = answer(&mut world, "Holds");
        } else if does == Does::Reheats && page == "MayLift" {
            world.at_printer(|_, plant| plant.set_target(Part::Bed, Some(60.0)));
            world.pass(2_000);
        } else if does == Does::Stops && !quit && page == "Running" {
            world.knob(Event::Press);
            world.pass(300);
        } else if does == Does::Stops && !quit && page == "Running?" {
            quit = answer(&mut world, "Strands").is_ok();
            world.at_printer(|printer, plant| printer.stop(plant));
        } else {
            act(&mut world);
        }
    }
    panic!("{keys} {lead:?}: it came to {} only", world.page());
}

#[test]
fn a_run_from_warm_up_to_lift_keeps_the_rules() {
    let soft = r#""age_group":"children","materials":[{"symbol":"PLA","release_c":30}]"#;
    let mut seen = BTreeSet::new();
    for (keys, lead) in [
        (r#""age_group":"children""#, Lead::Whole),
        (r#""age_group":"adults""#, Lead::Whole),
        (r#""age_group":"adults""#, Lead::None),
        (soft, Lead::Whole),
    ] {
        for does in [Does::AsAsked, Does::LiftsEarly, Does::Stops, Does::Reheats] {
            run(keys, lead, does, &mut seen);
        }
    }
    for page in [
        "WarmUp",
        "Cooling",
        "CoolingPart",
        "CoolingByClock",
        "MayLift",
        "MayLiftByClock",
        "LiftHot",
        "HotMess",
        "PartOff?",
        "PlateBack?",
    ] {
        assert!(seen.contains(page), "{page} was not met: {seen:?}");
    }
}
