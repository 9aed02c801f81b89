//! What happens around a device, for the rows that only it can feed: each once so that the row fires, and once so that
//! it comes close.

use holdpoint_desk::flash::{self, Flash};
use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::plant::Part;
use holdpoint_desk::power::Power;
use holdpoint_desk::script::{answer, settle};
use holdpoint_desk::setup::Overrides;
use holdpoint_desk::slot::NamedCard;
use holdpoint_desk::world::{Lead, World};
use holdpoint_shared::app::Event;
use holdpoint_shared::checks::Level;
use holdpoint_shared::ledger::{Ledger, LoggedEvent, MachineState};
use holdpoint_shared::limits::BLOCK_BYTES;
use holdpoint_shared::phase::{FailReason, Outcome, Phase, Stage};
use holdpoint_tests::cards::{in_memory, read_record};
use holdpoint_tests::images::{FileSpec, Kind, Table, card};
use holdpoint_tests::person::{act, act_until, short_card, short_job, stage, world};

/// More than anything here takes.
const ACTS: usize = 3_000;

pub(crate) const SHEET: &str = include_str!("../../../sim/demo/HOLDPT/MACHINE.JSN");
pub(crate) const TICKET: &str = include_str!("../../../sim/demo/HOLDPT/SPOOL.JSN");
pub(crate) const RULES: &str = include_str!("../../../sim/demo/HOLDPT/ROOM.JSN");

/// The level at which a check found something in the vetted job.
pub(crate) fn found(world: &World, check: u8) -> Option<Level> {
    let findings = &world.app()?.chosen()?.report().findings;
    findings.iter().find(|finding| finding.check == check).map(|finding| finding.level)
}

/// The card goes in, and its newest job is vetted.
pub(crate) fn vet(world: &mut World) {
    world.insert().unwrap();
    settle(world);
    for _ in 0..6 {
        if matches!(world.app().unwrap().phase(), Phase::Verdict { .. }) {
            break;
        }
        world.knob(Event::Press);
        settle(world);
    }
    assert!(matches!(world.app().unwrap().phase(), Phase::Verdict { .. }), "{}", world.page());
}

/// A device with the flash that another left, beside the short job's card.
pub(crate) fn with(flash: Flash) -> World {
    of(short_card(&[]), flash)
}

pub(crate) fn of(bytes: Vec<u8>, flash: Flash) -> World {
    let card = MemoryCard::new(bytes, Power::new());
    World::new(Overrides::default(), NamedCard::new("the card", card), flash, holdpoint_desk::demo::clock())
        .unwrap()
}

/// A card with these records and this job.
pub(crate) fn card_of(sheet: &str, ticket: &str, rules: &str, job: &str) -> Vec<u8> {
    let mut files = vec![FileSpec::new("HOLDPT/MACHINE.JSN", sheet, 8, 0)];
    files.push(FileSpec::new("HOLDPT/SPOOL.JSN", ticket, 8, 0));
    files.push(FileSpec::new("HOLDPT/ROOM.JSN", rules, 8, 0));
    files.push(FileSpec::new("short.gcode", job, 9, 0));
    card(Kind::Fat16, Table::None, &files)
}

/// Changes one thing of a text.
pub(crate) fn edited(text: &str, from: &str, to: &str) -> String {
    let changed = text.replacen(from, to, 1);
    assert_ne!(changed, text, "{from}");
    changed
}

/// The flash of a device whose last run ended like this.
fn left(change: impl FnOnce(&mut MachineState)) -> Flash {
    let mut ledger: Ledger<Flash> = flash::open(Flash::blank()).unwrap();
    let run = ledger.begin_run().unwrap();
    let mut state = MachineState {
        run,
        result: Outcome::Good as u8,
        grade: "PLA".try_into().unwrap(),
        ..MachineState::default()
    };
    change(&mut state);
    ledger.close_run(&state).unwrap();
    ledger.close()
}

