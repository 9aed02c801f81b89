//! Scripted runs: a line of a text file for each thing that a person or the world does.

mod act;
mod parse;

use std::path::Path;

use anyhow::{Context, Result};
use chrono::NaiveDateTime;
use holdpoint_shared::screens::Frame;

use crate::demo;
use crate::flash::Flash;
use crate::memory_card::MemoryCard;
use crate::power::Power;
use crate::setup::Overrides;
use crate::shown::Shown;
use crate::slot::NamedCard;
use crate::world::World;

pub use act::{answer, code, key, settle};
pub use parse::{Script, Step};

/// How a script is written, for `--help` and for messages.
pub const LANGUAGE: &str = "\
A script has one instruction a line; what stands after # is a remark. Spans: 90 s, 15 min, 2 h.

  card demo | card FILE      another card is at hand (a card image; it is copied, never written)
  insert, pull               the card goes into the device, or comes out of it
  protect on | off           the card's switch
  turn N                     the knob, clockwise positive
  press                      the knob, briefly
  hold SPAN                  the knob, for so long
  choose NAME                turns to the job whose name contains NAME
  answer WORD                turns to this answer and presses: Bare, TwoPins, Good ..., a sticker's mark
  code CODE                  says whose code it is: from the list, or sign by sign
  key DIGITS                 enters a lead's key of four digits
  wait SPAN                  time goes by
  until WORD [within SPAN]   time goes by until this screen or phase comes [24 h]
  printer start | stop | pause | go | end | fail
                             a hand at the printer; end and fail: its heat goes off by itself
  printer takes N %          its time, of what the survey found, from now on
  probe plate|nozzle ok | open | short | none
                             what the probe's wires are like
  power off SPAN             the device's power is off for so long; the printer's is not
  clock lost | known         whether the device knows the time; lost without a battery
  snap NAME                  a picture of the screen
  expect TEXT                fails unless the screen says so, blanks and line ends aside
  expect screen WORD         fails unless this is the screen or the phase
  expect gate open | shut    fails unless the gate's contact is so";

/// A picture that was taken.
#[derive(Clone, Debug)]
pub struct Snap {
    /// Its name in the script.
    pub name: String,
    /// The screen.
    pub frame: Frame,
    /// What a person reads there.
    pub text: String,
    /// The room's clock, such as "14:42:10".
    pub clock: String,
}

/// What a script came to.
#[derive(Debug)]
pub struct Played {
    /// The pictures.
    pub snaps: Vec<Snap>,
    /// The world as it was left.
    pub world: World,
    /// The card that is at hand.
    pub card: MemoryCard,
    /// Whether it was played to its end; else the line that could not be done or the expectation that was not met, with
    /// the file, the line and the remedy. What was drawn before it is there.
    pub ended: Result<()>,
}

/// What a script begins with.
#[derive(Debug)]
pub struct Begin {
    /// What holds instead of the cards' records.
    pub overrides: Overrides,
    /// When it begins.
    pub now: NaiveDateTime,
    /// The device's flash.
    pub flash: Flash,
}

impl Default for Begin {
    /// The demo's afternoon, on a new device.
    fn default() -> Self {
        Self { overrides: Overrides::default(), now: demo::clock(), flash: Flash::blank() }
    }
}

/// Reads the image of a card that a script names.
pub type ReadCard<'r> = &'r dyn Fn(&Path) -> Result<Vec<u8>>;

/// Where a script runs: the world, and what a script may exchange in it.
struct Stage<'r> {
    world: World,
    card: MemoryCard,
    snaps: Vec<Snap>,
    read_card: ReadCard<'r>,
}

/// Plays a script from its first line to its last; `watch` hears how far it is.
///
/// # Errors
/// When it cannot begin: [`Played::ended`] says where it stopped.
pub fn play(
    script: &Script,
    begin: Begin,
    read_card: ReadCard<'_>,
    mut watch: impl FnMut(usize, &str),
) -> Result<Played> {
    let Begin { overrides, now, flash } = begin;
    let card = memory(demo::image()?);
    let world = World::new(overrides, NamedCard::new("the demo card", card.clone()), flash, now)?;
    let mut stage = Stage { world, card, snaps: Vec::new(), read_card };
    let ended = script.lines().iter().try_for_each(|(number, line)| {
        watch(*number, &line.text);
        let place = || format!("{}:{number}: {}", script.file().shown(), line.text);
        stage.act(&line.step).with_context(place)
    });
    Ok(Played { snaps: stage.snaps, world: stage.world, card: stage.card, ended })
}

fn memory(bytes: Vec<u8>) -> MemoryCard {
    MemoryCard::new(bytes, Power::new())
}
