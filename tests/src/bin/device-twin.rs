//! The device on the desktop, driven line by line: what a board must show. `.ci/chip` runs it beside the firmware.
//!
//! A line in is an act, a line out (JSON) is what came of it.
//!
//! | line | does |
//! | --- | --- |
//! | `time MS WALL` | lets time pass until so many milliseconds since the power came; `WALL` is the room's time, or `-` |
//! | `probes PLATE AIR NOZZLE` | what the converter counts from now on, at each probe |
//! | `card PATH WORN` | puts in the card of this image: a copy, nothing is written to the file; `WORN` is a block that cannot be read, or `-` |
//! | `pull` | takes it out |
//! | `turn DETENTS`, `press`, `hold`, `let-go` | works the knob |
//! | `restart WALL` | power off and on; time begins anew, and the card is out |
//! | `lines A\|B\|C\|D\|E\|F` | draws six lines as a board tells something of its own, and does nothing |

use std::io::{BufRead as _, Write as _};
use std::process::ExitCode;

use anyhow::{Context as _, Result, bail};
use holdpoint_desk::device::{Clock, Device};
use holdpoint_desk::flash::{self, Flash};
use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::power::Power;
use holdpoint_desk::setup::Overrides;
use holdpoint_desk::slot::CardIn;
use holdpoint_desk::slot::NamedCard;
use holdpoint_shared::app::{Event, Now, Probe};
use holdpoint_shared::heat::{Curve, MilliCelsius, Thermistor};
use holdpoint_shared::media::BlockIndex;
use holdpoint_shared::screens::{Frame, Item, ScreenModel, draw_lines};
use holdpoint_shared::time::{Instant, WallClock};

/// The board's probes, from `firmware/README.md`: 100 kΩ, B 3950, 4.7 kΩ to the reference, twelve bits.
const PROBES: [(Probe, Thermistor); 3] =
    [(Probe::Plate, probe(155_000)), (Probe::Air, probe(155_000)), (Probe::Nozzle, probe(300_000))];
/// Between two readings of the probes.
const PROBE_MS: u64 = 250;
/// Far more steps than a card of the tests wants.
const MOST_STEPS: u32 = 1_000_000;

const fn probe(highest: i32) -> Thermistor {
    let curve = Curve::beta(100_000, 3_950, (MilliCelsius(-20_000), MilliCelsius(highest)));
    Thermistor { pull_up_ohm: 4_700, full_scale: 4_095, curve }
}

struct Twin {
    device: Device,
    now: Now,
    card: Option<CardIn>,
    counts: Option<[u16; 3]>,
}

impl Twin {
    fn new(settings: &Overrides, flash: Flash, now: Now) -> Result<Self> {
        let device = Device::new(settings, Clock::Set(now), flash::open(flash)?)?;
        Ok(Self { device, now, card: None, counts: None })
    }

    fn handle(&mut self, event: Event) -> Result<()> {
        self.device.handle(event);
        self.work()
    }

    /// All the work that is due now.
    fn work(&mut self) -> Result<()> {
        for _ in 0..MOST_STEPS {
            let more = match &mut self.card {
                Some(card) => card.with(|files| self.device.step(files)),
                None => self.device.step(None),
            };
            if !more {
                return Ok(());
            }
        }
        bail!("the core is still at work after {MOST_STEPS} steps")
    }

    fn set_time(&mut self, instant: Instant, wall: Option<WallClock>) -> Result<()> {
        // Between two readings of the clock chip the last one stands; so it does here.
        self.now = Now { instant, wall };
        *self.device.clock_mut() = Clock::Set(self.now);
        self.work()
    }

    fn pass(&mut self, until: u64, wall: Option<WallClock>) -> Result<()> {
        let mut at = self.now.instant.0;
        while at < until {
            at = until.min(at - at % PROBE_MS + PROBE_MS);
            let left = chrono::TimeDelta::milliseconds((until - at).cast_signed());
            self.set_time(Instant(at), wall.map(|wall| wall - left))?;
            if at.is_multiple_of(PROBE_MS)
                && let Some(counts) = self.counts
            {
                for ((place, probe), counts) in PROBES.iter().zip(counts) {
                    self.device.handle(Event::Probe(*place, probe.read(counts)));
                }
                self.work()?;
            }
        }
        self.set_time(Instant(at), wall)
    }

