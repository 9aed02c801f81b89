//! Instructions → what happens in the world.

use anyhow::{Result, bail, ensure};
use holdpoint_shared::app::Event;
use holdpoint_shared::phase::{Gate, Phase, Question};
use holdpoint_shared::screens::{Item, RunScreen, ScreenModel};
use holdpoint_shared::words::run::{RunPage, Term};

use super::parse::{Hand, Step};
use super::{Snap, Stage, memory};
use crate::shown::Shown;
use crate::slot::NamedCard;
use crate::world::World;
use crate::{demo, reading};

/// A person looks so long before pressing, ms.
const LOOK_MS: u64 = 700;

/// Between two detents, ms.
const DETENT_MS: u64 = 120;

/// More detents than any list of answers has; a card's jobs take more.
const MOST_DETENTS: usize = 40;

/// The most jobs that are turned through.
const MOST_JOBS: usize = 2_000;

impl Stage<'_> {
    pub(super) fn act(&mut self, step: &Step) -> Result<()> {
        let world = &mut self.world;
        match step {
            Step::Card(file) => self.other_card(file.as_deref())?,
            Step::Insert => {
                world.insert()?;
                settle(world);
            }
            Step::Pull => world.pull()?,
            Step::Protect(on) => self.card.protect(*on),
            Step::Turn(detents) => {
                for _ in 0..detents.unsigned_abs() {
                    turn(world, detents.signum());
                }
            }
            Step::Press => {
                world.pass(LOOK_MS);
                world.knob(Event::Press);
                settle(world);
            }
            Step::Hold(ms) => {
                world.knob(Event::Hold);
                world.pass(*ms);
                world.knob(Event::LetGo);
            }
            Step::Choose(name) => choose(world, name)?,
            Step::Answer(word) => answer(world, word)?,
            Step::Code(text) => code(world, text)?,
            Step::Key(digits) => key(world, digits)?,
            Step::Wait(ms) => world.pass(*ms),
            Step::Until(word, most_ms) => {
                let came = world.pass_until(*most_ms, 250, |world| is(world, word));
                ensure!(
                    came,
                    "it did not come; the screen is {}:\n{}",
                    world.page(),
                    reading::read(&world.frame())
                );
            }
            Step::Printer(hand) => match hand {
                Hand::Start => world.start_printer()?,
                Hand::Stop => world.at_printer(|printer, plant| printer.stop(plant)),
                Hand::Pause => world.at_printer(|printer, plant| printer.pause(plant)),
                Hand::Go => world.at_printer(|printer, plant| printer.go_on(plant)),
                Hand::Takes(permille) => world.at_printer(|printer, _| printer.set_permille(*permille)),
            },
            Step::Probe(part, lead) => world.set_lead(*part, *lead),
            Step::PowerOff(ms) => {
                world.power_off();
                world.pass(*ms);
                world.power_on()?;
                settle(world);
            }
            Step::ClockKnown(known) => world.set_wall_known(*known),
            Step::Snap(name) => {
                let frame = world.frame();
                let text = reading::read(&frame);
                let clock = world.wall().format("%H:%M:%S").to_string();
                self.snaps.push(Snap { name: name.clone(), frame, text, clock });
            }
            Step::ExpectText(text) => {
                let read = reading::read(&world.frame());
                let bare = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
                ensure!(bare(&read).contains(&bare(text)), "the screen says:\n{read}");
            }
            Step::ExpectScreen(word) => {
                ensure!(
                    is(world, word),
                    "the screen is {}:\n{}",
                    world.page(),
                    reading::read(&world.frame())
                );
            }
            Step::ExpectGate(open) => {
                let is_open = world.app().is_some_and(|app| app.gate() == Gate::Open);
                ensure!(is_open == *open, "the gate is {}", if is_open { "open" } else { "shut" });
            }
        }
        Ok(())
    }

    fn other_card(&mut self, file: Option<&std::path::Path>) -> Result<()> {
        let (name, bytes) = match file {
            None => ("the demo card".to_owned(), demo::image()?),
            Some(file) => (file.shown().to_string(), (self.read_card)(file)?),
        };
        let card = memory(bytes);
        self.world.take_card(NamedCard::new(&name, card.clone()))?;
        self.card = card;
        Ok(())
    }
}

/// Lets the core read what it has to, as a person waits until the screen stands still.
pub fn settle(world: &mut World) {
    world.pass(300);
    // A card and a job are read within a minute, whatever they hold.
    world.pass_until(60_000, 100, |world| !matches!(world.page().as_str(), "Reading" | "Vetting"));
    // The list's first verdicts come one by one.
    world.pass(1_000);
}

fn turn(world: &mut World, detents: i8) {
    world.knob(Event::Turn(detents));
    world.pass(DETENT_MS);
}

/// Whether this is the screen's name, or the phase's.
fn is(world: &World, word: &str) -> bool {
    world.page() == word || world.app().is_some_and(|app| phase_word(app.phase()) == word)
}

fn phase_word(phase: Phase) -> String {
    match phase.stage() {
        Some(stage) => format!("{stage:?}"),
        None => {
            let name = format!("{phase:?}");
            name.split([' ', '{']).next().unwrap_or_default().to_owned()
        }
    }
}

