//! The one table of all checks, and what is made of it.

use core::fmt;

use super::check::{Check, Group, Needs, Rule};
use super::finding::Level;
use super::findings::Findings;
use super::input::CheckInput;
use super::settled::{CheckSet, NotSettled, Settlement, Settlements};
use super::{file, heat, machine, own, room, spool, stated};

/// All checks, by number.
pub const CATALOGUE: &[Check] = &[
    file::cut_short::CHECK,
    file::blank_gap::CHECK,
    file::after_end::CHECK,
    stated::READS_DIFFER,
    file::not_ejected::CHECK,
    file::edited::CHECK,
    stated::CHANGED_SINCE_VERDICT,
    file::newer_version::CHECK,
    file::same_name::CHECK,
    file::name::CHECK,
    file::opening::CHECK,
    file::not_a_job::CHECK,
    file::card_full::CHECK,
    file::unknown_words::CHECK,
    file::alters_machine::CHECK,
    file::line_check::CHECK,
    machine::other_machine::CHECK,
    machine::outside_plate::CHECK,
    machine::park_outside::CHECK,
    machine::too_tall::CHECK,
    machine::below_plate::CHECK,
    machine::scrapes::CHECK,
    machine::dives::CHECK,
    machine::one_by_one::CHECK,
    machine::before_homing::CHECK,
    machine::homes_again::CHECK,
    machine::inches::CHECK,
    machine::position_mode::CHECK,
    machine::feed_mode::CHECK,
    machine::tools::CHECK,
    machine::pauses::CHECK,
    machine::bore::CHECK,
    machine::layer_height::CHECK,
    machine::first_layer_thin::CHECK,
    machine::first_layer_fast::CHECK,
    machine::flow::CHECK,
    machine::speed_limit::CHECK,
    machine::feed_bursts::CHECK,
    machine::bead_odd::CHECK,
    machine::tall_thin::CHECK,
    machine::wide_flat::CHECK,
    machine::mid_air::CHECK,
    heat::no_heat::CHECK,
    heat::cold_feed::CHECK,
    heat::wait_for_nothing::CHECK,
    heat::nozzle_window::CHECK,
    heat::hot_end_limit::CHECK,
    heat::bed_limit::CHECK,
    heat::bed_window::CHECK,
    heat::heat_left_on::CHECK,
    heat::hot_idle::CHECK,
    heat::fan::CHECK,
    heat::parks_hot::CHECK,
    spool::wrong_material::CHECK,
    spool::unknown_material::CHECK,
    spool::close_material::CHECK,
    spool::diameter::CHECK,
    spool::enough::CHECK,
    spool::last_turns::CHECK,
    spool::abrasive::CHECK,
    spool::filled_fine_nozzle::CHECK,
    spool::soft_in_tube::CHECK,
    spool::open_too_long::CHECK,
    spool::old_melt::CHECK,
    spool::density_missing::CHECK,
    stated::SPOOL_DRAG,
    room::plate_bare::CHECK,
    stated::PURGE_LEFT,
    stated::PINS,
    room::plate_face::CHECK,
    room::plate_wash::CHECK,
    room::nozzle_service::CHECK,
    stated::MACHINE_HELD,
    room::still_hot::CHECK,
    room::probe::CHECK,
    room::closing::CHECK,
    room::nobody_there::CHECK,
    room::too_long::CHECK,
    room::vent::CHECK,
    room::warm_box::CHECK,
    room::closed_box::CHECK,
    room::forbidden::CHECK,
    stated::CARD_PULLED,
    stated::OTHER_FILE,
    room::clock_wrong::CHECK,
    room::clocks_change::CHECK,
    room::failed_before::CHECK,
    room::untrained::CHECK,
    own::header_broken::CHECK,
    own::left_out::CHECK,
    own::unread::CHECK,
    own::lines_unread::CHECK,
    own::ticket_differs::CHECK,
    own::no_sheet::CHECK,
    file::reaches_elsewhere::CHECK,
    file::shifts_work::CHECK,
    machine::motors_off::CHECK,
    machine::piles_up::CHECK,
    machine::feed_slow::CHECK,
    machine::unprimed::CHECK,
    machine::no_feed::CHECK,
    file::damaged::CHECK,
    own::unknown_key::CHECK,
];

/// The rules alone, by number: a device that never lists the catalogue carries no descriptions.
#[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
static RULES: [(u8, Rule); CATALOGUE.len()] = {
    let mut rules: [(u8, Rule); CATALOGUE.len()] = [(0, CATALOGUE[0].run); CATALOGUE.len()];
    let mut index = 0;
    while index < rules.len() {
        rules[index] = (CATALOGUE[index].number, CATALOGUE[index].run);
        index += 1;
    }
    rules
};

/// The checks whose rows are marked: bit n is check n.
macro_rules! marked {
    ($row:ident => $mark:expr) => {{
        let mut marked = CheckSet::NONE;
        let mut index = 0;
        #[expect(clippy::indexing_slicing, reason = "evaluated when built, where a wrong index is an error")]
        while index < CATALOGUE.len() {
            let $row = &CATALOGUE[index];
            if $mark {
                marked = marked.with($row.number);
            }
            index += 1;
        }
        marked
    }};
}

