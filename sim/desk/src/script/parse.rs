//! Text → instructions.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail, ensure};
use holdpoint_shared::records::OwnerCode;

use crate::plant::Part;
use crate::shown::Shown;
use crate::world::Lead;

/// One instruction.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// Another card is at hand; `None` = a fresh demo card.
    Card(Option<PathBuf>),
    /// The card goes in.
    Insert,
    /// The card comes out.
    Pull,
    /// The card's switch.
    Protect(bool),
    /// Detents.
    Turn(i8),
    /// Briefly.
    Press,
    /// For so long, ms.
    Hold(u64),
    /// To the job whose name contains this.
    Choose(String),
    /// To this answer, and press.
    Answer(String),
    /// A person's code.
    Code(String),
    /// A lead's key, digit by digit.
    Key(String),
    /// Milliseconds.
    Wait(u64),
    /// Until this screen or phase comes, within so many ms.
    Until(String, u64),
    /// A hand at the printer.
    Printer(Hand),
    /// A probe's wires.
    Probe(Part, Lead),
    /// For so long, ms.
    PowerOff(u64),
    /// Whether the device knows the time.
    ClockKnown(bool),
    /// A picture of this name.
    Snap(String),
    /// This text stands on the screen.
    ExpectText(String),
    /// This is the screen or the phase.
    ExpectScreen(String),
    /// The gate is open.
    ExpectGate(bool),
}

/// What a hand does at the printer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hand {
    /// Starts the vetted job.
    Start,
    /// Stops it; also: its heat goes off by itself.
    Stop,
    /// Pauses it.
    Pause,
    /// Lets it go on.
    Go,
    /// Its time from now on, permille of the survey's.
    Takes(u32),
}

/// A line that asks for something.
#[derive(Clone, Debug)]
pub struct Line {
    /// As it is written.
    pub text: String,
    /// What it asks for.
    pub step: Step,
}

/// A script that was read whole.
#[derive(Clone, Debug)]
pub struct Script {
    file: PathBuf,
    lines: Vec<(usize, Line)>,
}

/// A day: no job of the demo lasts longer.
const DAY_MS: u64 = 86_400_000;

impl Script {
    /// Reads a script; `file` stands in messages, which names the cards that it uses.
    ///
    /// # Errors
    /// When a line is none of the language: the message names the line and the remedy.
    pub fn parse(file: &Path, text: &str) -> Result<Self> {
        let mut lines = Vec::new();
        for (number, line) in (1..).zip(text.lines()) {
            let line = line.split_once('#').map_or(line, |(before, _)| before).trim();
            if line.is_empty() {
                continue;
            }
            let step = step(line).with_context(|| {
                format!("{}:{number}: `{line}`; `holdpoint snap --help` has the language", file.shown())
            })?;
            lines.push((number, Line { text: line.shown().to_string(), step }));
        }
        ensure!(!lines.is_empty(), "{}: holds no instruction", file.shown());
        Ok(Self { file: file.to_owned(), lines })
    }

    /// Where it was read.
    #[must_use]
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// Its instructions with the numbers of their lines.
    #[must_use]
    pub fn lines(&self) -> &[(usize, Line)] {
        &self.lines
    }
}

