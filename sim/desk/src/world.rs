//! A whole simulated machine: the device with its card and its flash, a printer with heaters, the
//! probes between the two, a clock that runs at any speed, and hands that do what a person does.
//!
//! It adds time, heat and hands, and no rule: what is shown, asked and written comes from the core alone. The same
//! calls give the same run.

use anyhow::{Result, bail};
use chrono::NaiveDateTime;
use holdpoint_shared::app::{App, Event, Now, Probe};
use holdpoint_shared::heat::{self, Curve, MilliCelsius, ProbeReading};
use holdpoint_shared::ledger::{Ledger, LedgerError, Refused};
use holdpoint_shared::phase::{Beep, Gate, Stage};
use holdpoint_shared::records::Machine;
use holdpoint_shared::screens::{Frame, ScreenModel};
use holdpoint_shared::time::Instant;

use crate::clock::HandClock;
use crate::device::{Clock, Device};
use crate::flash::Flash;
use crate::plant::{FULL_SCALE, PULL_UP_OHM, Part, PartMake, Plant, PlantMake};
use crate::power::Power;
use crate::printer::{Doing, Printer, PrinterJob};
use crate::setup::{Overrides, Records};
use crate::slot::{Card, CardIn};

/// Between two readings of the probes, as a board reads them, ms.
const PROBE_MS: u64 = 250;

/// Bounded pieces of work that the core gets done in a millisecond: two megabytes of a job a second.
const STEPS_A_MS: u64 = 4;

/// The plant's thermistor, as a board would state it.
pub const PROBE: heat::Thermistor = heat::Thermistor {
    pull_up_ohm: PULL_UP_OHM,
    full_scale: FULL_SCALE,
    curve: Curve::beta(100_000, 3950, (MilliCelsius(-20_000), MilliCelsius(350_000))),
};

/// What a probe's lead is like.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Lead {
    /// As it should be.
    #[default]
    Whole,
    /// Broken.
    Open,
    /// Its wires touch.
    Shorted,
    /// There is no probe.
    None,
}

/// The gate's contact moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GateMove {
    /// When.
    pub at: NaiveDateTime,
    /// To what.
    pub gate: Gate,
    /// The plate's true temperature then, °C.
    pub plate_c: f64,
    /// The hot end's.
    pub nozzle_c: f64,
}

/// A reading as a probe gave it to the device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Given {
    /// When, milliseconds since the world began.
    pub at_ms: u64,
    /// The stage of the run in which the device was.
    pub stage: Option<Stage>,
    /// Which probe.
    pub probe: Probe,
    /// What it gave.
    pub reading: ProbeReading,
}

/// Where the device's card is.
#[derive(Debug)]
enum Slot {
    /// In the device.
    In(CardIn),
    /// In a hand, or in the printer.
    Out(Box<dyn Card>),
    /// In the device, whose power is off.
    Unpowered(Box<dyn Card>),
    /// In between, for as long as a call lasts.
    Moving,
}

/// The machine, the device and all that is around them.
#[derive(Debug)]
pub struct World {
    overrides: Overrides,
    device: Option<Device>,
    /// The device's flash while its power is off.
    flash: Option<Flash>,
    power: Power,
    clock: HandClock,
    /// Milliseconds at which the device was switched on.
    began: Instant,
    wall_known: bool,
    slot: Slot,
    plant: Plant,
    printer: Printer,
    job: Option<PrinterJob>,
    leads: [Lead; 2],
    gate: Vec<GateMove>,
    /// When the printer's heat went off for good, each time.
    ends: Vec<NaiveDateTime>,
    sounds: Vec<(NaiveDateTime, Beep)>,
    /// What the probes gave, where it is kept.
    given: Option<Vec<Given>>,
}

impl World {
    /// A device that is switched on at `now`, with this card beside it.
    ///
    /// # Errors
    /// When the card's records cannot be read, or the flash holds something else than a ledger.
    pub fn new(
        overrides: Overrides,
        card: impl Card + 'static,
        flash: Flash,
        now: NaiveDateTime,
    ) -> Result<Self> {
        let mut card: Box<dyn Card> = Box::new(card);
        let records_at = card.records_at();
        // For the plant alone: the device reads them itself.
        let setup = Records::load(&overrides, card.mount()?.as_mut().ok(), &records_at)?.setup;
        let mut world = Self {
            plant: Plant::new(make(&setup.machine, setup.room.ambient.map(|air| air.0)), 1),
            overrides,
            device: None,
            flash: None,
            power: Power::new(),
            clock: HandClock::at(now),
            began: Instant(0),
            wall_known: true,
            slot: Slot::Out(card),
            printer: Printer::default(),
            job: None,
            leads: [Lead::default(); 2],
            gate: Vec::new(),
            ends: Vec::new(),
            sounds: Vec::new(),
            given: None,
        };
        world.hang_card();
        world.flash = Some(flash.on(world.power.clone()));
        world.power_on()?;
        Ok(world)
    }