fn vetted(flash: Flash, check: u8) -> Option<Level> {
    let mut world = with(flash);
    vet(&mut world);
    found(&world, check)
}

/// The flash of a device that lost a run.
fn never_closed() -> Flash {
    let mut ledger = flash::open(Flash::blank()).unwrap();
    let run = ledger.begin_run().unwrap();
    // As the device keeps the number of a run that was started (value 3), and then loses the run itself.
    ledger.learn(3, &run.to_le_bytes()).unwrap();
    ledger.close()
}

/// Goes on to a question of the walk-round.
pub(crate) fn walk_to(world: &mut World, page: &str) {
    assert!(act_until(world, ACTS, |world| world.page() == page), "{page}: {}", world.page());
}

fn walked(flash: Flash, page: &str, word: &str, check: u8) -> Option<Level> {
    let mut world = with(flash);
    walk_to(&mut world, page);
    answer(&mut world, word).unwrap();
    found(&world, check)
}

/// A run that ends by this answer at its close-out.
fn fails(world: &mut World, reason: &str) {
    let closes = |world: &World| stage(world) == Some(Stage::CloseOut) && world.page() == "Outcome?";
    assert!(act_until(world, ACTS, closes), "{}", world.page());
    answer(world, "Failed").unwrap();
    answer(world, reason).unwrap();
    assert!(
        act_until(world, ACTS, |world| world.app().unwrap().phase() == Phase::Waiting),
        "{}",
        world.page()
    );
}

// Row 1.

/// The job's chain of clusters on a FAT16 card, cut in its middle: the entry says more than can be read.
fn cut_chain(bytes: &mut [u8], job: &[u8], at: usize) {
    let half = |at: usize| usize::from(u16::from_le_bytes([bytes[at], bytes[at + 1]]));
    let (reserved, fats, roots, fat_blocks) = (half(14), usize::from(bytes[16]), half(17), half(22));
    let cluster = usize::from(bytes[13]) * BLOCK_BYTES;
    let data = (reserved + fats * fat_blocks) * BLOCK_BYTES + roots * 32;
    let begins =
        bytes.windows(64).step_by(BLOCK_BYTES).position(|it| it == &job[..64]).unwrap() * BLOCK_BYTES;
    let entry = (begins - data) / cluster + 2 + at / cluster;
    for fat in 0..fats {
        let place = (reserved + fat * fat_blocks) * BLOCK_BYTES + 2 * entry;
        bytes[place..place + 2].fill(0);
    }
}

pub(crate) fn a_chain_that_breaks_off() -> Option<Level> {
    let (mut bytes, job) = (short_card(&[]), short_job());
    cut_chain(&mut bytes, job.as_bytes(), job.len() / 2);
    let mut world = of(bytes, Flash::blank());
    vet(&mut world);
    found(&world, 1)
}

pub(crate) fn a_chain_that_is_whole() -> Option<Level> {
    vetted(Flash::blank(), 1)
}

// Row 7.

/// The findings of the newest row in the card's day book.
fn booked(card: &MemoryCard) -> Vec<u8> {
    let book = in_memory(card.bytes(), |volume| read_record(volume, "DAYBOOK.CSV")).unwrap_or_default();
    let mut rows = csv::Reader::from_reader(book.as_slice());
    let column = rows.headers().unwrap().iter().position(|name| name == "findings").unwrap();
    let last = rows.records().last().unwrap().unwrap();
    last[column].split(';').filter_map(|number| number.parse().ok()).collect()
}

/// A card that is taken out before the release and comes back; with other bytes in its job or not.
fn comes_back(changed: bool) -> Option<Level> {
    let (mut world, card) = world(short_card(&[]));
    assert!(act_until(&mut world, ACTS, |world| world.app().unwrap().phase() == Phase::Release));
    world.pull().unwrap();
    if changed {
        let mut bytes = card.bytes();
        let at = bytes.windows(13).position(|it| it == b"Y130 E1.50000").unwrap();
        bytes[at + 6] = b'2';
        card.replace(bytes);
    }
    world.insert().unwrap();
    world.pass_until(60_000, 100, |world| matches!(world.page().as_str(), "CardChanged" | "Release"));
    world.pass(1_000);
    if changed { booked(&card).contains(&7).then_some(Level::Hold) } else { found(&world, 7) }
}

