//! The screens of a run: a row of words laid out by its marks (see [`crate::words::run`]), with its items put in.
//!
//! One way to draw eighty screens, so that they cost the board their words and little else.

use core::fmt::Write;

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, Point, Size};
use embedded_graphics::primitives::Rectangle;

use super::format::{self, Round, UNKNOWN, put};
use super::layout::{Cell, CellRow, Sheet, WIDTH, row};
use super::run_model::{End, Item, QuestionScreen, RunScreen};
use super::signs::{ACT, MORE_ABOVE, MORE_BELOW};
use super::text::{self, COLUMNS, Face, Line, TextBody};
use crate::checks::{Signal, Value};
use crate::words::Words;
use crate::words::checks::number;

/// First row of pixels below the title's rule.
const TOP: i32 = 13;
/// Rows between title and action.
const ROOM: i32 = 42;
/// Rows of a line of figures 10 pixels high, of a signal word, of a heat line and of a bar.
const TALL: i32 = 11;
/// Rows of a line of the base grid where there is room, and where there is not.
const PITCHES: [i32; 2] = [10, 9];
/// Most rows left blank between two lines.
const MOST_GAP: i32 = 3;
/// Where an answer begins, after the pointer.
const ANSWER_X: i32 = 12;
/// Below this many seconds a countdown shows them (job catalogue, section 4).
const BY_THE_SECOND: u32 = 600;

pub(super) fn draw<D: DrawTarget<Color = BinaryColor>>(
    screen: &RunScreen<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let row = sheet.words.run.page(screen.page);
    draw_row(row, screen.items, None, sheet)
}

pub(super) fn draw_asked<D: DrawTarget<Color = BinaryColor>>(
    screen: &QuestionScreen<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let row = sheet.words.run.question(screen.question);
    draw_row(row, screen.items, Some(screen), sheet)
}

/// The items of a row, in a language.
struct Items<'a> {
    items: &'a [Item<'a>],
    words: &'a Words,
}

impl Items<'_> {
    fn fill(&self, text: &str) -> TextBody {
        format::fill(text, &|place, out| {
            let item = self.items.get(place).unwrap_or(&Item::Unknown);
            write_item(out, item, self.words);
            Some(!matches!(item, Item::Text(_) | Item::Term(_)))
        })
    }

    /// The item that stands alone in `text`.
    fn alone(&self, text: &str) -> Option<&Item<'_>> {
        let place = text.strip_prefix('{')?.strip_suffix('}')?.chars().next()?.to_digit(10)?;
        self.items.get(place as usize)
    }

    fn cells(&self, text: &str, left: Face, right: Face) -> CellRow {
        let (before, after) = text.split_once('~').unwrap_or((text, ""));
        row([Cell::left(left, &self.fill(before)), Cell::right(right, &self.fill(after))])
    }

    /// Rows of pixels of a line beside those of the base grid, and lines of the base grid.
    fn size(&self, line: &str) -> (i32, i32) {
        match line.as_bytes().first() {
            None => (0, 0),
            Some(b'#' | b'!' | b'^' | b'=') => (TALL, 0),
            Some(_) if line.contains('~') => (0, 1),
            Some(_) => (0, text::wrap(&text::body(&self.fill(line)), COLUMNS).count() as i32),
        }
    }
}