    /// The core; `None` while its power is off.
    #[must_use]
    pub fn app(&self) -> Option<&App> {
        self.device.as_ref().map(Device::app)
    }

    /// The screen; dark while the power is off.
    #[must_use]
    pub fn frame(&self) -> Frame {
        self.device.as_ref().map_or_else(Frame::new, Device::frame)
    }

    /// The screen's name: the page's, the question's, or the model's.
    #[must_use]
    pub fn page(&self) -> String {
        self.device.as_ref().map_or_else(|| "Dark".to_owned(), Device::page)
    }

    /// What the screen shows, as plain data; `None` while the power is off.
    pub fn model<R>(&self, look: impl FnOnce(&ScreenModel<'_>) -> R) -> Option<R> {
        self.device.as_ref().map(|device| device.model(look))
    }

    /// What time it is in the room.
    #[must_use]
    pub fn wall(&self) -> NaiveDateTime {
        self.clock.now().wall.unwrap_or_default()
    }

    /// Milliseconds since the world began.
    #[must_use]
    pub fn now_ms(&self) -> u64 {
        self.clock.now().instant.0
    }

    /// Whether the device knows the time; a clock without a battery loses it with its power.
    pub const fn set_wall_known(&mut self, known: bool) {
        self.wall_known = known;
    }

    /// The supply of device and card.
    #[must_use]
    pub const fn power(&self) -> &Power {
        &self.power
    }

    /// The printer.
    #[must_use]
    pub const fn printer(&self) -> &Printer {
        &self.printer
    }

    /// The heaters and the air.
    #[must_use]
    pub const fn plant(&self) -> &Plant {
        &self.plant
    }

    /// Another plant: one with faults.
    pub fn set_plant(&mut self, change: impl FnOnce(Plant) -> Plant) {
        self.plant = change(self.plant.clone());
    }

    /// When the gate's contact moved, and to what.
    #[must_use]
    pub fn gate(&self) -> &[GateMove] {
        &self.gate
    }

    /// When a job of the printer came to its end or was stopped.
    #[must_use]
    pub fn ends(&self) -> &[NaiveDateTime] {
        &self.ends
    }

    /// Sounds so far.
    #[must_use]
    pub fn sounds(&self) -> &[(NaiveDateTime, Beep)] {
        &self.sounds
    }

    /// From now on what the probes give is kept; a night of it takes megabytes.
    pub fn keep_readings(&mut self) {
        self.given = Some(Vec::new());
    }

    /// What the probes gave since then.
    #[must_use]
    pub fn readings(&self) -> &[Given] {
        self.given.as_deref().unwrap_or_default()
    }

    /// Whether the card is in the device.
    #[must_use]
    pub const fn card_is_in(&self) -> bool {
        matches!(self.slot, Slot::In(_) | Slot::Unpowered(_))
    }

    /// Cuts, shorts or mends a probe's lead.
    pub const fn set_lead(&mut self, part: Part, lead: Lead) {
        let [nozzle, bed] = &mut self.leads;
        match part {
            Part::Nozzle => *nozzle = lead,
            Part::Bed => *bed = lead,
        }
    }

    /// A hand does something to the knob.
    pub fn knob(&mut self, event: Event) {
        self.handle(event);
        self.work(0);
    }

    fn handle(&mut self, event: Event) {
        self.tell_time();
        if let Some(device) = &mut self.device {
            device.handle(event);
        }
    }

    /// Puts the card in.
    ///
    /// # Errors
    /// When it is in, or cannot be opened.
    pub fn insert(&mut self) -> Result<()> {
        match std::mem::replace(&mut self.slot, Slot::Moving) {
            Slot::Out(source) if self.device.is_some() => {
                let (card, event) = CardIn::insert(source)?;
                self.slot = Slot::In(card);
                self.handle(event);
                // Its three records and what follows from them, before anybody can touch the knob.
                self.work(1);
                Ok(())
            }
            Slot::Out(source) => {
                self.slot = Slot::Unpowered(source);
                Ok(())
            }
            slot => {
                self.slot = slot;
                bail!("the card is in already")
            }
        }
    }

    /// Takes the card out.
    ///
    /// # Errors
    /// When it is out.
    pub fn pull(&mut self) -> Result<()> {
        match std::mem::replace(&mut self.slot, Slot::Moving) {
            Slot::In(card) => {
                self.slot = Slot::Out(card.remove());
                self.handle(Event::CardRemoved);
                self.work(0);
                Ok(())
            }
            Slot::Unpowered(source) => {
                self.slot = Slot::Out(source);
                Ok(())
            }
            slot => {
                self.slot = slot;
                bail!("the card is out already")
            }
        }
    }

    /// Another card is at hand from now on; the one before is put away.
    ///
    /// # Errors
    /// When a card is in.
    pub fn take_card(&mut self, card: impl Card + 'static) -> Result<()> {
        if !matches!(self.slot, Slot::Out(_)) {
            bail!("a card is in: pull it first");
        }
        self.slot = Slot::Out(Box::new(card));
        self.hang_card();
        Ok(())
    }

    /// The card's supply is the device's.
    fn hang_card(&self) {
        if let Slot::Out(source) = &self.slot
            && let Some(card) = source.memory_card()
        {
            card.hang_on(self.power.clone());
        }
    }

    /// The vetted job is started at the printer.
    ///
    /// # Errors
    /// When nothing was vetted, or the printer is at work.
    pub fn start_printer(&mut self) -> Result<()> {
        if let Some(job) = self.vetted_job() {
            self.job = Some(job);
        }
        let Some(job) = self.job else { bail!("no job was vetted yet: the printer has nothing to print") };
        if self.printer.doing() != Doing::Idle {
            bail!("the printer is at work: stop it first");
        }
        self.printer.start(job, &mut self.plant);
        Ok(())
    }

    /// What the printer needs to know of the job that the device has vetted.
    fn vetted_job(&self) -> Option<PrinterJob> {
        let vetting = self.app()?.chosen()?;
        let report = vetting.report();
        let survey = vetting.survey()?;
        let celsius =
            |celsius: Option<holdpoint_shared::units::Celsius>| celsius.map_or(0, |celsius| celsius.0);
        let length_mm = report.facts.length.as_ref().map_or(0.0, |length| length.value.0 as f64 / 1000.0);
        let radius_mm = f64::from(self.app()?.setup().machine.filament_um) / 2000.0;
        let volume_mm3 = length_mm * radius_mm * radius_mm * std::f64::consts::PI;
        Some(PrinterJob::of(survey, celsius(report.outlook.nozzle), celsius(report.outlook.bed), volume_mm3))
    }

    /// A hand at the printer.
    pub fn at_printer(&mut self, act: impl FnOnce(&mut Printer, &mut Plant)) {
        let before = self.printer.doing();
        act(&mut self.printer, &mut self.plant);
        if before != Doing::Idle && self.printer.doing() == Doing::Idle {
            self.ends.push(self.wall());
        }
    }

    /// The device's power goes; the printer hangs on another line.
    pub fn power_off(&mut self) {
        self.power.cut();
        self.go_dark();
    }

    fn go_dark(&mut self) {
        let Some(device) = self.device.take() else { return };
        self.flash = Some(device.power_off());
        self.slot = match std::mem::replace(&mut self.slot, Slot::Moving) {
            Slot::In(card) => Slot::Unpowered(card.remove()),
            slot => slot,
        };
    }

    /// It comes back: the device begins anew with what its flash holds, and with the card that is in.
    ///
    /// # Errors
    /// When the flash holds something else than a ledger, or the card cannot be opened.
    pub fn power_on(&mut self) -> Result<()> {
        self.power.restore();
        self.began = self.clock.now().instant;
        let Some(flash) = self.flash.take() else { bail!("the power is on already") };
        let ledger = match Ledger::open(flash) {
            Err(Refused { error: LedgerError::Blank, flash }) => Ledger::format(flash),
            other => other,
        };
        match ledger {
            Ok(ledger) => {
                let clock = Clock::Set(self.device_now());
                self.device = Some(Device::new(&self.overrides, clock, ledger)?);
            }
            Err(Refused { flash, error }) => {
                self.flash = Some(flash);
                if !self.power.is_off() {
                    bail!("the ledger: {error}");
                }
            }
        }
        self.slot = match std::mem::replace(&mut self.slot, Slot::Moving) {
            Slot::Unpowered(source) => Slot::Out(source),
            slot => return self.on_without_card(slot),
        };
        self.insert()?;
        self.work(0);
        Ok(())
    }

    fn on_without_card(&mut self, slot: Slot) -> Result<()> {
        self.slot = slot;
        self.work(0);
        Ok(())
    }

    /// Lets time pass.
    pub fn pass(&mut self, ms: u64) {
        let mut left = ms;
        while left > 0 {
            let until_probe = PROBE_MS - self.now_ms() % PROBE_MS;
            let slice = left.min(until_probe);
            left -= slice;
            self.clock.pass_ms(slice);
            self.plant.advance(slice);
            self.at_printer(|printer, plant| printer.advance(slice, plant));
            if self.now_ms().is_multiple_of(PROBE_MS) {
                self.read_probes();
            }
            self.work(slice);
        }
    }

    /// Lets time pass until `done`, looked at so often; `false` when it did not happen within `most_ms`.
    pub fn pass_until(&mut self, most_ms: u64, every_ms: u64, mut done: impl FnMut(&Self) -> bool) -> bool {
        let end_ms = self.now_ms().saturating_add(most_ms);
        while !done(self) {
            if self.now_ms() >= end_ms {
                return false;
            }
            self.pass(every_ms.max(1));
        }
        true
    }

    fn read_probes(&mut self) {
        let [nozzle, bed] = self.leads;
        for (probe, part, lead) in [(Probe::Nozzle, Part::Nozzle, nozzle), (Probe::Plate, Part::Bed, bed)] {
            let counts = self.plant.counts(part);
            let counts = match lead {
                Lead::Whole => counts,
                Lead::Open => FULL_SCALE,
                Lead::Shorted => 0,
                Lead::None => continue,
            };
            self.give(probe, PROBE.read(counts));
        }
        let air = MilliCelsius((self.plant.air_c() * 1000.0) as i32);
        self.give(Probe::Air, ProbeReading::At(air));
    }

    fn give(&mut self, probe: Probe, reading: ProbeReading) {
        let (at_ms, stage) = (self.now_ms(), self.app().and_then(|app| app.phase().stage()));
        if let Some(given) = &mut self.given {
            given.push(Given { at_ms, stage, probe, reading });
        }
        self.handle(Event::Probe(probe, reading));
    }

    fn device_now(&self) -> Now {
        let now = self.clock.now();
        Now { instant: Instant(now.instant.since_ms(self.began)), wall: now.wall.filter(|_| self.wall_known) }
    }

    fn tell_time(&mut self) {
        let now = self.device_now();
        if let Some(device) = &mut self.device {
            *device.clock_mut() = Clock::Set(now);
        }
    }

    /// The core works for so long, and what it asks for is done.
    fn work(&mut self, ms: u64) {
        self.tell_time();
        let (wall, mut opened) = (self.wall(), false);
        for _ in 0..(ms * STEPS_A_MS).max(1) {
            let Some(device) = &mut self.device else { return };
            let more = match &mut self.slot {
                Slot::In(card) => card.with(|files| device.step(files)),
                Slot::Out(_) | Slot::Unpowered(_) | Slot::Moving => device.step(None),
            };
            let gate = device.app().gate();
            if self.gate.last().is_none_or(|last| last.gate != gate) {
                let (plate_c, nozzle_c) = (self.plant.celsius(Part::Bed), self.plant.celsius(Part::Nozzle));
                self.gate.push(GateMove { at: wall, gate, plate_c, nozzle_c });
                opened = gate == Gate::Open;
            }
            if let Some(beep) = device.app_mut().take_sound() {
                self.sounds.push((wall, beep));
            }
            if opened {
                // What the printer will be given: the device forgets it when its power goes.
                self.job = self.vetted_job().or(self.job);
                opened = false;
            }
            if self.power.is_off() {
                return self.go_dark();
            }
            if !more {
                return;
            }
        }
    }

    /// The flash, to be kept in a file.
    #[must_use]
    pub fn into_flash(mut self) -> Option<Flash> {
        match self.device.take() {
            Some(device) => Some(device.power_off()),
            None => self.flash,
        }
    }
}

/// Heaters as a machine's sheet states them, in a room of this temperature.
fn make(machine: &Machine, room_c: Option<i16>) -> PlantMake {
    let usual = PlantMake::default();
    let room_c = room_c.map_or(usual.room_c, f64::from);
    let Some(heaters) = &machine.heaters else { return PlantMake { room_c, ..usual } };
    let part = |power_w: u16, j_per_k: u16, mw_per_k: u16, usual: PartMake| PartMake {
        power_w: f64::from(power_w),
        capacity_j_k: f64::from(j_per_k),
        loss_w_k: f64::from(mw_per_k) / 1000.0,
        ..usual
    };
    PlantMake {
        nozzle: part(heaters.nozzle_w, heaters.nozzle_j_per_k, heaters.nozzle_mw_per_k, usual.nozzle),
        bed: part(heaters.bed_w, heaters.bed_j_per_k, heaters.bed_mw_per_k, usual.bed),
        room_c,
        ..usual
    }
}