pub(crate) fn another_file_comes_back() -> Option<Level> {
    comes_back(true)
}

pub(crate) fn the_same_file_comes_back() -> Option<Level> {
    comes_back(false)
}

// Row 64: 215 °C for PLA; PC flows from 260 °C on, and PLA from 190.

pub(crate) fn the_nozzle_held_pc() -> Option<Level> {
    vetted(left(|state| state.grade = "PC".try_into().unwrap()), 64)
}

pub(crate) fn the_nozzle_held_pla() -> Option<Level> {
    vetted(left(|_| {}), 64)
}

// Rows 66 to 69: an answer holds.

pub(crate) fn the_spool_sticks() -> Option<Level> {
    walked(Flash::blank(), "OuterTurn?", "Sticks", 66)
}

pub(crate) fn the_spool_turns() -> Option<Level> {
    walked(Flash::blank(), "OuterTurn?", "TurnsFreely", 66)
}

pub(crate) fn a_part_is_on_the_plate() -> Option<Level> {
    walked(Flash::blank(), "Plate?", "Occupied", 67)
}

pub(crate) fn the_plate_is_bare() -> Option<Level> {
    walked(Flash::blank(), "Plate?", "Bare", 67)
}

pub(crate) fn scrap_of_the_purge_is_left() -> Option<Level> {
    walked(never_closed(), "PurgeArea?", "PurgeScrap", 68)
}

pub(crate) fn the_purge_is_gone() -> Option<Level> {
    walked(never_closed(), "PurgeArea?", "PurgeClear", 68)
}

pub(crate) fn the_plate_rocks() -> Option<Level> {
    walked(Flash::blank(), "Pins?", "Rocks", 69)
}

pub(crate) fn the_plate_sits() -> Option<Level> {
    walked(Flash::blank(), "Pins?", "TwoPins", 69)
}

pub(crate) fn the_last_run_was_never_closed_out() -> Option<Level> {
    vetted(never_closed(), 67)
}

pub(crate) fn no_run_is_open() -> Option<Level> {
    vetted(Flash::blank(), 67)
}

// Row 71.

pub(crate) fn eleven_starts() -> Option<Level> {
    vetted(left(|state| state.starts_since_wash = 11), 71)
}

pub(crate) fn ten_starts() -> Option<Level> {
    vetted(left(|state| state.starts_since_wash = 10), 71)
}

fn washed_before(days: u16) -> Option<Level> {
    let mut ledger: Ledger<Flash> = flash::open(Flash::blank()).unwrap();
    // 25 November 2026 is day 9,825 from 1 January 2000 on.
    ledger.learn(4, &(9_825 - days).to_le_bytes()).unwrap();
    vetted(ledger.close(), 71)
}

pub(crate) fn washed_eight_days_ago() -> Option<Level> {
    washed_before(8)
}

pub(crate) fn washed_seven_days_ago() -> Option<Level> {
    washed_before(7)
}

// Row 72: the demo's sheet has its nozzle changed after 400 h.

pub(crate) fn a_nozzle_of_401_hours() -> Option<Level> {
    vetted(left(|state| state.nozzle_minutes = 401 * 60), 72)
}

pub(crate) fn a_nozzle_of_400_hours() -> Option<Level> {
    vetted(left(|state| state.nozzle_minutes = 400 * 60 + 59), 72)
}

// Row 73.

fn held(hold: bool) -> Option<Level> {
    let mut ledger: Ledger<Flash> = flash::open(Flash::blank()).unwrap();
    let hold = hold.then_some(holdpoint_shared::ledger::MachineHold { reason: 0, since_s: 9_824 * 86_400 });
    ledger.set_hold(hold).unwrap();
    vetted(ledger.close(), 73)
}

