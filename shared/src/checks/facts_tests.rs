use super::*;

fn header() -> JobHeader {
    JobHeader {
        material: Some("PLA".try_into().unwrap()),
        length: Some(Micrometres::from_mm(1000)),
        bore_um: Some(400),
        nozzle_c: Some(Celsius(205)),
        ..JobHeader::default()
    }
}

fn survey(length_nm: i64) -> Survey {
    let mut survey = Survey::default();
    survey.filament.tools[0].highest_net_nm = length_nm;
    survey
}

#[test]
fn the_source_with_the_most_proof_wins() {
    let facts = JobFacts::merge(Some(&header()), None, Some(&survey(990_000_000)));
    assert_eq!(facts.length, Some(Stated { value: Micrometres::from_mm(990), source: Source::Moves }));
    assert_eq!(facts.bore_um, Some(Stated { value: 400, source: Source::Header }));
    assert!(facts.disagreements.is_empty());
    assert!(facts.grade.is_some());
}

#[test]
fn a_length_may_differ_by_five_percent_of_what_the_moves_say() {
    // 5 % of 1000 mm: 950 and 1050 still agree.
    let of = |text_mm| {
        let mut header = header();
        header.length = Some(Micrometres::from_mm(text_mm));
        JobFacts::merge(Some(&header), None, Some(&survey(1_000_000_000))).disagreements.len()
    };
    assert_eq!((of(950), of(1050)), (0, 0));
    assert_eq!((of(949), of(1051)), (1, 1));
}

#[test]
fn moves_that_say_nothing_leave_the_text() {
    let mut survey = survey(0);
    survey.heat.nozzle_highest_feeding = Some(Celsius(0));
    let facts = JobFacts::merge(Some(&header()), None, Some(&survey));
    assert_eq!(facts.nozzle_c, Some(Stated { value: Celsius(205), source: Source::Header }));
    assert_eq!(facts.length.unwrap().source, Source::Header);
}

#[test]
fn temperatures_may_differ_by_ten_kelvin() {
    let of = |moves| {
        let mut survey = survey(0);
        survey.heat.nozzle_typical = Some(Celsius(moves));
        let facts = JobFacts::merge(Some(&header()), None, Some(&survey));
        assert_eq!(facts.nozzle_c.unwrap().value, Celsius(moves));
        facts.disagreements.len()
    };
    assert_eq!((of(215), of(216), of(195), of(194)), (0, 1, 0, 1));
}

#[test]
fn small_jobs_round_their_length_and_leave_the_purge_out() {
    let of = |text_um, purged_nm: i64, pushed_nm| {
        let mut header = header();
        header.length = Some(Micrometres(text_um));
        let mut survey = survey(100_000_000);
        survey.purge = (purged_nm > 0)
            .then(|| crate::survey::PurgeStrip { filament_nm: purged_nm, ..Default::default() });
        survey.filament.longest_push_before.length_nm = pushed_nm;
        JobFacts::merge(Some(&header), None, Some(&survey)).disagreements.len()
    };
    assert_eq!((of(90_000, 0, 0), of(89_999, 0, 0), of(110_000, 0, 0), of(110_001, 0, 0)), (0, 1, 0, 1));
    // 8 mm in the strip and 4 mm pushed before it.
    assert_eq!((of(78_000, 8_000_000, 4_000_000), of(77_999, 8_000_000, 4_000_000)), (0, 1));
    // What is purged is never missing from the moves.
    assert_eq!(of(110_001, 8_000_000, 4_000_000), 1);
}

#[test]
fn a_text_may_state_any_height_that_occurs() {
    let of = |stated, thinnest, thickest| {
        let mut header = header();
        header.layer_um = Some(stated);
        let mut survey = survey(0);
        survey.layers.typical_um = Some(120);
        survey.layers.thinnest = Some(Plane { z_um: thinnest, line: 1 });
        survey.layers.thickest = Some(Plane { z_um: thickest, line: 1 });
        JobFacts::merge(Some(&header), None, Some(&survey)).disagreements.len()
    };
    assert_eq!((of(200, 120, 200), of(210, 120, 200), of(211, 120, 200)), (0, 0, 1));
    assert_eq!((of(110, 120, 120), of(109, 120, 120), of(131, 120, 120)), (0, 1, 1));
}

#[test]
fn heights_that_follow_the_slopes_are_not_compared() {
    let of = |typical_count| {
        let mut header = header();
        header.layer_um = Some(200);
        let mut survey = survey(0);
        survey.layers.typical_um = Some(120);
        (survey.layers.typical_count, survey.layers.passes) = (typical_count, 101);
        JobFacts::merge(Some(&header), None, Some(&survey)).disagreements.len()
    };
    assert_eq!((of(50), of(49)), (1, 0));
}
