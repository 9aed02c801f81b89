//! The survey of generated jobs against a slow reference in exact decimals, and the hard cases one by one.

use holdpoint_shared::survey::{DEPTH_BANDS, MarkKind, Survey, Surveyor};
use holdpoint_tests::generate::{Plan, job, sheet};
use holdpoint_tests::reference::{self, nm};

fn survey(text: &str) -> Survey {
    let mut surveyor = Surveyor::new(&sheet());
    surveyor.feed(text.as_bytes());
    surveyor.finish()
}

/// Seconds that the sheet's homing takes.
const HOME_S: f64 = 20.0;

/// Holds all exact quantities of a job against the reference.
fn agrees(plan: &Plan) -> Survey {
    let text = job(plan);
    let (survey, found) = (survey(&text), reference::survey(&text, HOME_S));
    let [tool, ..] = survey.filament.tools;
    assert_eq!(tool.net_nm, nm(found.net), "net, {plan:?}");
    assert_eq!(tool.highest_net_nm, nm(found.highest_net), "highest net, {plan:?}");
    assert_eq!(tool.forward_nm, nm(found.forward), "forward, {plan:?}");
    assert_eq!(survey.reading.moves, found.moves, "moves, {plan:?}");
    assert_eq!(survey.motion.arcs, found.arcs, "arcs, {plan:?}");
    for (bounds, wanted) in [(survey.reached, found.reached), (survey.printed, found.printed)] {
        let wanted = wanted.expect("the job moves");
        let axes = bounds.min_nm.iter().zip(bounds.max_nm).zip(wanted);
        for ((min, max), [lowest, highest]) in axes {
            assert_eq!((*min, max), (nm(lowest), nm(highest)), "{plan:?}");
        }
    }
    assert_eq!(survey.reading.malformed.count, 0, "{:?}", survey.reading);
    assert_eq!(survey.reading.unknown.count, 0, "{:?}", survey.reading);
    survey
}

#[test]
fn jobs_of_every_kind() {
    let plans = [
        Plan::default(),
        Plan { relative_feed: true, ..Plan::default() },
        Plan { relative_positions: true, seed: 2, ..Plan::default() },
        Plan { relative_positions: true, relative_feed: true, arcs: false, seed: 3, ..Plan::default() },
        Plan { inch: true, arcs: false, seed: 4, ..Plan::default() },
        Plan { inch: true, relative_feed: true, relative_positions: true, arcs: false, ..Plan::default() },
        Plan { varied: true, hop: false, seed: 5, ..Plan::default() },
        Plan { one_by_one: true, parts: 4, seed: 6, ..Plan::default() },
        Plan { spiral_from: Some(3), parts: 1, seed: 7, ..Plan::default() },
    ];
    for plan in plans {
        agrees(&plan);
    }
}

/// A hundred thousand moves: the totals are still equal to the decimals' last digit.
#[test]
fn a_hundred_thousand_moves() {
    for (seed, relative) in [(11, true), (12, false)] {
        let plan = Plan {
            seed,
            layers: 150,
            parts: 3,
            relative_feed: relative,
            relative_positions: relative,
            varied: true,
            ..Plan::default()
        };
        let survey = agrees(&plan);
        assert!(survey.reading.moves > 100_000, "{} moves", survey.reading.moves);
        assert_eq!(survey.layers.count, 150);
        assert!(survey.layers.ends.len() <= 200);
    }
}

