use std::format;
use std::string::ToString;

use proptest::prelude::*;

use super::*;
use crate::units::Celsius;

#[track_caller]
fn grade(name: &str) -> Grade {
    Grade::parse(name).unwrap_or_else(|| panic!("{name} has no grade"))
}

#[track_caller]
fn assert_grade(name: &str, base: Base, filler: Option<(Filler, u8)>) {
    let read = grade(name);
    let percent = filler.map_or(0, |(_, percent)| percent);
    assert_eq!(
        (read.base, read.filler, read.filler_percent, read.blend),
        (base, filler.map(|(filler, _)| filler), percent, None),
        "{name}"
    );
}

/// The marks of ISO 11469's rules, as secondary pages quote them and as they follow for filament.
#[test]
fn marks_of_iso_11469() {
    use Filler::{CarbonFibre, GlassFibre, Mineral, Wood};
    assert_grade(">ABS<", Base::Abs, None);
    assert_grade(">PLA<", Base::Pla, None);
    assert_grade(">TPU<", Base::Tpu, None);
    assert_grade(">PP-MD30<", Base::Pp, Some((Mineral, 30)));
    assert_grade(">PS-HI-GF20<", Base::PsHi, Some((GlassFibre, 20)));
    assert_grade(">PA66-(GF25+MD15)<", Base::Pa66, Some((GlassFibre, 25)));
    assert_grade(">PVC-P(DBP)<", Base::Pvc, None);
    assert_grade(">ABS(REC30)<", Base::Abs, None);
    assert_grade(">PC-FR(40)<", Base::Pc, None);
    assert_grade(">PA6-CF15<", Base::Pa6, Some((CarbonFibre, 15)));
    assert_grade(">PA12-GF20<", Base::Pa12, Some((GlassFibre, 20)));
    assert_grade(">PET-CF15<", Base::Pet, Some((CarbonFibre, 15)));
    assert_grade(">PLA-WD30<", Base::Pla, Some((Wood, 30)));
    // Other forms of a filler's material: talc powder, glass beads, calcium carbonate.
    assert_grade("PP-TD20", Base::Pp, Some((Mineral, 20)));
    assert_grade("PP-KD20", Base::Pp, Some((Mineral, 20)));
    assert_grade("PA6-GB30", Base::Pa6, Some((GlassFibre, 30)));
    let blend = grade(">PC+ABS<");
    assert_eq!((blend.base, blend.blend, blend.modified), (Base::Pc, Some(Base::Abs), false));
}

#[test]
fn marks_read_back() {
    for mark in [
        "PLA",
        "ABS",
        "PC+ABS",
        "PS-HI",
        "PS-HI-GF20",
        "PP-MD30",
        "PA6-CF15",
        "PA12-GF20",
        "PET-CF15",
        "PLA-WD30",
        "TPU",
        "PLA-MED80",
        "PC+ABS-GF10",
        "PETG-CF",
        "PA66",
    ] {
        assert_eq!(grade(mark).mark(), mark);
        assert_eq!(grade(&format!(">{mark}<")).mark(), mark);
        assert_eq!(grade(&mark.to_lowercase()).mark(), mark);
    }
    assert_eq!(grade("PA6-CF5").mark(), "PA6-CF05");
    assert_eq!(grade("glow PLA").mark(), "PLA");
    assert_eq!(grade("tough TPU 95A").mark(), "TPU");
}

#[test]
fn every_word_of_the_table_gives_its_row() {
    for &base in Base::ALL {
        let row = base.row();
        assert_eq!(row.base, base);
        assert_eq!(grade(row.symbol), Grade::plain(base), "{}", row.symbol);
        for word in row.words {
            assert_eq!(grade(word), Grade::plain(base), "{word}");
            assert_eq!(grade(&word.to_uppercase()), Grade::plain(base), "{word}");
            assert_eq!(grade(&format!("black {word}, 1.75 mm, 1kg")), Grade::plain(base), "{word}");
        }
    }
}

#[test]
fn every_filler_word_gives_its_filler() {
    for &(word, filler, alone) in FILLERS {
        assert_eq!(grade(&format!("PETG {word}")).filler, Some(filler), "{word}");
        assert_eq!(grade(&format!("{word} PETG")).filler, Some(filler), "{word}");
        let expected = alone.then_some((Base::Pla, Some(filler)));
        assert_eq!(Grade::parse(word).map(|grade| (grade.base, grade.filler)), expected, "{word}");
    }
}

#[test]
fn trade_words() {
    for (name, base) in [
        ("nylon", Base::Pa6),
        ("PA6/66", Base::Pa6),
        ("Nylon 6/6", Base::Pa66),
        ("PA 6.6", Base::Pa66),
        ("polyamid12", Base::Pa12),
        ("PET-G", Base::Petg),
        ("PET G", Base::Petg),
        ("co-polyester", Base::Petg),
        ("PETE", Base::Pet),
        ("HIPS", Base::PsHi),
        ("PVA", Base::Pval),
        ("PVA support", Base::Pval),
        ("flex", Base::Tpu),
        ("TPE-U", Base::Tpu),
        ("acrylic", Base::Pmma),
        ("acetal", Base::Pom),
        ("POM-H", Base::Pom),
        ("Polycarbonate (clear)", Base::Pc),
        ("PLA (polylactide)", Base::Pla),
        ("PLA carbon black", Base::Pla),
        ("stone grey PETG", Base::Petg),
        ("PEI 1010", Base::Pei),
    ] {
        assert_eq!(grade(name), Grade::plain(base), "{name}");
    }
}

