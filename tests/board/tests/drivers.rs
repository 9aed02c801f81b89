//! The drivers on the emulated board: cards and buttons in, screens out, pixel for pixel.

use anyhow::{Result, ensure};
use holdpoint_board_tests::{Card, Emulator, Key, find_qemu, image, sample_job};
use holdpoint_shared::screens::{Frame, draw_lines};

const OLD: &str = "G28\nG1 X10 Y10\n";
const NEW: &str = "G28\nG1 X20 Y20 F3000\nM84\n";

fn drivers() -> std::path::PathBuf {
    image("drivers")
}

/// The panel with these lines, the rest of its six dark.
fn screen<const N: usize>(lines: [&str; N]) -> Frame {
    let mut six = [""; 6];
    six[..N].copy_from_slice(&lines);
    let mut frame = Frame::new();
    let Ok(()) = draw_lines(six, &mut frame);
    frame
}

/// CRC-32 of ISO-HDLC, bit by bit.
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| (sum >> 1) ^ if sum & 1 == 1 { 0xEDB8_8320 } else { 0 })
    })
}

fn card() -> Result<Card> {
    Card::with(&[("Older job.gcode", OLD), ("class/Bracket for the long shelf.gcode", NEW)])
}

fn newest(sum: &str) -> Frame {
    // The first 21 letters of its name.
    screen(["jobs: 2", "Bracket for the long ", "class", "25 bytes", sum])
}

/// All five buttons pressed and let go once: until then each counts as held since the start.
fn release_all(board: &mut Emulator) -> Result<()> {
    Key::ALL.into_iter().try_for_each(|key| board.press(key))
}

#[test]
fn the_sum_is_the_published_one() {
    assert_eq!(crc(b"123456789"), 0xCBF4_3926);
}

#[test]
fn a_button_counts_only_after_it_was_seen_released() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let mut board = Emulator::start(&drivers(), None)?;
    board.expect("no-card", &screen(["no card"]))?;
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
        // Had any first press counted, it would be in the log before the one that is waited for.
        let line = board.wait_for("knob ")?;
        assert!(line.ends_with(event), "{key:?} gave {line}");
    }
    Ok(())
}

#[test]
fn a_card_is_listed_read_and_written_to() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let card = card()?;
    let mut board = Emulator::start_writing(&drivers(), &card.image())?;
    board.wait_for("card Inserted")?;
    board.expect("newest", &newest(""))?;
    release_all(&mut board)?;
    let (old, new) = (crc(OLD.as_bytes()), crc(NEW.as_bytes()));
    board.press(Key::Select)?;
    board.expect("newest-read", &newest(&format!("crc {new:08x}")))?;
    board.press(Key::Down)?;
    board.expect("older", &screen(["jobs: 2", "Older job.gcode", "", "15 bytes"]))?;
    board.press(Key::Select)?;
    let sum = format!("crc {old:08x}");
    board.expect("older-read", &screen(["jobs: 2", "Older job.gcode", "", "15 bytes", &sum]))?;
    board.press(Key::Up)?;
    board.expect("newest-again", &newest(""))?;
    drop(board);
    assert_eq!(card.read("HOLDPT/READ.TXT")?, format!("{new:08x},25\r\n{old:08x},15\r\n"));
    card.check()
}

#[test]
fn a_card_pulled_while_it_is_read_makes_room_for_another() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let (long, short) = (Card::with(&[("Long.gcode", &sample_job(8 << 20))])?, card()?);
    let mut board = Emulator::start(&drivers(), Some(&long.image()))?;
    board.wait_for("card Inserted")?;
    release_all(&mut board)?;
    board.press(Key::Select)?;
    board.wait_for("reading")?;
    board.eject()?;
    let line = board.wait_for("read")?;
    ensure!(line.contains("reading failed") && line.contains("Gone"), "{line}");
    board.wait_for("card Removed")?;
    board.expect("gone", &screen(["no card"]))?;
    board.insert(&short.image())?;
    board.wait_for("card Inserted")?;
    board.expect("the-other", &newest(""))
}

#[test]
fn cards_come_and_go() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let (card, blank) = (card()?, Card::blank()?);
    let mut board = Emulator::start(&drivers(), Some(&blank.image()))?;
    let line = board.wait_for("mounting failed")?;
    assert!(line.contains("Blank"), "{line}");
    board.expect("blank", &screen(["card cannot be read"]))?;
    // Changed between two looks at the slot: it says that the old one went.
    board.insert(&card.image())?;
    board.wait_for("card Removed")?;
    board.wait_for("card Inserted")?;
    board.expect("readable", &newest(""))?;
    board.eject()?;
    board.wait_for("card Removed")?;
    board.expect("gone", &screen(["no card"]))
}
