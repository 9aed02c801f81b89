//! `counts BOARD FIRMWARE`: runs the counting firmware on the emulated board over a card with a generated job, prints
//! the instructions, and fails above the board's ceilings.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::ExitCode;

use anyhow::{Context as _, Result, bail, ensure};
use holdpoint_board_tests::{Budget, Emulator, find_qemu, holds, sample_job};

/// Bytes of the card image: the least that the emulator's card takes, beyond what is read.
const CARD_BYTES: usize = 4 << 20;
/// Bytes of job on it; zeros follow.
const JOB_BYTES: usize = 3 << 20;

/// The SPI clock for which the time on the line is told.
const SPI_MEGAHERTZ: u64 = 25;

fn main() -> Result<ExitCode> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [board, firmware] = arguments.as_slice() else { bail!("usage: counts BOARD FIRMWARE") };
    let budget = Budget::of(board)?.running.with_context(|| format!("{board} has no ceilings for a run"))?;
    if !find_qemu() {
        return Ok(ExitCode::SUCCESS);
    }
    let mut image = sample_job(JOB_BYTES).into_bytes();
    image.resize(CARD_BYTES, 0);
    let folder = tempfile::tempdir()?;
    let card = folder.path().join("card.img");
    std::fs::write(&card, image)?;

    let mut emulator = Emulator::start(Path::new(firmware), Some(&card))?;
    let mut counts: BTreeMap<String, BTreeMap<String, u64>> = BTreeMap::new();
    while let Some(line) = emulator.line()? {
        println!("{line}");
        if let Some((_, count)) = line.split_once("count ") {
            let mut words = count.split_whitespace();
            let what = words.next().context("a count without a name")?;
            let values = words.map(|word| {
                let (key, value) = word.split_once('=').with_context(|| format!("{word}: no value"))?;
                Ok((key.to_owned(), value.parse::<u64>()?))
            });
            counts.insert(what.to_owned(), values.collect::<Result<_>>()?);
        }
    }
    ensure!(emulator.end()?.success(), "the counting firmware failed");

    let value = |what: &str, key: &str| {
        let value = counts.get(what).and_then(|values| values.get(key)).copied();
        value.with_context(|| format!("the firmware told no {key} of {what}"))
    };
    let centi = |what| Ok::<_, anyhow::Error>(100 * value(what, "instructions")? / value(what, "bytes")?);
    let unit = "hundredths of an instruction a byte";
    let spi = value("card_read", "spi_bytes")?;
    println!(
        "card: {spi} bytes on the line for {}, {} ms at {SPI_MEGAHERTZ} MHz",
        value("card_read", "bytes")?,
        spi * 8 / (SPI_MEGAHERTZ * 1000)
    );
    // What the whole survey takes: as much job as the card gave, without the reading.
    ensure!(value("card_survey", "bytes")? == value("card_read", "bytes")?, "not the same bytes were read");
    let whole = centi("card_survey")?.saturating_sub(centi("card_read")?);
    println!("survey with the card's reading: {} {unit}", centi("card_survey")?);
    println!("survey of the first layer, its picture and what else comes first: {} {unit}", centi("survey")?);
    let held = [
        holds("card reading", unit, centi("card_read")?, budget.card_read_centi_instructions),
        holds("survey", unit, whole, budget.survey_centi_instructions),
    ];
    Ok(if held.iter().all(|held| *held) { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}
