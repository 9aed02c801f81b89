//! `holdpoint snap`: a scripted run, its screens as pictures.

use std::fmt::Write as _;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::{Context, Result};
use clap::Args;
use holdpoint_desk::demo;
use holdpoint_desk::flash::Flash;
use holdpoint_desk::script::{Begin, LANGUAGE, Played, Script, play};
use holdpoint_desk::shown::Shown;
use holdpoint_desk::{movie, png, sheet};

use crate::args::Settings;
use crate::flash_file;
use crate::output::{Form, Inputs};
use crate::progress::Progress;

const EXAMPLES: &str = "\
Examples:
  holdpoint snap                             the demo's night: every screen of it
  holdpoint snap my-run.txt --out pictures/  a script of your own
  holdpoint snap sim/demo/way.txt --movie way.png
                                             a card's way as one moving picture";

/// What `snap` takes.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLES, after_long_help = format!("{EXAMPLES}\n\n{LANGUAGE}"))]
pub struct SnapArgs {
    /// A script [default: the demo's night]
    #[arg(value_name = "SCRIPT")]
    pub script: Option<PathBuf>,
    /// Folder for the pictures, made where there is none
    #[arg(long, value_name = "DIR", default_value = "holdpoint-screens")]
    pub out: PathBuf,
    /// Write all screens as one moving picture (a PNG of several frames) here too
    #[arg(long, value_name = "FILE")]
    pub movie: Option<PathBuf>,
    /// Print the words on each screen
    #[arg(long)]
    pub text: bool,
    /// Keep the device's own flash in this file: so that a later run finds what an earlier one left [default: a blank flash]
    #[arg(long, value_name = "FILE")]
    pub ledger: Option<PathBuf>,
}

/// Plays a script and writes its pictures.
///
/// # Errors
/// When the script cannot be played to its end, or a picture cannot be written. What was drawn until then is written.
pub fn run(args: &SnapArgs, settings: &Settings) -> Result<ExitCode> {
    let script = match &args.script {
        Some(file) => load(file)?,
        None => demo::night()?,
    };
    let inputs = Inputs::new(settings, args.script.as_deref());
    if let Some(movie) = &args.movie {
        inputs.refuse(movie)?;
    }
    let flash = match &args.ledger {
        Some(file) => {
            inputs.refuse(file)?;
            flash_file::load(file)?
        }
        None => Flash::blank(),
    };
    let progress = Progress::new("line");
    let last = script.lines().last().map_or(0, |(number, _)| *number);
    let begin =
        Begin { overrides: settings.overrides()?, now: settings.now.unwrap_or_else(demo::clock), flash };
    let folder = script.file().parent().unwrap_or(Path::new(""));
    let read_card = |file: &Path| {
        let path = folder.join(file);
        fs::read(&path)
            .with_context(|| format!("{}: cannot be read; name a card image beside the script", path.shown()))
    };
    let played = play(&script, begin, &read_card, |number, text| progress.show(number, last, text))?;
    drop(progress);
    if played.snaps.is_empty() && played.ended.is_err() {
        return played.ended.map(|()| ExitCode::SUCCESS);
    }
    write(&played, &args.out, &inputs)?;
    if let Some(path) = &args.movie {
        inputs.write(path, Form::Png, |file| movie::write(&played.snaps, file))?;
    }
    let mut out = anstream::stdout().lock();
    for (number, snap) in (1..).zip(&played.snaps) {
        writeln!(out, "{number:3}  {}  {}", snap.clock, snap.name)?;
        if args.text {
            for line in snap.text.lines() {
                writeln!(out, "       {line}")?;
            }
        }
    }
    writeln!(
        out,
        "{} in {}, all on {}",
        match played.snaps.len() {
            1 => "1 screen".to_owned(),
            screens => format!("{screens} screens"),
        },
        args.out.shown(),
        args.out.join(SHEET).shown()
    )?;
    played.ended?;
    Ok(ExitCode::SUCCESS)
}

/// Reads a script from a file.
fn load(file: &Path) -> Result<Script> {
    let text = fs::read_to_string(file)
        .with_context(|| format!("{}: cannot be read; name a text file of instructions", file.shown()))?;
    Script::parse(file, &text)
}

const SHEET: &str = "sheet.png";

fn write(played: &Played, folder: &Path, inputs: &Inputs) -> Result<()> {
    fs::create_dir_all(folder)
        .with_context(|| format!("{}: the folder cannot be made; name another with --out", folder.shown()))?;
    let mut texts = String::new();
    for (number, snap) in (1..).zip(&played.snaps) {
        let path = folder.join(format!("{number:02}-{}.png", file_name(&snap.name)));
        inputs.write(&path, Form::Png, |file| png::write(&snap.frame, file))?;
        let _ = writeln!(texts, "{number} {} {}\n{}\n", snap.clock, snap.name, snap.text);
    }
    let path = folder.join("screens.txt");
    inputs.write(&path, Form::Screens, |file| Ok(file.write_all(texts.as_bytes())?))?;
    inputs.write(&folder.join(SHEET), Form::Png, |file| sheet::write(&played.snaps, file))
}

/// Letters, digits and hyphens, whatever the snap's name holds.
fn file_name(name: &str) -> String {
    name.chars().map(|letter| if letter.is_alphanumeric() { letter } else { '-' }).collect()
}
