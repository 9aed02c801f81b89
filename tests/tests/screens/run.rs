//! The screens of a run as they are met every day, and with the longest items that can be met.

use holdpoint_shared::phase::{Hand, Question};
use holdpoint_shared::records::Language;
use holdpoint_shared::screens::{
    Figure, Item, PlateHeat, QuestionScreen, RunScreen, ScreenModel, WatchScreen,
};
use holdpoint_shared::survey::Footprint;
use holdpoint_shared::units::{Celsius, Seconds};
use holdpoint_shared::words::run::{RunPage, Term};
use holdpoint_tests::run_items::{longest_items, of_page, of_question, questions, usual_items};

/// A file's name for a value's debug form: `Hand(Plate)` gives `hand_plate`.
fn name_of(value: &impl std::fmt::Debug) -> String {
    let mut name = String::new();
    for c in format!("{value:?}").chars() {
        match c {
            'A'..='Z' => {
                if !name.is_empty() && !name.ends_with('_') {
                    name.push('_');
                }
                name.push(c.to_ascii_lowercase());
            }
            'a'..='z' => name.push(c),
            '(' => name.push('_'),
            _ => {}
        }
    }
    name
}

fn pages(show: &mut impl FnMut(&str, &ScreenModel<'_>)) {
    for &page in RunPage::ALL {
        let items = usual_items(of_page(page));
        show(&format!("run_{}", name_of(&page)), &ScreenModel::Run(RunScreen { page, items: &items }));
    }
    let unknown = RunScreen { page: RunPage::Cooling, items: &[Item::Text("BRACKET_V3")] };
    show("run_cooling_unknown", &ScreenModel::Run(unknown));
    let mut items = usual_items(of_page(RunPage::Running));
    items[4] = Item::Plate(PlateHeat::BelowLimit(Figure::known(Celsius(38))));
    show("run_running_cool", &ScreenModel::Run(RunScreen { page: RunPage::Running, items: &items }));
    items[4] = Item::Plate(PlateHeat::NoReading);
    show("run_running_no_probe", &ScreenModel::Run(RunScreen { page: RunPage::Running, items: &items }));
    for percent in [0, 1, 100] {
        let items = [Item::Text("BRACKET_V3"), Item::Percent(percent), Item::Count(5)];
        let screen = RunScreen { page: RunPage::Release, items: &items };
        show(&format!("run_release_{percent}"), &ScreenModel::Run(screen));
    }
}

fn asked(show: &mut impl FnMut(&str, &ScreenModel<'_>)) {
    for question in questions() {
        let items = usual_items(of_question(question));
        let name = format!("ask_{}", name_of(&question));
        let screen = QuestionScreen {
            question,
            order: 0,
            place: None,
            too_quick: false,
            last_chance: false,
            items: &items,
        };
        show(&name, &ScreenModel::Asked(screen));
        if !question.answers().is_empty() {
            show(
                &format!("{name}_picked"),
                &ScreenModel::Asked(QuestionScreen { place: Some(1), order: 1, ..screen }),
            );
        }
    }
    let reason = QuestionScreen {
        question: Question::Reason,
        order: 0,
        place: Some(5),
        too_quick: false,
        last_chance: false,
        items: &[],
    };
    show("ask_reason_middle", &ScreenModel::Asked(reason));
    show("ask_reason_end", &ScreenModel::Asked(QuestionScreen { place: Some(u8::MAX), ..reason }));
    let items = [Item::Of(1, 5), Item::Mark(None)];
    let sticker =
        QuestionScreen { question: Question::Hand(Hand::Sticker), place: None, items: &items, ..reason };
    show("ask_sticker_blank", &ScreenModel::Asked(sticker));
    let items = [Item::Of(3, 5)];
    let pins = QuestionScreen { question: Question::Hand(Hand::Pins), place: None, items: &items, ..reason };
    show("ask_pins_too_quick", &ScreenModel::Asked(QuestionScreen { too_quick: true, ..pins }));
    show("ask_pins_last_chance", &ScreenModel::Asked(QuestionScreen { last_chance: true, ..pins }));
}

/// An L of beads with a skirt round it, and a purge strip along the front: the skirt first, then the walls, then the
/// filling at a slant, in steps of which each takes as long.
fn picture() -> Footprint {
    let mut picture = Footprint { cell_um: 5209, known: 12, ..Footprint::default() };
    for (step, begin) in picture.begins.iter_mut().enumerate() {
        *begin = step as u16 * 1000 / 12;
    }
    let mut bead = |x: usize, y: usize, step: usize| picture.layer[y][x / 2] |= (step as u8) << (x % 2 * 4);
    let part = |x: usize, y: usize| {
        (15..23).contains(&x) && (17..31).contains(&y) || (15..32).contains(&x) && (17..24).contains(&y)
    };
    for y in 14..34 {
        for x in 12..35 {
            let wall = !(part(x - 1, y) && part(x + 1, y) && part(x, y - 1) && part(x, y + 1));
            if matches!(x, 12 | 34) || matches!(y, 14 | 33) {
                bead(x, y, 1);
            } else if part(x, y) {
                bead(x, y, if wall { 2 + x / 24 } else { 4 + (x + y - 34) / 3 });
            }
        }
    }
    for x in 2..36 {
        picture.purge[2][x / 8] |= 1 << (x % 8);
    }
    picture
}

fn watches(show: &mut impl FnMut(&str, &ScreenModel<'_>)) {
    let picture = picture();
    let usual = WatchScreen {
        name: "BRACKET_V3",
        picture: &picture,
        plate_um: [250_000, 210_000],
        round: false,
        purged: true,
        done_permille: 437,
        stay: Some(Figure::known(Seconds(400))),
        now: Term::Walls,
        next: Some(Term::SecondLayer),
    };
    let mut show = |name: &str, screen: WatchScreen<'_>| show(name, &ScreenModel::Watch(screen));
    show("watch", usual);
    show(
        "watch_homing",
        WatchScreen {
            purged: false,
            done_permille: 0,
            stay: Some(Figure::estimated(Seconds(900))),
            now: Term::Homing,
            next: Some(Term::Probing),
            ..usual
        },
    );
    show(
        "watch_purge",
        WatchScreen { purged: false, done_permille: 0, now: Term::Purge, next: Some(Term::Skirt), ..usual },
    );
    show(
        "watch_done",
        WatchScreen { done_permille: 1000, next: None, stay: Some(Figure::known(Seconds(20))), ..usual },
    );
    let unordered = Footprint { known: 0, ..picture };
    show("watch_no_order", WatchScreen { picture: &unordered, ..usual });
    show("watch_round", WatchScreen { round: true, plate_um: [250_000; 2], ..usual });
    show("watch_unknown", WatchScreen { stay: None, next: None, plate_um: [0, i64::MAX], ..usual });
    show(
        "watch_worst",
        WatchScreen {
            name: "Gehäuse_für_Fußschalter_Mœbius_ęß_v12_endgültig_2.gco",
            done_permille: u16::MAX,
            stay: Some(Figure::estimated(Seconds(u32::MAX))),
            now: Term::Walls,
            next: Some(Term::Walls),
            ..usual
        },
    );
}

/// Shows every sample with its name.
pub(crate) fn each(mut show: impl FnMut(&str, &ScreenModel<'_>)) {
    pages(&mut show);
    asked(&mut show);
    watches(&mut show);
}

/// Shows every page and question with its longest items in a language.
pub(crate) fn each_longest(language: Language, mut show: impl FnMut(&str, &ScreenModel<'_>)) {
    for &page in RunPage::ALL {
        let items = longest_items(of_page(page), language);
        show(
            &format!("longest_run_{}", name_of(&page)),
            &ScreenModel::Run(RunScreen { page, items: &items }),
        );
    }
    for question in questions() {
        let items = longest_items(of_question(question), language);
        for place in 0..question.answers().len().max(1) {
            let screen = QuestionScreen {
                question,
                order: 1,
                place: Some(place as u8),
                too_quick: place % 2 == 1,
                last_chance: place == 1,
                items: &items,
            };
            show(&format!("longest_ask_{}_{place}", name_of(&question)), &ScreenModel::Asked(screen));
        }
    }
}
