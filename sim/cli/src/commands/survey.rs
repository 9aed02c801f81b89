//! `holdpoint survey`: all that the moves of a job say, beside what its header and comments say.

use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::{Context, Result, bail};
use chrono::NaiveDateTime;
use clap::Args;
use holdpoint_desk::job_file::{JobFile, machine_words};
use holdpoint_desk::setup::Records;
use holdpoint_desk::shown::Shown;
use holdpoint_desk::stated;
use holdpoint_desk::survey_report::{LayerBeads, SCHEMA, Surveyed, document, svg_picture, write_text};
use holdpoint_desk::verdict::EXIT_INPUT;
use holdpoint_shared::records::Machine;
use serde_json::{Value, json};

use crate::args::Settings;
use crate::clock::local_time;
use crate::job_input::{STANDARD_INPUT, open, records_for};
use crate::output::{Form, Inputs};
use crate::picture::PictureForm;
use crate::progress::Progress;
use crate::say::say_error;
use crate::usage::usage;

/// Version of the JSON document's shape; a key more does not change it, a key less or another meaning does.
const DOCUMENT: u8 = 1;

/// What `survey` takes.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:
  holdpoint survey part.gcode                          everything, as a report
  holdpoint survey part.gcode --machine m2.jsn         times and plate of machine M2
  holdpoint survey --json *.gcode > surveys.json       for another program
  holdpoint survey part.gcode --picture part.svg       first layer and layer times as a picture
  holdpoint survey part.gcode --picture 7.png --layer 7
  unzip -p work.zip part.gcode | holdpoint survey -    from standard input

`holdpoint survey --help` documents the JSON document.",
    after_long_help = long_help()
)]
pub struct SurveyArgs {
    /// Job files; - is standard input
    #[arg(required = true, value_name = "FILE")]
    pub paths: Vec<PathBuf>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
    /// Write a picture of one job here: the beads of a layer, to scale, and the time of each layer
    #[arg(long, value_name = "FILE.png|FILE.svg")]
    pub picture: Option<PathBuf>,
    /// Layer in the picture, counted from 1
    #[arg(long, value_name = "N", default_value_t = 1, requires = "picture", value_parser = clap::value_parser!(u32).range(1..))]
    pub layer: u32,
}

fn long_help() -> String {
    format!(
        "{SCHEMA}

Exit codes:
  0  every file was read
  3  a file could not be read

Examples:
  holdpoint survey part.gcode                          everything, as a report
  holdpoint survey part.gcode --machine m2.jsn         times and plate of machine M2
  holdpoint survey --json *.gcode > surveys.json       for another program
  holdpoint survey part.gcode --picture part.svg       first layer and layer times as a picture
  holdpoint survey part.gcode --picture 7.png --layer 7
  unzip -p work.zip part.gcode | holdpoint survey -    from standard input"
    )
}

/// Surveys.
///
/// # Errors
/// When the output cannot be written. A file that cannot be read is reported on standard error, the others are
/// surveyed all the same, and the exit code says it.
pub fn run(args: &SurveyArgs, settings: &Settings) -> Result<ExitCode> {
    let picture = match &args.picture {
        Some(path) => Some((path.as_path(), picture_form(path, args.paths.len())?, args.layer)),
        None => None,
    };
    let inputs = Inputs::new(settings, args.paths.iter().map(PathBuf::as_path));
    if let Some((path, ..)) = picture {
        inputs.refuse(path)?;
    }
    let now = settings.now.unwrap_or_else(local_time);
    let mut jobs = Vec::new();
    let mut failed = false;
    for (number, path) in args.paths.iter().enumerate() {
        match survey(
            path,
            settings,
            now,
            picture.map(|(path, form, layer)| (path, form, layer, &inputs)),
            args.json,
        ) {
            Ok(Output::Document(job)) => jobs.push(job),
            Ok(Output::Text(text)) => {
                let mut out = std::io::stdout().lock();
                if number > 0 {
                    writeln!(out)?;
                }
                out.write_all(&text)?;
            }
            Err(error) => {
                failed = true;
                say_error(&error);
                let line = format!("{error:#}").shown().to_string();
                jobs.push(json!({ "path": path.shown().to_string(), "error": line }));
            }
        }
    }
    if args.json {
        let mut out = std::io::stdout().lock();
        let document = json!({ "survey": DOCUMENT, "jobs": jobs });
        serde_json::to_writer_pretty(&mut out, &document).map_err(std::io::Error::from)?;
        writeln!(out)?;
    }
    Ok(if failed { ExitCode::from(EXIT_INPUT) } else { ExitCode::SUCCESS })
}

enum Output {
    Text(Vec<u8>),
    Document(Value),
}

fn picture_form(path: &Path, files: usize) -> Result<PictureForm> {
    let name = path.shown();
    if files > 1 {
        usage!("{name}: a picture shows one job; survey one file at a time with --picture");
    }
    match PictureForm::of(path) {
        Some(form) => Ok(form),
        None => usage!("{name}: end the picture's name with .png or .svg"),
    }
}

fn survey(
    path: &Path,
    settings: &Settings,
    now: NaiveDateTime,
    picture: Option<(&Path, PictureForm, u32, &Inputs)>,
    as_document: bool,
) -> Result<Output> {
    let name = if path.as_os_str() == STANDARD_INPUT {
        "standard input".to_owned()
    } else {
        path.shown().to_string()
    };
    let mut file = open(path, now)?;
    let records = records_for(path, settings)?;
    let Records { setup, machine_from, .. } = &records;
    let machine = setup.machine.clone();
    let read = |machine: &Machine, file: &mut File| {
        let progress = Progress::of_bytes("surveying");
        JobFile::read(file, machine, &setup.room, |done, all| progress.show_bytes(done, all, &name))
            .with_context(|| format!("{name}: cannot be read to its end; copy the file again"))
    };
    let job = read(&machine, &mut file)?;
    if let Some(why) = job.unreadable() {
        bail!("{name}: {why}");
    }
    let machine_path = machine_from.as_ref().map(|path| path.shown().to_string());
    let surveyed = Surveyed {
        path: &name,
        machine: &machine,
        machine_path: machine_path.as_deref(),
        machine_words: &machine_words(&records),
        job: &job,
        rows: &stated::rows(job.header(), &job.hints, &job.survey, machine.filament_um),
    };
    if let Some((path, form, layer, inputs)) = picture {
        let beads = LayerBeads::read(&mut file, &machine, layer)
            .with_context(|| format!("{name}: cannot be read to its end; copy the file again"))?;
        if layer > beads.layers.max(1) {
            bail!("{name}: has no layer {layer}: it has {}, counted from 1", beads.layers);
        }
        let kind = match form {
            PictureForm::Png => Form::Png,
            PictureForm::Svg => Form::Svg,
        };
        let picture = svg_picture(&surveyed, &beads);
        inputs.write(path, kind, |file| form.write(&picture, file))?;
    }
    if as_document {
        return Ok(Output::Document(document(&surveyed)));
    }
    let mut text = Vec::new();
    write_text(&mut text, &surveyed)?;
    Ok(Output::Text(text))
}
