//! What a line may ask for that was not read with certainty.

use crate::text::Words;

use super::command::{Known, WordClass};
use super::table;

/// Letters that move, feed, or say how an arc goes.
const MOVING: [u8; 12] = [b'X', b'Y', b'Z', b'E', b'F', b'I', b'J', b'R', b'T', b'A', b'G', b'M'];

/// Whether a line of these words moves, feeds or heats, or changes how later lines do. A G or M without a number may be
/// any command; a line with none goes on with the last motion word.
#[must_use]
pub fn may_act(words: &Words) -> bool {
    let stands = |letter: u8| words.has(letter) || words.is_bare(letter);
    if !words.g().is_empty() || stands(b'G') || stands(b'M') {
        return true;
    }
    if words.no_m() {
        return MOVING.into_iter().any(stands);
    }
    words.m().iter().any(|code| {
        let known = table::known(b'M', *code, words);
        let quiet = matches!(known.class(), WordClass::Tuning | WordClass::Report | WordClass::Unknown);
        !(quiet || matches!(known, Known::FanOn | Known::FanOff | Known::Stop | Known::Pause(_)))
    })
}
