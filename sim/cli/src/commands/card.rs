//! The command line of `holdpoint card`.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Result;
use clap::{Args, ValueEnum};
use holdpoint_desk::card::{CardKind, CardOptions, CardTable};
use holdpoint_desk::demo;
use holdpoint_desk::shown::Shown;

use crate::args::Settings;
use crate::clock::{local_time, utc_offset_min};
use crate::folder_card::{Making, make_card, write_card};
use crate::usage::usage;

/// What `card` takes.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  holdpoint card jobs/ card.img                       as large as its files need
  holdpoint card jobs/ card.img --kind fat32 --replace
  holdpoint card jobs/ card.img --size-mib 128 --no-table
  holdpoint card --demo demo.img                      the demo's own card, to try the rest with")]
pub struct CardArgs {
    /// The folder whose files go onto the card (records go into its HOLDPT folder), and the image to be written
    #[arg(value_names = ["FOLDER", "IMAGE"], num_args = 1..=2, required = true)]
    pub paths: Vec<PathBuf>,
    /// Take the demo's jobs and records instead of a folder
    #[arg(long)]
    pub demo: bool,
    /// Kind of the volume [default: by its size]
    #[arg(long, value_name = "KIND")]
    pub kind: Option<Kind>,
    /// Size of the image in MiB [default: size of the files and a quarter more]
    #[arg(long, value_name = "MIB")]
    pub size_mib: Option<u32>,
    /// No partition table: the volume begins at the first block
    #[arg(long)]
    pub no_table: bool,
    /// Replace an image that is already there
    #[arg(long)]
    pub replace: bool,
}

/// The kinds of volume, as they are asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
#[expect(missing_docs, reason = "the kinds are their own names")]
pub enum Kind {
    Fat12,
    Fat16,
    Fat32,
}

impl From<Kind> for CardKind {
    fn from(kind: Kind) -> Self {
        match kind {
            Kind::Fat12 => Self::Fat12,
            Kind::Fat16 => Self::Fat16,
            Kind::Fat32 => Self::Fat32,
        }
    }
}

/// Makes the card and says what was made.
///
/// # Errors
/// When the folder cannot be read or the image not be made; an image that was there before stays as it was.
pub fn run(args: &CardArgs, settings: &Settings) -> Result<ExitCode> {
    let options = Making {
        card: CardOptions {
            kind: args.kind.map(CardKind::from),
            table: if args.no_table { CardTable::None } else { CardTable::Mbr },
            size_bytes: args.size_mib.map(|mib| u64::from(mib) << 20),
        },
        utc_offset_min: utc_offset_min(settings.now.unwrap_or_else(local_time)),
        replace: args.replace,
    };
    let (made, to) = match (args.paths.as_slice(), args.demo) {
        ([from, to], false) => (make_card(from, to, &options)?, to),
        ([to], true) => {
            let (entries, bytes): (Vec<_>, Vec<_>) = demo::files().into_iter().unzip();
            let open = |at: usize| Ok(bytes.get(at).map_or(&[][..], Vec::as_slice));
            (write_card(&entries, open, to, &options)?, to)
        }
        ([_], false) => usage!("card takes a folder and an image to be written, or --demo and an image"),
        _ => usage!("with --demo card takes nothing but the image to be written"),
    };
    let hidden = match &made.first_hidden {
        None => String::new(),
        Some(first) => format!(", {} hidden left out, the first {}", made.hidden, first.shown()),
    };
    writeln!(
        std::io::stdout(),
        "{}: {:?}, {} MiB, {} files in {} folders{hidden}",
        to.shown(),
        made.kind,
        made.size_bytes >> 20,
        made.files,
        made.folders + 1,
    )?;
    Ok(ExitCode::SUCCESS)
}