fn chosen_name(world: &World) -> Option<String> {
    world.model(|model| match model {
        ScreenModel::Jobs(jobs) => Some(jobs.row.name.to_owned()),
        _ => None,
    })?
}

fn choose(world: &mut World, name: &str) -> Result<()> {
    ensure!(chosen_name(world).is_some(), "no list of jobs is shown; the screen is {}", world.page());
    for detents in [-1, 1] {
        let mut last = None;
        for _ in 0..MOST_JOBS {
            let now = chosen_name(world);
            if detents > 0 && now.as_deref().is_some_and(|now| now.contains(name)) {
                return Ok(());
            }
            if now == last && now.is_some() {
                break;
            }
            last = now;
            turn(world, detents);
            world.pass_until(10_000, 100, |world| chosen_name(world).is_some());
        }
    }
    bail!("no job on the card has `{name}` in its name; write it as the list shows it")
}

/// Enters a lead's key.
///
/// # Errors
/// When none is asked for.
pub fn key(world: &mut World, digits: &str) -> Result<()> {
    ensure!(
        matches!(world.page().as_str(), "LeadKey" | "DeskKey"),
        "no key is asked for; the screen is {}",
        world.page()
    );
    for digit in digits.bytes().filter(u8::is_ascii_digit) {
        for _ in b'0'..digit {
            turn(world, 1);
        }
        world.pass(LOOK_MS);
        world.knob(Event::Press);
    }
    settle(world);
    Ok(())
}

/// The answer that leads to a code put in sign by sign.
const ANOTHER: &str = "Another";

/// The sign on the knob while a code is put in.
fn sign(world: &World) -> Option<String> {
    world.model(|model| {
        let ScreenModel::Run(RunScreen { page: RunPage::CodeEntry, items: [Item::Text(text), ..] }) = model
        else {
            return None;
        };
        Some(text.split_once('[')?.1.trim_end_matches(']').to_owned())
    })?
}

/// Answers who it is: from the list, or sign by sign.
///
/// # Errors
/// When nobody is asked for.
pub fn code(world: &mut World, text: &str) -> Result<()> {
    for _ in 0..MOST_DETENTS {
        if sign(world).is_some() {
            break;
        }
        match on_the_knob(world) {
            Some(Knob::Word(now)) if now == text || now == ANOTHER => {
                world.pass(LOOK_MS);
                world.knob(Event::Press);
                settle(world);
                if now == text {
                    return Ok(());
                }
            }
            Some(_) => turn(world, 1),
            None => bail!("no code is asked for; the screen is {}", world.page()),
        }
    }
    let signs = text.chars().map(String::from).chain((text.len() < 4).then(|| "OK".to_owned()));
    for wanted in signs {
        for _ in 0..MOST_DETENTS {
            if sign(world).is_none_or(|now| now == wanted) {
                break;
            }
            turn(world, 1);
        }
        ensure!(sign(world).as_deref() == Some(&wanted), "`{wanted}` is not on the knob");
        world.pass(LOOK_MS);
        world.knob(Event::Press);
    }
    settle(world);
    Ok(())
}

/// What stands on the knob, and how many answers there are before it.
enum Knob {
    Word(String),
    Blank,
}

fn on_the_knob(world: &World) -> Option<Knob> {
    world.model(|model| {
        let ScreenModel::Asked(asked) = model else { return None };
        let Some(place) = asked.place else { return Some(Knob::Blank) };
        let answer = asked.question.answer(asked.order, place).map(|answer| answer.name().to_owned());
        let person = matches!(asked.question, Question::Owner | Question::InCharge);
        let mark = asked.items.iter().find_map(|item| match item {
            Item::Mark(Some(mark)) => Some((*mark).to_owned()),
            Item::Text(code) if person => Some((*code).to_owned()),
            Item::Term(Term::Nobody) => Some("Nobody".to_owned()),
            Item::Term(Term::AnotherCode) => Some(ANOTHER.to_owned()),
            _ => None,
        });
        Some(answer.or(mark).map_or(Knob::Blank, Knob::Word))
    })?
}

/// Turns to the answer of this name and presses.
///
/// # Errors
/// When nothing is asked, or there is no such answer.
pub fn answer(world: &mut World, word: &str) -> Result<()> {
    let mut seen = Vec::new();
    for detents in [-1, 1] {
        for _ in 0..MOST_DETENTS {
            match on_the_knob(world) {
                Some(Knob::Word(now)) if now.trim_matches(['>', '<']) == word => {
                    world.pass(LOOK_MS);
                    world.knob(Event::Press);
                    settle(world);
                    return Ok(());
                }
                Some(Knob::Word(now)) => {
                    if !seen.contains(&now) {
                        seen.push(now);
                    }
                }
                Some(Knob::Blank) => {}
                // The card goes to the printer: that page stands before the answer "this job".
                None if world.page() == "MoveCard" => {
                    if word == "SameJob" {
                        world.pass(LOOK_MS);
                        world.knob(Event::Press);
                        settle(world);
                        return Ok(());
                    }
                }
                None => bail!("nothing is asked; the screen is {}", world.page()),
            }
            turn(world, detents);
        }
    }
    bail!("there is no such answer; there are {}", seen.join(", "))
}
