//! 88: the owner is not trained for the grade. Nothing feeds it: no record says who was shown what.

use crate::checks::check::not_yet;
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 88,
    id: "untrained grade",
    group: Group::Room,
    levels: &[],
    rule: "the room keeps levels, and the owner's is below the grade's",
    source: "room rules",
    live: Live::Unfed,
    needs: Needs::Nothing,
    never_silenced: false,
    run: not_yet,
};
