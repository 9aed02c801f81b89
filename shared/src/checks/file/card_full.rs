//! 13: the card is full, so its newest file may be cut.
//!
//! Nothing feeds it: the card's library tells free space only by a scan of the whole table where the volume keeps no
//! count of its own (FAT12 and FAT16 never do), and a count that is kept (FAT32's FSInfo) is a hint which writers leave
//! stale. A cut file is found by row 1, whether the card is full or not.

use crate::checks::check::not_yet;
use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 13,
    id: "card nearly full",
    group: Group::File,
    levels: &[],
    rule: "no free byte on the card, and the job is its newest file",
    source: "judgement of the room's lead",
    live: Live::Unfed,
    needs: Needs::Nothing,
    never_silenced: false,
    run: not_yet,
};
