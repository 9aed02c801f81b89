//! The wordings in German: plate, machine state, room and clock.

use super::super::wording::{Wording, w};

#[rustfmt::skip] // A wording a row.
pub(super) const WORDINGS: &[Wording] = &[
    w(67, 0, "Teil oder Reste auf der Platte.", "Platte räumen, dann neu antworten.", ""),
    w(67, 1, "Auf der Maschine ist keine Platte.", "Platte auflegen, flach auf beide Stifte.", ""),
    w(67, 2, "Letzter Job ist nicht beendet. Platte leer?", "Platte ansehen und antworten.", ""),
    w(68, 0, "Reste vom letzten Spülen liegen noch da.", "Kalt abzupfen.", ""),
    w(69, 0, "Platte liegt nicht flach auf beiden Stiften.", "Darunter wischen, neu auflegen.", ""),
    w(70, 0, "{0} verschweißt mit dieser Platte.", "Trennfilm (Klebestift) oder andere Platte.", "Die Oberfläche kann ausreißen."),
    w(70, 1, "{0} hält nicht auf dieser Platte.", "Platte mit eigener Oberfläche nehmen.", ""),
    w(70, 2, "{0} will Platte {1}", "Diese Platte auflegen.", "Eine andere Platte dieser Maschine passt nicht."),
    w(71, 0, "Platte waschen: {0} Jobs seither.", "Warmes Wasser und Spülmittel, dann trocknen.", ""),
    w(71, 1, "Platte waschen: {0} Tage seither.", "Warmes Wasser und Spülmittel, dann trocknen.", ""),
    w(71, 2, "Platte waschen: das letzte Teil ging ab.", "Warmes Wasser und Spülmittel, dann trocknen.", ""),
    w(72, 0, "Düse lief {0}, fällig bei {1}.", "Der Leitung sagen.", ""),
    w(73, 0, "Maschine ist außer Betrieb.", "Andere Maschine nehmen.", "Die Leitung hat sie gesperrt."),
    w(74, 0, "Platte hat {0}: heiß.", "Warten oder Hitzehandschuhe tragen.", ""),
    w(75, 0, "Keine Plattenmessung. Kann heiß sein.", "Nach der Uhr gehen. Der Leitung sagen.", ""),
    w(76, 0, "Raum schließt {2}. Ende {0}-{1}.", "Bis {3} starten oder die Leitung fragen.", "Abkühlen und Abräumen sind mitgezählt."),
    w(76, 1, "Raum schließt {2}. Ende am anderen Tag {0}-{1}.", "Bis {3} starten oder die Leitung fragen.", "Abkühlen und Abräumen sind mitgezählt."),
    w(77, 0, "Niemand ist da. Der Raum öffnet {0}.", "Dann starten oder die Leitung fragen.", ""),
    w(77, 1, "Niemand ist da. Der Raum bleibt zu.", "Die Leitung fragen.", ""),
    w(78, 0, "Dauert {0}, der Raum erlaubt {1}.", "Job teilen oder die Leitung fragen.", ""),
    w(78, 1, "Bei dir laufen {0}, erlaubt sind {1}.", "Warten, bis einer endet, oder die Leitung fragen.", ""),
    w(79, 0, "{0} gibt Dämpfe ab.", "Lüftung an, Tür zu. Raumregeln befolgen.", "Datenblatt des Herstellers und Raumregeln befolgen."),
    w(80, 0, "{0} will ein warmes, geschlossenes Gehäuse.", "Maschine mit Gehäuse nehmen.", "Offen kann es sich verziehen und reißen."),
    w(81, 0, "PLA klemmt, wenn das Gehäuse heiß wird.", "Tür öffnen.", ""),
    w(82, 0, "PVC gibt saures Gas ab. Niemals drucken.", "Herausnehmen. Der Leitung sagen.", "Das Gas ist Chlorwasserstoff: es verätzt die Lunge und greift Metall an."),
    w(83, 0, "Karte ist weg, das Lesen nicht fertig.", "Karte wieder einstecken.", ""),
    w(84, 0, "Nicht der geprüfte Job.", "An der Maschine stoppen, hier prüfen.", ""),
    w(85, 0, "Uhr ist nicht gestellt. Der Job dauert {0}.", "Uhr stellen.", "Uhrzeiten werden nicht gezeigt."),
    w(85, 1, "Uhr geht falsch. Der Job dauert {0}.", "Uhr stellen.", "Uhrzeiten werden nicht gezeigt."),
    w(86, 0, "Die Uhr wird um {0} umgestellt.", "Auf das Ende achten.", ""),
    w(87, 0, "{0} Jobs hier aus einem Grund misslungen.", "Erst den Fehler beheben. Die Leitung fragen.", ""),
    w(88, 0, "{0}: erst die Leitung fragen.", "Zeigen lassen, dann starten.", ""),
];
