//! A whole job on the emulated board, on its test image: from the slips to the row in the day book; and cards that fail
//! meanwhile. Screens are compared pixel for pixel with those of the core on the desktop.

use anyhow::{Context as _, Result, ensure};
use holdpoint_board_tests::twin::{Twin, UNREADABLE};
use holdpoint_board_tests::{
    Card, Emulator, Key, Shot, difference, find_qemu, mismatch, sample_job, test_image,
};
use holdpoint_shared::app::{Event, Setup};
use holdpoint_shared::daybook::{LineState, row_state};
use holdpoint_shared::phase::{
    Answer, FirstLayer, Left, Outcome, PartOff, Phase, Seen, Shown, Stage, StillRunning, Strip,
};
use holdpoint_shared::records::{Machine, Room, Spool};

const MACHINE: &str = r#"{"tag":"BENCH-1","bed_mm":[200,200],"height_mm":180,"nozzle_max_c":260,"bed_max_c":100,"nozzle_mm":0.4}"#;
const SPOOL: &str =
    r#"{"id":"S-07","material":"PLA","diameter_um":1750,"density_mg_cm3":1240,"left_mg":412000}"#;
const ROOM: &str = r#"{"language":"en"}"#;

/// Place of PLA in the list of grades that the sticker's question offers.
const PLA: Answer = Answer::Sticker(2);

/// A ring of two layers. The bed is so little warm that the plate has cooled in a minute or two.
fn ring() -> String {
    let mut job = String::from(
        "; job-header 1\n; {\"material\":\"PLA\",\"diameter_um\":1750,\"nozzle_c\":210,\"bed_c\":45,\"length_mm\":16}\n\
         ; end-header\nM140 S45\nM104 S210\nM190 S45\nM109 S210\nG28\nG90\nM83\nG92 E0\n",
    );
    for layer in 1..=2 {
        job += &format!("G1 Z{:.1} F600\nG0 X60 Y60 F6000\n", 0.2 * f64::from(layer));
        for (x, y) in [(120, 60), (120, 120), (60, 120), (60, 60)] {
            job += &format!("G1 X{x} Y{y} E2 F1200\n");
        }
    }
    job + "G1 E-2 F1800\nG1 Z30 F600\nG0 X0 Y190 F6000\nM104 S0\nM140 S0\nM106 S0\nM84\n"
}

fn setup() -> Setup {
    Setup::new(
        Machine::from_json(MACHINE.as_bytes()).unwrap(),
        Some(Spool::from_json(SPOOL.as_bytes()).unwrap()),
        Room::from_json(ROOM.as_bytes()).unwrap(),
    )
}

fn card(name: &str, job: &str) -> Result<Card> {
    Card::with(&[
        ("HOLDPT/MACHINE.JSN", MACHINE),
        ("HOLDPT/SPOOL.JSN", SPOOL),
        ("HOLDPT/ROOM.JSN", ROOM),
        (name, job),
    ])
}

/// The board, and twins of it. They differ in one thing alone: from which answer on a killer's list is shown, which goes
/// by the millisecond in which the vetting ended. The screens tell which of them is right.
struct Bench {
    board: Emulator,
    twins: Vec<Twin>,
}

impl Bench {
    /// Lists of two and of three answers: after six orders they repeat.
    const ORDERS: u64 = 6;
    /// The order goes by sixteenths of a second.
    const ORDER_MS: u64 = 64;

    fn start(card: &Card) -> Result<Self> {
        let mut board = Emulator::start_writing(&test_image(), &card.image())?;
        board.wait_for("card Inserted")?;
        let mut twins: Vec<_> = (0..Self::ORDERS).map(|_| Twin::new(setup())).collect();
        for (order, twin) in (0..).zip(&mut twins) {
            twin.wait_ms(order * Self::ORDER_MS)?;
            twin.insert(&card.image())?;
        }
        // Until then each counts as held since the start.
        for key in Key::ALL {
            board.press(key)?;
        }
        Ok(Self { board, twins })
    }

    fn each(&mut self, mut of: impl FnMut(&mut Twin) -> Result<()>) -> Result<()> {
        self.twins.iter_mut().try_for_each(&mut of)
    }

    fn twin(&self) -> Result<&Twin> {
        self.twins.first().context("no twin is left")
    }

    /// Waits until the board shows what one of the twins shows; the others are dropped.
    fn expect(&mut self, name: &str) -> Result<()> {
        /// More of the board's seconds than the longest watch takes.
        const MOST_SECONDS: u32 = 400;
        for _ in 0..MOST_SECONDS {
            let got = self.board.screen()?;
            let same: Vec<_> =
                self.twins.iter().map(|twin| difference(&got, &Shot::of(&twin.frame())).is_none()).collect();
            if same.contains(&true) {
                let mut same = same.into_iter();
                self.twins.retain(|_| same.next() == Some(true));
                return Ok(());
            }
            self.board.wait_seconds(1)?;
        }
        anyhow::bail!(mismatch(name, &self.board.screen()?, &Shot::of(&self.twin()?.frame()))?)
    }

