//! The words of `vet`'s text, in each language. What a check says comes from the core.

use holdpoint_shared::records::Language;

/// Heads of columns, and the words of notes and totals.
#[derive(Debug)]
pub(super) struct Words {
    /// Heads of the columns: verdict, job, material, need, time, end.
    pub(super) heads: [&'static str; 6],
    pub(super) spool: &'static str,
    pub(super) unknown_spool: &'static str,
    /// One point, and several, that a lead has settled.
    pub(super) settled: [&'static str; 2],
    /// On the day of.
    pub(super) settled_on: &'static str,
    pub(super) by_header_alone: &'static str,
    pub(super) time: &'static str,
    /// A time by the moves, by the header, by a comment.
    pub(super) by: [&'static str; 3],
    pub(super) own_material: &'static str,
    pub(super) rule: &'static str,
    pub(super) source: &'static str,
    /// One job, and several.
    pub(super) jobs: [&'static str; 2],
    pub(super) together: &'static str,
    /// Of one job, and of several, need or time is not known.
    pub(super) unknown: [&'static str; 2],
    /// One input, and several, could not be read, or not whole.
    pub(super) unread: [&'static str; 2],
    /// What to do next about jobs without any record.
    pub(super) no_records: &'static str,
    /// Begins what a listing left out; then too deep, unreadable, circular, hidden; the first of them; what to do.
    pub(super) left_out: [&'static str; 7],
}

const ENGLISH: Words = Words {
    heads: ["verdict", "job", "material", "needs", "takes", "ends"],
    spool: "Spool",
    unknown_spool: "not known",
    settled: ["point settled", "points settled"],
    settled_on: "settled",
    by_header_alone: "by its header alone",
    time: "time",
    by: ["by the moves", "by the header", "by a comment"],
    own_material: "material: by the room rules' own row",
    rule: "rule",
    source: "source",
    jobs: ["job", "jobs"],
    together: "Together",
    unknown: ["without one whose need or time is not known", "without those whose need or time is not known"],
    unread: ["input was not read, or not whole", "inputs were not read, or not whole"],
    no_records: "MACHINE.JSN, SPOOL.JSN and ROOM.JSN are missing in HOLDPT/: copy the full example in sim/demo/HOLDPT and \
                 fit it to your machine (see sim/guide/src/records.md).",
    left_out: [
        "not everything was vetted",
        "too deep (more than {} folders down)",
        "unreadable",
        "leading back to a folder above",
        "hidden",
        "the first is",
        "move it, set its rights or delete it",
    ],
};

const GERMAN: Words = Words {
    heads: ["Urteil", "Job", "Material", "Bedarf", "Dauer", "Ende"],
    spool: "Spule",
    unknown_spool: "nicht bekannt",
    settled: ["Punkt geklärt", "Punkte geklärt"],
    settled_on: "geklärt",
    by_header_alone: "nach dem Kopf allein",
    time: "Dauer",
    by: ["nach den Bewegungen", "nach dem Kopf", "nach einem Kommentar"],
    own_material: "Material: nach der eigenen Zeile der Raumregeln",
    rule: "Regel",
    source: "Quelle",
    jobs: ["Job", "Jobs"],
    together: "Zusammen",
    unknown: [
        "ohne einen, dessen Bedarf oder Dauer unbekannt ist",
        "ohne die, deren Bedarf oder Dauer unbekannt ist",
    ],
    unread: ["Eingabe wurde nicht oder nicht ganz gelesen", "Eingaben wurden nicht oder nicht ganz gelesen"],
    no_records: "MACHINE.JSN, SPOOL.JSN und ROOM.JSN fehlen in HOLDPT/: das vollständige Beispiel aus sim/demo/HOLDPT kopieren \
                 und an die Maschine anpassen (siehe sim/guide/src/records.md).",
    left_out: [
        "nicht alles wurde geprüft",
        "zu tief (mehr als {} Ordner tief)",
        "nicht lesbar",
        "zurück zu einem Ordner darüber führend",
        "versteckt",
        "zuerst",
        "verschieben, Rechte setzen oder löschen",
    ],
};

/// The words of a language.
pub(super) const fn words(language: Language) -> &'static Words {
    match language {
        Language::English => &ENGLISH,
        Language::German => &GERMAN,
    }
}

/// A count with the word for it.
pub(super) fn counted(count: usize, [one, several]: [&str; 2]) -> String {
    format!("{count} {}", if count == 1 { one } else { several })
}
