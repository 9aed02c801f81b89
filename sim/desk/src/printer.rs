//! A printer that is not there, with a job of its own: it heats, moves for as long as the job takes, and switches its
//! heat off. It never talks to the device; only hands and heat join the two.

use holdpoint_shared::survey::{MarkKind, Survey};

use crate::plant::{Part, Plant};

/// What of a job the printer needs to know.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PrinterJob {
    /// Hot end, °C; 0 = never heated.
    pub nozzle_c: i16,
    /// Bed, °C; the same.
    pub bed_c: i16,
    /// The file waits for the bed first and heats the hot end only then.
    pub bed_first: bool,
    /// Everything but heating, ms.
    pub moves_ms: u64,
    /// Homing between the two heatings, ms.
    pub home_ms: u64,
    /// Filament of the whole job, mm³.
    pub volume_mm3: f64,
}

impl PrinterJob {
    /// The job as its moves say, with the targets that the device found.
    #[must_use]
    pub fn of(survey: &Survey, nozzle_c: i16, bed_c: i16, volume_mm3: f64) -> Self {
        let time = &survey.time;
        let at = |kind: MarkKind| survey.marks.iter().position(|mark| mark.kind == kind);
        let bed_first = match (at(MarkKind::BedWait), at(MarkKind::NozzleWait)) {
            (Some(bed), Some(nozzle)) => bed < nozzle,
            _ => false,
        };
        let homes_between = match (at(MarkKind::Homing), at(MarkKind::NozzleWait)) {
            (Some(home), Some(nozzle)) => bed_first && home < nozzle,
            _ => false,
        };
        let home_s = if homes_between { time.home_s } else { 0 };
        let moves_s = time.total_s.saturating_sub(time.heat_wait_s).saturating_sub(home_s);
        Self {
            nozzle_c,
            bed_c,
            bed_first,
            moves_ms: u64::from(moves_s) * 1000,
            home_ms: u64::from(home_s) * 1000,
            volume_mm3,
        }
    }
}

/// What it does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Doing {
    /// Nothing.
    Idle,
    /// The bed heats, and the file waits for it.
    HeatsBed,
    /// It homes, ms left.
    Homes(u64),
    /// The hot end heats, and the file waits for it.
    HeatsNozzle,
    /// It prints; ms done at the survey's speed.
    Prints(u64),
    /// It waits for a person; ms done.
    Paused(u64),
}

/// Within this of its target a printer goes on, K (common practice, no source).
const READY_K: f64 = 1.0;

/// The printer.
#[derive(Clone, Debug)]
pub struct Printer {
    job: Option<PrinterJob>,
    doing: Doing,
    /// True time over the survey's, permille.
    permille: u32,
    /// It stops by itself when so many ms of the job are done.
    fails_at_ms: Option<u64>,
}

impl Default for Printer {
    fn default() -> Self {
        Self { job: None, doing: Doing::Idle, permille: 1000, fails_at_ms: None }
    }
}

impl Printer {
    /// What it does.
    #[must_use]
    pub const fn doing(&self) -> Doing {
        self.doing
    }

    /// True over surveyed time from now on, permille.
    pub const fn set_permille(&mut self, permille: u32) {
        self.permille = if permille == 0 { 1 } else { permille };
    }

    /// It stops by itself after so many ms of the job's moves.
    pub const fn fail_at(&mut self, ms: Option<u64>) {
        self.fails_at_ms = ms;
    }

    /// Somebody starts a job.
    pub fn start(&mut self, job: PrinterJob, plant: &mut Plant) {
        self.job = Some(job);
        self.fails_at_ms = None;
        self.doing = Doing::HeatsBed;
        plant.set_target(Part::Bed, target(job.bed_c));
        if !job.bed_first {
            plant.set_target(Part::Nozzle, target(job.nozzle_c));
        }
    }

    /// It ends, is stopped or stops by itself: its heat goes off.
    pub fn stop(&mut self, plant: &mut Plant) {
        self.doing = Doing::Idle;
        plant.set_flow(0.0);
        plant.set_target(Part::Bed, None);
        plant.set_target(Part::Nozzle, None);
    }

    /// It waits for a person.
    pub fn pause(&mut self, plant: &mut Plant) {
        if let Doing::Prints(done) = self.doing {
            self.doing = Doing::Paused(done);
            plant.set_flow(0.0);
        }
    }

    /// It goes on.
    pub fn go_on(&mut self, plant: &mut Plant) {
        if let Doing::Paused(done) = self.doing {
            self.print(done, plant);
        }
    }

    fn print(&mut self, done: u64, plant: &mut Plant) {
        self.doing = Doing::Prints(done);
        if let Some(job) = self.job {
            plant.set_flow(job.volume_mm3 / (job.moves_ms.max(1) as f64 / 1000.0));
        }
    }

    /// Time goes by; the plant's has already.
    pub fn advance(&mut self, ms: u64, plant: &mut Plant) {
        let Some(job) = self.job else { return };
        let ready = |plant: &Plant, part: Part, celsius: i16| {
            celsius <= 0 || plant.celsius(part) >= f64::from(celsius) - READY_K
        };
        match self.doing {
            Doing::Idle | Doing::Paused(_) => {}
            Doing::HeatsBed if ready(plant, Part::Bed, job.bed_c) => self.doing = Doing::Homes(job.home_ms),
            Doing::HeatsBed => {}
            Doing::Homes(left) if left > ms => self.doing = Doing::Homes(left - ms),
            Doing::Homes(_) => {
                plant.set_target(Part::Nozzle, target(job.nozzle_c));
                self.doing = Doing::HeatsNozzle;
            }
            Doing::HeatsNozzle if ready(plant, Part::Nozzle, job.nozzle_c) => self.print(0, plant),
            Doing::HeatsNozzle => {}
            Doing::Prints(done) => {
                // Whole thousandths are kept: the rest of a slice of 250 ms is a quarter of one at most.
                let done = done + ms * 1000 / u64::from(self.permille);
                let end = self.fails_at_ms.unwrap_or(u64::MAX).min(job.moves_ms);
                if done >= end {
                    self.stop(plant);
                } else {
                    self.doing = Doing::Prints(done);
                }
            }
        }
    }
}

fn target(celsius: i16) -> Option<f64> {
    (celsius > 0).then_some(f64::from(celsius))
}
