//! 13: the card is full, so its newest file may be cut.
//!
//! Nothing feeds it: the card's library tells free space only by a scan of the whole table where the volume keeps no
//! count of its own (FAT12 and FAT16 never do), and a count that is kept (FAT32's FSInfo) is a hint which writers leave
//! stale. A cut file is found by row 1, whether the card is full or not.

use crate::checks::check::{Check, Group, Live, Needs};
use crate::checks::finding::{Level, Signal};
use crate::checks::findings::Findings;
use crate::checks::input::CheckInput;

pub(crate) const CHECK: Check = Check {
    number: 13,
    id: "card nearly full",
    group: Group::File,
    levels: &[Level::Look],
    rule: "no free byte on the card, and the job is its newest file",
    source: "judgement of the room's lead",
    live: Live::Unfed,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let newest = input.file.saved.is_some() && input.file.saved >= input.card.newest;
    if input.card.free_bytes == Some(0) && newest {
        findings.push(13, 0, Level::Look, Signal::Notice, []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, levels, wednesday};

    #[test]
    fn the_newest_file_of_a_full_card_is_looked_at() {
        let bench = Bench::new();
        let mut input = bench.input();
        input.file.saved = Some(wednesday(10, 0));
        input.card.newest = Some(wednesday(10, 0));
        input.card.free_bytes = Some(1);
        assert!(levels(&CHECK, &input).is_empty());
        input.card.free_bytes = Some(0);
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
        input.card.newest = Some(wednesday(10, 1));
        assert!(levels(&CHECK, &input).is_empty());
    }
}