#[test]
fn modifiers() {
    for name in [
        "PLA+",
        "PLA +",
        "tough PLA",
        "silk PLA",
        "Silk-PLA gold",
        "PLA matt",
        "PLA Matte",
        "rapid PLA",
        "PLA plus",
        "high-speed PLA",
        "PLA+ black",
        "PLA+2",
    ] {
        assert_eq!(grade(name), Grade { modified: true, ..Grade::plain(Base::Pla) }, "{name}");
    }
    assert!(!grade("PLA+CF").modified);
    assert!(!grade("PLA shiny").modified);
}

#[test]
fn fillers_with_and_without_share() {
    use Filler::{CarbonFibre, Metal, Wood};
    assert_grade("PLA wood", Base::Pla, Some((Wood, 0)));
    assert_grade("woodfill", Base::Pla, Some((Wood, 0)));
    assert_grade("bronzefill 80 %", Base::Pla, Some((Metal, 80)));
    assert_grade("carbon fibre PETG", Base::Petg, Some((CarbonFibre, 0)));
    assert_grade("PETG-CF", Base::Petg, Some((CarbonFibre, 0)));
    assert_grade("PETGCF15", Base::Petg, Some((CarbonFibre, 15)));
    assert_grade("pa6cf15", Base::Pa6, Some((CarbonFibre, 15)));
    assert_grade("PA6 CF 15", Base::Pa6, Some((CarbonFibre, 15)));
    assert_grade("PA6 with 15% carbon fiber", Base::Pa6, Some((CarbonFibre, 15)));
    assert_grade("PA12+CF", Base::Pa12, Some((CarbonFibre, 0)));
}

#[test]
fn shore_hardness_of_soft_grades_only() {
    for name in ["TPU 95A", "TPU95A", "tpu 95 A", "TPU Shore A 95", "TPU shore 95A", "flex 95A black"] {
        assert_eq!(grade(name), Grade { shore_a: Some(95), ..Grade::plain(Base::Tpu) }, "{name}");
    }
    assert_eq!(grade("TPU 64D").shore_a, None);
    assert_eq!(grade("PLA 95A").shore_a, None);
}

#[test]
fn blends() {
    for name in ["PC+ABS", "PC/ABS", "pc + abs", "PC-ABS", "PC+ABS white"] {
        let blend = Grade { blend: Some(Base::Abs), ..Grade::plain(Base::Pc) };
        assert_eq!(grade(name), blend, "{name}");
    }
    assert_eq!(grade("PC-ABS-GF20").mark(), "PC+ABS-GF20");
}

#[test]
fn nothing_is_guessed() {
    for name in [
        "",
        "   ",
        "black",
        "filament",
        "PVAC",
        "PCTG",
        "PLA PETG",
        "PLA-PETG",
        "PC+ABS+PLA",
        "PC+PBT",
        "+",
        "PPA",
        "support for PLA",
        "carbon fibre",
        "CF15",
        "95A",
        "plastic",
        "TPE",
        "ABSURD",
        "><",
        "wood",
    ] {
        assert_eq!(Grade::parse(name), None, "{name}");
    }
}

#[test]
fn the_longest_mark_fits() {
    for &base in Base::ALL {
        for &blend in Base::ALL {
            let grade = Grade {
                blend: Some(blend),
                filler: Some(Filler::Metal),
                filler_percent: 99,
                ..Grade::plain(base)
            };
            let expected = format!("{}+{}-MED99", base.row().symbol, blend.row().symbol);
            assert_eq!(grade.mark().to_string(), expected);
        }
    }
}

/// Every row is whole: windows the right way round, a density of a plastic, a name, numbers in the trade's reach.
#[test]
fn rows_are_whole() {
    for &base in Base::ALL {
        let row = base.row();
        assert!(!row.symbol.is_empty() && !row.words.is_empty(), "{base:?}");
        assert!((900..=1500).contains(&row.density_mg_cm3), "{base:?}");
        assert!(row.nozzle_c.0 < row.nozzle_c.1 && row.nozzle_c.0 >= Celsius(170), "{base:?}");
        assert!(row.bed_c.0 < row.bed_c.1, "{base:?}");
        assert!(row.drying.is_none_or(|drying| drying.celsius.0 <= drying.celsius.1 && drying.hours.0 <= drying.hours.1));
        assert!(!row.damp_spoils || row.open_hours.is_some(), "{base:?}");
        for other in Base::ALL.iter().filter(|other| **other != base) {
            assert_ne!(other.row().symbol, row.symbol);
            assert!(other.row().words.iter().all(|word| !row.words.contains(word)), "{base:?} {other:?}");
        }
    }
    assert!(Base::ALL.iter().filter(|base| base.row().forbidden).eq([&Base::Pvc]));
}

#[test]
fn densities_of_filled_grades_are_not_guessed() {
    assert_eq!(grade("PLA").density_mg_cm3(), Some(1240));
    assert_eq!(grade("PLA-WD30").density_mg_cm3(), Some(1250));
    for name in ["PLA-MED80", "PA6-CF15", "PC+ABS", "PETG wood"] {
        assert_eq!(grade(name).density_mg_cm3(), None, "{name}");
    }
}

proptest! {
    #[test]
    fn no_name_makes_it_panic(name in "\\PC{0,80}") {
        let _ = Grade::parse(&name);
    }

    #[test]
    fn no_near_name_makes_it_panic(name in "((PLA|pa|6|66|petg|CF|GF25|shore|a|95|for|pc|abs|[-+/ %()<>.])){0,14}") {
        if let Some(grade) = Grade::parse(&name) {
            // What is moulded reads back as the same material.
            let back = Grade::parse(&grade.mark()).expect("a mark reads back");
            prop_assert_eq!((back.base, back.blend), (grade.base, grade.blend));
            if grade.filler != Some(Filler::Glow) {
                prop_assert_eq!((back.filler, back.filler_percent), (grade.filler, grade.filler_percent));
            }
        }
    }
}
