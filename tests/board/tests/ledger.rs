//! The ledger on the emulated board, over flash in a file: what it keeps, and what it finds after a power cut at any moment.

#[path = "ledger/model.rs"]
mod model;

use anyhow::{Context as _, Result, bail, ensure};
use holdpoint_board_tests::{Ended, FlashFile, LedgerBoard, find_qemu};
use model::{A_RUN, after};

/// More changes than a cut lets through.
const ENDLESS: &str = "3000";

/// The first page.
const ROWS: std::ops::Range<usize> = 0..1024;

fn number(line: &str, word: &str) -> Option<u32> {
    line.strip_prefix(word)?.split(' ').next()?.parse().ok()
}

/// What is known of a ledger from what its board said, over any number of cuts.
#[derive(Debug, Default)]
struct Watch {
    /// The last change that was told to be kept, or seen to be.
    kept: u32,
    /// The last that may have been made.
    begun: u32,
    /// After how many cuts within a change the board found what was before it, and what was after it.
    before: u32,
    after: u32,
    /// How many erases were cut short and then finished.
    erases: u32,
}

impl Watch {
    /// Holds one run of the board, from its start to its cut or end, against what came before. A run that was cut may
    /// end anywhere.
    fn heard(&mut self, ended: &Ended) -> Result<()> {
        let lines = &ended.lines;
        let told = || format!("kept {}, begun {}, then:\n{}", self.kept, self.begun, lines.join("\n"));
        ensure!(!lines.iter().any(|line| line.contains("ERROR")), "it failed: {}", told());
        self.erases += u32::from(lines.iter().any(|line| line == "finished an erase"));
        let found: Vec<_> = lines.iter().filter(|line| line.starts_with("found ")).cloned().collect();
        let whole = after(0).len();
        if found.len() < whole {
            ensure!(!ended.well && !lines.iter().any(|line| line.starts_with("begins ")), "{}", told());
            return Ok(());
        }
        let Some(now) = (self.kept..=self.begun).find(|changes| after(*changes) == found) else {
            bail!("neither as before nor as after: {}", told());
        };
        if self.begun > self.kept {
            *(if now == self.kept { &mut self.before } else { &mut self.after }) += 1;
        }
        (self.kept, self.begun) = (now, now);
        // From the newest event on: what was made after it is made again.
        let mut next = now / 2 * 2 + 1;
        let mut changes = lines.iter().filter(|line| !line.starts_with("found "));
        while let Some(begins) = changes.find_map(|line| number(line, "begins ")) {
            ensure!(begins == next, "change {next} was to begin, not {begins}");
            self.begun = self.begun.max(begins);
            let Some(kept) = changes.next() else { break };
            ensure!(number(kept, "kept ") == Some(begins), "{kept} after the beginning of {begins}");
            self.kept = self.kept.max(begins);
            next += 1;
        }
        Ok(())
    }

    /// Lets the board go on by itself until all up to `last` is kept.
    fn go_on(&mut self, flash: &FlashFile, last: u32) -> Result<Ended> {
        let ended = LedgerBoard::start(flash, &[&last.to_string(), "0"])?.end()?;
        ensure!(ended.well, "it did not end well:\n{}", ended.lines.join("\n"));
        self.heard(&ended)?;
        ensure!(self.kept == last, "it kept {} of {last}", self.kept);
        Ok(ended)
    }

    /// Cuts the power after so many steps of the flash.
    fn cut_after(&mut self, flash: &FlashFile, steps: u32) -> Result<Ended> {
        let ended = LedgerBoard::start(flash, &[ENDLESS, &steps.to_string()])?.end()?;
        ensure!(!ended.well, "{steps} steps let everything through");
        self.heard(&ended)?;
        Ok(ended)
    }
}

/// The most instructions that changes took, of those told in `lines` that `is` picks by their numbers.
fn most_instructions(lines: &[String], is: impl Fn(u32) -> bool) -> Result<u64> {
    let counts = lines.iter().filter(|line| number(line, "kept ").is_some_and(&is));
    let counts: Option<Vec<u64>> = counts.map(|line| line.rsplit(' ').next()?.parse().ok()).collect();
    counts.and_then(|counts| counts.into_iter().max()).context("no instructions were told")
}

#[test]
fn the_file_keeps_the_rules_of_flash() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let flash = FlashFile::of(&[0xA5; 36 * 1024])?;
    let ended = LedgerBoard::start(&flash, &["rules", "0"])?.end()?;
    let wanted = [
        "erased [255, 255, 255, 255]",
        "written [240, 85, 255, 0]",
        // No bit came back: 0xF0 & 0x0F, 0x55 & 0x5A, 0xFF & 0x81, 0x00 & 0xFF.
        "written [0, 80, 129, 0]",
        "refused [1, 1, 1, 1, 1, 1]",
        "done",
    ];
    assert_eq!(ended.lines, wanted);
    let mut bytes = vec![0xA5; 36 * 1024];
    bytes[..1024].fill(0xFF);
    bytes[4..8].copy_from_slice(&[0, 80, 129, 0]);
    assert!(flash.bytes()? == bytes, "something else of the file changed");
    Ok(())
}

