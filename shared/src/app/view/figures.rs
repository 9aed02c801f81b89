//! Single figures of a run's screens: times, temperatures, places.

use crate::heat::{MilliCelsius, Surface, burn_threshold};
use crate::phase::RunView;
use crate::screens::{ClockTime, End, Figure, Item, PlateHeat};
use crate::survey::PurgeStrip;
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};
use crate::words::run::Term;

use crate::app::device::App;
use crate::app::setup::Now;
use crate::heat::whole;

/// Above this a hot end is shown as hot, °C: its casing burns at a touch from half a second on (ISO 13732-1, metal,
/// from memory: 67 °C; the long-contact threshold of 43 °C is used as anywhere else, for children and adults alike).
pub(super) const HOT: MilliCelsius = MilliCelsius(43_000);

/// The longest contact of the standard, 8 h.
const LONGEST_MS: u32 = 28_800_000;

/// What a screen of the run is made of.
pub(super) struct Scene<'a> {
    pub(super) app: &'a App,
    pub(super) now: Now,
    pub(super) view: RunView,
}

/// Seconds as a figure that was reckoned.
pub(super) const fn about(seconds: u32) -> Figure<Seconds> {
    Figure::estimated(Seconds(seconds))
}

/// What the plate is known to be, for the waiting screen and the heat line.
pub(super) fn plate_heat(app: &App, hot: bool) -> PlateHeat {
    let (plate, measured) = app.thermal.plate();
    let figure = Figure { value: whole(plate), estimated: !measured };
    if !measured && !hot {
        // Nothing is reckoned from: no probe, and no run of which the clock could tell.
        return PlateHeat::NoReading;
    }
    if plate > burn_threshold(Surface::Metal, LONGEST_MS) {
        PlateHeat::Hot(figure)
    } else {
        PlateHeat::BelowLimit(figure)
    }
}

impl<'a> Scene<'a> {
    pub(super) fn lift(&self) -> MilliCelsius {
        let plan = self.app.phase.plan();
        MilliCelsius(i32::from(plan.touch_c.min(plan.release_c)) * 1000)
    }

    /// The job's name: as listed, or as the row kept it through a power cut.
    pub(super) fn name(&self) -> &'a str {
        match self.app.vetting.is_idle() {
            true => &self.app.daybook.row.job_name,
            false => &self.app.vetting.entry().name,
        }
    }

    /// The name as a machine's own list shows it.
    pub(super) fn name_there(&self) -> &'a str {
        let entry = self.app.vetting.entry();
        match self.app.setup.machine.name_max {
            Some(most) if entry.name.chars().count() > usize::from(most) && !entry.short_name.is_empty() => {
                &entry.short_name
            }
            Some(_) | None => self.name(),
        }
    }

    pub(super) fn plate(&self) -> Figure<Celsius> {
        let (plate, measured) = self.app.thermal.plate();
        Figure { value: whole(plate), estimated: !measured }
    }

    pub(super) fn nozzle(&self) -> Figure<Celsius> {
        let (nozzle, measured) = self.app.thermal.nozzle();
        Figure { value: whole(nozzle), estimated: !measured }
    }

    pub(super) fn plate_heat(&self) -> PlateHeat {
        plate_heat(self.app, self.view.hot)
    }

    /// The nozzle as it is measured. By the clock alone it is never called cold: whether the printer switched it off
    /// is not known.
    pub(super) fn nozzle_heat(&self) -> PlateHeat {
        let (nozzle, measured) = self.app.thermal.nozzle();
        let figure = self.nozzle();
        match nozzle > HOT {
            true => PlateHeat::Hot(figure),
            false if measured => PlateHeat::BelowLimit(figure),
            false => PlateHeat::NoReading,
        }
    }

    /// The clock `seconds` from now.
    pub(super) fn at(&self, seconds: u32) -> Item<'a> {
        let at = self
            .now
            .wall
            .and_then(|wall| wall.checked_add_signed(chrono::TimeDelta::seconds(seconds.into())));
        at.map_or(Item::Unknown, |at| Item::Clock(ClockTime::new(at, self.now.wall)))
    }

    pub(super) fn end(&self) -> Item<'a> {
        let Some((from, to)) = self.view.end_s else { return Item::Unknown };
        match (self.at(from), self.at(to)) {
            (Item::Clock(from), Item::Clock(to)) => Item::End(End::Window { from, to: to.at }),
            _ => Item::End(End::ClockNotSet),
        }
    }

    pub(super) fn countdown(&self) -> Item<'a> {
        self.view.countdown_s.map_or(Item::Unknown, |left| Item::Countdown(about(left)))
    }

    /// Until what comes now in the first minutes is over.
    pub(super) fn until_next(&self) -> Item<'a> {
        self.view.next.map_or(Item::Unknown, |(_, left)| Item::Countdown(about(left)))
    }

    pub(super) fn span(seconds: Option<u32>) -> Item<'a> {
        seconds.map_or(Item::Unknown, |seconds| Item::Span(about(seconds)))
    }

    /// The next look and when it is, seconds; after the last one its end is looked at.
    pub(super) fn next_look(&self) -> (Term, u32) {
        match self.view.look {
            Some((at, left)) => (at.into(), left),
            None => (Term::ItEnds, self.view.end_s.map_or(0, |(_, to)| to)),
        }
    }

    pub(super) fn strip(&self) -> Option<&'a PurgeStrip> {
        self.app.vetting.survey()?.purge.as_ref()
    }

    /// The edge that the purge strip lies nearest to.
    pub(super) fn edge(&self) -> Item<'a> {
        let Some(strip) = self.strip() else { return Item::Unknown };
        Item::Term(edge(strip, self.app.setup.machine.bed_um, self.app.setup.machine.origin_centre))
    }

    pub(super) fn strip_length(&self) -> Item<'a> {
        let nm = self.strip().map(|strip| strip.path_nm / 1000);
        nm.and_then(|um| i64::try_from(um).ok()).map_or(Item::Unknown, |um| Item::Length(Micrometres(um)))
    }

    /// Left on the spool at the job's end.
    pub(super) fn left_then(&self) -> Item<'a> {
        let left = self.app.setup.spool.as_ref().and_then(|spool| spool.left);
        let need = Milligrams(self.app.phase.plan().need_mg.into());
        left.map_or(Item::Unknown, |left| Item::Left(Figure::estimated(left.saturating_sub(need))))
    }

    pub(super) fn owner(&self) -> Item<'a> {
        self.app.daybook.row.owner.as_ref().map_or(Item::Unknown, |owner| Item::Text(owner.as_str()))
    }
}

/// The edge that a strip lies nearest to: within a tenth of the plate, or beyond it.
fn edge(strip: &PurgeStrip, bed_um: [i64; 2], origin_centre: bool) -> Term {
    let [width, depth] = bed_um.map(|um| um.saturating_mul(1000));
    let (x0, y0) = if origin_centre { (-width / 2, -depth / 2) } else { (0, 0) };
    let ([min_x, min_y, _], [max_x, max_y, _]) = (strip.bounds.min_nm, strip.bounds.max_nm);
    let middle = |least: i64, most: i64| least / 2 + most / 2;
    let (x, y) = (middle(min_x, max_x) - x0, middle(min_y, max_y) - y0);
    if y <= depth / 10 {
        Term::FrontEdge
    } else if y >= depth - depth / 10 {
        Term::BackEdge
    } else if x <= width / 10 {
        Term::LeftEdge
    } else if x >= width - width / 10 {
        Term::RightEdge
    } else {
        Term::OnThePlate
    }
}
