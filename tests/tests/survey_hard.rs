//! Jobs that a plain rule gets wrong, each by hand: ramps, uneven beds in the file, strips that are none, heat from the
//! machine's own start, feeds many times their path.

use holdpoint_shared::survey::{Survey, Surveyor};
use holdpoint_tests::generate::sheet;

fn survey(text: &str) -> Survey {
    let mut surveyor = Surveyor::new(&sheet());
    surveyor.feed(text.as_bytes());
    surveyor.finish()
}

/// A square's four sides from its corner on, at the height of the machine, with so much filament each.
fn square(corner: f64, side: f64, e: f64) -> String {
    let far = corner + side;
    format!("G1 X{far} E{e}\nG1 Y{far} E{e}\nG1 X{corner} E{e}\nG1 Y{corner} E{e}\n")
}

const BEGIN: &str = "G28\nM83\nG1 Z.2 F600\nG1 X90 Y90 F3000\n";

#[track_caller]
fn two_layers(survey: &Survey) {
    let layers = &survey.layers;
    assert_eq!((layers.count, layers.passes, layers.spiral_turns), (2, 2, 0), "{layers:?}");
    assert_eq!((layers.typical_um, layers.top_um), (Some(200), 400));
    let ends: Vec<_> = layers.ends.iter().map(|end| end.z_um).collect();
    assert_eq!(ends, [200, 400]);
    let first = survey.first_layer;
    assert_eq!(first.plane.map(|plane| plane.z_um), Some(200));
    // Four sides of 0.8 mm of filament.
    assert_eq!(first.filament_nm, 3_200_000);
    assert_eq!([first.bounds.min_nm[2], first.bounds.max_nm[2]], [200_000; 2]);
    assert!(survey.purge.is_none(), "{:?}", survey.purge);
}

/// Walls that begin with a ramp up to their plane: the second one's ramp lies below what is laid already.
#[test]
fn ramps_are_no_spirals() {
    let first = square(90.0, 20.0, 0.8);
    let wall = "G1 Z.25\nG1 X110 Z.4 E.5\nG1 Y110 E.8\nG1 X90 E.8\nG1 Y90 E.8\n";
    let inner = "G1 X91 Y91 Z.25\nG1 X109 Z.4 E.4\nG1 Y109 E.7\nG1 X91 E.7\nG1 Y91 E.7\n";
    two_layers(&survey(&format!("{BEGIN}{first}{wall}{inner}")));
    // The ramp goes on over three sides.
    let long =
        "G1 Z.25\nG1 X110 Z.3 E.5\nG1 Y110 Z.35 E.8\nG1 X90 Z.4 E.8\nG1 Y90 E.8\nG1 X110 E.8\nG1 Y110 E.8\n";
    two_layers(&survey(&format!("{BEGIN}{first}{long}{inner}")));
    // It begins on the plane below: that layer takes what comes before half a turn on the next.
    let low = survey(&format!("{BEGIN}{first}G1 X110 Z.4 E.5\nG1 Y110 E.8\nG1 X90 E.8\nG1 Y90 E.8\n"));
    assert_eq!((low.layers.count, low.layers.passes, low.layers.spiral_turns), (2, 2, 0));
}

/// Two parts one after the other, whose walls all begin with ramps.
#[test]
fn ramps_of_parts_one_after_the_other() {
    let mut text = String::from("G28\nM83\nG1 F3000\n");
    for corner in [30, 120] {
        text += "G1 Z10\n";
        for layer in 1..=5 {
            let z = |below: i32| f64::from(200 * layer - below) / 1000.0;
            for wall in 0..3 {
                let (low, side) = (corner + wall, f64::from(20 - 2 * wall));
                let far = low + 20 - 2 * wall;
                text += &format!("G1 X{low} Y{low}\nG1 Z{}\nG1 X{far} Z{} E.5\n", z(150), z(0));
                text += &format!("G1 Y{far} E.8\nG1 X{low} E.8\nG1 Y{low} E{}\n", side / 25.0);
            }
        }
    }
    let found = survey(&text);
    let layers = &found.layers;
    assert_eq!((layers.count, layers.passes, layers.spiral_turns), (5, 10, 0), "{layers:?}");
    assert_eq!((layers.typical_um, layers.top_um), (Some(200), 1000));
    assert_eq!(layers.thinnest.map(|plane| plane.z_um), Some(200));
    let ends: Vec<_> = layers.ends.iter().map(|end| end.z_um).collect();
    assert_eq!(ends, [200, 400, 600, 800, 1000, 200, 400, 600, 800, 1000]);
    assert_eq!(found.parts.count, 2);
    // No deeper than a ramp begins below its own layer.
    // Three bands of 0.066 mm.
    assert!(found.relief.below_um[3..].iter().all(|um| *um == 0), "{:?}", found.relief);
}

/// One sloping bead is no layer, however high it ends.
#[test]
fn a_slope_makes_no_layer() {
    let first = square(90.0, 20.0, 0.8);
    let found = survey(&format!("{BEGIN}{first}G1 X110 Z.5 E.8\nG1 X90 Y90 Z.4\nG1 X110 E.8\nG1 Y110 E.8\n"));
    assert_eq!((found.layers.count, found.layers.passes), (2, 2));
    assert!(found.purge.is_none());
}

