//! The common parts of German wordings, so that each takes one byte.

/// From the wordings themselves: again and again the pair of letters or parts that stands most often. They need not
/// be renewed when wordings change, which only are packed a little less close then.
#[rustfmt::skip] // As many a row as fit.
pub(super) const PARTS: [&str; 160] = [
    "Ä", "ß", "ä", "ö", "ü", "en", "e ", "er", "t ", "ei", "ch", "er ", "{0", "{0}", "en.", ", ", "at", ": ",
    "nd", "au", "der ", "te", "en ", "ll", "{1", "{1}", "n ", "sch", "te ", "ich", "{0} ", "m ", "st ", "ar",
    "eh", "s ", "ei ", "oder ", "eil", "an", "ie ", "f ", "ist ", "lat", "ie", "in", "se ", "et", "r ", "Dat",
    "un", "g ", "{1}.", "Plat", "Datei ", "{0}.", "oll", "ge", "icht ", "u ", "en, ", "gen.", "ein", "Roll",
    "{0}, ", "eile ", "ah", "nder", "die ", "le", "ic", "Dü", "Zeile ", "auf ", "asch", "Rolle ", "ver", "lic",
    "Düse ", "ung ", "t.", "ür ", "st", "ab", "eu ", "op", "art", "eit", "üf", "Masch", "Maschin", "nd ", "zu",
    "End", "ann ", "ch ", "Platte ", "lei", "ste", "slic", "nicht ", "en: ", "ti", "al", "ck", "{2", "{2}",
    "bt ", "neh", "nehm", ". ", "en oder ", "fr", "t: ", "da", "Sch", "ber", "nehmen.", "em ", "im ", "xt ",
    "agen.", "ber ", "aus", "ichti", "neu ", "Leit", "Leitung ", "lt ", "wi", "ste ", "Maschine ", "für ",
    "mi", "Platte", "ndere ", "Kar", "Karte ", "Die ", "Dr", "Drah", "rüf", "Jo", "Job", "und ", "l ",
    "berichti", "slicen.", "{1} ", "dem ", ", Zeile ", "iese ", "rd", "cht ", "Kop", "ss", "prüf", "eht ",
    "den ", "etz",
];
