//! `holdpoint snap`: a scripted run, its screens as pictures.

use std::fmt::Write as _;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::{Context, Result};
use clap::Args;

use crate::args::Settings;
use crate::flash::Flash;
use crate::output::{Form, Inputs};
use crate::progress::Progress;
use crate::script::{LANGUAGE, Played, Script, play};
use crate::shown::Shown;
use crate::{png, sheet};

/// The script that runs when none is named.
const NIGHT: &str = include_str!("../../../demo/night.txt");

const EXAMPLES: &str = "\
Examples:
  holdpoint snap                             the demo's night: every screen of it
  holdpoint snap my-run.txt --out pictures/  a script of your own";

/// What `snap` takes.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLES, after_long_help = format!("{EXAMPLES}\n\n{LANGUAGE}"))]
pub struct SnapArgs {
    /// A script [without it: the demo's night]
    #[arg(value_name = "SCRIPT")]
    pub script: Option<PathBuf>,
    /// Folder for the pictures, made where there is none
    #[arg(long, value_name = "DIR", default_value = "holdpoint-screens")]
    pub out: PathBuf,
    /// Print what stands on each screen
    #[arg(long)]
    pub text: bool,
    /// Keep the device's own flash in this file: what an earlier run left is there again [default: a blank flash]
    #[arg(long, value_name = "FILE")]
    pub ledger: Option<PathBuf>,
}

/// Plays a script and writes its pictures.
///
/// # Errors
/// When the script cannot be played to its end, or a picture cannot be written.
pub fn run(args: &SnapArgs, settings: &Settings) -> Result<ExitCode> {
    let script = match &args.script {
        Some(file) => Script::load(file)?,
        None => night()?,
    };
    let inputs = Inputs::new(settings, args.script.as_deref());
    let flash = match &args.ledger {
        Some(file) => {
            inputs.refuse(file)?;
            Flash::load(file)?
        }
        None => Flash::blank(),
    };
    let progress = Progress::new("line");
    let last = script.lines().last().map_or(0, |(number, _)| *number);
    let played = play(&script, settings, flash, |number, text| progress.show(number, last, text))?;
    drop(progress);
    write(&played, &args.out, &inputs)?;
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
        "{} screens in {}, all of them on {}",
        played.snaps.len(),
        args.out.shown(),
        args.out.join(SHEET).shown()
    )?;
    Ok(ExitCode::SUCCESS)
}

/// The demo's night.
///
/// # Errors
/// Never, as a test holds.
pub fn night() -> Result<Script> {
    Script::parse(Path::new("night.txt"), NIGHT)
}

const SHEET: &str = "sheet.png";

fn write(played: &Played, folder: &Path, inputs: &Inputs) -> Result<()> {
    fs::create_dir_all(folder)
        .with_context(|| format!("{}: the folder cannot be made; name another with --out", folder.shown()))?;
    let mut texts = String::new();
    for (number, snap) in (1..).zip(&played.snaps) {
        png::write(&snap.frame, &folder.join(format!("{number:02}-{}.png", file_name(&snap.name))), inputs)?;
        let _ = writeln!(texts, "{number} {} {}\n{}\n", snap.clock, snap.name, snap.text);
    }
    let path = folder.join("screens.txt");
    inputs.write(&path, Form::Screens, |file| Ok(file.write_all(texts.as_bytes())?))?;
    sheet::write(&played.snaps, &folder.join(SHEET), inputs)
}

/// Letters, digits and hyphens, whatever the snap's name holds.
fn file_name(name: &str) -> String {
    name.chars().map(|letter| if letter.is_alphanumeric() { letter } else { '-' }).collect()
}
