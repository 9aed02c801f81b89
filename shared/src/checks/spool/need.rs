//! What the job needs of the spool and what is left on it, both with their uncertainty (catalogue, row 58).
//!
//! Whole milligrams throughout.

use crate::checks::input::CheckInput;
use crate::records::Filler;
use crate::units::{Micrometres, Milligrams, filament_mass, mul_div};

/// The most needed is this many percent of the forecast (common practice: 5 % reserve).
const RESERVE_PERCENT: u64 = 105;
/// Purge at the start and losses (common practice, no source: purge and prime 0.3 to 2 g).
const PURGE: Milligrams = Milligrams(3_000);
/// Filament that stays in the feed path when the spool is empty (common practice: reserve 5 m).
const FEED_PATH: Micrometres = Micrometres::from_mm(5_000);
/// Share of what was used since the last weighing by which the book may be wrong, percent (judgement).
const BOOK_ERROR_PERCENT: u64 = 3;
/// What each loading may cost unbooked (judgement).
const LOAD_ERROR_MG: i64 = 5_000;
/// Error of a weighing with the spool's own tare (judgement).
const OWN_TARE_MG: i64 = 5_000;
/// Error with a tare that is only usual for such spools (an owners' advice: 20 g for the scatter of empty spools).
const USUAL_TARE_MG: i64 = 20_000;
/// Error of a mass that rests on the base material's density, percent of the need: half the width of the widest
/// handbook range of an unfilled base in the material table (PLA 1.21 to 1.43, 8.9 %).
const GUESSED_DENSITY_PERCENT: u64 = 9;
/// The same for a filled grade (common practice, no source: wood-filled PLA 1.15 to 1.25 against 1.24).
const GUESSED_FILLED_PERCENT: u64 = 15;
/// The same for a metal-filled grade: up to 4 g/cm³ against 1.24 (common practice, no source).
const GUESSED_METAL_PERCENT: u64 = 223;

/// What the job needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Need {
    /// The forecast.
    pub(crate) mass: Milligrams,
    /// The most it may need, with reserve, purge and feed path.
    pub(crate) most: Milligrams,
    /// Mass of a metre of this filament.
    pub(crate) metre: Milligrams,
    /// Whether the density is the base's instead of the ticket's.
    pub(crate) guessed: bool,
}

/// What is left on the spool, give or take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct SpoolLeft {
    /// The book's figure.
    pub(crate) mass: Milligrams,
    /// Give or take.
    pub(crate) error: Milligrams,
}

impl SpoolLeft {
    /// The least that may be left.
    pub(crate) fn least(self) -> Milligrams {
        Milligrams(self.mass.0.saturating_sub(self.error.0).max(0))
    }

    /// The most that may be left.
    pub(crate) fn most(self) -> Milligrams {
        self.mass.saturating_add(self.error)
    }
}

/// Density of what is on the spool, else of what the job wants, mg/cm³: the material table's, for a filled grade or
/// a blend that the table does not have its base's.
fn table_density(input: &CheckInput<'_>) -> Option<u32> {
    let grade = input.spool_grade().or(input.facts.grade)?;
    // The room's own row is of the plain grade, as it lies on its scales.
    let own = input.room.own(grade.base).filter(|_| grade.filler.is_none() && grade.blend.is_none());
    let own = own.and_then(|row| row.density_mg_cm3).or(grade.density_mg_cm3());
    Some(own.unwrap_or(grade.base.row().density_mg_cm3))
}

/// The need, `None` where neither a length nor a mass is known.
pub(crate) fn need(input: &CheckInput<'_>) -> Option<Need> {
    let diameter = input.spool.and_then(|spool| spool.diameter_um).unwrap_or(input.machine.filament_um);
    let ticket = input.spool.and_then(|spool| spool.density_mg_cm3);
    let density = ticket.or_else(|| table_density(input));
    let stated = input.facts.mass.as_ref().map(|stated| stated.value);
    let length = input.facts.length.as_ref().map(|stated| stated.value);
    let (mass, guessed) = match (length, density, stated) {
        // A length is geometry; the mass that a job states rests on a density that it assumed.
        (Some(length), Some(density), _) => (filament_mass(length, diameter, density), ticket.is_none()),
        (_, _, Some(mass)) => (mass, false),
        _ => return None,
    };
    let metre =
        density.map_or(Milligrams(0), |density| filament_mass(Micrometres::from_mm(1000), diameter, density));
    let path = density.map_or(Milligrams(0), |density| filament_mass(FEED_PATH, diameter, density));
    let reserve = Milligrams(percent(mass.0, RESERVE_PERCENT));
    Some(Need { mass, most: reserve.saturating_add(PURGE).saturating_add(path), metre, guessed })
}