    fn press(&mut self) -> Result<()> {
        self.board.press(Key::Select)?;
        self.board.wait_for("knob Press")?;
        self.each(|twin| twin.handle(Event::Press))
    }

    /// Chooses an answer, looks at the screen, and presses once nobody could call it too quick.
    fn answer(&mut self, name: &str, wanted: Answer) -> Result<()> {
        self.follow(|twin| twin.turns_to(wanted).is_some())?;
        self.expect(name)?;
        let (_, turns) =
            self.twin()?.turns_to(wanted).with_context(|| format!("{name}: no such answer here"))?;
        for _ in 0..turns {
            self.board.press(Key::Down)?;
            self.board.wait_for("knob Turn(1)")?;
            self.each(|twin| twin.handle(Event::Turn(1)))?;
        }
        self.expect(&format!("{name}-chosen"))?;
        self.board.wait_seconds(2)?;
        self.each(|twin| twin.wait_ms(2_000))?;
        self.press()
    }

    /// Lets the twins' time pass until they have come so far.
    fn follow(&mut self, so_far: impl Fn(&Twin) -> bool) -> Result<()> {
        /// Far more than any stage of the job here takes.
        const MOST_SECONDS: u32 = 3_600;
        self.each(|twin| {
            for _ in 0..MOST_SECONDS {
                if so_far(twin) {
                    return Ok(());
                }
                twin.wait_ms(1_000)?;
            }
            anyhow::bail!("the twin stays at {:?}", twin.phase())
        })
    }
}

#[test]
fn a_whole_job_from_the_slips_to_its_row() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let card = card("Ring.gcode", &ring())?;
    let mut bench = Bench::start(&card)?;
    bench.expect("slips")?;
    bench.press()?;
    // What a whole build would hold or point at, the test image could not show.
    assert_eq!(bench.twin()?.points(), Vec::<u8>::new(), "the ring is clear by every check");
    bench.expect("verdict")?;
    bench.press()?;

    // The walk-round: the sticker blind, the killers, and what else the first start of a day wants.
    bench.answer("sticker", PLA)?;
    bench.answer("outer-turn", Answer::Seen(Seen::TurnsFreely))?;
    bench.answer("plate", Answer::Seen(Seen::Bare))?;
    bench.answer("pins", Answer::Seen(Seen::TwoPins))?;
    bench.answer("around", Answer::Seen(Seen::AroundClear))?;
    assert_eq!(bench.twins.len(), 1, "the killers' screens tell in which order their answers stand");

    bench.expect("release")?;
    bench.board.hold(Key::Select, 6_000)?;
    bench.board.wait_for("gate Open")?;
    bench.board.wait_for("knob LetGo")?;
    bench.each(|twin| {
        twin.handle(Event::Hold)?;
        twin.wait_ms(2_000)?;
        twin.handle(Event::LetGo)
    })?;
    bench.expect("gate-open")?;
    bench.board.eject()?;
    bench.board.wait_for("card Removed")?;
    bench.each(Twin::eject)?;
    bench.answer("shown", Answer::Shown(Shown::SameJob))?;

    // No probes: it goes by the clock.
    bench.board.wait_for("phase Released(WarmUp)")?;
    bench.board.wait_for("phase Released(FirstLayer)")?;
    bench.answer("strip", Answer::Strip(Strip::Solid))?;
    bench.answer("first-layer", Answer::FirstLayer(FirstLayer::Good))?;
    bench.board.wait_for("phase Released(Run)")?;

    // So short a job is over by then; the screen that says why it is asked is read first.
    bench.board.wait_seconds(3)?;
    bench.each(|twin| twin.wait_ms(3_000))?;
    bench.press()?;
    bench.answer("still-running", Answer::StillRunning(StillRunning::Ended))?;
    bench.board.wait_for("phase Released(CoolDown)")?;
    bench.board.wait_for("phase Released(Plate)")?;
    bench.follow(|twin| twin.phase() == Phase::Released(Stage::Plate))?;
    bench.expect("may-lift")?;
    bench.press()?;
    bench.answer("part-off", Answer::PartOff(PartOff::Off))?;
    bench.answer("bits", Answer::Left(Left::Bin))?;
    bench.answer("plate-back", Answer::Left(Left::TwoPins))?;
    bench.answer("outcome", Answer::Outcome(Outcome::Good))?;
    bench.expect("card")?;
    bench.board.insert(&card.image())?;
    bench.board.wait_for("card Inserted")?;
    bench.each(|twin| twin.insert(&card.image()))?;
    bench.expect("slips-again")?;
    // Its row is written by then: the listing goes on after it.
    bench.board.wait_seconds(2)?;
    drop(bench);

    let book = card.read("HOLDPT/DAYBOOK.CSV")?;
    let lines: Vec<&str> = book.split_inclusive("\r\n").collect();
    let states: Vec<_> = lines.iter().map(|line| row_state(line.as_bytes())).collect();
    assert_eq!(
        states,
        [LineState::Header, LineState::Whole, LineState::Whole],
        "a row at the start, one at the end"
    );
    let columns: Vec<&str> = lines[0].trim_end().split(',').collect();
    let cell = |row: usize, name: &str| {
        let at = columns.iter().position(|column| *column == name).unwrap();
        lines[row].trim_end().split(',').nth(at).unwrap()
    };
    for row in [1, 2] {
        assert_eq!(
            [cell(row, "machine"), cell(row, "job_name"), cell(row, "spool_id"), cell(row, "grade")],
            ["BENCH-1", "Ring.gcode", "S-07", "PLA"]
        );
        assert_eq!(cell(row, "job_bytes"), ring().len().to_string());
    }
    assert_eq!((cell(1, "result"), cell(2, "result")), ("", Outcome::Good.code()));
    assert_eq!((cell(1, "closed_out"), cell(2, "closed_out")), ("0", "1"));
    card.check()
}