/// Each plane once, whatever else the job does.
#[test]
fn layers_of_every_kind() {
    let plain = Plan { layers: 12, ..Plan::default() };
    for (plan, passes) in [
        (plain, 12),
        (Plan { purge_um: None, ..plain }, 12),
        (Plan { purge_um: Some(450), ..plain }, 12),
        (Plan { varied: true, ..plain }, 12),
        (Plan { hop: false, relative_positions: true, ..plain }, 12),
        (Plan { one_by_one: true, parts: 3, ..plain }, 36),
        (Plan { spiral_from: Some(3), parts: 1, ..plain }, 12),
        (Plan { layers: 450, parts: 1, arcs: false, ..plain }, 450),
    ] {
        let survey = agrees(&plan);
        assert_eq!((survey.layers.count, survey.layers.exact), (plan.layers, true), "{plan:?}");
        assert_eq!(survey.layers.passes, passes, "{plan:?}");
        assert_eq!(survey.first_layer.plane.map(|plane| plane.z_um), Some(200), "{plan:?}");
        assert_eq!(survey.purge.is_some(), plan.purge_um.is_some(), "{plan:?}");
        let spiral = plan.spiral_from.map_or(0, |from| plan.layers - from);
        assert_eq!(survey.layers.spiral_turns, spiral, "{plan:?}");
        if !plan.varied {
            assert_eq!(survey.layers.typical_um, Some(200), "{plan:?}");
            assert_eq!(survey.layers.top_um, 200 * plan.layers as i32, "{plan:?}");
        }
    }
}

#[test]
fn the_purge_strip_stands_apart() {
    for z in [200, 300, 450] {
        let survey = survey(&job(&Plan { purge_um: Some(z), ..Plan::default() }));
        let purge = survey.purge.expect("a strip");
        assert_eq!(purge.bounds.min_nm, [20_000_000, 4_000_000, z * 1000]);
        assert_eq!(purge.bounds.max_nm, [120_000_000, 4_500_000, z * 1000]);
        assert_eq!(purge.path_nm, 200_000_000);
        assert!(survey.first_layer.bounds.min_nm[1] > 30_000_000, "{:?}", survey.first_layer);
        assert!(purge.end_s >= purge.start_s && purge.end_s <= survey.first_layer.start_s + 1);
        let kinds: Vec<MarkKind> = survey.marks.iter().map(|mark| mark.kind).collect();
        let place = |kind| kinds.iter().position(|k| *k == kind).expect("a mark");
        assert!(place(MarkKind::Homing) < place(MarkKind::Purge), "{kinds:?}");
        assert!(place(MarkKind::Purge) < place(MarkKind::FirstLayer), "{kinds:?}");
        assert!(place(MarkKind::FirstLayer) < place(MarkKind::SecondLayer), "{kinds:?}");
        assert!(survey.footprint.purge_at(60_000 / 5209, 0) && !survey.footprint.layer_at(60_000 / 5209, 0));
    }
}

/// A skirt round the part is no purge strip: it surrounds.
#[test]
fn a_skirt_belongs_to_the_first_layer() {
    let mut text = String::from("G28\nM83\nG0 X50 Y50 Z0.2 F6000\n");
    text += "G1 X150 E5 F1200\nG1 Y150 E5\nG1 X50 E5\nG1 Y50 E5\n";
    for z in ["0.2", "0.4"] {
        text += &format!("G0 X90 Y90 Z{z}\nG1 X110 E1\nG1 Y110 E1\nG1 X90 E1\nG1 Y90 E1\n");
    }
    let survey = survey(&text);
    assert_eq!(survey.purge, None);
    assert_eq!(survey.first_layer.bounds.min_nm, [50_000_000, 50_000_000, 200_000]);
    assert_eq!(survey.first_layer.path_nm, 480_000_000);
}

/// The first of several small parts is no purge strip: the next layers print over it.
#[test]
fn small_parts_are_no_purge_strips() {
    let mut text = String::from("G28\nM83\n");
    for z in ["0.2", "0.4", "0.6"] {
        for x in [20, 100] {
            text += &format!("G0 X{x} Y20 Z{z} F6000\nG1 X{} E1 F1200\nG1 Y30 E1\n", x + 10);
        }
    }
    let survey = survey(&text);
    assert_eq!(survey.purge, None);
    assert_eq!(survey.first_layer.bounds.min_nm[0], 20_000_000);
    assert_eq!(survey.layers.count, 3);
}

#[test]
fn parts_one_after_the_other() {
    let survey = survey(&job(&Plan { one_by_one: true, parts: 3, layers: 10, ..Plan::default() }));
    assert_eq!((survey.parts.count, survey.parts.list.len()), (3, 3));
    // Centres 60 mm apart, radius 20 mm and up to 0.7 mm more.
    let gap = survey.parts.least_gap_um().expect("a gap");
    assert!((18_000..20_100).contains(&gap), "{gap}");
    assert_eq!(survey.parts.tallest_before_last_um(), Some(2_000));
    assert_eq!(survey.relief.below_um, [0; DEPTH_BANDS], "{:?}", survey.relief);
    assert_eq!(survey.marks.iter().filter(|mark| mark.kind == MarkKind::NextPart).count(), 2);
}

