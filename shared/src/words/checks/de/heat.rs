//! The wordings in German: heat.

use super::super::wording::{Wording, w};

#[rustfmt::skip] // A wording a row.
pub(super) const WORDINGS: &[Wording] = &[
    w(43, 0, "Heizt die Düse nie, fördert aber Filament.", "Starttext: Heizung setzen und warten.", "Erster Vorschub in Zeile {0}."),
    w(44, 0, "Fördert bei {0}: zu kalt. Braucht {2}.", "Starttext: auf die Hitze warten.", "Zuerst in Zeile {1}."),
    w(44, 1, "Fördert {0} nach dem Heizen ohne Warten.", "Vor dem ersten Vorschub warten lassen.", ""),
    w(45, 0, "Wartet ohne Zieltemperatur, Zeile {0}.", "Diese Zeile berichtigen.", ""),
    w(45, 1, "Wartet auf {1}, Zeile {0}: Raum ist wärmer.", "Diese Zeile berichtigen.", ""),
    w(45, 2, "Wartet auf Bauraum mit {1}, Zeile {0}.", "Die Maschine ist offen: Sie wartet vielleicht endlos.", ""),
    w(46, 0, "{0} ist kalt für {1}.", "{2} bis {3} einstellen.", "Zu kalt schmilzt es nicht und verstopft."),
    w(46, 1, "{0} ist heiß für {1}.", "{2} bis {3} einstellen.", "Es kann auslaufen und in der Düse verbrennen."),
    w(46, 2, "{0} ist viel zu heiß für {1}: Dämpfe.", "{2} bis {3} einstellen. Lüftung an lassen.", "Es verbrennt in der Düse und gibt Dämpfe ab."),
    w(47, 0, "Düse {0}. Die Grenze ist hier {1}.", "Andere Maschine, oder kühler slicen.", "Die Grenze steht im Maschinenblatt."),
    w(47, 1, "Düse {0}. Einsatz verträgt {1}: Dämpfe.", "Andere Maschine, oder kühler slicen.", "Ein Kunststoffeinsatz reicht bei dieser Maschine in die heiße Zone."),
    w(48, 0, "Bett {0}. Die Grenze ist hier {1}.", "Andere Maschine, oder kühler slicen.", "Die Grenze steht im Maschinenblatt."),
    w(48, 1, "Bett {0}. Die Platte verträgt {1}.", "Andere Platte oder Maschine nehmen.", "Platte: {2}."),
    w(48, 2, "Bett {0}. Nicht für Platte {2}", "Die andere Platte nehmen.", "Diese Platte verträgt {1}."),
    w(49, 0, "Bett {0}. {1} braucht {2}.", "Bett auf {2} stellen.", "Das Teil kann sich lösen."),
    w(49, 1, "Bett {0} ist heiß für {1}: wird weich.", "Bett auf {2} oder weniger stellen.", ""),
    w(49, 2, "Bett ist aus. {0} braucht {1}.", "Bett für die erste Schicht auf {1} stellen.", "Das Teil kann sich lösen."),
    w(49, 3, "Wartet nicht auf das Bett, {0}. {1} braucht {2}.", "Auf das Bett warten (M190).", "Auf einem kalten Bett löst sich die erste Schicht."),
    w(50, 0, "Düse bleibt am Ende AN: {0}.", "Endtext berichtigen: Heizung aus.", "Vielleicht ist niemand da, wenn es endet."),
    w(50, 1, "Bett bleibt am Ende AN: {0}.", "Endtext berichtigen: Heizung aus.", "Vielleicht ist niemand da, wenn es endet."),
    w(50, 2, "Kammerheizung bleibt am Ende AN: {0}.", "Endtext berichtigen: Heizung aus.", "Vielleicht ist niemand da, wenn es endet."),
    w(51, 0, "Wartet {0} heiß vor dem Start: kann verstopfen.", "Die Düse zuletzt heizen.", ""),
    w(51, 1, "Steht im Job {0} heiß: kann verstopfen.", "Warten in Zeile {1} herausnehmen.", ""),
    w(52, 0, "Lüfter voll an in der ersten Schicht.", "Erste Schicht ohne Lüfter.", ""),
    w(52, 1, "Kein Lüfter bis Schicht {0}: PLA braucht ihn.", "Lüfter im Slicer setzen.", ""),
    w(52, 2, "Lüfter {0}: das Teil kann reißen.", "Lüfter auf 30 % oder weniger.", ""),
    w(53, 0, "Endet {0} lang mit heißer Düse auf dem Teil.", "Im Endtext den Kopf heben.", "Er ist um {1} gehoben."),
];