/// The bed's unevenness in the file: heights go up and down by some micrometres along every wall.
#[test]
fn an_uneven_bed_makes_no_layers() {
    let mut text = String::from("G28\nM83\nG1 F3000\n");
    for layer in 1..=6 {
        for (turn, uneven) in [0, 4, -4, 6, 2, -6].into_iter().enumerate() {
            let z = |bend: i32| f64::from(200 * layer + uneven * bend) / 1000.0;
            let (low, high) = (50.0 + turn as f64, 90.0 - turn as f64);
            text += &format!(
                "G1 X{low} Y{low} Z{}\nG1 X{high} Z{} E.8\nG1 Y{high} Z{} E.8\nG1 X{low} Z{} E.8\nG1 Y{low} Z{} E.8\n",
                z(0),
                z(1),
                z(0),
                z(-1),
                z(0)
            );
            text += &format!("G1 X{high} Y{high} Z{} E1\n", z(1));
        }
    }
    let found = survey(&text).layers;
    assert_eq!((found.count, found.passes, found.spiral_turns), (6, 6, 0), "{found:?}");
    assert_eq!(found.typical_um, Some(200));
}

/// What a wider layer follows is a layer, and a wide piece beside the others is one of them.
#[test]
fn a_wide_piece_is_no_strip() {
    let first = square(90.0, 20.0, 0.8);
    two_layers(&survey(&format!("{BEGIN}{first}G1 X86 Y86 Z.4\n{}", square(86.0, 28.0, 1.0))));
    // Two pieces of one layer.
    let pair = survey(&format!("{BEGIN}{first}G1 X140 Y140\n{}", square(140.0, 20.0, 0.8)));
    assert!(pair.purge.is_none(), "{:?}", pair.purge);
    assert_eq!(pair.first_layer.filament_nm, 6_400_000);
    // Lines lower down, with the layer away from them: those are a strip.
    let lines = "G1 X20 Y5 Z.15\nG1 X120 E8\nG1 Y6 E.1\nG1 X20 E8\nG1 X90 Y90 Z.2\n";
    let strip = survey(&format!("G28\nM83\nG1 F3000\n{lines}{first}G1 Z.4\n{first}"));
    assert!(strip.purge.is_some_and(|purge| purge.filament_nm == 16_100_000), "{:?}", strip.purge);
    assert_eq!(strip.first_layer.filament_nm, 3_200_000);
}

/// Parts of tops that are no whole micrometres: half a one is no depth.
#[test]
fn a_rounded_top_is_not_dived_below() {
    let near = "G28\nM83\nG1 Z.2006 F3000\nG1 X30 Y30\nG1 X50 E.8\nG1 Y50 E.8\nG1 Z.4006\nG1 X30 E.8\n";
    let far = "G1 Z5\nG1 X100 Y30\nG1 Z.2006\nG1 X120 E.8\nG1 Y50 E.8\nG1 X100 E.8\n";
    let found = survey(&format!("{near}{far}"));
    assert_eq!(found.relief.below_um, [0; 16]);
}

/// What the machine's own start heated is on until words say otherwise, both of them.
#[test]
fn heat_from_elsewhere_ends_by_words() {
    let start = format!("START_PRINT BED=60 NOZZLE=210\n{BEGIN}{}", square(90.0, 20.0, 0.8));
    for (words, off, known, steps) in [
        ("M104 S0\nM140 S0\n", true, true, 2),
        ("M104 S0\n", false, false, 1),
        ("M140 S0\n", false, false, 1),
        ("", false, false, 0),
    ] {
        let found = survey(&format!("{start}{words}"));
        assert_eq!((found.tail.heat_off, found.heat.end_known), (off, known), "{words:?}");
        assert_eq!(found.heat.steps.len(), steps, "{words:?}");
    }
    // Where the job heats, its own words tell.
    let own = survey(&format!("M104 S200\n{BEGIN}G1 X110 E.8\nM104 S0\n"));
    assert!(own.tail.heat_off && own.heat.end_known);
}

/// An end word with a comment behind it is one, with a name it is none.
#[test]
fn an_end_word_may_be_commented() {
    for (end, ends) in [
        ("M30", true),
        ("M30 (end)", true),
        ("M30(end) ; all", true),
        ("M2 (end)", true),
        ("M30 part.txt", false),
        ("M30 (old) part.txt", false),
    ] {
        let found = survey(&format!("{BEGIN}G1 X110 E.8\n{end}\n"));
        assert_eq!(found.tail.end_word, ends, "{end}");
    }
}

/// A feed of many times its path goes as fast as the filament may, and its flow is that filament's: 60 mm/s of
/// 1.75 mm filament are 60 · π · 1.75²/4 = 144.317 mm³/s.
#[test]
fn steep_feeds() {
    let sheet = sheet();
    let [.., most_e] = sheet.motion.max_speed_mm_s;
    let [.., accel_e] = sheet.motion.max_accel_mm_s2;
    for (path_mm, feed_mm) in [(20.0, 50.0), (10.0, 50.0), (0.4, 50.0), (0.1, 50.0), (0.02, 50.0)] {
        let found = survey(&format!("M83\nG1 X{path_mm} E{feed_mm} F12000\n"));
        let flow = 1e3 * f64::from(most_e) * core::f64::consts::PI * 1.75 * 1.75 / 4.0;
        let peak = f64::from(found.flow.peak_nl_s);
        assert!((peak / flow - 1.0).abs() < 1e-4, "{path_mm}: {peak}, not {flow}");
        assert!(found.flow.sustained_nl_s <= found.flow.peak_nl_s);
        assert_eq!(found.printed.max_nm[0], (path_mm * 1e6) as i64);
        if path_mm < 5.0 {
            // The filament's own limits bound it: a trapezoid from rest to rest.
            let (v, a) = (f64::from(most_e), f64::from(accel_e));
            let wanted = 1e3 * (feed_mm / v + v / a);
            let got = found.time.moves_ms as f64;
            assert!((got - wanted).abs() <= 1.0, "{path_mm}: {got} ms, not {wanted}");
        }
    }
}