#[test]
fn the_test_image_says_what_it_is_first() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let mut board = Emulator::start(&test_image(), None)?;
    let line = board.line()?.context("it says nothing")?;
    assert!(line.ends_with("TEST IMAGE: 8 of 94 checks"), "{line}");
    Ok(())
}

#[test]
fn a_card_pulled_in_the_middle_of_a_survey_makes_room_for_another() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let (long, short) = (card("Long.gcode", &sample_job(2 << 20))?, card("Ring.gcode", &ring())?);
    let mut bench = Bench::start(&long)?;
    bench.board.wait_seconds(1)?;
    bench.board.press(Key::Select)?;
    bench.board.wait_for("phase Verdict")?;
    bench.board.wait_seconds(1)?;
    bench.board.eject()?;
    bench.board.wait_for("card Removed")?;
    bench.each(Twin::eject)?;
    bench.expect("nothing")?;
    bench.board.insert(&short.image())?;
    bench.each(|twin| twin.insert(&short.image()))?;
    bench.expect("the-other")?;
    bench.press()?;
    bench.expect("its-verdict")
}

#[test]
fn a_block_that_cannot_be_read_leaves_no_verdict() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    // A file begins with a cluster, so this comment begins with a block; it stands apart from both ends, which are read
    // for comments.
    const AT: usize = 100 << 10;
    let ring = ring();
    let (begin, end) = ring.split_at(ring.find("G1 Z0.4").context("no second layer")?);
    let comments = |bytes: usize| format!(";{}\n", "-".repeat(62)).repeat(bytes / 64);
    let mut job = begin.to_owned() + &comments(AT - begin.len() - 64);
    job += &format!(";{}\n{}\n", "-".repeat(AT - job.len() - 2), std::str::from_utf8(UNREADABLE)?);
    ensure!(job.as_bytes()[AT..].starts_with(UNREADABLE));
    job += &(comments(AT) + end);
    let card = card("Worn.gcode", &job)?;
    let mut bench = Bench::start(&card)?;
    bench.expect("slips")?;
    bench.press()?;
    assert_eq!(bench.twin()?.points(), [91], "nothing but that it could not be read");
    bench.expect("no-verdict")
}

/// A job as long as they come, and what its survey takes: at 4 ns an instruction, by the log's own clock.
#[test]
fn thirty_megabytes_are_surveyed() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    const BYTES: usize = 30_000_000;
    let card = Card::sized(65_536, &[("HOLDPT/MACHINE.JSN", MACHINE), ("Long.gcode", &sample_job(BYTES))])?;
    let mut board = Emulator::start(&test_image(), Some(&card.image()))?;
    board.wait_for("phase Jobs")?;
    // The first press is the end of what looked like a held button.
    board.press(Key::Select)?;
    board.press(Key::Select)?;
    let began = seconds(&board.wait_for("phase Verdict")?)?;
    // Its percent moves every few seconds; when it stands still, all of it is read.
    const STILL_SECONDS: u32 = 30;
    let (mut ended, mut still) = (began, 0);
    while still < STILL_SECONDS {
        let line = board.line()?.context("the board ended")?;
        if line.contains("screen shown") {
            (ended, still) = (seconds(line)?, 0);
        } else if line.contains("second ") {
            still += 1;
        }
    }
    let instructions = (ended - began) / 4e-9;
    println!("{BYTES} bytes: {instructions:.3e} instructions, {:.1} a byte", instructions / BYTES as f64);
    Ok(())
}

/// The time before a line of the log.
fn seconds(line: &str) -> Result<f64> {
    Ok(line.split(' ').next().unwrap_or_default().parse()?)
}
