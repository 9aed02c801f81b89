//! words of the screens, one file a language.

pub mod checks;