/// A first layer of one square, which is all that could be a strip, with less above it: the part is as wide as the
/// square, the next one stands beside that, and going down onto its wall goes through plastic.
#[test]
fn a_part_is_as_wide_as_its_first_layer() {
    let text = "G28\nM83\nG0 X10 Y10 Z0.2 F6000\nG1 X50 E2 F1200\nG1 Y40 E2\nG1 X10 E2\nG1 Y10 E2\n\
                G0 Z0.4\nG1 X30 E1\nG1 Y20 E1\nG0 X20 Y10 Z0.3\nG0 Z5\nG0 X100\n\
                G0 Z0.2\nG1 X120 E1\nG1 Y60 E1\n";
    let survey = survey(text);
    assert_eq!((survey.purge, survey.parts.count), (None, 2));
    let [first, second] = &survey.parts.list[..] else { panic!("two parts") };
    assert_eq!(
        (first.min_um, first.max_um, first.top_um, first.line),
        ([10_000; 2], [50_000, 40_000], 400, 4)
    );
    assert_eq!((second.min_um, second.max_um, second.line), ([100_000, 10_000], [120_000, 60_000], 15));
    assert_eq!(survey.parts.least_gap_um(), Some(50_000));
    // 0.1 mm below the top, to the side that was laid on again: 12 units of 8.192 µm, so the second band.
    let below = survey.relief.below_um;
    assert!(below[1] > 0 && below[2..].iter().all(|um| *um == 0), "{below:?}");
    assert_eq!(survey.relief.below_line[1], 11);
}

/// A strip beside it makes the part no wider, whichever of the two is taken for it at first.
#[test]
fn a_part_is_no_wider_for_a_strip() {
    let text = "G28\nM83\nG0 X0 Y5 Z0.2 F6000\nG1 X60 E5 F1200\nG0 X20 Y40\nG1 X40 E1\nG1 Y60 E1\nG0 X20 Y40 Z0.4\n\
                G1 X40 E1\nG1 Y60 E1\nG0 Z5\nG0 X100 Z0.2\nG1 X120 E1\n";
    let survey = survey(text);
    assert!(survey.purge.is_some());
    let first = survey.parts.list.first().expect("a part");
    assert_eq!((first.min_um, first.max_um), ([20_000, 40_000], [40_000, 60_000]));
}

/// Words that do not wait stand behind the moves before them, not where the machine is when they are read: 8 beads of
/// 100 mm at 20 mm/s, nearly 40 s that all fit the machine's buffer.
#[test]
fn words_stand_behind_the_moves_before_them() {
    let mut text = String::from("M140 S60\nM104 S200\nG28\nM83\nG0 X10 Y10 Z0.2 F6000\n");
    for _ in 0..4 {
        text += "G1 X110 E2 F1200\nG1 X10 E2\n";
    }
    text += "M104 S190\nM104 S0\nM140 S0\nM84\nM2\n";
    let survey = survey(&text);
    let end_s = survey.time.last_bead_s.expect("a bead");
    assert!((60..=62).contains(&end_s), "20 s of homing and 40 s of beads: {end_s}");
    let when = |kind| survey.marks.iter().find(|mark| mark.kind == kind).map(|mark| mark.at_s);
    assert_eq!((when(MarkKind::HeatOff), when(MarkKind::End)), (Some(end_s), Some(end_s)));
    let steps: Vec<u32> = survey.heat.steps.iter().map(|step| step.at_s).collect();
    assert_eq!(steps, [0, 0, end_s, end_s, end_s]);
    assert_eq!((survey.tail.heat_off, survey.tail.heat_off_after_s), (true, Some(0)));
}

