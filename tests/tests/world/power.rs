//! Power that goes: at a write to flash or card, and in the middle of a run.

use std::str::FromStr;

use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::power::Power;
use holdpoint_desk::script::answer;
use holdpoint_desk::setup::Overrides;
use holdpoint_desk::slot::NamedCard;
use holdpoint_desk::world::World;
use holdpoint_shared::app::Event;
use holdpoint_shared::daybook::{LineState, row_state};
use holdpoint_shared::ledger::Ledger;
use holdpoint_shared::phase::{Phase, Stage};
use holdpoint_shared::screens::{End, Item, ScreenModel};
use holdpoint_shared::survey::{FOOTPRINT_CELLS, Footprint, Laid};
use holdpoint_tests::cards::{in_memory, read_record};
use holdpoint_tests::images::FileSpec;
use holdpoint_tests::person::{act, act_until, short_card, stage, watched_job, world};
use rust_decimal::Decimal;

/// More than a run takes anybody.
const ACTS: usize = 2_000;

/// From the card to a machine that is free again, and the card in once more, so that its row is written.
fn whole_run(world: &mut World, what: &str) {
    let mut closing = false;
    let done = |world: &World| {
        let phase = world.app().map(|app| app.phase());
        closing |= phase == Some(Phase::Released(Stage::CloseOut));
        closing && phase == Some(Phase::Waiting)
    };
    assert!(act_until(world, ACTS, done), "{what}: never free again; the screen is {}", world.page());
    world.pass(120_000);
    assert!(act_until(world, 20, |world| world.page() == "Jobs"), "{what}: {}", world.page());
    world.pass(5_000);
}

/// Columns of the rows of a card's book.
fn rows(card: &MemoryCard, what: &str) -> Vec<csv::StringRecord> {
    let book = in_memory(card.bytes(), |volume| read_record(volume, "DAYBOOK.CSV").expect("a day book"));
    let mut whole = Vec::new();
    let mut cut = 0;
    for (number, line) in book.split_inclusive(|byte| *byte == b'\n').enumerate() {
        match row_state(line) {
            LineState::Header => assert_eq!(number, 0, "{what}"),
            LineState::Whole => whole.extend_from_slice(line),
            LineState::Cut => cut += 1,
            state => panic!("{what}: {state:?} {}", String::from_utf8_lossy(line)),
        }
    }
    assert!(cut <= 1, "{what}: {cut} cut lines");
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(&whole[..]);
    reader.records().map(|row| row.expect(what)).collect()
}

fn number(row: &csv::StringRecord, column: usize) -> Decimal {
    Decimal::from_str(&row[column]).unwrap_or_default()
}

/// Columns as the book's header has them.
const REC: usize = 0;
const RESULT: usize = 6;
const BOOKED: usize = 21;

/// Each case cuts the power in one write: every one with `HOLDPOINT_CASES` at their number or above, else 24 evenly
/// spread over all of them.
#[test]
fn no_write_at_which_the_power_goes_loses_what_was_confirmed() {
    let bytes = short_card(&[]);
    let (mut calm, _) = world(bytes.clone());
    let before = calm.power().writes();
    whole_run(&mut calm, "calm");
    let writes = calm.power().writes() - before;
    assert!(writes > 50, "{writes}");
    let cases = super::cases(24).min(writes);
    for case in 0..cases {
        let after = case * writes / cases;
        let what = format!("cut in write {after} of {writes}");
        let (mut world, card) = world(bytes.clone());
        world.power().cut_after(after);
        whole_run(&mut world, &what);
        let rows = rows(&card, &what);
        let mut ends: Vec<_> = rows.iter().filter(|row| &row[RESULT] == "good").collect();
        // A row that was written, and whose power went before that was noted, stands there twice.
        ends.dedup_by(|a, b| a[REC] == b[REC]);
        assert_eq!(ends.len(), 1, "{what}: {rows:#?}");
        let spool = world.app().unwrap().setup().spool.as_ref().unwrap();
        let left = Decimal::new(spool.left.unwrap().0, 3);
        assert_eq!(left, Decimal::from(110) - number(ends[0], BOOKED), "{what}: taken off once");
    }
}

/// The earliest and the latest end as the screen of a run says them.
fn end(world: &World) -> Option<(chrono::NaiveDateTime, chrono::NaiveDateTime)> {
    world.model(|model| match model {
        ScreenModel::Run(run) => run.items.iter().find_map(|item| match item {
            Item::End(End::Window { from, to }) => Some((from.at, *to)),
            _ => None,
        }),
        _ => None,
    })?
}

#[test]
fn a_run_goes_on_with_the_right_time_left_however_long_the_power_was_off() {
    for off_s in [1, 60, 90] {
        let (mut world, _) = world(short_card(&[]));
        assert!(act_until(&mut world, ACTS, |world| world.page() == "Running"));
        let before = end(&world).expect("a forecast");
        world.power_off();
        world.pass(off_s * 1000);
        act(&mut world);
        assert_eq!(stage(&world), Some(Stage::Run), "{off_s} s");
        assert_eq!(world.page(), "PowerBack");
        assert!(act_until(&mut world, 10, |world| world.page() == "Running"), "{}", world.page());
        let after = end(&world).expect("a forecast");
        // The window's middle: three minutes before its end, the narrowest half of it; from 85 % on it is one time.
        let middle = |(from, to): (chrono::NaiveDateTime, chrono::NaiveDateTime)| {
            if from == to { to } else { to - chrono::TimeDelta::minutes(3) }
        };
        let moved = (middle(after) - middle(before)).num_seconds().abs();
        assert!(moved <= 2, "{off_s} s: {before:?} {after:?}");
    }
}

