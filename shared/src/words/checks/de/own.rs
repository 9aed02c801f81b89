//! The wordings in German: Holdpoint's own checks, and those with numbers above them.

use super::super::wording::{Wording, w};

#[rustfmt::skip] // A wording a row.
pub(super) const WORDINGS: &[Wording] = &[
    w(89, 0, "Kopf der Datei kaputt: Zeile {0}, Spalte {1}.", "Neu stempeln. Geprüft wird auch ohne ihn.", ""),
    w(90, 0, "{0} weitere Punkte hatten keinen Platz.", "Erst diese beheben, dann neu prüfen.", ""),
    w(91, 0, "Job ließ sich nicht bis zum Ende lesen.", "Neu kopieren. Andere Karte versuchen.", ""),
    w(91, 1, "Rollenzettel ist nicht lesbar.", "SPOOL.JSN berichtigen.", ""),
    w(91, 2, "Maschinenblatt ist nicht lesbar.", "MACHINE.JSN berichtigen.", ""),
    w(91, 3, "Raumregeln sind nicht lesbar.", "ROOM.JSN berichtigen.", ""),
    w(92, 0, "{0} Zeilen nicht verstanden. Zahlen ungenau.", "Zeile {1} ansehen, neu slicen.", ""),
    w(93, 0, "Aufkleber sagt {0}, Zettel sagt {1}.", "Es gilt der Aufkleber. Zettel berichtigen lassen.", ""),
    w(94, 0, "Kein Maschinenblatt. Hitze und Platte sind nicht geprüft.", "MACHINE.JSN in HOLDPT auf die Karte legen.", "Auch Höhe, Düse und Filament nicht."),
    w(96, 0, "{0}, Zeile {1}: greift über den Job hinaus.", "Zeile löschen. Nur die Leitung darf starten.", "Es wirkt auf andere Dateien, Pins, Strom, Firmware oder den Rechner. `holdpoint words` sagt, was es tut."),
    w(96, 1, "{0}, Zeile {1}: schaltet etwas an der Maschine.", "Wenn nicht gewollt: Zeile löschen.", "`holdpoint words` sagt, was es tut."),
    w(97, 0, "{0}, Zeile {1}: verschiebt das Teil.", "Zeile löschen oder ohne sie neu slicen.", "Wo die Maschine dann druckt, steht nicht in der Datei."),
    w(97, 1, "Kleinschritte (M290): {0}, Zeile {1}.", "M290 löschen. Höhe an der Maschine einstellen.", ""),
    w(97, 2, "Kleinschritte (M290): {0}, Zeile {1}.", "Nichts zu tun, wenn es so gewollt ist.", ""),
    w(98, 0, "Motoren aus in Zeile {0}, dann druckt er weiter.", "Zeile löschen oder danach neu referenzieren.", "Ohne Strom hält eine Achse ihren Platz nicht."),
    w(98, 1, "Fördermotor aus in Zeile {0}.", "Wenn nicht gewollt: Zeile löschen.", ""),
    w(99, 0, "Filament türmt sich bei {0}, ab Zeile {1}.", "Neu slicen: Schichten oder Z-Wörter fehlen.", "Diese Schicht bekommt viel mehr Filament, als Platz hat."),
    w(99, 1, "Druckt bei {0} doppelt, ab Zeile {1}.", "Neu slicen: ein Stück der Datei ist doppelt.", "Dort türmt sich das Filament, und die Düse stößt an."),
];