/// S128 of 255 is 501.96 thousandths of full.
#[test]
fn the_fan_is_told_to_the_nearest_thousandth() {
    let text = "G28\nM83\nM106 S128\nG0 X10 Y10 Z0.2 F6000\nG1 X50 E2 F1200\n";
    assert_eq!(survey(text).fan.first_layer_permille, 502);
}

/// Z named anew by G92 moves nothing.
#[test]
fn z_set_by_a_word() {
    let survey =
        survey("G28\nM83\nG0 X10 Y10 Z5\nG92 Z4.8\nG1 Z0 F600\nG1 X50 E2 F1200\nG0 Z0.2\nG1 X10 E2\n");
    assert_eq!(survey.layers.count, 2);
    assert_eq!(survey.first_layer.plane.map(|plane| plane.z_um), Some(200));
    assert_eq!(survey.printed.max_nm[2], 400_000);
}

/// A spiral alone, without a level layer below: one layer a turn.
#[test]
fn a_job_that_is_a_spiral() {
    for clockwise in [false, true] {
        let mut text = String::from("G28\nM83\nG0 X70 Y50 Z0.2 F6000\n");
        let (turns, pieces) = (15, 90);
        for piece in 1..=turns * pieces {
            let angle = f64::from(piece) * std::f64::consts::TAU / f64::from(pieces);
            let angle = if clockwise { -angle } else { angle };
            let z = 0.2 + 0.3 * f64::from(piece) / f64::from(pieces);
            text += &format!(
                "G1 X{:.3} Y{:.3} Z{z:.3} E0.05 F1800\n",
                50.0 + 20.0 * angle.cos(),
                50.0 + 20.0 * angle.sin()
            );
        }
        let survey = survey(&text);
        assert_eq!((survey.layers.count, survey.layers.passes), (15, 15), "clockwise: {clockwise}");
        assert_eq!(survey.layers.top_um, 4_700);
        // Each turn's end, though the next one counts from half way round it on.
        let ends: Vec<_> = survey.layers.ends.iter().map(|end| end.z_um).collect();
        assert_eq!(ends, Vec::from_iter((1..=15).map(|turn| 200 + 300 * turn)));
    }
}

/// RS274/NGC 3.5.3.2: G2 from (7, 7) to (10, 16) about (10, 11): 12.490458 mm of a circle of 5 mm; it passes X 5.
/// The box from plane geometry, also of the other way round and of the radius form (3.5.3.1).
#[test]
fn arcs_of_the_standard() {
    let boxed = |line: &str, from: &str| {
        let survey = survey(&format!("G28\nM83\nG0 {from} F6000\n{line}\n"));
        (survey.printed, survey.first_layer.path_nm)
    };
    let (bounds, path) = boxed("G17 G2 X10 Y16 I3 J4 E1", "X7 Y7 Z9");
    assert_eq!(
        (bounds.min_nm, bounds.max_nm),
        ([5_000_000, 7_000_000, 9_000_000], [10_000_000, 16_000_000, 9_000_000])
    );
    assert!(path.abs_diff(12_490_458) <= 1, "{path}");
    let (bounds, path) = boxed("G3 X10 Y16 I3 J4 E1", "X7 Y7 Z9");
    assert_eq!((bounds.min_nm[0], bounds.max_nm[0]), (7_000_000, 15_000_000));
    assert_eq!((bounds.min_nm[1], bounds.max_nm[1]), (6_000_000, 16_000_000));
    assert!(path.abs_diff(18_925_469) <= 1, "{path}");
    // As a helix that rises by 2: the path counts, though no plane is made.
    let (bounds, _) = boxed("G2 X10 Y16 Z11 I3 J4 E1", "X7 Y7 Z9");
    assert_eq!((bounds.min_nm[2], bounds.max_nm[2]), (9_000_000, 11_000_000));
    let (bounds, path) = boxed("G2 X10 Y15 R20 E1", "X0 Y0 Z5");
    assert_eq!(
        (bounds.min_nm[0], bounds.max_nm[0], bounds.min_nm[1], bounds.max_nm[1]),
        (0, 10_000_000, 0, 15_000_000)
    );
    assert!(path.abs_diff(18_701_701) <= 2, "{path}");
    let (bounds, path) = boxed("G2 X10 Y15 R-20 E1", "X0 Y0 Z5");
    for (value, wanted) in [
        (bounds.min_nm[0], -29_855_069),
        (bounds.max_nm[0], 10_144_931),
        (bounds.min_nm[1], -2_596_621),
        (bounds.max_nm[1], 37_403_379),
    ] {
        assert!(value.abs_diff(wanted) <= 2, "{value}, not {wanted}");
    }
    assert!(path.abs_diff(106_962_005) <= 4, "{path}");
    // A full circle.
    let (bounds, path) = boxed("G2 X20 Y20 I5 E1", "X20 Y20 Z1");
    assert_eq!((bounds.min_nm[0], bounds.max_nm[0]), (20_000_000, 30_000_000));
    assert_eq!((bounds.min_nm[1], bounds.max_nm[1]), (15_000_000, 25_000_000));
    assert!(path.abs_diff(31_415_927) <= 1, "{path}");
}

