//! Simulated nights of one device with seeded faults: power that goes at any write, cards that are pulled, full, locked
//! or damaged, probes that break, bits that flip in the flash while the power is off, and hands that do the wrong thing.
//!
//! After every step the device is held against a plain model: the gate is open only from a release to the end of its
//! heat; the spool's balance is its first weight less what the books of all cards say, each start once; every line of
//! every book is whole, but the one that a cut left.

use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};

use holdpoint_desk::flash::Flash;
use holdpoint_desk::image::Image;
use holdpoint_desk::memory_card::MemoryCard;
use holdpoint_desk::plant::Part;
use holdpoint_desk::power::Power;
use holdpoint_desk::printer::Doing;
use holdpoint_desk::setup::Overrides;
use holdpoint_desk::slot::NamedCard;
use holdpoint_desk::world::{Lead, World};
use holdpoint_shared::app::Event;
use holdpoint_shared::daybook::{LineState, row_state};
use holdpoint_shared::media::{BlockIndex, MountToken, Volume};
use holdpoint_shared::phase::{Gate, Phase, Stage};

use crate::cards::read_record;
use crate::person::{act, act_until, short_card};
use crate::trade::Rng;

/// What the demo's ticket says is on its spool, mg.
const TICKET_MG: i64 = 110_000;
/// More than a run takes anybody.
const ACTS: usize = 3_000;
/// Steps of a night in which something may go wrong.
const STEPS: usize = 60;

/// What a soak has seen.
#[derive(Clone, Debug, Default)]
pub struct Figures {
    /// Nights played.
    pub nights: u32,
    /// Steps after which the device was held against the model.
    pub steps: u64,
    /// Faults by their names.
    pub faults: BTreeMap<&'static str, u32>,
    /// Rows in the books, each start counted once.
    pub rows: u32,
    /// Starts that are in no book and named or counted there as given up: more waited for a card than there are places.
    pub given_up: u32,
    /// Numbers of releases and refusals that the power cut off before the device had kept them: there was no start.
    pub cut_off: u32,
    /// Losses of the flash that the device told.
    pub told: u32,
    /// What was not as the model says.
    pub wrong: Vec<String>,
}

impl Figures {
    /// The README's lines.
    #[must_use]
    pub fn lines(&self) -> String {
        let faults = self.faults.values().sum::<u32>();
        let kinds = self.faults.iter().map(|(name, times)| format!("{times} {name}")).collect::<Vec<_>>();
        format!(
            "{} nights, {} steps compared, {faults} faults ({}), {} starts in the books, {} given up for want \
             of a card, {} cut off before they were one, {} losses told, {} not as the model says",
            self.nights,
            self.steps,
            kinds.join(", "),
            self.rows,
            self.given_up,
            self.cut_off,
            self.told,
            self.wrong.len()
        )
    }
}

/// A night's world and what it must be like.
struct Night<'r> {
    rng: &'r mut Rng,
    world: World,
    card: MemoryCard,
    /// Gate moves that were looked at.
    moves: usize,
    released: bool,
    figures: &'r mut Figures,
}

/// Plays so many nights on one device. Its flash goes from night to night, and each begins with a card anew.
#[must_use]
pub fn nights(seed: u64, count: u32) -> Figures {
    let mut figures = Figures::default();
    let mut rng = Rng::new(seed);
    let mut device = Device { cells: None, left_mg: TICKET_MG, booked: BTreeMap::new(), known: true };
    for number in 0..count {
        let played = catch_unwind(AssertUnwindSafe(|| play(&mut rng, &mut device, &mut figures)));
        let wrong = match played {
            Ok(Ok(())) => None,
            Ok(Err(what)) => Some(what),
            Err(_) => Some("it panicked".into()),
        };
        figures.nights += 1;
        if let Some(what) = wrong {
            figures.wrong.push(format!("night {number} of seed {seed}: {what}"));
            // The next night begins with a new device, and another course.
            device = Device { cells: None, left_mg: TICKET_MG, booked: BTreeMap::new(), known: true };
            rng = Rng::new(seed.wrapping_add(u64::from(number) + 1));
        }
    }
    figures
}