fn draw_row<D: DrawTarget<Color = BinaryColor>>(
    of: &'static str,
    items: &[Item<'_>],
    asked: Option<&QuestionScreen<'_>>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let items = Items { items, words: sheet.words };
    let (title, rest) = of.split_once('|').unwrap_or((of, ""));
    let (body, action) = rest.rsplit_once('|').unwrap_or(("", rest));
    let (word, name) = title.split_once('~').unwrap_or((title, ""));
    // What is not known there is not missed there.
    let is_known = items.alone(name).is_some_and(|item| !matches!(item, Item::Unknown));
    let name = if name.starts_with('{') && !is_known { TextBody::new() } else { items.fill(name) };
    let last_chance = asked.is_some_and(|asked| asked.last_chance);
    let word = if last_chance { sheet.words.run.last_chance } else { word };
    match word.strip_prefix('*') {
        Some(word) => sheet.held_title(word, &name)?,
        None => sheet.title(word, &name)?,
    }

    let answers = asked.map_or(0, |asked| asked.question.answers().len() as i32);
    let (mut tall, mut lines, mut blocks) = (0, answers, answers);
    for line in body.split('|') {
        let (rows, more) = items.size(line);
        tall += rows;
        lines += more;
        blocks += 1;
    }
    let [wide, narrow] = PITCHES;
    let pitch = if tall + lines * wide <= ROOM || lines == answers { wide } else { narrow };
    let spare = (ROOM - tall - lines * pitch).max(0);
    let gap = (spare / blocks.max(1)).min(MOST_GAP);
    let mut y = TOP;
    for line in body.split('|').filter(|line| !line.is_empty()) {
        if line.starts_with('^') && gap == 0 {
            // The sign's tip keeps clear of the tails of the letters above it.
            y += spare.min(1);
        }
        y = draw_line(line, &items, (y, pitch), sheet)? + gap;
    }
    if let Some(asked) = asked {
        draw_answers(asked, (y, pitch + gap), sheet)?;
    }
    let usual = match asked {
        Some(asked) if asked.too_quick => sheet.words.run.too_quick,
        Some(_) => sheet.words.actions.pick,
        None => sheet.words.run.read_on,
    };
    sheet.action_text(WIDTH, if action.is_empty() { usual } else { action })
}

/// Draws one line of a row from `y` on; the row of pixels after it.
fn draw_line<D: DrawTarget<Color = BinaryColor>>(
    line: &str,
    items: &Items<'_>,
    (y, pitch): (i32, i32),
    sheet: &mut Sheet<'_, D>,
) -> Result<i32, D::Error> {
    let (mark, rest) = line.split_at_checked(1).unwrap_or((line, ""));
    let (high, left) = (if items.size(line).0 > 0 { TALL } else { pitch }, TOP + ROOM - y);
    if left < high {
        // Only with items longer than any that are met: the action matters more.
        return Ok(y);
    }
    match mark {
        "#" => {
            let (left, rest) = rest.strip_prefix('#').map_or((Face::Small, rest), |rest| (Face::Large, rest));
            sheet.row(y + 10, items.cells(rest, left, Face::Large))?;
        }
        "!" => {
            let (signal, rest) =
                rest.strip_prefix('!').map_or((Signal::Caution, rest), |rest| (Signal::Warning, rest));
            sheet.signal(y, signal, &items.fill(rest.trim_start_matches('~')))?;
        }
        "^" => match items.alone(rest) {
            Some(Item::Plate(plate)) => sheet.plate(y + 1, *plate)?,
            Some(Item::Nozzle(nozzle)) => sheet.nozzle(y + 1, *nozzle)?,
            _ => sheet.heat(y + 1, items.cells(rest, Face::Text, Face::Text))?,
        },
        "=" => {
            let percent = if let Some(Item::Percent(percent)) = items.alone(rest) { *percent } else { 0 };
            bar(y + 1, percent, sheet)?;
        }
        _ if line.contains('~') => {
            sheet.row(y + 8, items.cells(line, Face::Text, Face::Text))?;
            return Ok(y + pitch);
        }
        _ => {
            let ready = text::body(&items.fill(line));
            let mut y = y;
            for piece in text::wrap(&ready, COLUMNS).take((left / pitch) as usize) {
                sheet.line(y + 8, piece)?;
                y += pitch;
            }
            return Ok(y);
        }
    }
    Ok(y + TALL)
}

/// An outline that fills from the left.
fn bar<D: DrawTarget<Color = BinaryColor>>(
    top: i32,
    percent: u8,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    const HEIGHT: u32 = 9;
    let width = WIDTH.unsigned_abs();
    let mut fill = |x, y, width, height| {
        sheet.target.fill_solid(&Rectangle::new(Point::new(x, y), Size::new(width, height)), BinaryColor::On)
    };
    let sides = HEIGHT - 2;
    fill(0, top, width, 1)?;
    fill(0, top + HEIGHT as i32 - 1, width, 1)?;
    fill(0, top + 1, 1, sides)?;
    fill(WIDTH - 1, top + 1, 1, sides)?;
    let inside = (width - 4) * u32::from(percent.min(100)) / 100;
    if inside > 0 { fill(2, top + 2, inside, sides - 2) } else { Ok(()) }
}

/// As many answers as there is room for, the one on the knob among them.
fn draw_answers<D: DrawTarget<Color = BinaryColor>>(
    asked: &QuestionScreen<'_>,
    (y, pitch): (i32, i32),
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let count = asked.question.answers().len() as u8;
    let visible = ((TOP + ROOM - y) / pitch).clamp(1, 4) as u8;
    let picked = asked.place.map(|place| place.min(count.saturating_sub(1)));
    let above = picked.map_or(0, |place| (place + 1).saturating_sub(visible));
    let arrow_x = WIDTH - i32::from(MORE_ABOVE.width);
    let right = if count > visible { arrow_x - 1 } else { WIDTH };
    let mut baseline = y + 8;
    for place in above..count.min(above.saturating_add(visible)) {
        if picked == Some(place) {
            sheet.sign(&ACT, 4, baseline - 6)?;
        }
        if let Some(answer) = asked.question.answer(asked.order, place) {
            let word = Cell::left(Face::Text, sheet.words.run.answer(answer));
            sheet.row_in(baseline, (ANSWER_X, right), BinaryColor::On, row([word]))?;
        }
        if place == above && above > 0 {
            sheet.sign(&MORE_ABOVE, arrow_x, baseline - 5)?;
        }
        if place + 1 == above.saturating_add(visible) && place + 1 < count {
            sheet.sign(&MORE_BELOW, arrow_x, baseline - 4)?;
        }
        baseline += pitch;
    }
    Ok(())
}

/// `6:40`; from ten minutes on as a span.
pub(super) fn countdown(out: &mut Line, left: crate::units::Seconds) {
    if left.0 < BY_THE_SECOND {
        put!(out, "{}:{:02}", left.0 / 60, left.0 % 60);
    } else {
        format::seconds(out, left);
    }
}

fn write_item(out: &mut Line, item: &Item<'_>, words: &Words) {
    match *item {
        Item::Unknown => {
            put!(out, "{UNKNOWN}");
        }
        Item::Text(name) => {
            // What does not fit a line does not fit the panel either.
            name.chars().take(COLUMNS + 1).for_each(|c| {
                put!(out, "{c}");
            });
        }
        Item::Mark(symbol) => *out = format::mark(symbol),
        Item::Count(count) => {
            put!(out, "{count}");
        }
        Item::Of(place, count) => {
            put!(out, "{place}/{count}");
        }
        Item::Percent(percent) => {
            put!(out, "{} %", percent.min(100));
        }
        Item::Heat(heat) => *out = format::figure(Some(heat), format::celsius),
        Item::Rise { now, target } => {
            *out = format::figure(now, |out, now| {
                put!(out, "{}", now.0);
            });
            put!(out, "\u{bb}{}", format::celsius_or_unknown(target));
        }
        Item::Plate(_) | Item::Nozzle(_) => {}
        Item::Need(mass) => *out = format::mass_or_unknown(Some(mass), Round::Up, words),
        Item::Left(mass) => *out = format::mass_or_unknown(Some(mass), Round::Down, words),
        Item::GiveOrTake(mass) => *out = format::give_or_take(Some(mass), words),
        Item::Length(length) => {
            // A line holds every number in full.
            let _ = number::value(out, &Value::Length(length), words.decimal);
        }
        Item::Span(span) => *out = format::figure(Some(span), format::seconds),
        Item::Countdown(left) => *out = format::figure(Some(left), countdown),
        Item::Clock(clock) => clock_time(out, &clock, words),
        Item::End(End::Window { from, to }) => {
            clock_time(out, &from, words);
            if from.at != to {
                put!(out, "-");
                format::time(out, &to);
            }
        }
        Item::End(End::ClockNotSet) => {
            put!(out, "{}", words.clock_not_set);
        }
        Item::End(End::Unknown) => {
            put!(out, "{}", words.end_unknown);
        }
        Item::Key { entered, figure } => {
            for place in 0..4 {
                if place > 0 {
                    put!(out, " ");
                }
                if place == entered {
                    put!(out, "[{}]", figure.min(9));
                } else {
                    put!(out, "{}", if place < entered { "*" } else { UNKNOWN });
                }
            }
        }
        Item::Term(term) => {
            put!(out, "{}", words.run.term(term));
        }
        Item::OutOfUse(reason) => {
            put!(out, "{}", words.run.out_of_use(reason));
        }
    }
}

/// An o'clock time, its day before it unless it is today.
fn clock_time(out: &mut Line, clock: &super::figures::ClockTime, words: &Words) {
    format::short_day_unless_today(out, clock, words);
    if !out.is_empty() {
        put!(out, " ");
    }
    format::time(out, &clock.at);
}

#[cfg(test)]
mod tests {
    use std::string::{String, ToString};

    use super::*;
    use crate::records::Language;
    use crate::screens::Figure;
    use crate::units::{Celsius, Seconds};
    use crate::words::words;

    fn written(item: Item<'_>) -> String {
        let mut out = Line::new();
        write_item(&mut out, &item, words(Language::English));
        out.to_string()
    }

    #[test]
    fn a_countdown_shows_seconds_below_ten_minutes() {
        let left = |seconds| written(Item::Countdown(Figure::known(Seconds(seconds))));
        assert_eq!((left(0), left(59), left(400)), ("0:00".into(), "0:59".into(), "6:40".into()));
        assert_eq!((left(599), left(600), left(9600)), ("9:59".into(), "10 min".into(), "2h40".into()));
    }

    #[test]
    fn a_key_hides_what_was_put_in() {
        let key = |entered| written(Item::Key { entered, figure: 7 });
        assert_eq!((key(0), key(3), key(4)), ("[7] - - -".into(), "* * * [7]".into(), "* * * *".into()));
    }

    #[test]
    fn a_rise_says_what_is_known_of_it() {
        let rise = |now, target| written(Item::Rise { now, target });
        assert_eq!(rise(Some(Figure::estimated(Celsius(180))), Some(Celsius(215))), "≈180»215°C");
        assert_eq!(rise(None, None), "-»- °C");
    }

    #[test]
    fn an_item_that_is_missing_is_shown_as_not_known() {
        let items = Items { items: &[Item::Percent(43)], words: words(Language::English) };
        assert_eq!(items.fill("{0} of {1}").as_str(), "43\u{a0}% of -");
    }
}