#[test]
fn arcs_that_are_not_right() {
    let off = survey(
        "G0 X0 Y0 F600\nG2 X10.01 Y0 I5 J0\nG2 X0 Y0\nG2 X10 Y0 R4.9\nG2 X21.1 Y0 I5 J0\nG18\nG2 X1 Z1 I1\n",
    );
    assert_eq!((off.motion.arc_mismatch.count, off.motion.arc_mismatch.first_line), (1, 2));
    assert_eq!(
        (off.reading.unread.met.count, off.reading.unread.met.first_line),
        (4, 3),
        "half a millimetre and more off its circle"
    );
}

/// A bead of 0.45 × 0.20 mm takes 3.38488 mm of 1.75 mm filament on 100 mm; at 60 mm/s that is 4.885 mm³/s (plane
/// geometry: rectangle and two half rounds).
#[test]
fn a_bead_and_its_flow() {
    let text = "G28\nM83\nG0 X10 Y10 Z0.2 F6000\nG1 X210 E6.76976 F3600\n";
    let survey = survey(text);
    assert_eq!(survey.first_layer.width_um(1750), Some(450));
    assert!(survey.flow.peak_nl_s.abs_diff(4885) <= 2, "{:?}", survey.flow);
    // A long move holds its peak for far more than half a second.
    assert!(survey.flow.sustained_nl_s.abs_diff(4885) <= 2, "{:?}", survey.flow);
    assert_eq!(survey.first_layer.peak_um_s, 60_000);
    let (low, high) = (33_849 * 92 / 100, 33_849 * 108 / 100);
    assert!(survey.beads.median_ppm().is_some_and(|ppm| (low..high).contains(&ppm)), "{:?}", survey.beads);
}

#[test]
fn how_a_job_ends() {
    let whole = job(&Plan::default());
    let tail = survey(&whole).tail;
    assert!(tail.heat_off && tail.motors_off && tail.end_word && tail.parked, "{tail:?}");
    assert!(tail.last_line_ended && tail.last_line_readable && !tail.last_move_lays);
    assert_eq!((tail.lift_nm, tail.ends_over_part), (10_000_000, false));
    // Cut within a number, within the body.
    let cut = &whole[..whole.len() / 2];
    let cut = &cut[..cut.rfind('.').expect("a number")];
    let survey_of_cut = survey(cut);
    assert!(!survey_of_cut.tail.last_line_ended && !survey_of_cut.tail.heat_off);
    assert_eq!(survey_of_cut.heat.nozzle_end.0, 210);
    // Stale lines behind the end.
    let stale = survey(&(whole + "G1 X10 Y10 E4000\nG1 X20 Y10 E4001\nG1 X3 Y"));
    assert_eq!(stale.tail.beads_after_end.count, 2);
    assert!(!stale.tail.last_line_readable);
}

