//! model → pixels: draws any [`embedded_graphics`] target of 128x64 from plain data.
//!
//! # Example
//! ```
//! use holdpoint_shared::records::Language;
//! use holdpoint_shared::screens::{Frame, ReadingScreen, ScreenModel, draw};
//!
//! let mut frame = Frame::new();
//! let model = ScreenModel::Reading(ReadingScreen { jobs: 3, files: 7, newest: None });
//! draw(&model, Language::English, &mut frame).unwrap();
//! assert!(frame.as_bytes().iter().any(|&byte| byte != 0));
//! ```

mod card_fault;
mod confirmation;
mod figures;
mod format;
mod frame;
mod jobs;
mod layout;
mod letters;
mod model;
mod point;
mod reading;
mod refused;
mod run;
mod run_model;
mod signs;
mod text;
mod vetting;
mod waiting;
mod watch;

pub use figures::{ClockTime, Day, Figure};
pub use frame::Frame;
pub use model::{
    Action, Agreement, CardFault, Closing, Confirmation, HeaderBroken, JobRow, Jobs, LoadedSpool, NoJobs,
    Outcome, PointScreen, ReadingScreen, RecordRefused, ScreenModel, Side, VettingScreen, Waiting,
};
pub use point::point_scroll_end;
pub use run_model::{End, Item, PlateHeat, QuestionScreen, RunScreen, WatchScreen};

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;

use crate::records::Language;
use crate::words::words;
use layout::Sheet;

/// Draws one screen, the whole panel: 128x64 pixels from the target's top left, never beyond.
///
/// # Errors
/// The target's own.
pub fn draw<D: DrawTarget<Color = BinaryColor>>(
    model: &ScreenModel<'_>,
    language: Language,
    target: &mut D,
) -> Result<(), D::Error> {
    target.clear(BinaryColor::Off)?;
    let mut sheet = Sheet { target, words: words(language) };
    let sheet = &mut sheet;
    match model {
        ScreenModel::Waiting(screen) => waiting::draw(screen, sheet),
        ScreenModel::Reading(screen) => reading::draw(screen, sheet),
        ScreenModel::NoJobs(screen) => reading::draw_no_jobs(screen, sheet),
        ScreenModel::Jobs(screen) => jobs::draw(screen, sheet),
        ScreenModel::Vetting(screen) => vetting::draw(screen, sheet),
        ScreenModel::Confirmation(screen) => confirmation::draw(screen, sheet),
        ScreenModel::Point(screen) => point::draw(screen, sheet),
        ScreenModel::CardFault(screen) => card_fault::draw(screen, sheet),
        ScreenModel::HeaderBroken(screen) => refused::draw_header(screen, sheet),
        ScreenModel::RecordRefused(screen) => refused::draw_record(screen, sheet),
        ScreenModel::Run(screen) => run::draw(screen, sheet),
        ScreenModel::Asked(screen) => run::draw_asked(screen, sheet),
        ScreenModel::Watch(screen) => watch::draw(screen, sheet),
    }
}

/// Draws six plain lines of at most 21 characters, longer ones cut with a mark: for what a board has to say of itself.
///
/// # Errors
/// The target's own.
pub fn draw_lines<D: DrawTarget<Color = BinaryColor>>(
    lines: [&str; 6],
    target: &mut D,
) -> Result<(), D::Error> {
    target.clear(BinaryColor::Off)?;
    for (line, top) in lines.into_iter().zip((0..).step_by(10)) {
        text::put(target, text::Face::Text, BinaryColor::On, (0, top), &text::line(line), layout::WIDTH)?;
    }
    Ok(())
}