#[test]
fn a_blank_one_is_begun_and_keeps_all_that_it_confirmed() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let flash = FlashFile::blank()?;
    let mut watch = Watch::default();
    let last = 3 * A_RUN;
    let ended = watch.go_on(&flash, last)?;
    assert_eq!(ended.lines[0], "blank: begun");
    let weighings = |change| change > A_RUN && change % A_RUN == 1;
    println!(
        "count ledger_event instructions={}",
        most_instructions(&ended.lines, |change| change % 2 == 0)?
    );
    println!("count ledger_weigh instructions={}", most_instructions(&ended.lines, weighings)?);
    println!("count ledger_change instructions={}", most_instructions(&ended.lines, |_| true)?);

    let bytes = flash.bytes()?;
    let ended = watch.go_on(&flash, last)?;
    let mut wanted = after(last);
    wanted.push("done".to_owned());
    assert_eq!(ended.lines, wanted);
    assert!(flash.bytes()? == bytes, "to look changed something");
    Ok(())
}

#[test]
fn stopped_at_any_line_it_finds_what_it_confirmed() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let flash = FlashFile::blank()?;
    let mut watch = Watch::default();
    for stop in 0..30 {
        let mut board = LedgerBoard::start(&flash, &[ENDLESS, "0"])?;
        for _ in 0..=stop * 7 % 41 {
            ensure!(board.listen()?, "it ended by itself");
        }
        watch.heard(&board.cut()?)?;
    }
    let last = watch.begun + A_RUN;
    watch.go_on(&flash, last)?;
    println!("{last} changes with 30 stops among them: {watch:?}");
    // Where it is stopped goes by the host's time: 12 to 24 of 30 were seen within a change.
    assert!(watch.before + watch.after >= 3, "hardly ever stopped within a change: {watch:?}");
    Ok(())
}

/// Cuts the power again and again on the same flash, then lets the board go on for another run.
fn cut_often(flash: &FlashFile, watch: &mut Watch, cuts: u32) -> Result<()> {
    for cut in 0..cuts {
        watch.cut_after(flash, 1 + cut * 37 % 331)?;
    }
    let last = watch.begun + A_RUN;
    watch.go_on(flash, last)?;
    println!("{cuts} cuts: {watch:?}");
    Ok(())
}

#[test]
fn cut_while_the_pages_fill_for_the_first_time() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let flash = FlashFile::blank()?;
    let mut watch = Watch::default();
    watch.go_on(&flash, 20 * A_RUN)?;
    let first_page = flash.bytes()?[ROWS].to_vec();
    cut_often(&flash, &mut watch, 60)?;
    assert!(flash.bytes()?[ROWS] != first_page, "the pages did not go round: {watch:?}");
    Ok(())
}

#[test]
fn cut_within_a_write_or_an_erase_it_is_as_before_or_as_after() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let flash = FlashFile::blank()?;
    let mut watch = Watch::default();
    // So far that the pages have gone round: from here on there are erases among the writes.
    watch.go_on(&flash, 30 * A_RUN)?;
    cut_often(&flash, &mut watch, 120)?;
    assert!(watch.before >= 20 && watch.after >= 2, "cuts on one side alone: {watch:?}");
    assert!(watch.erases >= 3, "hardly an erase was cut: {watch:?}");
    Ok(())
}

#[test]
fn a_beginning_cut_short_is_begun_again() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    let mut short = 0;
    // A blank one is begun by one page's head, at both its ends.
    for steps in 1..12 {
        let flash = FlashFile::blank()?;
        let mut watch = Watch::default();
        let cut = watch.cut_after(&flash, steps)?;
        let ended = watch.go_on(&flash, 4)?;
        if !cut.lines.iter().any(|line| line.starts_with("found ")) {
            assert_eq!(ended.lines[0], "blank: begun", "cut after {steps} steps");
            short += 1;
        }
    }
    assert!(short >= 1, "no beginning was cut short");
    Ok(())
}

/// Refused with this error, said so, and left as it was.
fn refused(bytes: &[u8], error: &str) -> Result<()> {
    let flash = FlashFile::of(bytes)?;
    let ended = LedgerBoard::start(&flash, &[ENDLESS, "0"])?.end()?;
    let said = ended.lines.first().context("it said nothing")?;
    assert!(!ended.well && said.contains("ERROR") && said.contains(&format!("ledger: {error}")), "{said}");
    assert!(flash.bytes()? == bytes, "{error}: something was written");
    Ok(())
}

#[test]
fn what_is_no_whole_ledger_is_refused_and_left_alone() -> Result<()> {
    if !find_qemu() {
        return Ok(());
    }
    // Bytes of a generator (Knuth's constants), as of another program.
    let mut seed = 1_u64;
    let garbage: Vec<u8> = (0..36 * 1024)
        .map(|_| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 56) as u8
        })
        .collect();
    refused(&garbage, "Foreign")?;

    // Bytes in a page amid blank ones are nobody's row: the ledger is whole, and goes on.
    let flash = FlashFile::blank()?;
    Watch::default().go_on(&flash, A_RUN)?;
    let mut damaged = flash.bytes()?;
    damaged[20 * 1024..][..8].fill(0);
    let flash = FlashFile::of(&damaged)?;
    let ended = LedgerBoard::start(&flash, &[&A_RUN.to_string(), "0"])?.end()?;
    let mut wanted = after(A_RUN);
    wanted.push("done".to_owned());
    assert_eq!(ended.lines, wanted);
    Ok(())
}
