//! How two materials relate (catalogue, section 3.6): base, filler, blend, hardness, modifiers.

use crate::records::{Base, Grade};

/// Grades of soft material count as equal within this, Shore A: durometers scatter by some points (judgement, no
/// source).
const SHORE_TOLERANCE: u8 = 5;

/// Whether words name polyvinyl acetate (PVAC): no filament, but taken for the alcohol (PVAL), which the trade calls PVA.
pub(crate) fn is_acetate(words: &str) -> bool {
    let word = words.trim().trim_start_matches('>').trim_end_matches('<');
    word.eq_ignore_ascii_case("PVAC") || word.eq_ignore_ascii_case("polyvinyl acetate")
}

/// How the spool's grade relates to the job's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Relation {
    /// Base, filler, blend and hardness are the same.
    Same,
    /// The same but for a trade modifier such as "tough".
    Modified,
    /// Same base, another filler.
    Filler,
    /// Same base, one of them a blend.
    Blend,
    /// Same soft base, another hardness.
    Hardness,
    /// Another base of the same kind that may go through: PA6 and PA12, ABS and ASA.
    Near,
    /// Names that are taken for each other and must not be: PET and PETG, PS-HI and ABS (PVAL and PVAC by
    /// [`is_acetate`]: the table has no PVAC).
    Trap,
    /// Another base.
    Different,
}

/// Compares the job's grade with the spool's; the order of the two makes no difference.
pub(crate) fn relation(job: Grade, spool: Grade) -> Relation {
    use Base::{Abs, Asa, Pa6, Pa12, Pa66, Pet, Petg, PsHi};
    if job.base != spool.base {
        return match (job.base, spool.base) {
            (Pet, Petg) | (Petg, Pet) | (PsHi, Abs) | (Abs, PsHi) => Relation::Trap,
            (Pa6 | Pa66 | Pa12, Pa6 | Pa66 | Pa12) | (Abs, Asa) | (Asa, Abs) => Relation::Near,
            _ => Relation::Different,
        };
    }
    let hardness = job.shore_a.zip(spool.shore_a).map_or(0, |(a, b)| a.abs_diff(b));
    if job.filler != spool.filler {
        Relation::Filler
    } else if job.blend != spool.blend {
        Relation::Blend
    } else if hardness > SHORE_TOLERANCE {
        Relation::Hardness
    } else if job.modified != spool.modified {
        Relation::Modified
    } else {
        Relation::Same
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::grade;

    fn of(job: &str, spool: &str) -> Relation {
        let there = relation(grade(job), grade(spool));
        assert_eq!(there, relation(grade(spool), grade(job)), "{job} and {spool} compare alike both ways");
        there
    }

    #[test]
    fn words_for_the_same_material_are_the_same() {
        for (a, b) in
            [("PLA", "PLA"), ("PVA", "PVAL"), ("HIPS", "PS-HI"), ("PETG", "PET-G"), ("PA6-CF15", "PA6-CF15")]
        {
            assert_eq!(of(a, b), Relation::Same, "{a} {b}");
        }
    }

    #[test]
    fn traps_are_named_and_neighbours_looked_at() {
        assert_eq!(of("PET", "PETG"), Relation::Trap);
        assert_eq!(of("HIPS", "ABS"), Relation::Trap);
        assert_eq!(of("PA6", "PA12"), Relation::Near);
        assert_eq!(of("PA66", "PA12"), Relation::Near);
        assert_eq!(of("ABS", "ASA"), Relation::Near);
        assert_eq!(of("PLA", "PETG"), Relation::Different);
        assert_eq!(of("PVA", "BVOH"), Relation::Different);
    }

    #[test]
    fn within_a_base_the_graver_difference_is_told() {
        assert_eq!(of("PLA", "PLA-WD30"), Relation::Filler);
        assert_eq!(of("PA6-CF15", "PA6-GF15"), Relation::Filler);
        assert_eq!(of("PC", "PC+ABS"), Relation::Blend);
        assert_eq!(of("PLA", "Tough PLA"), Relation::Modified);
    }

    #[test]
    fn hardness_counts_beyond_five_points() {
        let soft = |shore| Grade { shore_a: Some(shore), ..grade("TPU") };
        assert_eq!(relation(soft(95), soft(90)), Relation::Same);
        assert_eq!(relation(soft(95), soft(89)), Relation::Hardness);
        // One of them not stated: nothing to compare.
        assert_eq!(relation(soft(95), Grade { shore_a: None, ..grade("TPU") }), Relation::Same);
    }
}