/// What is known of the device from night to night.
struct Device {
    cells: Option<Vec<u8>>,
    /// What must be left on the spool.
    left_mg: i64,
    /// Starts that were booked, by number.
    booked: BTreeMap<u32, i64>,
    /// The balance was not lost to damage.
    known: bool,
}

fn play(rng: &mut Rng, device: &mut Device, figures: &mut Figures) -> Result<(), String> {
    let card = MemoryCard::new(short_card(&[]), Power::new());
    let mut cells = device.cells.take();
    let flash_fault = rng.below(3);
    if let Some(cells) = cells.as_mut().filter(|_| flash_fault == 0) {
        // While the power was off.
        *figures.faults.entry("flash bits").or_default() += 1;
        let written: Vec<usize> = (0..cells.len()).filter(|at| cells[*at] != 0xFF).collect();
        let at = rng.pick(&written);
        cells[at] ^= 1 << rng.below(8);
    }
    let flash = cells.map_or_else(Flash::blank, Flash::of);
    let source = NamedCard::new("the card", card.clone());
    let world = World::new(Overrides::default(), source, flash, holdpoint_desk::demo::clock())
        .map_err(|error| format!("the device does not begin: {error:#}"))?;
    let cuts = figures.faults.get("power").copied().unwrap_or_default();
    let mut night = Night { rng, world, card: card.clone(), moves: 0, released: false, figures };
    night.go_wrong()?;
    night.put_right()?;
    let Night { world, .. } = night;
    let cuts = (figures.faults.get("power").copied().unwrap_or_default() - cuts) as usize;
    let app_left = world.app().and_then(|app| app.setup().spool.as_ref()).and_then(|spool| spool.left);
    let flash = world.into_flash().ok_or("no flash")?;
    // The books: each start once, the last row of it counts.
    for (rec, booked) in booked(&card)? {
        if device.booked.insert(rec, booked).is_some() {
            return Err(format!("start {rec} stands in two nights' books"));
        }
        device.left_mg -= booked;
        figures.rows += 1;
    }
    let (given_up, more) = given_up(&card)?;
    figures.given_up += u32::try_from(given_up.len() + more).unwrap_or(u32::MAX);
    let cells = flash.bytes().to_vec();
    let ledger = holdpoint_shared::ledger::Ledger::open(Flash::of(cells.clone()));
    let mut ledger = ledger.map_err(|refused| format!("the ledger at the night's end: {}", refused.error))?;
    if !ledger.losses().is_empty() {
        figures.told += 1;
        device.known = false;
    }
    let left = ledger.balance("S17").map_err(|error| error.to_string())?.map(|balance| balance.left.0);
    // Numbers between those of the books: used up by a release or a refusal that the power cut off.
    let newest = device.booked.keys().next_back().copied().unwrap_or_default();
    let missing: Vec<u32> = (1..newest).filter(|rec| !device.booked.contains_key(rec)).collect();
    let unnamed = missing.iter().filter(|rec| !given_up.contains(rec)).count();
    let Some(cut_off) = unnamed.checked_sub(more) else {
        return Err(format!("{missing:?} are in no book, {given_up:?} named, {more} more counted"));
    };
    if cut_off > cuts {
        return Err(format!(
            "{missing:?} are in no book, {given_up:?} named, {more} more counted, the power went {cuts} times"
        ));
    }
    figures.cut_off += u32::try_from(cut_off).unwrap_or(u32::MAX);
    if !given_up.is_empty() {
        // What these used is booked on the spool all the same.
        device.left_mg = left.map_or(device.left_mg, |left| left.min(device.left_mg));
    }
    device.booked.extend(missing.into_iter().map(|rec| (rec, 0)));
    if device.known && (left != Some(device.left_mg) || app_left.is_some_and(|left| left.0 != device.left_mg))
    {
        return Err(format!(
            "{} mg should be left: the ledger says {left:?}, the device {app_left:?}; starts booked: {:?}",
            device.left_mg,
            device.booked.keys()
        ));
    }
    device.cells = Some(cells);
    Ok(())
}

