//! The common parts of English wordings, so that each takes one byte.

/// From the wordings themselves: again and again the pair of letters or parts that stands most often. They need not
/// be renewed when wordings change, which only are packed a little less close then.
#[rustfmt::skip] // As many a row as fit.
pub(super) const PARTS: [&str; 160] = [
    "e ", "t ", "s ", "th", "the ", "r ", "{0", "{0}", "in", "d ", ", ", "or ", "ea", " the ", "oo", "an",
    "is ", ": ", "la", "te", "{0} ", "{1", "{1}", "t.", "it ", "no", "ar", "le ", "en", "on", "ic", "ch", "st",
    ". ", "er", "at ", "er ", "ma", "es ", "e.", "l ", "ts ", "pla", "ed ", "{1}.", "ine ", "for ", "of", "Fi",
    "fi", "or", "y ", "a ", "poo", "lea", "ou", "o ", "d.", "File ", ", or ", "m ", "ec", "zz", "t the ", "sh",
    "ga", "spoo", "Th", "lic", "ick", "aga", "again", "wa", "ob", "le", "ed", "hea", "{0}.", "line ", "{0}, ",
    "ow", "mach", "s.", "op", "The ", "oom ", "not ", "plate", "and ", "e the ", "ang", "nozz", "its ", "tex",
    "am", "ri", "art ", "to ", "job", "oth", "ll", "room ", "st ", "te ", "{2", "{2}", "ay", "ov", "ll ", "k ",
    "chang", "lice ", "er.", "other ", "s {1}.", ". The ", "orr", "orrec", "ho", "t. ", "ak", "pu", "k the ",
    "n ", "may ", "wi", "et ", "Wa", "{1}: ", "en ", "in ", ": {0} ", "ac", "Correc", "plate ", "off", "spool",
    "tick", "spool ", "ves ", "it", "in the ", ", line ", "fir", "again.", "room lea", "machin", "lo", "e it ",
    "no ", "another ", "ead ", "was ", "eed", "sk the ", "room lead.", "her", "lay", "nozzle ", "lam",
];
