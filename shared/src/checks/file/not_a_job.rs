//! 12: a file that is no job. The card's listing leaves such files out, so no job can carry this finding.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 12,
    id: "not a job",
    group: Group::File,
    levels: &[],
    rule: "models, archives and pictures are not listed; the card's screen counts them",
    source: "file endings, common practice",
    live: Live::Card,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(_: &CheckInput<'_>, _: &mut Findings) {}