impl Night<'_> {
    fn count(&mut self, fault: &'static str) {
        *self.figures.faults.entry(fault).or_default() += 1;
    }

    /// Sensible steps with faults among them.
    fn go_wrong(&mut self) -> Result<(), String> {
        for _ in 0..STEPS {
            match self.rng.below(20) {
                0 => {
                    self.count("power");
                    let writes = self.rng.below(25) as u64;
                    self.world.power().cut_after(writes);
                }
                1 => {
                    self.count("power");
                    self.world.power_off();
                    self.look()?;
                    let off_ms = self.rng.below(120_000) as u64;
                    self.world.pass(off_ms);
                    self.world.power_on().map_err(|error| format!("power on: {error:#}"))?;
                }
                2 => {
                    self.count("cards");
                    if self.world.card_is_in() { drop(self.world.pull()) } else { drop(self.world.insert()) }
                }
                3 => {
                    self.count("cards");
                    self.card.protect(self.rng.chance(50));
                }
                4 => self.damage_card(),
                5 => {
                    self.count("probes");
                    let part = if self.rng.chance(50) { Part::Bed } else { Part::Nozzle };
                    let lead = self.rng.pick(&[Lead::Whole, Lead::Open, Lead::Shorted, Lead::None]);
                    self.world.set_lead(part, lead);
                }
                6 | 7 => self.wrong_hand(),
                _ => {
                    for _ in 0..1 + self.rng.below(12) {
                        act(&mut self.world);
                        self.look()?;
                    }
                }
            }
            self.look()?;
        }
        Ok(())
    }

    /// One of the card's blocks cannot be read for a while, or its tables' copies come apart.
    fn damage_card(&mut self) {
        self.count("cards");
        let blocks = (self.card.bytes().len() / 512) as u64;
        let block = self.rng.bits() % blocks;
        self.card.wear_out(BlockIndex(block));
    }

    fn wrong_hand(&mut self) {
        self.count("wrong hands");
        match self.rng.below(6) {
            0 => {
                let detents = self.rng.below(9) as i8 - 4;
                self.world.knob(Event::Turn(detents));
            }
            1 => self.world.knob(Event::Press),
            2 => {
                self.world.knob(Event::Hold);
                let ms = self.rng.below(3_000) as u64;
                self.world.pass(ms);
                self.world.knob(Event::LetGo);
            }
            3 => drop(self.world.start_printer()),
            4 => self.world.at_printer(|printer, plant| printer.stop(plant)),
            _ => {
                let ms = self.rng.below(900_000) as u64;
                self.world.pass(ms);
            }
        }
    }

    /// The room as it should be, and a person who does what the screen asks for, until the machine is free and the rows
    /// are on the card.
    fn put_right(&mut self) -> Result<(), String> {
        self.world.set_lead(Part::Bed, Lead::Whole);
        self.world.set_lead(Part::Nozzle, Lead::Whole);
        self.card.protect(false);
        self.card.wear_out(BlockIndex(u64::MAX));
        if self.world.app().is_none() {
            self.world.power_on().map_err(|error| format!("power on: {error:#}"))?;
        }
        self.world.power().restore();
        if self.world.app().is_some_and(|app| !app.phase().is_released()) {
            let _ = self.world.pull();
            self.world.pass(180_000);
        }
        self.world.at_printer(|printer, plant| printer.go_on(plant));
        let free = |world: &World| world.app().is_some_and(|app| app.phase() == Phase::Waiting);
        if !act_until(&mut self.world, ACTS, free) {
            return Err(format!("never free again; the screen is {}", self.world.page()));
        }
        self.look()?;
        // The card once more, for the rows that wait.
        let _ = self.world.pull();
        self.world.pass(120_000);
        act_until(&mut self.world, 30, |world| world.page() == "Jobs");
        self.world.pass(20_000);
        let _ = self.world.pull();
        self.world.pass(10_000);
        self.look()
    }

    /// Holds what there is against the model.
    fn look(&mut self) -> Result<(), String> {
        self.figures.steps += 1;
        let Some(app) = self.world.app() else { return Ok(()) };
        let phase = app.phase();
        self.released |= phase.is_released();
        let moves = self.world.gate();
        for (moved, next) in moves.iter().zip(moves.iter().skip(1).map(Some).chain([None])).skip(self.moves) {
            // A release, and the power went before the device had kept it: shut at once, and to be released again.
            let cut_off = next.is_some_and(|next| {
                next.gate == Gate::Shut && next.at - moved.at < chrono::TimeDelta::seconds(1)
            });
            if moved.gate == Gate::Open && !self.released && !cut_off {
                return Err(format!("the gate opened before any release, now in {phase:?}: {moves:?}"));
            }
        }
        self.moves = moves.len();
        // A gate that shuts while the vetted job heats would cut its heat.
        if phase.is_released() && self.world.printer().doing() != Doing::Idle && app.gate() == Gate::Shut {
            let stage = phase.stage();
            if matches!(stage, Some(Stage::WarmUp | Stage::FirstLayer | Stage::Run)) {
                return Err(format!("the gate is shut in {stage:?} while the printer is at work"));
            }
        }
        let _ = (self.world.frame(), self.world.page());
        Ok(())
    }
}

