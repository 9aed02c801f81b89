//! The wordings in German: spool.

use super::super::wording::{Wording, w};

#[rustfmt::skip] // A wording a row.
pub(super) const WORDINGS: &[Wording] = &[
    w(54, 0, "Datei braucht {0}, Spule ist {1}.", "Spule wechseln oder dafür neu slicen.", ""),
    w(54, 1, "Datei braucht {0}, Spule {1} schmilzt nicht bei {2}.", "Spule wechseln oder dafür neu slicen.", "{1} braucht wenigstens {3}: es würde nicht schmelzen und klemmen."),
    w(54, 2, "Braucht {0}: Spule {1} verbrennt bei {2}.", "Spule wechseln oder dafür neu slicen.", "{1} verträgt höchstens {3}: es würde verbrennen und Dämpfe abgeben."),
    w(55, 0, "Datei nennt kein Material. Spule: {0}", "Für diese Spule gesliced? Nachfragen.", ""),
    w(55, 1, "Material unbekannt: {0}", "Für diese Spule gesliced? Mit dem Aufkleber vergleichen.", ""),
    w(55, 2, "Kein Spulenzettel. Material ist nicht verglichen.", "Aufkleber lesen, Zettel schreiben.", ""),
    w(55, 3, "Wort auf dem Zettel unbekannt: {0}", "Aufkleber lesen, Zettel berichtigen.", ""),
    w(56, 0, "Datei {0}, Spule {1}: nicht dasselbe.", "Spule wechseln oder dafür neu slicen.", "Die Namen sind ähnlich, die Kunststoffe nicht."),
    w(56, 1, "Datei {0}, Spule {1}: ähnlich, nicht gleich.", "Hitze prüfen oder Spule wechseln.", ""),
    w(56, 2, "Datei {0}, Spule {1}: anderer Füllstoff.", "Hitze und Düse prüfen oder Spule wechseln.", ""),
    w(56, 3, "Datei {0}, Spule {1}: Mischung.", "Hitze prüfen oder Spule wechseln.", ""),
    w(56, 4, "Datei {0}, Spule {1}: andere Härte.", "Tempo und Rückzug prüfen oder Spule wechseln.", ""),
    w(56, 5, "Andere Sorte, gleicher Kunststoff: {0}, {1}", "Druckt es gut: der Leitung sagen.", ""),
    w(57, 0, "Datei {0}, Maschine {1}: Filament passt nicht.", "Neu slicen für {1}.", ""),
    w(57, 1, "Spule {0}, Maschine {1}: passt nicht durch.", "Eine Spule mit {1} nehmen.", ""),
    w(57, 2, "Mengen passen zu Filament {0}. Maschine: {1}.", "Im Slicer Filament {1} einstellen.", "Die Bahnen werden viel zu dünn oder zu dick."),
    w(58, 0, "Braucht {0}, übrig {2} bis {3}.", "Frische Spule nehmen oder Job teilen.", "Mit Reserve können es {1} werden."),
    w(58, 1, "Filament ist knapp: {0}-{1} nötig, {2}-{3} da.", "Spule wiegen.", ""),
    w(58, 2, "Braucht {0}. Auf dem Zettel fehlt der Rest.", "Spule wiegen, Zettel ausfüllen.", ""),
    w(58, 3, "Filamentbedarf ist noch nicht bekannt.", "Er steht fest, wenn alle Wege gelesen sind.", ""),
    w(59, 0, "Endet nah am Kern: {0} bleiben. Kann haken.", "Am Ende zusehen oder frische Spule nehmen.", "Die letzten Windungen können in der Nabe haken."),
    w(60, 0, "{0} schleift eine weiche Düse aus.", "Gehärtete Düse oder andere Spule nehmen.", ""),
    w(60, 1, "{0} in weicher Düse: nutzt sie etwas ab.", "Weiter, oder gehärtete Düse einsetzen.", ""),
    w(61, 0, "{0} verstopft eine Düse von {1}.", "Düse mit 0,6 mm einsetzen.", ""),
    w(62, 0, "Weiches Filament mit {0} im langen Rohr.", "Bremsen, höchstens 25 mm/s.", "Das Filament selbst soll unter {1} bleiben."),
    w(62, 1, "Weiches Filament, {0} Rückzug im Rohr.", "Rückzug auf {1} oder weniger stellen.", ""),
    w(63, 0, "{0} lag {1} offen: es ist feucht.", "Erst trocknen.", "Es verträgt {2}."),
    w(63, 1, "Zettel von {0} nennt einen Tag, der noch kommt.", "Spulenzettel oder Uhr richtigstellen.", "Wie lang es offen lag, ist unklar."),
    w(64, 0, "In der Düse war {0}. {2} schmilzt es nicht.", "Bei {1} spülen bis sauber, dann abkühlen.", "50 bis 100 mm durchschieben."),
    w(65, 0, "Gewicht ist geraten: Dichte fehlt am Zettel.", "Spulenzettel ausfüllen.", "Es gilt die Dichte der Tabelle für den Grundstoff: {0}."),
    w(66, 0, "Spule klemmt: Windung liegt über Kreuz.", "Eine Windung ab, neu einhängen, 20 cm ziehen.", ""),
];