/// The checks that can never be settled.
const NEVER_SILENCED: CheckSet = marked!(row => row.never_silenced);
/// The checks that give nothing but HOLD.
const ONLY_HOLD: CheckSet = marked!(row => matches!(row.levels, [Level::Hold]));
/// The checks that compare with what only a machine sheet can say.
const NEED_A_SHEET: CheckSet = marked!(row => matches!(row.needs, Needs::Sheet));
/// The checks that compare with the nozzle's bore.
const NEED_A_BORE: CheckSet = marked!(row => matches!(row.needs, Needs::Bore));

/// All checks.
const EXISTING: CheckSet = marked!(row => row.number > 0);
/// The checks of the loaded spool.
const ABOUT_SPOOL: CheckSet = marked!(row => matches!(row.group, Group::Spool));

/// Whether a check has what it compares with.
fn can_decide(number: u8, input: &CheckInput<'_>) -> bool {
    input.machine.is_stated()
        || !(NEED_A_SHEET.has(number) || NEED_A_BORE.has(number) && input.facts.bore_um.is_none())
}

/// Runs every check. Cheap enough to be called again whenever more is known: from the header alone, then with the
/// survey, then with answers and readings.
#[must_use]
pub fn check(input: &CheckInput<'_>) -> Findings {
    let mut findings = Findings::default();
    check_into(input, &mut findings);
    findings
}

/// The same in place of what was found before: a small board has no room for findings on its stack.
pub fn check_into(input: &CheckInput<'_>, findings: &mut Findings) {
    findings.begin(input.settled, NEVER_SILENCED);
    for (number, rule) in &RULES {
        if can_decide(*number, input) {
            rule(input, findings.of(*number));
        }
    }
    findings.close();
}

impl Settlements {
    /// Whether a check's NOTE or LOOK may be settled at all.
    ///
    /// # Errors
    /// Why not.
    pub fn may_settle(check: u8) -> Result<(), NotSettled> {
        match check {
            _ if !EXISTING.has(check) => Err(NotSettled::NoSuchCheck),
            _ if is_never_silenced(check) => Err(NotSettled::NeverSilenced),
            _ if ONLY_HOLD.has(check) => Err(NotSettled::HoldOnly),
            _ => Ok(()),
        }
    }

    /// Settles a check; the same one settled before gets the new day.
    ///
    /// # Errors
    /// Why it was not; nothing is changed then.
    pub fn settle(&mut self, settlement: Settlement) -> Result<(), NotSettled> {
        Self::may_settle(settlement.check)?;
        if settlement.of.is_empty() {
            return Err(NotSettled::NoTag);
        }
        self.insert(settlement)
    }
}

/// The row of a check, for whoever lists them: it brings the whole catalogue with its descriptions into a build, which no
/// device's needs.
#[must_use]
pub fn find(number: u8) -> Option<&'static Check> {
    CATALOGUE.iter().find(|row| row.number == number)
}

/// Whether a check's findings can never be settled.
#[must_use]
pub const fn is_never_silenced(number: u8) -> bool {
    NEVER_SILENCED.has(number)
}

/// Whether a check is of the loaded spool, not of the machine.
pub(crate) const fn is_about_spool(number: u8) -> bool {
    ABOUT_SPOOL.has(number)
}

/// The catalogue as a table in Markdown: number, plain id, rule, levels, source, live.
///
/// # Errors
/// What the writer gives.
pub fn write_markdown(out: &mut impl fmt::Write) -> fmt::Result {
    out.write_str("| # | check | rule | levels | source | live |\n| --- | --- | --- | --- | --- | --- |\n")?;
    for row in CATALOGUE {
        write!(out, "| {} | {} | ", row.number, row.id)?;
        for piece in row.rule.split('|') {
            out.write_str(piece)?;
        }
        out.write_str(" | ")?;
        for (index, level) in row.levels.iter().enumerate() {
            out.write_str(if index == 0 { "" } else { ", " })?;
            out.write_str(level.word())?;
        }
        if row.levels.is_empty() {
            out.write_str("-")?;
        }
        let silence = if row.never_silenced { " (never silenced)" } else { "" };
        writeln!(out, "{silence} | {} | {} |", row.source, row.live.word())?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::Bench;
    use crate::records::Machine;

    #[test]
    fn with_a_sheet_every_check_decides() {
        let mut bench = Bench::new();
        assert!(CATALOGUE.iter().all(|row| can_decide(row.number, &bench.input())));
        bench.machine = Machine::default();
        assert!(!can_decide(47, &bench.input()) && can_decide(46, &bench.input()));
        assert!(can_decide(33, &bench.input()), "the job states its bore");
        bench.facts.bore_um = None;
        assert!(!can_decide(33, &bench.input()));
    }
}