pub(crate) fn the_lead_holds_the_machine() -> Option<Level> {
    held(true)
}

pub(crate) fn nobody_holds_the_machine() -> Option<Level> {
    held(false)
}

// Rows 74 and 75.

/// The plate at a temperature when the card comes.
fn warm(celsius: f64) -> Option<Level> {
    let (mut world, _card) = world(short_card(&[]));
    world.at_printer(|_, plant| plant.set_target(Part::Bed, Some(celsius)));
    world.pass(20 * 60_000);
    vet(&mut world);
    found(&world, 74)
}

pub(crate) fn the_plate_is_at_46() -> Option<Level> {
    warm(46.0)
}

pub(crate) fn the_plate_is_at_40() -> Option<Level> {
    warm(40.0)
}

fn probe(lead: Lead) -> Option<Level> {
    let (mut world, _card) = world(short_card(&[]));
    world.set_lead(Part::Bed, lead);
    world.pass(10_000);
    vet(&mut world);
    found(&world, 75)
}

pub(crate) fn the_plates_probe_is_open() -> Option<Level> {
    probe(Lead::Open)
}

pub(crate) fn there_is_no_probe() -> Option<Level> {
    probe(Lead::None)
}

// Rows 80 and 81: the housing's door.

/// In a housing, with this job's grade and the door answered so.
fn door(grade: &str, nozzle: &str, page: &str, word: &str, check: u8) -> Option<Level> {
    let sheet = edited(SHEET, "\"enclosed\": false", "\"enclosed\": true");
    let ticket = TICKET.replacen("\"PLA\"", &format!("\"{grade}\""), 1);
    let ticket = edited(&ticket, "\"nozzle_c\": [195, 220],\n  \"bed_c\": [50, 60],\n", "");
    let job = short_job().replacen("material = PLA", &format!("material = {grade}"), 1);
    let job = job.replace("S215", nozzle).replace("S60", if grade == "PLA" { "S60" } else { "S90" });
    let mut world = of(card_of(&sheet, &ticket, RULES, &job), Flash::blank());
    for _ in 0..ACTS {
        match world.page().as_str() {
            now if now == page => break,
            "Sticker?" => answer(&mut world, grade).unwrap(),
            "Face?" => answer(&mut world, "WantedFace").unwrap(),
            "Vent?" => answer(&mut world, "VentOn").unwrap(),
            "Film?" => answer(&mut world, "FilmOn").unwrap(),
            _ => act(&mut world),
        }
    }
    assert_eq!(world.page(), page);
    answer(&mut world, word).unwrap();
    found(&world, check)
}

pub(crate) fn abs_with_its_door_open() -> Option<Level> {
    door("ABS", "S240", "DoorShut?", "DoorOpen", 80)
}

pub(crate) fn abs_with_its_door_shut() -> Option<Level> {
    door("ABS", "S240", "DoorShut?", "DoorShut", 80)
}

pub(crate) fn pla_with_its_door_shut() -> Option<Level> {
    door("PLA", "S215", "DoorOpen?", "DoorShut", 81)
}

pub(crate) fn pla_with_its_door_open() -> Option<Level> {
    door("PLA", "S215", "DoorOpen?", "DoorOpen", 81)
}

// Row 83.

pub(crate) fn a_card_is_pulled_while_it_is_read() -> Option<Level> {
    let (mut world, _card) = world(short_card(&[]));
    world.insert().unwrap();
    assert!(matches!(world.app().unwrap().phase(), Phase::Reading), "{}", world.page());
    world.pull().unwrap();
    world.knob(Event::Press);
    world.pass(1_000);
    vet(&mut world);
    found(&world, 83)
}