/// What is left, `None` where the ticket does not say.
pub(crate) fn left(input: &CheckInput<'_>, need: &Need) -> Option<SpoolLeft> {
    let spool = input.spool?;
    let mass = spool.left?;
    let used = input.history.used_since_weighing.map_or(0, |used| used.0);
    let weighing = spool.left_error.map(|error| error.0);
    let tare = weighing.unwrap_or(if spool.tare.is_some() { OWN_TARE_MG } else { USUAL_TARE_MG });
    let loads = i64::from(spool.loads.unwrap_or(0)).saturating_mul(LOAD_ERROR_MG);
    let guess = if need.guessed { percent(need.mass.0, guess_percent(input)) } else { 0 };
    let parts = [percent(used, BOOK_ERROR_PERCENT), loads, tare, guess];
    // Held at the type's end, whose root is four tonnes: more than any spool.
    let square = |part: &i64| part.unsigned_abs().saturating_pow(2);
    let sum = parts.iter().map(square).fold(0_u64, u64::saturating_add);
    let error = i64::try_from(sum.isqrt()).unwrap_or(i64::MAX);
    Some(SpoolLeft { mass, error: Milligrams(error) })
}

fn guess_percent(input: &CheckInput<'_>) -> u64 {
    match input.spool_grade().and_then(|grade| grade.filler) {
        None => GUESSED_DENSITY_PERCENT,
        Some(Filler::Metal) => GUESSED_METAL_PERCENT,
        Some(_) => GUESSED_FILLED_PERCENT,
    }
}

fn percent(amount: i64, percent: u64) -> i64 {
    let share = mul_div(amount.unsigned_abs(), percent, 100).and_then(|share| i64::try_from(share).ok());
    share.unwrap_or(i64::MAX) * amount.signum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::Bench;

    #[test]
    fn the_need_by_hand() {
        // 20,788 mm of 1.75 mm PLA at 1.24: 20.788 * 2.982550 g = 62.001 g. The most: 1.05 * 62.001 + 3 +
        // 5 * 2.982550 = 83.014 g.
        let bench = Bench::new();
        let need = need(&bench.input()).unwrap();
        assert_eq!(need.mass, Milligrams(62_001));
        assert_eq!(need.metre, Milligrams(2_983));
        assert_eq!(need.most, Milligrams(65_101 + 3_000 + 14_913));
        assert!(!need.guessed);
    }

    #[test]
    fn the_error_by_hand() {
        // sqrt((0.03 * 200)^2 + (5 * 3)^2 + 20^2) = sqrt(661) = 25.709 g.
        let mut bench = Bench::new();
        bench.ticket().loads = Some(3);
        let mut input = bench.input();
        input.history.used_since_weighing = Some(Milligrams(200_000));
        let need = need(&input).unwrap();
        assert_eq!(left(&input, &need).unwrap().error, Milligrams(25_709));
    }

    #[test]
    fn the_own_tare_and_a_stated_error_narrow_it() {
        let mut bench = Bench::new();
        let error = |bench: &Bench| left(&bench.input(), &need(&bench.input()).unwrap()).unwrap().error;
        assert_eq!(error(&bench), Milligrams(20_000));
        bench.ticket().tare = Some(Milligrams(180_000));
        assert_eq!(error(&bench), Milligrams(5_000));
        bench.ticket().left_error = Some(Milligrams(8_000));
        assert_eq!(error(&bench), Milligrams(8_000));
    }

    #[test]
    fn a_guessed_density_widens_it() {
        let mut bench = Bench::new();
        bench.ticket().density_mg_cm3 = None;
        let input = bench.input();
        let need = need(&input).unwrap();
        assert!(need.guessed);
        // 9 % of 62.001 g = 5.580 g; sqrt(20^2 + 5.580^2) = 20.763 g.
        assert_eq!(left(&input, &need).unwrap().error, Milligrams(20_763));
    }

    #[test]
    fn a_mass_serves_where_there_is_no_length() {
        let bench = Bench::with_header(|header| {
            header.length = None;
            header.mass = Some(Milligrams(40_000));
        });
        assert_eq!(need(&bench.input()).unwrap().mass, Milligrams(40_000));
        let bench = Bench::with_header(|header| header.length = None);
        assert_eq!(need(&bench.input()), None);
    }

    #[test]
    fn no_amount_overflows() {
        let mut bench = Bench::with_header(|header| header.length = Some(Micrometres(i64::MAX)));
        bench.ticket().left = Some(Milligrams(i64::MAX));
        bench.ticket().left_error = Some(Milligrams(i64::MIN));
        bench.ticket().loads = Some(u16::MAX);
        let input = bench.input();
        let need = need(&input).unwrap();
        let left = left(&input, &need).unwrap();
        assert!(left.least() <= left.most());
    }
}
