//! How fast a job is surveyed, beside parsers that only parse, in one run on the same generated job of 30 MB.
//!
//! `cargo bench -p holdpoint-tests`; words after `--` choose lines by a part of their name. Each figure is the best of five passes. Nothing here fails by time.

use std::hint::black_box;
use std::time::Instant;

use futures::stream;
use futures_executor::block_on;
use holdpoint_shared::survey::Surveyor;
use holdpoint_shared::text::{LineAt, LineSink, Lines, Words};
use holdpoint_tests::generate::{Plan, job, sheet};

const BYTES: usize = 30_000_000;
const PASSES: usize = 5;

/// Takes words and keeps a sum of them, so that they are really read.
struct Sum(i64);

impl LineSink for Sum {
    fn line(&mut self, _at: LineAt, words: &Words, _bytes: &[u8]) {
        self.0 = self.0.wrapping_add(words.get(b'X').unwrap_or(0)).wrapping_add(words.get(b'E').unwrap_or(0));
    }

    fn odd(&mut self, _at_byte: u64, _value: u8) {}
}

fn best(name: &str, bytes: usize, passes: usize, mut run: impl FnMut()) -> f64 {
    let wanted: Vec<String> = std::env::args().skip(1).filter(|arg| !arg.starts_with('-')).collect();
    if !wanted.is_empty() && !wanted.iter().any(|part| name.contains(part.as_str())) {
        return f64::NAN;
    }
    let mut best = f64::MAX;
    for _ in 0..passes {
        let begin = Instant::now();
        run();
        best = best.min(begin.elapsed().as_secs_f64());
    }
    let speed = bytes as f64 / best / 1e6;
    println!("{name:<44}{speed:>9.0} MB/s");
    speed
}

fn main() {
    let text = job(&Plan { layers: 60_000, bytes: BYTES, parts: 3, ..Plan::default() });
    let bytes = text.as_bytes();
    let machine = sheet();
    println!("{} bytes, {} lines", bytes.len(), text.lines().count());
    // As the board reads a card.
    best("whole survey, blocks of 512", bytes.len(), PASSES, || {
        let mut surveyor = Surveyor::new(&machine);
        for block in bytes.chunks(512) {
            surveyor.feed(block);
        }
        black_box(surveyor.close());
    });
    // As the desktop reads a file.
    let whole = best("whole survey, blocks of 64 KiB", bytes.len(), PASSES, || {
        let mut surveyor = Surveyor::new(&machine);
        for block in bytes.chunks(65_536) {
            surveyor.feed(block);
        }
        black_box(surveyor.close());
    });
    best("words alone, blocks of 512", bytes.len(), PASSES, || {
        let (mut lines, mut sum) = (Lines::default(), Sum(0));
        for block in bytes.chunks(512) {
            lines.feed(block, &mut sum);
        }
        lines.finish(&mut sum);
        black_box(sum.0);
    });
    let asynchronous = best("async-gcode, parsing alone", bytes.len(), 2, || {
        block_on(async {
            let input = bytes.iter().map(|byte| Ok::<u8, async_gcode::Error>(*byte));
            let mut parser = async_gcode::Parser::new(stream::iter(input));
            while let Some(word) = parser.next().await {
                let _ = black_box(word);
            }
        });
    });
    let tree = best("gcode::parse, parsing alone", bytes.len(), 2, || {
        let _ = black_box(gcode::parse(&text));
    });
    best("newlines counted", bytes.len(), PASSES, || {
        black_box(memchr::memchr_iter(b'\n', bytes).count());
    });
    println!("whole survey: {:.1} x async-gcode, {:.1} x gcode", whole / asynchronous, whole / tree);
}