#[test]
fn without_a_clock_the_run_goes_on_and_says_that_it_does_not_know_when_it_ends() {
    let (mut world, card) = world(short_card(&[]));
    assert!(act_until(&mut world, ACTS, |world| world.page() == "Running"));
    world.power_off();
    world.pass(60_000);
    world.set_wall_known(false);
    assert!(act_until(&mut world, 10, |world| world.page() == "RunningNoClock"), "{}", world.page());
    whole_run(&mut world, "no clock");
    assert_eq!(rows(&card, "no clock").last().map(|row| row[RESULT].to_owned()).as_deref(), Some("good"));
}

/// A card whose first job has a first layer of some four minutes.
fn watched_card() -> Vec<u8> {
    short_card(&[FileSpec::new("watched.gcode", watched_job(), 9, 30)])
}

/// The watch's picture and how much of the layer's time is over, permille.
fn watched(world: &World) -> Option<(Footprint, u16)> {
    world.model(|model| match model {
        ScreenModel::Watch(watch) => Some((*watch.picture, watch.done_permille)),
        _ => None,
    })?
}

/// Pixels of the right part of the screen, where the picture stands: lit or not.
fn pixels(world: &World) -> Vec<bool> {
    let frame = world.frame();
    (0..64).flat_map(|y| (78..128).map(move |x| (x, y))).map(|(x, y)| frame.is_lit(x, y)).collect()
}

#[test]
fn the_first_layers_picture_comes_back_with_the_power() {
    for (from_s, off_s) in [(1, 2), (60, 30), (150, 1)] {
        let what = format!("{off_s} s without power after {from_s} s");
        let (mut calm, _) = world(watched_card());
        assert!(act_until(&mut calm, ACTS, |world| world.page() == "Watch"), "{}", calm.page());
        let (mut cut, _) = world(watched_card());
        assert!(act_until(&mut cut, ACTS, |world| world.page() == "Watch"));
        assert_eq!(calm.now_ms(), cut.now_ms(), "two of a kind");
        cut.pass(from_s * 1000);
        cut.power_off();
        cut.pass(off_s * 1000);
        act(&mut cut);
        assert_eq!(stage(&cut), Some(Stage::FirstLayer), "{what}");
        assert_eq!(cut.page(), "PowerBack", "{what}");
        assert!(act_until(&mut cut, 10, |world| world.page() == "Watch"), "{what}: {}", cut.page());
        for more_s in [0, 20, 45] {
            cut.pass(more_s * 1000);
            let (picture, done) = watched(&cut).unwrap_or_else(|| panic!("{what}: {}", cut.page()));
            let shown = pixels(&cut);
            // The run's second was kept whole: the same moment is found within two of it.
            calm.pass((cut.now_ms() - calm.now_ms()).saturating_sub(2_000));
            let mut same = false;
            for _ in 0..17 {
                same |= pixels(&calm) == shown;
                calm.pass(250);
            }
            assert!(same, "{what}, {more_s} s on: the picture is another one");
            let (own, _) = watched(&calm).unwrap_or_else(|| panic!("{what}: {}", calm.page()));
            let cells = || (0..FOOTPRINT_CELLS).flat_map(|y| (0..FOOTPRINT_CELLS).map(move |x| (x, y)));
            assert!(cells().all(|(x, y)| own.purge_at(x, y) == picture.purge_at(x, y)), "{what}");
            assert!(
                cells().all(|(x, y)| own.purge_at(x, y) || own.step_at(x, y) == picture.step_at(x, y)),
                "{what}"
            );
            assert_eq!((own.begins, own.known), (picture.begins, picture.known), "{what}");
            // It says something: some of the layer is laid, some is not.
            let laid = |laid| cells().any(|(x, y)| picture.laid_at(x, y, done) == Some(laid));
            assert!(laid(Laid::ToCome) && (from_s < 60 || laid(Laid::Done)), "{what}: {done}");
            cut.pass(calm.now_ms() - cut.now_ms());
        }
    }
}

/// What an earlier build, or one of another layout, left in the flash: the watch goes on, without a picture.
#[test]
fn a_ledger_without_a_picture_that_is_known_goes_on_without_one() {
    for (kept, page) in [
        (None, "Watch"),
        (Some(&[][..]), "LookDue"),
        (Some(&[2, 0, 0]), "LookDue"),
        (Some(&[1, 1]), "LookDue"),
    ] {
        let (mut before, _) = world(watched_card());
        assert!(act_until(&mut before, ACTS, |world| world.page() == "Watch"));
        before.pass(30_000);
        before.power_off();
        let now = before.wall();
        let flash = before.into_flash().expect("a flash").on(Power::new());
        let mut ledger = Ledger::open(flash).expect("a ledger");
        if let Some(kept) = kept {
            ledger.save_picture(kept).expect("room");
        }
        let source = NamedCard::new("the card", MemoryCard::new(watched_card(), Power::new()));
        let mut after = World::new(Overrides::default(), source, ledger.close(), now).expect("a world");
        assert_eq!(stage(&after), Some(Stage::FirstLayer), "{kept:?}");
        assert_eq!(after.page(), "PowerBack", "{kept:?}");
        after.knob(Event::Press);
        after.pass(100);
        // The plate of this other world is cold.
        assert_eq!(after.page(), "StillRunning?", "{kept:?}");
        answer(&mut after, "Prints").expect("an answer");
        after.pass(100);
        assert_eq!(after.page(), page, "{kept:?}");
    }
}
