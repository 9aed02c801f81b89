//! The wordings in German: card and file.

use super::super::wording::{Wording, w};

#[rustfmt::skip] // A wording a row.
pub(super) const WORDINGS: &[Wording] = &[
    w(1, 0, "Abgeschnitten bei {0}, Heizung bleibt AN.", "Neu kopieren, auswerfen, warten, dann abziehen.", "Würde sie gestartet, bliebe der Kopf heiß auf dem Teil stehen."),
    w(1, 1, "Datei ist abgeschnitten: Ende bei {0}.", "Neu kopieren, auswerfen, warten, dann abziehen.", ""),
    w(1, 2, "Datei ist abgeschnitten, Heizung bleibt AN.", "Neu kopieren, auswerfen, warten, dann abziehen.", "Würde sie gestartet, bliebe der Kopf heiß auf dem Teil stehen."),
    w(1, 3, "Datei ist abgeschnitten: kein richtiges Ende.", "Neu kopieren, auswerfen, warten, dann abziehen.", ""),
    w(2, 0, "Leere oder kaputte Stelle in der Datei bei {0}.", "Neu kopieren. Bleibt es so: andere Karte nehmen.", ""),
    w(3, 0, "Alte Zeilen stehen hinter dem Ende, Zeile {0}.", "Erst die Datei auf der Karte löschen, dann neu kopieren.", "Sie stammen aus einer älteren, längeren Datei gleichen Namens."),
    w(4, 0, "Karte liest jedes Mal anders. Sie ist verbraucht.", "Andere Karte nehmen, diese wegwerfen.", ""),
    w(5, 0, "Karte wurde zu früh aus dem PC gezogen.", "Neu kopieren, auswerfen, warten, dann abziehen.", "So sagt es die Karte selbst; diese Datei kann trotzdem heil sein."),
    w(5, 1, "Die Datei ist leer: Karte zu früh gezogen.", "Neu kopieren, auswerfen, warten, dann abziehen.", ""),
    w(6, 0, "Datei wurde geändert: {0} Draht, im Text {1}.", "Neu slicen oder die Leitung fragen.", ""),
    w(6, 1, "Zeit weicht ab: hier {0}, laut Datei {1}.", "Es gilt das Ende, das hier steht.", ""),
    w(6, 2, "Datei wurde geändert: Schicht {0}, im Text {1}.", "Neu slicen oder die Leitung fragen.", ""),
    w(6, 3, "Datei wurde geändert: Düse {0}, im Text {1}.", "Neu slicen oder die Leitung fragen.", ""),
    w(6, 4, "Datei wurde geändert: Bett {0}, im Text {1}.", "Neu slicen oder die Leitung fragen.", ""),
    w(6, 5, "Zwei Materialien in der Datei: {0}, {1}.", "Neu slicen oder die Leitung fragen.", "Es gilt, was im Kopf steht."),
    w(6, 6, "Datei nennt zwei Drahtstärken: {0}, {1}.", "Neu slicen oder die Leitung fragen.", "Es gilt, was im Kopf steht."),
    w(6, 7, "Datei nennt zwei Düsen: {0}, {1}.", "Neu slicen oder die Leitung fragen.", "Es gilt, was im Kopf steht."),
    w(6, 8, "Datei wurde nach ihrem Kopf noch geändert.", "Neu slicen oder die Leitung fragen.", "Länge oder CRC-32 des Inhalts passen nicht zum Kopf."),
    w(7, 0, "Datei ist seit dem Urteil verändert.", "Karte stecken lassen. Sie wird neu geprüft.", ""),
    w(8, 0, "Ältere Fassung. Die neueste ist {0}", "Die neueste nehmen.", ""),
    w(9, 0, "Sieht in der Liste der Maschine gleich aus: {0}", "Eine der beiden umbenennen.", ""),
    w(10, 0, "Umlaut im Namen: die Liste kann einfrieren. {0}", "Nur a-z, 0-9 und _ im Namen nehmen.", ""),
    w(10, 1, "Name hat {0} Zeichen, die Liste zeigt {1}.", "Kürzer benennen.", ""),
    w(11, 0, "Unsichtbare Bytes am Dateianfang.", "Als reinen Text ohne Byte-Marke speichern.", ""),
    w(11, 1, "Datei ist hier nicht lesbar: kein reiner Text.", "Als reinen Text speichern oder die Leitung fragen.", ""),
    w(14, 0, "Unbekannte Wörter: {0}. Erstes: {1}, Zeile {2}.", "Maschine im Slicer prüfen.", "Wörter, die die Maschine kennt, gehören in start_words ihres Blatts."),
    w(14, 1, "Eine Zeile ist zu lang und fällt weg.", "Datei bei Zeile {0} ansehen.", "RS274/NGC erlaubt 256 Zeichen."),
    w(14, 2, "{0}, Zeile {1}: hier nicht prüfbar.", "Zeile löschen oder die Leitung fragen.", "Es fährt, fördert oder heizt nach einer eigenen Regel der Maschine. `holdpoint words` nennt solche Wörter; die Leitung kann es in start_words des Blatts eintragen."),
    w(15, 0, "Job ändert die Maschine: {0}, Zeile {1}.", "Zeile löschen. Nur die Leitung darf starten.", ""),
    w(15, 1, "{0}, Zeile {1}: stellt die Maschine anders ein.", "Wenn nicht gewollt: Zeile löschen.", "`holdpoint words` sagt, was es tut."),
    w(16, 0, "Zeile {0} ist kaputt: Prüfzahl ist falsch.", "Neu kopieren. Bleibt es so: andere Karte nehmen.", ""),
];
