//! `holdpoint` and `holdpoint show`: the live device with a card in it.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::Result;
use clap::Args;
use holdpoint_shared::app::Event;

use crate::args::{Picture, Settings};
use crate::clock::{HandClock, RunningClock, local_time};
use crate::demo::{self, DemoCard};
use crate::device::{Clock, Device};
use crate::flash::{self, Flash};
use crate::report::{self, Columns};
use crate::setup::Records;
use crate::source::Source;
use crate::{png, terminal, vetting};

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
}

/// Shows a card; `None` = the demo's.
///
/// # Errors
/// When the card or a record cannot be read, or the terminal or the picture cannot be written.
pub fn run(card: Option<&Path>, picture: &Picture, settings: &Settings) -> Result<ExitCode> {
    match card {
        Some(path) => show(path, &path.display().to_string(), picture, settings, None),
        None => {
            let demo = DemoCard::make()?;
            let settings =
                Settings { now: Some(settings.now.unwrap_or_else(demo::clock)), ..settings.clone() };
            let note = settings
                .now
                .map(|now| format!("The demo card; its clock began at {}.", now.format("%Y-%m-%d %H:%M")));
            show(demo.image(), "the demo card", picture, &settings, note.as_deref())
        }
    }
}

fn show(
    path: &Path,
    name: &str,
    picture: &Picture,
    settings: &Settings,
    note: Option<&str>,
) -> Result<ExitCode> {
    let now = settings.now.unwrap_or_else(local_time);
    let mut source = Source::at(path, now)?;
    let records_at = source.records_at();
    if picture.png.is_none() && terminal::is_there() {
        // A card that cannot be read has its screen too.
        let setup = Records::load(settings, source.mount()?.as_mut().ok(), &records_at)?.setup;
        let mut device = Device::new(setup, Clock::Running(RunningClock::from(now)), flash::open(Flash::blank(), None)?);
        terminal::run(&mut device, &mut source, name, note)?;
        return Ok(ExitCode::SUCCESS);
    }
    let mut files = source.open()?;
    let setup = Records::load(settings, Some(&mut files), &records_at)?.setup;
    let mut out = anstream::stdout().lock();
    if let Some(note) = note {
        writeln!(out, "{note}")?;
    }
    let listed = vetting::list(&mut files).map_err(|fault| files.describe(path, fault))?;
    let Some(newest) = listed.into_iter().next() else { return Err(vetting::no_jobs(path)) };
    let job =
        vetting::vet(&mut files, newest, &setup, now, |_| {}).map_err(|fault| files.describe(path, fault))?;
    report::write_line(&mut out, &job, Columns::default())?;
    report::write_points(&mut out, &job, None)?;

    let mut device = Device::new(setup, Clock::Hand(HandClock::at(now)), flash::open(Flash::blank(), None)?);
    device.handle(Event::CardInserted);
    device.settle(&mut files);
    device.handle(Event::Press);
    device.settle(&mut files);
    let place = picture.png.clone().unwrap_or_else(|| PathBuf::from(PICTURE));
    png::write(&device.frame(), &place)?;
    writeln!(out, "Its screen is drawn in {}", place.display())?;
    Ok(ExitCode::SUCCESS)
}
