//! Whatever stands in a file and however it is cut into blocks: the survey ends, does not panic, and is the same.
//!
//! A few thousand files at each `cargo test`, each from its own number; `HOLDPOINT_CASES=1000000` in the environment asks
//! for as many (`.ci/fuzz` asks for 200,000). The device reads what strangers wrote, so that this is held by numbers
//! that a person can ask for again, not by chance.

use holdpoint_shared::records::{Corner, Machine};
use holdpoint_shared::survey::{Survey, Surveyor};
use holdpoint_tests::generate::{Dice, sheet};

/// Files tried when nothing else is asked for.
const CASES: u64 = 3_000;

/// Pieces that jobs are made of, and some that break them.
const PIECES: [&str; 64] = [
    "\n",
    "\n",
    "\n",
    "\r\n",
    " ",
    "\t",
    ";",
    "(",
    ")",
    "*",
    "*57",
    "/",
    "%",
    "-",
    ".",
    "..",
    "+",
    "$",
    "_",
    "N1 ",
    "G0 ",
    "G1 ",
    "G1 ",
    "G2 ",
    "G3 ",
    "G4 P",
    "G10 ",
    "G18\n",
    "G20\n",
    "G21\n",
    "G28\n",
    "G29\n",
    "G38.2 Z",
    "G90\n",
    "G91\n",
    "G92 ",
    "G93\n",
    "X",
    "X",
    "Y",
    "Z",
    "E",
    "E",
    "F",
    "I",
    "J",
    "R",
    "S",
    "P",
    "T",
    "M82\n",
    "M83\n",
    "M84\n",
    "M2\n",
    "M104 S",
    "M106 S",
    "M109 S",
    "M117 ",
    "M203 X",
    "M204 P",
    "M220 S",
    "M221 S",
    "; job-header 1\n",
    "; end-header\n",
];

/// Numbers at the ends of what is read.
const NUMBERS: [&str; 12] = [
    "0",
    "-0",
    "1",
    "0.000001",
    "-0.0000005",
    "999999999",
    "-999999999.999999",
    "1234567890",
    "00000000000001",
    "1e9",
    ".",
    "-.5",
];

fn file(dice: &mut Dice) -> Vec<u8> {
    let mut bytes = Vec::new();
    for _ in 0..dice.roll(120) {
        match dice.roll(20) {
            0 => bytes.extend((0..dice.roll(12)).map(|_| dice.roll(256) as u8)),
            1 => bytes
                .extend(std::iter::repeat_n(b" 1x;\0\xFF"[dice.roll(6) as usize], dice.roll(300) as usize)),
            2 | 3 => bytes.extend(NUMBERS[dice.roll(12) as usize].as_bytes()),
            4..=9 => bytes.extend(format!("{}.{} ", dice.roll(300), dice.roll(1000)).as_bytes()),
            // A whole line of a job.
            10..=13 => {
                let [x, y, e] = [200, 200, 9].map(|below| dice.roll(below));
                bytes.extend(format!("G1 X{x} Y{y}.5 E{e}.01\n").as_bytes());
            }
            _ => bytes.extend(PIECES[dice.roll(64) as usize].as_bytes()),
        }
    }
    bytes
}

fn survey(machine: &Machine, bytes: &[u8], mut size: impl FnMut() -> usize) -> Survey {
    let mut surveyor = Surveyor::new(machine);
    let mut rest = bytes;
    while !rest.is_empty() {
        let (now, later) = rest.split_at(size().clamp(1, rest.len()));
        surveyor.feed(now);
        rest = later;
    }
    surveyor.finish()
}

#[test]
fn any_bytes_give_one_survey() {
    let cases = std::env::var("HOLDPOINT_CASES").map_or(CASES, |text| text.parse().expect("a whole number"));
    let mut deviation = sheet();
    deviation.motion.corner = Corner::Deviation(20);
    let machines = [sheet(), deviation, Machine::default()];
    let (mut moves, mut beads) = (0_u64, 0_u64);
    for case in 0..cases {
        let mut dice = Dice::new(case);
        let bytes = file(&mut dice);
        let machine = &machines[dice.roll(3) as usize];
        let whole = survey(machine, &bytes, || usize::MAX);
        let longest = 1 + dice.roll(600);
        let cut = survey(machine, &bytes, || 1 + dice.roll(longest) as usize);
        assert!(whole == cut, "file {case} differs by its blocks: {:?}", String::from_utf8_lossy(&bytes));
        assert_eq!(whole.reading.bytes, bytes.len() as u64, "file {case}");
        moves += u64::from(whole.reading.moves);
        beads += u64::from(whole.tail.last_bead_line != 0);
    }
    // They are no noise: the files do move the machine and lay beads.
    assert!(moves > 3 * cases && beads > cases / 4, "{moves} moves, {beads} files with beads in {cases}");
}
