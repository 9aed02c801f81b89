//! The live device in a text window: the screen in characters, the keys as its knob.

mod pixels;

use std::io::{self, IsTerminal, stdin, stdout};
use std::time::{Duration, Instant};

use anyhow::{Context, Result};
use crossterm::event::{self, Event as Input, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use holdpoint_shared::app::Event;
use holdpoint_shared::screens::Frame;
use ratatui::DefaultTerminal;
use ratatui::layout::{Constraint, Flex, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Paragraph};

pub use pixels::{Grain, Pixels};

use crate::device::Device;
use crate::source::{Files, Source};

/// How often the picture is drawn at most; an eye at a small display asks for no more.
const FRAME: Duration = Duration::from_millis(33);

/// How much of a frame's time the core's work may take before the keys are asked again.
const WORK: Duration = Duration::from_millis(20);

/// Rows below the screen: the legend's two and the line on the card.
const LEGEND_ROWS: u16 = 3;

/// What a key asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ask {
    Turn(i8),
    Press,
    Card,
    Leave,
}

/// Whether the live device can be drawn here: a terminal on both sides that can place its cursor.
#[must_use]
pub fn is_there() -> bool {
    stdin().is_terminal()
        && stdout().is_terminal()
        && std::env::var_os("TERM").is_none_or(|term| term != "dumb")
}

/// Whether colours are wanted: <https://no-color.org>, any non-empty value means no.
#[must_use]
pub fn colour_is_wanted() -> bool {
    std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

/// Runs the device until its user leaves. The terminal is put back as it was, also when the program fails.
///
/// `card` names the card in the line below the screen; `note` is one more line worth knowing.
///
/// # Errors
/// When the terminal cannot be read or drawn, or the card cannot be opened when it is put in again.
pub fn run(device: &mut Device, source: &mut Source, card: &str, note: Option<&str>) -> Result<()> {
    let mut terminal = ratatui::try_init()
        .context("the terminal cannot be drawn on; try `holdpoint --png FILE` for a picture instead")?;
    let outcome = with_and_without_card(&mut terminal, device, source, card, note);
    ratatui::try_restore().context("the terminal cannot be put back; `reset` does")?;
    outcome
}

fn with_and_without_card(
    terminal: &mut DefaultTerminal,
    device: &mut Device,
    source: &mut Source,
    card: &str,
    note: Option<&str>,
) -> Result<()> {
    loop {
        let mut files = source.mount()?;
        device.handle(
            files.as_ref().map_or_else(|fault| Event::CardUnreadable(*fault), |_| Event::CardInserted),
        );
        let words = Words { card, note, card_is_in: true };
        if live(terminal, device, files.as_mut().ok(), &words)? == Left::Device {
            return Ok(());
        }
        drop(files);
        device.handle(Event::CardRemoved);
        if live(terminal, device, None, &Words { card_is_in: false, ..words })? == Left::Device {
            return Ok(());
        }
    }
}

/// Runs until the card is moved or the user leaves.
fn live(
    terminal: &mut DefaultTerminal,
    device: &mut Device,
    mut files: Option<&mut Files<'_>>,
    words: &Words<'_>,
) -> Result<Left> {
    loop {
        let began = Instant::now();
        while device.step(files.as_deref_mut()) && began.elapsed() < WORK {}
        let frame = device.frame();
        terminal.draw(|canvas| draw(canvas, &frame, words))?;
        // The whole queue of keys is read before the next picture: a fast knob never lags behind.
        let mut wait = FRAME.saturating_sub(began.elapsed());
        while event::poll(wait)? {
            wait = Duration::ZERO;
            match asked(&event::read()?) {
                Some(Ask::Turn(steps)) => device.handle(Event::Turn(steps)),
                Some(Ask::Press) => device.handle(Event::Press),
                Some(Ask::Card) => return Ok(Left::Card),
                Some(Ask::Leave) => return Ok(Left::Device),
                None => {}
            }
        }
    }
}

fn asked(input: &Input) -> Option<Ask> {
    let Input::Key(KeyEvent { code, modifiers, kind: KeyEventKind::Press | KeyEventKind::Repeat, .. }) =
        input
    else {
        return None;
    };
    match code {
        KeyCode::Char('c' | 'd') if modifiers.contains(KeyModifiers::CONTROL) => Some(Ask::Leave),
        KeyCode::Down | KeyCode::Right => Some(Ask::Turn(1)),
        KeyCode::Up | KeyCode::Left => Some(Ask::Turn(-1)),
        KeyCode::Enter | KeyCode::Char(' ') => Some(Ask::Press),
        KeyCode::Char('i') => Some(Ask::Card),
        KeyCode::Char('q') | KeyCode::Esc => Some(Ask::Leave),
        _ => None,
    }
}

/// What ended a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Left {
    /// The card was taken out or put in.
    Card,
    /// The user left.
    Device,
}

#[derive(Clone, Copy)]
struct Words<'w> {
    card: &'w str,
    note: Option<&'w str>,
    card_is_in: bool,
}

fn draw(canvas: &mut ratatui::Frame<'_>, frame: &Frame, words: &Words<'_>) {
    let area = canvas.area();
    let Some(grain) = Grain::fitting(area, LEGEND_ROWS) else {
        let (columns, rows) = Grain::Braille.size();
        let text = format!(
            "This window is {} by {}; the screen needs {} by {}. Make it larger, or press q.",
            area.width,
            area.height,
            columns + 2,
            rows + 2 + LEGEND_ROWS
        );
        canvas.render_widget(Paragraph::new(text).wrap(ratatui::widgets::Wrap { trim: true }), area);
        return;
    };
    let (columns, rows) = grain.size();
    let [middle] = Layout::horizontal([Constraint::Length(columns + 2)]).flex(Flex::Center).areas(area);
    let [screen, legend] =
        Layout::vertical([Constraint::Length(rows + 2), Constraint::Length(LEGEND_ROWS)]).areas(middle);
    let glass = if colour_is_wanted() { Style::new().white().on_black() } else { Style::new() };
    let case = Block::bordered().title(" Holdpoint ");
    let inside = case.inner(screen);
    canvas.render_widget(case, screen);
    canvas.render_widget(Pixels { frame, grain, style: glass }, inside);
    canvas.render_widget(Paragraph::new(legend_lines(words)), Rect { width: legend.width, ..legend });
}

fn legend_lines<'w>(words: &Words<'w>) -> Vec<Line<'w>> {
    let key = |name: &'static str| Span::styled(name, Style::new().add_modifier(Modifier::BOLD));
    let card = if words.card_is_in { " card out   " } else { " card in   " };
    vec![
        Line::from(vec![
            key("arrows"),
            Span::raw(" turn   "),
            key("Enter"),
            Span::raw(" press   "),
            key("i"),
            Span::raw(card),
            key("q"),
            Span::raw(" leave"),
        ]),
        Line::raw(format!("Card: {}{}", words.card, if words.card_is_in { "" } else { " (out)" })),
        Line::raw(words.note.unwrap_or_default()),
    ]
}

/// Whether `error` only says that nobody reads our output any more (`holdpoint vet | head`).
#[must_use]
pub fn is_closed_pipe(error: &anyhow::Error) -> bool {
    error
        .chain()
        .filter_map(|cause| cause.downcast_ref::<io::Error>())
        .any(|cause| cause.kind() == io::ErrorKind::BrokenPipe)
}
