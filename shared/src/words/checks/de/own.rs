//! The wordings in German: Holdpoint's own checks, and those with numbers above them.

use super::super::wording::{Wording, w};

#[rustfmt::skip] // A wording a row.
pub(super) const WORDINGS: &[Wording] = &[
    w(89, 0, "Kopf der Datei kaputt: Zeile {0}, Spalte {1}.", "Neu stempeln. Geprüft wird auch ohne ihn.", ""),
    w(90, 0, "{0} weitere Punkte hatten keinen Platz.", "Erst diese beheben, dann neu prüfen.", ""),
    w(91, 0, "Job ließ sich nicht bis zum Ende lesen.", "Neu kopieren. Andere Karte versuchen.", ""),
    w(91, 1, "Spulenzettel ist nicht lesbar.", "SPOOL.JSN berichtigen.", ""),
    w(91, 2, "Maschinenblatt ist nicht lesbar.", "MACHINE.JSN berichtigen.", ""),
    w(91, 3, "Raumregeln sind nicht lesbar.", "ROOM.JSN berichtigen.", ""),
    w(92, 0, "{0} Zeilen nicht verstanden. Zahlen ungenau.", "Zeile {1} ansehen, neu slicen.", ""),
    w(92, 1, "{0} Zeilen unklar, sie könnten fahren oder heizen.", "Zeile {1} ansehen, neu slicen.", "Was die Maschine dort tut, ist nicht geprüft."),
    w(92, 2, "{0} Zeilen mit / am Anfang. Manche Maschine führt sie aus.", "Zeile {1} ansehen, evtl. löschen.", ""),
    w(93, 0, "Aufkleber sagt {0}, Zettel sagt {1}.", "Es gilt der Aufkleber. Zettel berichtigen lassen.", ""),
    w(94, 0, "Kein Maschinenblatt. Hitze und Platte sind nicht geprüft.", "MACHINE.JSN in HOLDPT auf die Karte legen.", "Auch Höhe, Düse und Filament nicht."),
    w(96, 0, "{0}, Zeile {1}: greift über den Job hinaus.", "Zeile löschen. Nur die Leitung darf starten.", "Es wirkt auf andere Dateien, Pins, Strom, Firmware oder den Rechner. `holdpoint words` sagt, was es tut."),
    w(96, 1, "{0}, Zeile {1}: schaltet etwas an der Maschine.", "Wenn nicht gewollt: Zeile löschen.", "`holdpoint words` sagt, was es tut."),
    w(97, 0, "{0}, Zeile {1}: verschiebt das Teil.", "Zeile löschen oder ohne sie neu slicen.", "Wo die Maschine dann druckt, steht nicht in der Datei."),
    w(97, 1, "Kleinschritte (M290): {0}, Zeile {1}.", "M290 löschen. Höhe an der Maschine einstellen.", ""),
    w(97, 2, "Kleinschritte (M290): {0}, Zeile {1}.", "Nichts zu tun, wenn es so gewollt ist.", ""),
    w(98, 0, "Motoren aus in Zeile {0}, dann druckt er weiter.", "Zeile löschen oder danach neu referenzieren.", "Ohne Strom hält eine Achse ihren Platz nicht."),
    w(98, 1, "Filamentmotor aus in Zeile {0}.", "Wenn nicht gewollt: Zeile löschen.", ""),
    w(99, 0, "Filament türmt sich bei {0}, ab Zeile {1}.", "Neu slicen: Schichten oder Z-Wörter fehlen.", "Diese Schicht bekommt viel mehr Filament, als Platz hat."),
    w(99, 1, "Druckt bei {0} doppelt, ab Zeile {1}.", "Neu slicen: ein Stück der Datei ist doppelt.", "Dort türmt sich das Filament, und die Düse stößt an."),
    w(101, 0, "Legt Bahnen mit nur {0}. Vorschub wohl in mm/s.", "Vorschub in mm/min einstellen, neu slicen.", "So langsam druckt niemand: Der Job würde ein Vielfaches dauern."),
    w(101, 1, "Erste Schicht mit nur {0}. Vorschub wohl in mm/s.", "Vorschub in mm/min einstellen, neu slicen.", ""),
    w(102, 0, "Druckt nach Rückzug leer weiter, Zeile {0}.", "Rückzug im Slicer berichtigen, neu slicen.", "Die Düse ist dort leer, Bahnen fehlen. Stellen: {1}."),
    w(103, 0, "Fährt {0} ohne Filament, ab Zeile {1}.", "Neu slicen, neu kopieren.", "Der Kopf fährt wie beim Drucken, aber E fehlt oder bleibt gleich."),
    w(105, 0, "Datei vielleicht beschädigt: Zeile {0} passt nicht.", "Neu kopieren. Bleibt es so: neu slicen.", "Die Bahnen dort passen nicht zu denen davor und danach."),
    w(106, 0, "{0}: Schlüssel {1} unbekannt.", "Gemeint war {2}? Berichtigen.", ""),
    w(106, 1, "{0}: Schlüssel {1} unbekannt.", "Nichts liest ihn. Berichtigen oder löschen.", ""),
    w(106, 2, "{0}: {1} Schlüssel unbekannt, etwa {2}.", "Am PC mit vet auflisten lassen.", ""),
    w(106, 3, "Kopf: Schlüssel {0} unbekannt.", "Gemeint war {1}? Neu stempeln.", ""),
];
