//! `holdpoint` and `holdpoint show`: the live device with a card in it.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::{Context, Result};
use clap::Args;
use holdpoint_shared::app::Event;

use crate::args::{Picture, Settings};
use crate::clock::{HandClock, local_time};
use crate::demo::{self, DemoCard};
use crate::device::{Clock, Device};
use crate::flash::{self, Flash};
use crate::hands::Play;
use crate::memory_card::MemoryCard;
use crate::output::Inputs;
use crate::power::Power;
use crate::report::{self, Columns};
use crate::setup::Records;
use crate::shown::{Shown, say};
use crate::source::Source;
use crate::world::World;
use crate::{png, terminal, vetting};

/// The demo card, as it is called.
const DEMO: &str = "the demo card";

/// How many times as fast the world goes, unless `--speed` says another.
const FAST: u32 = 60;

/// Where the screen goes when there is no terminal and no `--png`.
const PICTURE: &str = "holdpoint-verdict.png";

/// What `show` takes.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  holdpoint show card.img                    turn with the arrow keys, press with Enter, leave with q
  holdpoint show jobs/ --spool s17.jsn       a folder, with the spool that is on the machine
  holdpoint show card.img --png screen.png   the newest job's screen as a picture")]
pub struct ShowArgs {
    /// A card image, a folder or a job file [without it: the demo card]
    #[arg(value_name = "CARD")]
    pub card: Option<PathBuf>,
    /// Where the screen goes.
    #[command(flatten)]
    pub picture: Picture,
    /// How the world beside it goes.
    #[command(flatten)]
    pub pace: Pace,
}

/// How the world of a live device goes.
#[derive(Clone, Debug, Default, Args)]
pub struct Pace {
    /// Go so many times as fast after each release [without it: real time; the key s makes it 60]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=3600))]
    pub speed: Option<u32>,
    /// Show it in a window rather than on the terminal (in builds with a window)
    #[arg(long, conflicts_with = "png")]
    pub window: bool,
    /// Keep the device's own flash in this file: balance, what it learned, a run that is on
    #[arg(long, value_name = "FILE")]
    pub ledger: Option<PathBuf>,
}

/// Shows a card; `None` = the demo's.
///
/// # Errors
/// When the card or a record cannot be read, or the terminal or the picture cannot be written.
pub fn run(card: Option<&Path>, picture: &Picture, pace: &Pace, settings: &Settings) -> Result<ExitCode> {
    match card {
        Some(path) => show(path, &path.shown().to_string(), (picture, pace), settings, None),
        None => {
            let demo = DemoCard::make()?;
            let settings =
                Settings { now: Some(settings.now.unwrap_or_else(demo::clock)), ..settings.clone() };
            let note = settings
                .now
                .map(|now| format!("The demo card; its clock began at {}.", now.format("%Y-%m-%d %H:%M")));
            show(demo.image(), DEMO, (picture, pace), &settings, note.as_deref())
        }
    }
}

fn show(
    path: &Path,
    name: &str,
    (picture, pace): (&Picture, &Pace),
    settings: &Settings,
    note: Option<&str>,
) -> Result<ExitCode> {
    let inputs = Inputs::new(settings, [path]);
    let place = picture.png.clone().unwrap_or_else(|| PathBuf::from(PICTURE));
    inputs.refuse(&place)?;
    if let Some(ledger) = &pace.ledger {
        inputs.refuse(ledger)?;
    }
    let now = settings.now.unwrap_or_else(local_time);
    let mut source = Source::at(path, now)?;
    let records_at = source.records_at();
    if pace.window || picture.png.is_none() && terminal::is_there() {
        if name == DEMO {
            // The demo's card is written as a card is; one that was named is only read.
            let bytes = std::fs::read(path).with_context(|| format!("{}: cannot be read", path.shown()))?;
            source = Source::of_card(DEMO, MemoryCard::new(bytes, Power::new()));
        }
        let flash = pace.ledger.as_deref().map_or_else(|| Ok(Flash::blank()), Flash::load)?;
        let mut world = World::new(settings.clone(), source, flash, now)?;
        let play = Play {
            card: name,
            note,
            speed: pace.speed.unwrap_or(FAST),
            fast_after_release: pace.speed.is_some(),
        };
        if pace.window {
            in_window(&mut world, &play)?
        } else {
            terminal::run(&mut world, &play)?
        }
        return Ok(ExitCode::SUCCESS);
    }
    let mut files = source.open()?;
    let Records { setup, faults, .. } = Records::load(settings, Some(&mut files), &records_at)?;
    faults.iter().for_each(|fault| say(fault));
    let mut out = anstream::stdout().lock();
    if let Some(note) = note {
        writeln!(out, "{note}")?;
    }
    let (listing, _) = files.list().map_err(|fault| files.describe(path, fault))?;
    if let Some(left_out) = vetting::left_out(&listing) {
        say(&format!("{}: {left_out}", path.shown()));
    }
    let Some(newest) = listing.entries.first().cloned() else { return Err(vetting::no_jobs(path)) };
    let job =
        vetting::vet(&mut files, newest, &setup, now, |_| {}).map_err(|fault| files.describe(path, fault))?;
    report::write_line(&mut out, &job, Columns::default())?;
    report::write_points(&mut out, &job, None)?;

    let ledger = flash::open(Flash::blank(), None)?;
    let mut device = Device::new(settings, Clock::Hand(HandClock::at(now)), ledger)?;
    device.handle(Event::CardInserted);
    device.settle(&mut files);
    device.handle(Event::Press);
    device.settle(&mut files);
    png::write(&device.frame(), &place, &inputs)?;
    writeln!(out, "Its screen is drawn in {}", place.shown())?;
    Ok(ExitCode::SUCCESS)
}

#[cfg(feature = "window")]
fn in_window(world: &mut World, play: &Play<'_>) -> Result<()> {
    crate::window::run(world, play)
}

#[cfg(not(feature = "window"))]
fn in_window(_: &mut World, _: &Play<'_>) -> Result<()> {
    anyhow::bail!(
        "this build has no window; `cargo run --release -p holdpoint-cli --features window -- show --window` makes one \
         with the system's SDL2, the feature window-bundled without it (it wants cmake and a C compiler)"
    )
}