#[test]
fn heat_and_its_order() {
    let survey_of = survey(
        "M104 S200\nM140 S60\nG28\nG1 X10 Z0.2 F600\nG1 X50 E2 F1200\nM109 S215\nG1 Z0.4\nG1 X10 E4\nM190 S0\nM109 R150\n",
    );
    let heat = &survey_of.heat;
    assert_eq!(heat.waited_before_feed, Some(false));
    assert_eq!(heat.nozzle_lowest_feeding.map(|c| c.0), Some(200));
    assert_eq!(heat.nozzle_highest_feeding.map(|c| c.0), Some(215));
    assert_eq!((heat.waits_for_nothing.first_line, heat.cool_waits.first_line), (9, 10));
    assert_eq!(heat.nozzle_end.0, 150);
    assert_eq!(heat.nozzle_typical.map(|c| c.0), Some(215));
    assert!(!survey_of.time.heat_wait_known, "the sheet states no heaters");
    let cold = survey("M83\nG1 X10 Z0.2 F600\nG1 X50 E2 F1200\n").heat;
    assert_eq!(cold.nozzle_lowest_feeding.map(|c| c.0), Some(0));
}

/// A hot end of 10 J/K, 0.03 W/K, 40 W warms from 22 to 210 °C in 50.5 s (lumped model, closed form); from 20 °C to
/// 210 °C: t = −τ ln(1 − ΔT·k/P) with τ = 333.3 s: 51.26 s.
#[test]
fn waits_by_the_lumped_model() {
    let mut machine = sheet();
    machine.heaters = Some(holdpoint_shared::records::Heaters {
        nozzle_w: 40,
        bed_w: 220,
        nozzle_j_per_k: 10,
        bed_j_per_k: 403,
        nozzle_mw_per_k: 30,
        bed_mw_per_k: 1105,
    });
    let mut surveyor = Surveyor::new(&machine);
    surveyor.feed(b"M109 S210\n");
    let survey = surveyor.finish();
    assert!(survey.time.heat_wait_s.abs_diff(51) <= 1, "{:?}", survey.time);
    assert!(survey.time.heat_wait_known);
}

#[test]
fn modes_and_their_mixing_up() {
    let mixed = survey("G91\nM83\nG1 X50 E0.5 F600\nG1 X52 E1\nG1 X54 E1.5\nG20\nG1 X1\n");
    assert_eq!(mixed.motion.relative.met.count, 4);
    // (50 + 52 + 54 + 25.4) / 4
    assert_eq!(mixed.motion.relative.mean_abs_x_um(), 45_350);
    assert_eq!((mixed.motion.relative_feed.met.count, mixed.motion.relative_feed.rises), (3, 2));
    assert_eq!((mixed.motion.inch_moves.count, mixed.motion.inch_words.first_line), (1, 6));
    let falls =
        survey("M82\nG1 X1 E1 F600\nG1 X2 E0.5\nG92 E0\nG1 X3 E0.2\nG1 X4 E0.1\n").motion.absolute_feed;
    assert_eq!((falls.met.count, falls.falls), (4, 2));
    // Nobody says what G90 does to the feed mode here.
    let mut machine = sheet();
    machine.absolute_resets_feed = None;
    let mut surveyor = Surveyor::new(&machine);
    surveyor.feed(b"M83\nG90\nG1 X1 E1 F600\nM83\nG1 X2 E1\n");
    assert_eq!(surveyor.finish().motion.feed_mode_ambiguous.count, 1);
    machine.absolute_resets_feed = Some(true);
    let mut surveyor = Surveyor::new(&machine);
    surveyor.feed(b"M83\nG90\nG1 X1 E1 F600\nG1 X2 E1.5\n");
    assert_eq!(surveyor.finish().filament.tools[0].net_nm, 1_500_000);
}

#[test]
fn homing_probing_and_low_ways() {
    let s = survey(
        "G1 X5 F600\nG28\nG29\nG1 Z0.03\nG1 X50\nG1 Z0.2\nM83\nG1 X80 E2\nG28 Z\nG1 Z-0.1\nG1 X0\nM0\nG28 X\n",
    );
    assert_eq!((s.motion.before_homing.count, s.motion.before_homing.first_line), (1, 1));
    assert_eq!((s.motion.homes.count, s.motion.homes_over_part.first_line), (3, 9));
    assert_eq!(s.motion.homes_over_part.count, 1);
    assert_eq!((s.motion.low_travel_nm[0], s.motion.low_travel_line[0]), (50_000_000, 5));
    assert_eq!((s.motion.lowest_xy_z_nm, s.motion.lowest_xy_line), (Some(-100_000), 11));
    assert_eq!((s.pause_count, s.pauses[0].line), (1, 12));
    assert_eq!((s.time.home_s, s.time.probe_s), (60, 40));
}

