//! 90: more findings than there is room for. The list of findings makes it by itself.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::Level;
use crate::checks::findings::{Findings, LEFT_OUT};
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: LEFT_OUT,
    id: "more points than room",
    group: Group::Own,
    levels: &[Level::Note, Level::Look, Level::Hold],
    rule: "more findings than one job's list holds: says how many were left out, at the worst of their levels",
    source: "Holdpoint's limits",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: true,
    run,
};

fn run(_: &CheckInput<'_>, _: &mut Findings) {}
