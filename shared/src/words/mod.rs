//! Every word of every screen, one file a language.
//!
//! Another language is one more file here, one more arm in [`words`] and one more case in
//! `tests/tests/words.rs`, which holds each text against the field it must fit. Numbers are formatted by the
//! screens; what differs between languages there (decimal mark, dates) stands here too.
//!
//! Each text's field is named in its doc: *title* (7-pixel face, shares line 1), *line* (21 characters),
//! *small* (5-pixel face beside numbers).

pub mod checks;
mod de;
mod en;
pub mod run;
mod screen_words;

pub use screen_words::{
    ActionWords, CardTroubles, Counted, DateForm, HeaderWords, Trouble, VerdictWords, Words,
};

use crate::records::Language;

/// The words in `language`.
#[must_use]
pub const fn words(language: Language) -> &'static Words {
    match language {
        Language::English => &en::WORDS,
        Language::German => &de::WORDS,
    }
}
