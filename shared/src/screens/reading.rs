//! The card is being listed; and: it holds no job.

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;

use super::format;
use super::layout::{Cell, FACT_BASELINE, FACT_PITCH, Sheet, row};
use super::model::{Action, NoJobs, ReadingScreen};
use super::text::{Face, Line};

pub(super) fn draw<D: DrawTarget<Color = BinaryColor>>(
    screen: &ReadingScreen,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    sheet.title(words.reading_card, "")?;
    let mut jobs = Line::new();
    format::counted(&mut jobs, u32::from(screen.jobs), &words.jobs, "");
    sheet.row(27, row([Cell::left(Face::Large, &jobs)]))?;
    let mut files = Line::new();
    format::counted(&mut files, u32::from(screen.files), &words.files_seen, "");
    sheet.line(38, &files)?;
    if let Some(newest) = &screen.newest {
        let mut saved = Line::new();
        format::saved(&mut saved, newest, words);
        sheet.row(49, row([Cell::left(Face::Small, words.newest), Cell::left(Face::Text, &saved)]))?;
    }
    sheet.action(Action::LeaveCardIn)
}

pub(super) fn draw_no_jobs<D: DrawTarget<Color = BinaryColor>>(
    screen: &NoJobs,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    sheet.title(words.no_jobs, words.notice)?;
    let mut baseline = FACT_BASELINE;
    // What may hold a job comes before what holds none.
    let found = [
        (screen.models, &words.models),
        (screen.not_listed, &words.not_listed),
        (screen.others, &words.other_files),
    ];
    for (count, word) in found.into_iter().filter(|found| found.0 > 0).take(2) {
        let mut line = Line::new();
        format::counted(&mut line, u32::from(count), word, "");
        sheet.line(baseline, &line)?;
        baseline += FACT_PITCH;
    }
    if screen.models == 0 && screen.others == 0 && screen.not_listed == 0 {
        sheet.line(baseline, words.card_empty)?;
    }
    sheet.paragraph(42, 2, if screen.models > 0 { words.slice_first } else { words.copy_a_job })?;
    sheet.action(Action::TakeCardOut)
}