pub(crate) fn a_card_is_pulled_after_it_was_read() -> Option<Level> {
    let (mut world, _card) = world(short_card(&[]));
    vet(&mut world);
    world.pull().unwrap();
    world.pass(1_000);
    vet(&mut world);
    found(&world, 83)
}

// Row 84.

fn shown(word: &str) -> Option<Level> {
    let (mut world, _card) = world(short_card(&[]));
    assert!(act_until(&mut world, ACTS, |world| stage(world) == Some(Stage::Start)), "{}", world.page());
    world.pull().unwrap();
    world.start_printer().unwrap();
    if world.page() == "MoveCard" && word != "SameJob" {
        world.knob(Event::Turn(1));
        world.pass(1_000);
    }
    answer(&mut world, word).unwrap();
    found(&world, 84)
}

pub(crate) fn another_job_is_shown() -> Option<Level> {
    shown("OtherJob")
}

pub(crate) fn the_vetted_job_is_shown() -> Option<Level> {
    shown("SameJob")
}

// Row 85.

pub(crate) fn a_clock_that_is_not_set() -> Option<Level> {
    let (mut world, _card) = world(short_card(&[]));
    world.set_wall_known(false);
    vet(&mut world);
    found(&world, 85)
}

/// The last event was logged so many days after the demo's clock, which shows the 25th of November 2026.
fn logged(days: i32) -> Option<Level> {
    let mut ledger: Ledger<Flash> = flash::open(Flash::blank()).unwrap();
    let time_s = u32::try_from((9_825 + days) * 86_400).unwrap();
    ledger.log(LoggedEvent { code: 4, numbers: [0, 0], time_s }).unwrap();
    vetted(ledger.close(), 85)
}

pub(crate) fn an_event_of_tomorrow() -> Option<Level> {
    logged(1)
}

pub(crate) fn an_event_of_yesterday() -> Option<Level> {
    logged(-1)
}

/// The job is older; the card's newest file is another one.
pub(crate) fn another_job_of_the_day_after_tomorrow() -> Option<Level> {
    let mut later = FileSpec::new("later.gcode", short_job(), 16, 0);
    later.saved += chrono::TimeDelta::days(2);
    let (mut world, _card) = world(short_card(&[later]));
    world.insert().unwrap();
    settle(&mut world);
    world.knob(Event::Turn(1));
    world.knob(Event::Press);
    settle(&mut world);
    assert!(world.app().unwrap().chosen().unwrap().entry().name.contains("short"), "{}", world.page());
    found(&world, 85)
}

// Row 87.

pub(crate) fn it_came_off_twice() -> Option<Level> {
    let (mut world, _card) = world(short_card(&[]));
    fails(&mut world, "CameOff");
    fails(&mut world, "CameOff");
    walk_to(&mut world, "Confirmation");
    found(&world, 87)
}

pub(crate) fn it_failed_for_two_reasons() -> Option<Level> {
    vetted(
        left(|state| {
            state.result = Outcome::Failed as u8;
            state.reason = FailReason::CameOff as u8;
            state.same_fault = 1;
        }),
        87,
    )
}

// Row 91.

fn refused(ticket: &str) -> Option<Level> {
    let mut world = of(card_of(SHEET, ticket, RULES, &short_job()), Flash::blank());
    vet(&mut world);
    found(&world, 91)
}

pub(crate) fn a_ticket_is_refused() -> Option<Level> {
    refused(&edited(TICKET, "\"left_mg\": 110000", "\"left_mg\": -1"))
}

pub(crate) fn a_ticket_is_empty_of_filament() -> Option<Level> {
    refused(&edited(TICKET, "\"left_mg\": 110000", "\"left_mg\": 0"))
}

// Row 93.

pub(crate) fn the_sticker_says_petg() -> Option<Level> {
    walked(Flash::blank(), "Sticker?", "PETG", 93)
}

pub(crate) fn the_sticker_says_pla() -> Option<Level> {
    walked(Flash::blank(), "Sticker?", "PLA", 93)
}
