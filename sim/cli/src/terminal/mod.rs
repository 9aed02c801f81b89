//! The live device in a text window: the screen in characters, the keys as its knob.

mod pixels;

use std::io::{self, IsTerminal, stdin, stdout};
use std::time::{Duration, Instant};

use anyhow::{Context, Result};
use crossterm::event::{self, Event as Input, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use holdpoint_shared::screens::Frame;
use ratatui::DefaultTerminal;
use ratatui::layout::{Constraint, Flex, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Paragraph};

pub use pixels::{Grain, Pixels};

use holdpoint_desk::hands::{Ask, Hands, Play};
use holdpoint_desk::printer::Doing;
use holdpoint_desk::world::World;

/// How often the picture is drawn at most; an eye at a small display asks for no more.
const FRAME: Duration = Duration::from_millis(33);

/// The most of the user's time that passes at once: a program that was stopped does not catch up.
const LONGEST: Duration = Duration::from_millis(200);

/// Rows below the screen: two of keys, the card, the world, and what is worth knowing.
const LEGEND_ROWS: u16 = 5;

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

/// Runs the world until its user leaves. The terminal is put back as it was, also when the program fails.
///
/// # Errors
/// When the terminal cannot be read or drawn.
pub fn run(world: &mut World, play: &Play<'_>) -> Result<()> {
    let mut terminal = ratatui::try_init()
        .context("the terminal cannot be drawn on; try `holdpoint --png FILE` for a picture instead")?;
    let outcome = live(&mut terminal, &mut Hands::new(world, play));
    ratatui::try_restore().context("the terminal cannot be put back; `reset` does")?;
    outcome
}

/// Runs until the user leaves.
fn live(terminal: &mut DefaultTerminal, hands: &mut Hands<'_>) -> Result<()> {
    let mut last = Instant::now();
    loop {
        let began = Instant::now();
        hands.pass(began.duration_since(last).min(LONGEST));
        last = began;
        let frame = hands.world.frame();
        terminal.draw(|canvas| draw(canvas, &frame, hands))?;
        // The whole queue of keys is read before the next picture: a fast knob never lags behind.
        let mut wait = FRAME.saturating_sub(began.elapsed());
        while event::poll(wait)? {
            wait = Duration::ZERO;
            if asked(&event::read()?).is_some_and(|ask| !hands.take(ask)) {
                return Ok(());
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
        KeyCode::Char('h') => Some(Ask::Hold),
        KeyCode::Char('i') => Some(Ask::Card),
        KeyCode::Char('p') => Some(Ask::Printer),
        KeyCode::Char('s') => Some(Ask::Speed),
        KeyCode::Char('o') => Some(Ask::Power),
        KeyCode::Char('q') | KeyCode::Esc => Some(Ask::Leave),
        _ => None,
    }
}

fn draw(canvas: &mut ratatui::Frame<'_>, frame: &Frame, hands: &Hands<'_>) {
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
    canvas.render_widget(Paragraph::new(legend_lines(hands)), Rect { width: legend.width, ..legend });
}

fn legend_lines<'h>(hands: &'h Hands<'_>) -> Vec<Line<'h>> {
    let keys = |keys: &[(&'static str, &'static str)]| {
        let bold = Style::new().add_modifier(Modifier::BOLD);
        let spans =
            keys.iter().flat_map(|(key, does)| [Span::styled(*key, bold), Span::raw(format!(" {does}   "))]);
        Line::from(spans.collect::<Vec<_>>())
    };
    let card_is_in = hands.world.card_is_in();
    let speed = if hands.fast { "slow" } else { "fast" };
    let idle = hands.world.printer().doing() == Doing::Idle;
    vec![
        keys(&[
            ("arrows", "turn"),
            ("Enter", "press"),
            ("h", if hands.held { "let go" } else { "hold" }),
            ("i", if card_is_in { "card out" } else { "card in" }),
        ]),
        keys(&[
            ("p", if idle { "start printer" } else { "stop printer" }),
            ("s", speed),
            ("o", "power"),
            ("q", "leave"),
        ]),
        Line::raw(format!("Card: {}{}", hands.play.card, if card_is_in { "" } else { " (out)" })),
        Line::raw(hands.status()),
        Line::raw(hands.said.as_deref().or(hands.play.note).unwrap_or_default()),
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
