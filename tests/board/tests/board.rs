//! The firmware on the emulated board: cards and keys in, screens out, pixel for pixel what the core draws on the
//! desktop.

use anyhow::Result;
use holdpoint_board_tests::{Budget, Card, Emulator, Key, find_qemu, firmware, holds, twin};
use holdpoint_shared::app::{Event, Setup};
use holdpoint_shared::records::{Machine, Room, Spool};

const MACHINE: &str =
    r#"{"tag":"BENCH-1","bed_mm":[200,200],"height_mm":180,"nozzle_max_c":260,"bed_max_c":100}"#;
const SPOOL: &str =
    r#"{"id":"S-07","material":"PLA","diameter_um":1750,"density_mg_cm3":1240,"left_mg":412000}"#;
const ROOM: &str = r#"{"language":"en"}"#;

const JOB: &str = r#"; job-header 1
; {"material":"PLA","diameter_um":1750,"nozzle_c":210,"bed_c":60,"length_mm":900,"time_s":1200}
; end-header
M104 S210
M109 S210
G28
G90
M83
G1 Z0.2 F600
G1 X50 Y50 F6000
G1 X90 Y50 E2 F1200
G1 X90 Y90 E2
M104 S0
M140 S0
M84
"#;

/// The board's own defaults: no card has told it anything.
fn without_records() -> Setup {
    Setup::new(Machine::default(), None, Room::default())
}

fn with_records() -> Setup {
    Setup::new(
        Machine::from_json(MACHINE.as_bytes()).unwrap(),
        Some(Spool::from_json(SPOOL.as_bytes()).unwrap()),
        Room::from_json(ROOM.as_bytes()).unwrap(),
    )
}

fn card() -> Result<Card> {
    Card::with(&[
        ("HOLDPT/MACHINE.JSN", MACHINE),
        ("HOLDPT/SPOOL.JSN", SPOOL),
        ("HOLDPT/ROOM.JSN", ROOM),
        ("Older job.gcode", &JOB.replace("\"PLA\"", "\"PETG\"")),
        ("class/Bracket for the long shelf.gcode", JOB),
    ])
}

/// All five buttons pressed and let go once: until then each counts as held since the start.
fn release_all(board: &mut Emulator) -> Result<()> {
    for key in Key::ALL {
        board.press(key)?;
    }
    Ok(())
}

#[test]
fn without_a_card_it_waits() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let mut board = Emulator::start(&firmware(), None)?;
    board.wait_for("screen shown")?;
    board.expect("waiting", &twin::waiting(without_records()))
}

#[test]
fn a_button_counts_only_after_it_was_seen_released() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let mut board = Emulator::start(&firmware(), None)?;
    board.wait_for("screen shown")?;
    // The first press of each is the end of what looked like a held button; the second is one.
    release_all(&mut board)?;
    for (key, event) in [
        (Key::Up, "Turn(-1)"),
        (Key::Down, "Turn(1)"),
        (Key::Left, "Turn(-1)"),
        (Key::Right, "Turn(1)"),
        (Key::Select, "Press"),
    ] {
        board.press(key)?;
        // Had any first press counted, it would stand in the log before the one that is waited for.
        let line = board.wait_for("knob ")?;
        assert!(line.ends_with(event), "{key:?} gave {line}");
    }
    Ok(())
}

#[test]
fn a_card_goes_from_slips_to_verdict() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let card = card()?;
    let keys = [Key::Down, Key::Up, Key::Select, Key::Select];
    let events = [Event::Turn(1), Event::Turn(-1), Event::Press, Event::Press];
    let frames = twin::screens(with_records(), &card.image(), &events)?;

    let mut board = Emulator::start(&firmware(), Some(&card.image()))?;
    board.wait_for("card Inserted")?;
    board.expect("slips", &frames[0])?;
    release_all(&mut board)?;
    for (number, (key, frame)) in keys.iter().zip(&frames[1..]).enumerate() {
        board.press(*key)?;
        board.wait_for("knob ")?;
        board.expect(&format!("after-key-{number}"), frame)?;
    }
    let stack = board.stack_bytes().expect("each phase's line tells the stack");
    let ceilings = Budget::of("lm3s6965evb")?.running.expect("this board is emulated");
    assert!(holds("lm3s6965evb stack", "bytes", stack, ceilings.stack_bytes));
    Ok(())
}

#[test]
fn a_card_that_was_never_formatted_gets_its_line() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let blank = Card::blank()?;
    let frames = twin::screens(without_records(), &blank.image(), &[])?;
    let mut board = Emulator::start(&firmware(), Some(&blank.image()))?;
    board.wait_for("card Inserted")?;
    board.expect("blank", &frames[0])
}

#[test]
fn cards_come_and_go() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let (card, blank) = (card()?, Card::blank()?);
    let slips = twin::screens(with_records(), &card.image(), &[])?;
    let unreadable = twin::screens(without_records(), &blank.image(), &[])?;

    let mut board = Emulator::start(&firmware(), Some(&card.image()))?;
    board.expect("first", &slips[0])?;
    board.eject()?;
    board.wait_for("card Removed")?;
    // What the card said of machine, spool and room stays until another one says otherwise.
    board.expect("gone", &twin::waiting(with_records()))?;
    board.insert(&blank.image())?;
    board.wait_for("card Inserted")?;
    board.expect("second", &unreadable[0])?;
    // Changed faster than anybody looks: the old one is gone first.
    board.insert(&card.image())?;
    board.wait_for("card Removed")?;
    board.wait_for("card Inserted")?;
    board.expect("third", &slips[0])
}
