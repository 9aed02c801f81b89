//! `holdpoint` and `holdpoint show`: the live device with a card in it.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::Result;
use chrono::NaiveDateTime;
use clap::Args;
use holdpoint_desk::clock::HandClock;
use holdpoint_desk::demo;
use holdpoint_desk::device::{Clock, Device};
use holdpoint_desk::flash::{self, Flash};
use holdpoint_desk::hands::Play;
use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::power::Power;
use holdpoint_desk::report::{self, CardReport, Table};
use holdpoint_desk::setup::Records;
use holdpoint_desk::shown::Shown;
use holdpoint_desk::slot::{Card, NamedCard, describe};
use holdpoint_desk::world::World;
use holdpoint_desk::{png, vetting};
use holdpoint_shared::app::Event;

use crate::args::{Picture, Settings};
use crate::clock::local_time;
use crate::flash_file;
use crate::output::{Form, Inputs};
use crate::say::{say, say_left_out};
use crate::source::Source;
use crate::terminal;

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
    /// A card image, a folder or a job file [default: the demo card]
    #[arg(value_name = "CARD")]
    pub card: Option<PathBuf>,
    /// Where the screen goes.
    #[command(flatten)]
    pub picture: Picture,
    /// How fast the simulated machine runs.
    #[command(flatten)]
    pub pace: Pace,
}

/// How fast a live device's simulated machine runs.
#[derive(Clone, Debug, Default, Args)]
pub struct Pace {
    /// Run N times as fast after each release [default: real time; the key s makes it 60]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=3600))]
    pub speed: Option<u32>,
    /// Show it in a window rather than on the terminal (in builds with a window)
    #[arg(long, conflicts_with = "png")]
    pub window: bool,
    /// Keep the device's own flash in this file: balance, learned values, a run in progress
    #[arg(long, value_name = "FILE")]
    pub ledger: Option<PathBuf>,
}

/// Shows a card; `None` = the demo's.
///
/// # Errors
/// When the card or a record cannot be read, or the terminal or the picture cannot be written.
pub fn run(card: Option<&Path>, picture: &Picture, pace: &Pace, settings: &Settings) -> Result<ExitCode> {
    let inputs = Inputs::new(settings, card);
    let place = picture.png.clone().unwrap_or_else(|| PathBuf::from(PICTURE));
    inputs.refuse(&place)?;
    if let Some(ledger) = &pace.ledger {
        inputs.refuse(ledger)?;
    }
    let live = pace.window || picture.png.is_none() && terminal::is_there();
    let unused = |_: &ExitCode| {
        if let Some(ledger) = &pace.ledger {
            say(&format!(
                "{}: is not used: without a terminal the newest job's verdict is shown, and no device is played; use `holdpoint snap`",
                ledger.shown()
            ));
        }
    };
    let Some(path) = card else {
        let now = settings.now.unwrap_or_else(demo::clock);
        let note = format!("The demo card; its clock began at {}.", now.format("%Y-%m-%d %H:%M"));
        let card = NamedCard::new(DEMO, MemoryCard::new(demo::image()?, Power::new()));
        let shown = Show { card, name: DEMO, note: Some(&note), now };
        return if live {
            shown.live(pace, settings)
        } else {
            shown.print(&place, &inputs, settings).inspect(unused)
        };
    };
    let now = settings.now.unwrap_or_else(local_time);
    let shown = Show { card: Source::at(path, now)?, name: &path.shown().to_string(), note: None, now };
    if live { shown.live(pace, settings) } else { shown.print(&place, &inputs, settings).inspect(unused) }
}

/// What is shown.
struct Show<'s, C> {
    card: C,
    name: &'s str,
    note: Option<&'s str>,
    now: NaiveDateTime,
}

impl<C: Card + 'static> Show<'_, C> {
    /// On the terminal or in a window.
    fn live(mut self, pace: &Pace, settings: &Settings) -> Result<ExitCode> {
        let overrides = settings.overrides()?;
        let records_at = self.card.records_at();
        say_left_out(&Records::load(&overrides, self.card.mount()?.as_mut().ok(), &records_at)?);
        let flash = pace.ledger.as_deref().map_or_else(|| Ok(Flash::blank()), flash_file::load)?;
        let mut world = World::new(overrides, self.card, flash, self.now)?;
        let play = Play {
            card: self.name,
            note: self.note,
            speed: pace.speed.unwrap_or(FAST),
            fast_after_release: pace.speed.is_some(),
        };
        if pace.window {
            in_window(&mut world, &play)?;
        } else {
            terminal::run(&mut world, &play)?;
        }
        Ok(ExitCode::SUCCESS)
    }

    /// The newest job's verdict as text, and its screen as a picture.
    fn print(mut self, place: &Path, inputs: &Inputs, settings: &Settings) -> Result<ExitCode> {
        let (now, path) = (self.now, self.card.records_at());
        let overrides = settings.overrides()?;
        let mut files = self.card.mount()?.map_err(|fault| describe(Path::new(self.name), fault))?;
        let records = Records::load(&overrides, Some(&mut files), &path)?;
        say_left_out(&records);
        records.faults.iter().for_each(|fault| say(fault));
        let setup = &records.setup;
        let mut out = anstream::stdout().lock();
        if let Some(note) = self.note {
            writeln!(out, "{note}")?;
        }
        let path = Path::new(self.name);
        let (listing, _) = files.list().map_err(|fault| files.describe(path, fault))?;
        if let Some(left_out) = report::left_out(&listing, path, setup.room.language) {
            say(&left_out);
        }
        let Some(newest) = listing.entries.first().cloned() else { return Err(vetting::no_jobs(path)) };
        let job = vetting::vet(&mut files, newest, setup, now, |_| {})
            .map_err(|fault| files.describe(path, fault))?;
        let card = CardReport { path: self.name.to_owned(), error: None, left_out: None, jobs: vec![job] };
        let mut table = Table::new(false);
        table.write_heading(&mut out, &card, None)?;
        for job in &card.jobs {
            table.write_job(&mut out, &job.path(), job)?;
            table.write_notes(&mut out, job)?;
            report::write_points(&mut out, job, None)?;
        }

        let ledger = flash::open(Flash::blank())?;
        let mut device = Device::new(&overrides, Clock::Hand(HandClock::at(now)), ledger)?;
        device.handle(Event::CardInserted);
        device.settle(&mut files);
        device.handle(Event::Press);
        device.settle(&mut files);
        inputs.write(place, Form::Png, |file| png::write(&device.frame(), file))?;
        writeln!(out, "Its screen is drawn in {}", place.shown())?;
        Ok(ExitCode::SUCCESS)
    }
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