/// What each start and refusal of the card's book has booked, mg; every line must be whole, or what a cut left.
fn booked(card: &MemoryCard) -> Result<BTreeMap<u32, i64>, String> {
    let mut token = MountToken::new();
    let mut volume = Volume::mount(Image::from_bytes(card.bytes()), &mut token)
        .map_err(|error| format!("the card at the night's end: {error}"))?;
    let Ok(book) = read_record(&mut volume, "DAYBOOK.CSV") else { return Ok(BTreeMap::new()) };
    let mut booked = BTreeMap::new();
    for line in book.split_inclusive(|byte| *byte == b'\n') {
        match row_state(line) {
            LineState::Header | LineState::Cut | LineState::Empty => continue,
            LineState::Whole => {}
            LineState::Damaged => return Err(format!("a damaged line: {}", String::from_utf8_lossy(line))),
        }
        // No text of these rows holds a comma.
        let text = String::from_utf8_lossy(line);
        let cells: Vec<&str> = text.trim_end().split(',').collect();
        let (Some(rec), Some(grams)) = (cells.first().and_then(|cell| cell.parse().ok()), cells.get(21))
        else {
            return Err(format!("not a row: {text}"));
        };
        let grams: f64 = match *grams {
            "" => 0.0,
            grams => grams.parse().map_err(|_| format!("no mass: {text}"))?,
        };
        // A start's own row has booked nothing yet, and may stand before or after its close-out.
        let mg = booked.entry(rec).or_default();
        *mg = (grams * 1000.0).round().max(*mg as f64) as i64;
    }
    Ok(booked)
}

/// Numbers of starts that the card's events name as given up, and how many more they count without a name.
fn given_up(card: &MemoryCard) -> Result<(BTreeSet<u32>, usize), String> {
    let mut token = MountToken::new();
    let mut volume = Volume::mount(Image::from_bytes(card.bytes()), &mut token)
        .map_err(|error| format!("the card at the night's end: {error}"))?;
    let Ok(events) = read_record(&mut volume, "EVENTS.JSL") else { return Ok((BTreeSet::new(), 0)) };
    let events = String::from_utf8_lossy(&events);
    let lost = events.lines().filter(|line| line.contains("\"what\":\"row\""));
    let number = |line: &str, key: &str| -> Result<u32, String> {
        let text = line.split(key).nth(1).and_then(|rest| rest.split([',', '}']).next());
        text.and_then(|text| text.parse().ok()).ok_or_else(|| format!("no number after {key}: {line}"))
    };
    let (mut named, mut more) = (BTreeSet::new(), 0);
    for line in lost {
        named.insert(number(line, "\"rec\":")?);
        more += number(line, "\"more\":")? as usize;
    }
    Ok((named, more))
}
