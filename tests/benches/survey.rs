//! How fast a job is surveyed, beside parsers that only parse, in one run on the same generated job of 30 MB; then what a
//! byte costs in jobs of a kilobyte to a gigabyte.
//!
//! `cargo bench -p holdpoint-tests`; words after `--` choose lines by a part of their name. Each figure is the best of
//! seven rounds. Nothing here fails by time.

use std::hint::black_box;
use std::time::Instant;

use futures::stream;
use futures_executor::block_on;
use holdpoint_shared::records::Machine;
use holdpoint_shared::survey::Surveyor;
use holdpoint_shared::text::{LineAt, LineSink, Lines, Odd, Words};
use holdpoint_tests::generate::{Plan, job, sheet};

const BYTES: usize = 30_000_000;
const ROUNDS: usize = 7;

/// Sizes of jobs whose cost is compared, bytes: the begin of the job, and the longer ones the job again and again.
const SIZES: [usize; 7] = [1_000, 10_000, 100_000, 1_000_000, 10_000_000, 100_000_000, 1_000_000_000];
/// Each size is surveyed again and again until this many bytes were read: a short job alone takes no time that could be measured.
const LEAST_BYTES: usize = 10_000_000;

const WORDS: &str = "words alone, blocks of 512";
const SURVEY: &str = "whole survey, blocks of 64 KiB";
const ASYNC_GCODE: &str = "async-gcode, parsing alone";
const GCODE: &str = "gcode::parse, parsing alone";

/// Takes words and keeps a sum of them, so that they are really read.
struct Sum(i64);

impl LineSink for Sum {
    fn line(&mut self, _at: LineAt, words: &Words, _bytes: &[u8]) {
        self.0 = self.0.wrapping_add(words.get(b'X').unwrap_or(0)).wrapping_add(words.get(b'E').unwrap_or(0));
    }

    fn odd(&mut self, _at_byte: u64, _value: Odd) {}
}

/// Whatever is timed, by its name.
struct Timed<'a> {
    name: &'a str,
    run: Box<dyn FnMut() + 'a>,
    /// Seconds of its best round.
    best: f64,
}

fn main() {
    let text = job(&Plan { layers: 60_000, bytes: BYTES, parts: 3, ..Plan::default() });
    let bytes = text.as_bytes();
    let machine = sheet();
    println!("{} bytes, {} lines", bytes.len(), text.lines().count());
    let survey = |block: usize| {
        let mut surveyor = Surveyor::new(&machine);
        for block in bytes.chunks(block) {
            surveyor.feed(block);
        }
        black_box(surveyor.close());
    };
    let words = || {
        let (mut lines, mut sum) = (Lines::default(), Sum(0));
        for block in bytes.chunks(512) {
            lines.feed(block, &mut sum);
        }
        lines.finish(&mut sum);
        black_box(sum.0);
    };
    let asynchronous = || {
        block_on(async {
            let input = bytes.iter().map(|byte| Ok::<u8, async_gcode::Error>(*byte));
            let mut parser = async_gcode::Parser::new(stream::iter(input));
            while let Some(word) = parser.next().await {
                let _ = black_box(word);
            }
        });
    };
    let wanted: Vec<String> = std::env::args().skip(1).filter(|arg| !arg.starts_with('-')).collect();
    let timed = |name, run: Box<dyn FnMut()>| Timed { name, run, best: f64::INFINITY };
    let mut all = [
        // As the board reads a card.
        timed("whole survey, blocks of 512", Box::new(|| survey(512))),
        // As the desktop reads a file.
        timed(SURVEY, Box::new(|| survey(65_536))),
        timed(WORDS, Box::new(words)),
        timed(ASYNC_GCODE, Box::new(asynchronous)),
        timed(GCODE, Box::new(|| drop(black_box(gcode::parse(&text))))),
        timed(
            "newlines counted",
            Box::new(|| {
                black_box(memchr::memchr_iter(b'\n', bytes).count());
            }),
        ),
    ];
    let mut chosen: Vec<&mut Timed> = all
        .iter_mut()
        .filter(|one| wanted.is_empty() || wanted.iter().any(|part| one.name.contains(part.as_str())))
        .collect();
    // In turn, so that a slow while of the machine falls on all of them.
    for _ in 0..ROUNDS {
        for one in &mut chosen {
            let begin = Instant::now();
            (one.run)();
            one.best = one.best.min(begin.elapsed().as_secs_f64());
        }
    }
    for one in &chosen {
        println!("{:<44}{:>9.0} MB/s", one.name, bytes.len() as f64 / one.best / 1e6);
    }
    let seconds = |name| chosen.iter().find(|one| one.name == name).map(|one| one.best);
    if let Some(survey) = seconds(SURVEY) {
        for (name, what) in [(WORDS, "words alone"), (ASYNC_GCODE, "async-gcode"), (GCODE, "gcode")] {
            if let Some(other) = seconds(name) {
                println!("whole survey: {:.2} x {what}", other / survey);
            }
        }
        print_sizes(bytes, &machine);
    }
}

/// What a byte costs by a job's size. Memory is the surveyor's own: it has no heap.
fn print_sizes(bytes: &[u8], machine: &Machine) {
    println!("the surveyor takes {} bytes, whatever the job's size", size_of::<Surveyor>());
    let mut surveyor = Surveyor::new(machine);
    for size in SIZES {
        let times = (LEAST_BYTES / size).max(1);
        let begin = Instant::now();
        for _ in 0..times {
            surveyor.restart(machine);
            let mut left = size;
            while left > 0 {
                let part = bytes.get(..left.min(bytes.len())).unwrap_or_default();
                part.chunks(65_536).for_each(|block| surveyor.feed(block));
                left -= part.len();
            }
            black_box(surveyor.close());
        }
        let ns = begin.elapsed().as_secs_f64() * 1e9 / (times * size) as f64;
        println!("a job of {size:>13} bytes: {ns:.2} ns a byte");
    }
}