    fn insert(&mut self, path: &str, worn: Option<u64>) -> Result<()> {
        let bytes = std::fs::read(path).with_context(|| path.to_owned())?;
        let memory = MemoryCard::new(bytes, Power::new());
        if let Some(block) = worn {
            memory.wear_out(BlockIndex(block));
        }
        let source = NamedCard::new(path, memory);
        let (card, event) = CardIn::insert(Box::new(source))?;
        self.card = Some(card);
        self.handle(event)
    }

    fn pull(&mut self) -> Result<()> {
        self.card = None;
        self.handle(Event::CardRemoved)
    }

    /// The answer or the mark that the knob stands at; `-` = at none.
    fn knob(&self) -> String {
        let word = self.device.model(|model| {
            let ScreenModel::Asked(asked) = model else { return None };
            let answer = asked.question.answer(asked.order, asked.place?).map(|answer| answer.name());
            let mark = asked.items.iter().find_map(|item| match item {
                Item::Mark(mark) => *mark,
                _ => None,
            });
            answer.or(mark).map(str::to_owned)
        });
        word.unwrap_or_else(|| "-".to_owned())
    }

    fn told(&self, frame: &Frame) -> String {
        let phase = self.device.app().phase();
        let phase = phase.stage().map_or_else(|| format!("{phase:?}"), |stage| format!("{stage:?}"));
        let phase = phase.split([' ', '{']).next().unwrap_or_default().to_owned();
        format!(
            r#"{{"page":"{}","phase":"{phase}","knob":"{}","gate":"{:?}","frame":"{}"}}"#,
            self.device.page(),
            self.knob(),
            self.device.app().gate(),
            frame.as_bytes().iter().map(|byte| format!("{byte:02x}")).collect::<String>(),
        )
    }
}

fn parsed<T: std::str::FromStr>(word: Option<&str>) -> Result<T> {
    word.and_then(|word| word.parse().ok()).context("a number is missing")
}

fn wall(word: Option<&str>) -> Result<Option<WallClock>> {
    Ok(word.filter(|wall| *wall != "-").map(str::parse).transpose()?)
}

fn act(twin: &mut Twin, settings: &Overrides, line: &str) -> Result<()> {
    let mut words = line.split_whitespace();
    match words.next() {
        Some("time") => {
            let until = parsed(words.next())?;
            twin.pass(until, wall(words.next())?)
        }
        Some("probes") => {
            twin.counts = Some([parsed(words.next())?, parsed(words.next())?, parsed(words.next())?]);
            Ok(())
        }
        Some("card") => {
            let path = words.next().context("which card?")?;
            let worn = words.next().filter(|worn| *worn != "-").map(str::parse).transpose()?;
            twin.insert(path, worn)
        }
        Some("pull") => twin.pull(),
        Some("turn") => twin.handle(Event::Turn(parsed(words.next())?)),
        Some("press") => twin.handle(Event::Press),
        Some("hold") => twin.handle(Event::Hold),
        Some("let-go") => twin.handle(Event::LetGo),
        Some("restart") => {
            let now = Now { instant: Instant(0), wall: wall(words.next())? };
            let old = std::mem::replace(twin, Twin::new(settings, Flash::blank(), now)?);
            *twin = Twin { counts: old.counts, ..Twin::new(settings, old.device.power_off(), now)? };
            twin.work()
        }
        _ => bail!("nobody knows what to do with {line:?}"),
    }
}

fn main() -> Result<ExitCode> {
    let settings = Overrides::default();
    let mut twin = Twin::new(&settings, Flash::blank(), Now::default())?;
    let mut out = std::io::stdout();
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        let frame = if let Some(lines) = line.strip_prefix("lines ") {
            let lines: Vec<_> = lines.split('|').collect();
            let mut frame = Frame::new();
            let Ok(()) = draw_lines(lines.try_into().ok().context("six lines are wanted")?, &mut frame);
            frame
        } else {
            act(&mut twin, &settings, &line)?;
            twin.device.frame()
        };
        writeln!(out, "{}", twin.told(&frame))?;
        out.flush()?;
    }
    Ok(ExitCode::SUCCESS)
}
