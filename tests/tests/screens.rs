//! Every screen in both languages: snapshots as rows of text (`tests/snapshots`), pictures for the eye
//! (`target/screens/*.png`), and what must hold for any content.

mod screens {
    pub(crate) mod any;
    pub(crate) mod run;
    pub(crate) mod samples;
}

use std::path::Path;

use embedded_graphics::geometry::Size;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics_simulator::{OutputSettingsBuilder, SimulatorDisplay};
use holdpoint_shared::records::Language;
use holdpoint_shared::screens::{PointScreen, ScreenModel, draw, point_scroll_end};
use holdpoint_tests::canvas::{Canvas, HEIGHT, WIDTH};
use proptest::prelude::{ProptestConfig, proptest};
use screens::{any, run, samples};

const LANGUAGES: [(Language, &str); 2] = [(Language::English, "en"), (Language::German, "de")];

fn canvas(model: &ScreenModel<'_>, language: Language) -> Canvas {
    let mut canvas = Canvas::new();
    draw(model, language, &mut canvas).unwrap();
    canvas
}

/// Every sample of every screen.
fn each(mut show: impl FnMut(&str, &ScreenModel<'_>)) {
    samples::each(&mut show);
    run::each(&mut show);
}

#[test]
fn every_screen_is_as_it_was_seen_and_approved() {
    let mut settings = insta::Settings::clone_current();
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.set_snapshot_path("snapshots/screens");
    settings.bind(|| {
        each(|name, model| {
            for (language, code) in LANGUAGES {
                insta::assert_snapshot!(format!("{name}_{code}"), canvas(model, language).rows());
            }
        });
    });
}

/// For eyes only; a failure to write is a failure of the test, so that nobody looks at old pictures.
#[test]
fn pictures_are_written() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../target/screens");
    std::fs::create_dir_all(&folder).unwrap();
    let settings = OutputSettingsBuilder::new().scale(4).pixel_spacing(0).build();
    each(|name, model| {
        for (language, code) in LANGUAGES {
            let size = Size::new(WIDTH as u32, HEIGHT as u32);
            let mut display: SimulatorDisplay<BinaryColor> = SimulatorDisplay::new(size);
            draw(model, language, &mut display).unwrap();
            let file = folder.join(format!("{name}_{code}.png"));
            display.to_rgb_output_image(&settings).save_png(&file).unwrap();
        }
    });
}

#[test]
fn nothing_lies_on_anything() {
    each(|name, model| {
        for (language, code) in LANGUAGES {
            let canvas = canvas(model, language);
            assert!(canvas.clashes().is_empty(), "{name}_{code}: {:?}\n{}", canvas.clashes(), canvas.rows());
        }
    });
}

#[test]
fn the_longest_items_of_a_run_lie_on_nothing() {
    for (language, code) in LANGUAGES {
        run::each_longest(language, |name, model| {
            let canvas = canvas(model, language);
            assert!(canvas.clashes().is_empty(), "{name}_{code}: {:?}\n{}", canvas.clashes(), canvas.rows());
        });
    }
}

#[test]
fn a_long_point_scrolls_to_its_end_and_stays_there() {
    let mut scrolled = 0;
    samples::each(|_, model| {
        let ScreenModel::Point(point) = *model else { return };
        for (language, _) in LANGUAGES {
            let end = point_scroll_end(&point, language);
            let at = |scroll| canvas(&ScreenModel::Point(PointScreen { scroll, ..point }), language);
            assert_eq!(at(end), at(u8::MAX));
            for scroll in 0..end {
                assert_ne!(at(scroll), at(scroll + 1), "each step shows another page");
                scrolled += 1;
            }
        }
    });
    assert!(scrolled > 0, "the samples hold a point that is longer than the panel");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    /// The canvas panics on a pixel outside.
    #[test]
    fn any_content_stays_on_the_panel(content in any::content()) {
        content.each(|model| {
            for (language, _) in LANGUAGES {
                let canvas = canvas(model, language);
                assert!(canvas.clashes().is_empty(), "{model:?}\n{:?}\n{}", canvas.clashes(), canvas.rows());
            }
        });
    }
}