#[test]
fn words_that_are_not_of_every_day() {
    let s = survey(
        "M500\nM92 X80\nG999\nM7777\nM7777\nDO_THIS NOW=1\n/G1 X900\nG1 X1 X2\nG1 X0.12345678\nG1 X1..2\nM30 OLD.GCO\n",
    );
    let names: Vec<&str> = s.reading.unknown_names.iter().map(|n| n.name.as_str()).collect();
    assert_eq!(names, ["G999", "M7777", "DO_THIS"]);
    assert_eq!((s.reading.unknown.count, s.reading.unknown.first_line), (4, 3));
    assert_eq!((s.reading.stores.name.as_str(), s.reading.stores.met.count), ("M500", 2));
    assert_eq!((s.reading.reaches.name.as_str(), s.reading.reaches.met.first_line), ("M30", 11));
    assert_eq!((s.reading.block_deleted.count, s.reading.repeated.first_line), (1, 8));
    assert_eq!((s.reading.rounded.first_line, s.reading.malformed.first_line), (9, 10));
    assert!(!s.tail.end_word && s.reached.max_nm[0] < 900_000_000);
}

#[test]
fn blank_bytes_long_lines_and_checks() {
    let mut bytes = b"\xEF\xBB\xBFG28\nN3 T0*57\nN4 T0*58\n".to_vec();
    let at = bytes.len() as u64 + 3;
    bytes.extend(b"G1 ");
    bytes.extend([0; 100]);
    bytes.extend(b"\n;");
    bytes.extend([b'x'; 400]);
    bytes.extend(b"\nG1 X1");
    bytes.extend([b' '; 300]);
    bytes.extend(b"Y2\n");
    let mut surveyor = Surveyor::new(&sheet());
    surveyor.feed(&bytes);
    let reading = surveyor.finish().reading;
    assert!(reading.byte_order_mark);
    assert_eq!((reading.blank.at_byte, reading.blank.bytes, reading.blank.value), (at, 100, 0));
    assert_eq!((reading.non_text_bytes, reading.non_text_at), (100, Some(at)));
    assert_eq!((reading.checksums.checked, reading.checksums.failed.first_line), (2, 3));
    assert_eq!((reading.long_lines.count, reading.long_lines.first_line), (1, 6));
    assert_eq!(reading.lines, 6);
}

/// CRC-32/ISO-HDLC of "123456789" is cbf43926.
#[test]
fn the_body_behind_the_header() {
    let text = "; job-header 1\n; {\"material\":\"PLA\"}\n; end-header\r\n123456789";
    let reading = survey(text).reading;
    assert!(reading.header_ended);
    assert_eq!((reading.body_bytes, reading.body_crc32), (9, 0xCBF4_3926));
    let reading = survey("123456789").reading;
    assert!(!reading.header_ended);
    assert_eq!((reading.body_bytes, reading.body_crc32), (9, 0xCBF4_3926));
    // An end without a begin is a comment like any other.
    assert!(!survey("; end-header\n").reading.header_ended);
}

/// Limits in the file can only lower the sheet's.
#[test]
fn limits_in_the_file() {
    let way = "G0 X200 F18000\n";
    let time = |words: &str| survey(&format!("{words}\n{way}")).time.moves_ms;
    assert!(time("M204 T500") > time(""));
    assert_eq!(time("M204 T50000"), time(""));
    // 200 mm at 300 mm/s and 2000 mm/s²: 200/300 + 300/2000 s.
    assert_eq!(time(""), 816);
    // 100 mm/s: 2 + 0.05 s; 150 mm/s: 4/3 + 0.075 s.
    assert_eq!(time("M203 X100"), 2050);
    assert_eq!(time("M220 S50"), 1408);
}

#[test]
fn an_empty_file() {
    let survey = survey("");
    assert_eq!(survey.layers.count, 0);
    assert!(survey.reached.is_empty() && survey.tail.last_line_ended);
}