fn step(line: &str) -> Result<Step> {
    let (word, rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
    let rest = rest.trim();
    let some = || -> Result<String> {
        ensure!(!rest.is_empty(), "`{word}` wants something after it");
        Ok(rest.to_owned())
    };
    let nothing = |step: Step| -> Result<Step> {
        ensure!(rest.is_empty(), "`{word}` takes nothing after it, and here stands `{rest}`");
        Ok(step)
    };
    match word {
        "card" if rest == "demo" => Ok(Step::Card(None)),
        "card" => Ok(Step::Card(Some(some()?.into()))),
        "insert" => nothing(Step::Insert),
        "pull" => nothing(Step::Pull),
        "protect" => Ok(Step::Protect(either(rest, "on", "off")?)),
        "turn" => Ok(Step::Turn(rest.parse().context("write how many detents, -100 to 100")?)),
        "press" => nothing(Step::Press),
        "hold" => Ok(Step::Hold(span(rest)?)),
        "choose" => Ok(Step::Choose(some()?)),
        "answer" => Ok(Step::Answer(some()?)),
        "code" => {
            ensure!(
                OwnerCode::new(rest).is_some(),
                "write a code of two to four letters or digits: `code K7`"
            );
            Ok(Step::Code(rest.to_ascii_uppercase()))
        }
        "key" => {
            let digits = rest.len() == 4 && rest.bytes().all(|byte| byte.is_ascii_digit());
            ensure!(digits, "write a lead's key such as `key 4711`");
            Ok(Step::Key(rest.to_owned()))
        }
        "wait" => Ok(Step::Wait(span(rest)?)),
        "until" => match rest.split_once(" within ") {
            Some((word, most)) => Ok(Step::Until(word.trim().to_owned(), span(most.trim())?)),
            None => Ok(Step::Until(some()?, DAY_MS)),
        },
        "printer" => hand(rest).map(Step::Printer),
        "probe" => probe(rest),
        "power" => match rest.strip_prefix("off ") {
            Some(rest) => Ok(Step::PowerOff(span(rest.trim())?)),
            None => bail!("write `power off 5 min`"),
        },
        "clock" => Ok(Step::ClockKnown(either(rest, "known", "lost")?)),
        "snap" => Ok(Step::Snap(some()?.shown().to_string())),
        "expect" => match rest.split_once(char::is_whitespace) {
            Some(("screen", word)) => Ok(Step::ExpectScreen(word.trim().to_owned())),
            Some(("gate", word)) => Ok(Step::ExpectGate(either(word.trim(), "open", "shut")?)),
            _ => Ok(Step::ExpectText(some()?)),
        },
        _ => bail!("there is no instruction `{word}`"),
    }
}

fn either(word: &str, yes: &str, no: &str) -> Result<bool> {
    match word {
        _ if word == yes => Ok(true),
        _ if word == no => Ok(false),
        _ => bail!("write `{yes}` or `{no}`"),
    }
}

fn hand(rest: &str) -> Result<Hand> {
    Ok(match rest {
        "start" => Hand::Start,
        "stop" | "end" | "fail" => Hand::Stop,
        "pause" => Hand::Pause,
        "go" => Hand::Go,
        _ => {
            let percent = rest.strip_prefix("takes ").and_then(|rest| rest.strip_suffix('%'));
            let percent = percent.and_then(|percent| percent.trim().parse::<u32>().ok());
            match percent {
                Some(percent @ 10..=1000) => Hand::Takes(percent * 10),
                _ => bail!(
                    "write `printer start`, stop, pause, go, end, fail, or `printer takes 105 %` (10 to 1000 %)"
                ),
            }
        }
    })
}

fn probe(rest: &str) -> Result<Step> {
    let (part, lead) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
    let part = match part {
        "plate" => Part::Bed,
        "nozzle" => Part::Nozzle,
        _ => bail!("write `probe plate open`: the probes are plate and nozzle"),
    };
    let lead = match lead.trim() {
        "ok" => Lead::Whole,
        "open" => Lead::Open,
        "short" => Lead::Shorted,
        "none" => Lead::None,
        _ => bail!("write ok, open, short or none after the probe"),
    };
    Ok(Step::Probe(part, lead))
}

/// A span of time, ms.
fn span(text: &str) -> Result<u64> {
    let digits = text.trim_end_matches(|letter: char| !letter.is_ascii_digit());
    let unit = text.get(digits.len()..).unwrap_or_default().trim();
    let ms = match unit {
        "ms" => 1,
        "s" => 1_000,
        "min" => 60_000,
        "h" => 3_600_000,
        _ => bail!("write a span with its unit: 90 s, 15 min, 2 h"),
    };
    let number: f64 = digits.trim().parse().context("write a span such as 90 s, 15 min, 2 h")?;
    ensure!((0.0..=1_000_000.0).contains(&number), "a span of {number} {unit} is beyond any script");
    Ok((number * f64::from(ms)) as u64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_says_one_thing() {
        assert_eq!(step("until Cooling within 2 h").unwrap(), Step::Until("Cooling".into(), 7_200_000));
        assert_eq!(step("hold 1.6 s").unwrap(), Step::Hold(1_600));
        assert_eq!(step("printer takes 105 %").unwrap(), Step::Printer(Hand::Takes(1050)));
        assert_eq!(step("probe plate open").unwrap(), Step::Probe(Part::Bed, Lead::Open));
        assert_eq!(step("code k7").unwrap(), Step::Code("K7".into()));
        assert_eq!(step("key 4711").unwrap(), Step::Key("4711".into()));
        assert_eq!(step("expect gate shut").unwrap(), Step::ExpectGate(false));
        assert_eq!(step("expect gate").unwrap(), Step::ExpectText("gate".into()));
    }

    #[test]
    fn a_wrong_line_is_named_with_its_remedy() {
        let said = |text: &str| format!("{:#}", Script::parse(Path::new("x.txt"), text).unwrap_err());
        let wrong = said("press\n\nprest # twice\n");
        assert!(wrong.contains("x.txt:3") && wrong.contains("no instruction `prest`"), "{wrong}");
        for (line, remedy) in [
            ("wait 5", "unit"),
            ("press 2", "takes nothing"),
            ("code KARLA", "two to four"),
            ("key 47", "key 4711"),
            ("turn", "detents"),
            ("power 3 min", "power off"),
            ("probe bed open", "plate and nozzle"),
            ("protect", "`on` or `off`"),
            ("choose", "wants something"),
            ("# nothing", "no instruction"),
        ] {
            assert!(said(line).contains(remedy), "{line}: {}", said(line));
        }
    }
}
