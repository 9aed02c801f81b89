//! The live device in a text window: the screen in characters, the keys as its knob.

mod pixels;

use std::io::{self, IsTerminal, stdin, stdout};
use std::time::{Duration, Instant};

use anyhow::{Context, Result};
use crossterm::event::{self, Event as Input, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use holdpoint_shared::app::{App, Event};
use holdpoint_shared::phase::Gate;
use holdpoint_shared::screens::Frame;
use ratatui::DefaultTerminal;
use ratatui::layout::{Constraint, Flex, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Paragraph};

pub use pixels::{Grain, Pixels};

use crate::printer::Doing;
use crate::world::World;

/// How often the picture is drawn at most; an eye at a small display asks for no more.
const FRAME: Duration = Duration::from_millis(33);

/// The most of the user's time that passes at once: a program that was stopped does not catch up.
const LONGEST: Duration = Duration::from_millis(200);

/// Rows below the screen: two of keys, the card, the world, and what is worth knowing.
const LEGEND_ROWS: u16 = 5;

/// What a key asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ask {
    Turn(i8),
    Press,
    Hold,
    Card,
    Printer,
    Speed,
    Power,
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

/// How the live world is played.
#[derive(Clone, Copy, Debug)]
pub struct Play<'p> {
    /// Names the card in the line below the screen.
    pub card: &'p str,
    /// One more line worth knowing.
    pub note: Option<&'p str>,
    /// How many times as fast the world goes when it goes fast.
    pub speed: u32,
    /// It goes fast by itself once a job was released.
    pub fast_after_release: bool,
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

/// What the keys do to the world.
struct Hands<'w> {
    world: &'w mut World,
    play: &'w Play<'w>,
    held: bool,
    fast: bool,
    was_released: bool,
    /// What could not be done, until the next key.
    said: Option<String>,
}

impl<'w> Hands<'w> {
    fn new(world: &'w mut World, play: &'w Play<'w>) -> Self {
        let said = world.insert().err().map(|error| error.to_string());
        Self { world, play, held: false, fast: false, was_released: false, said }
    }

    /// Does what a key asks for; `false` = leave.
    fn take(&mut self, ask: Ask) -> bool {
        self.said = None;
        if self.held && ask != Ask::Power {
            // A terminal tells no key that comes up: any key lets the knob go.
            self.held = false;
            self.world.knob(Event::LetGo);
            if ask == Ask::Hold {
                return true;
            }
        }
        let outcome = match ask {
            Ask::Turn(detents) => {
                self.world.knob(Event::Turn(detents));
                Ok(())
            }
            Ask::Press => {
                self.world.knob(Event::Press);
                Ok(())
            }
            Ask::Hold => {
                self.held = true;
                self.world.knob(Event::Hold);
                Ok(())
            }
            Ask::Card if self.world.card_is_in() => self.world.pull(),
            Ask::Card => self.world.insert(),
            Ask::Printer if self.world.printer().doing() == Doing::Idle => self.world.start_printer(),
            Ask::Printer => {
                self.world.at_printer(|printer, plant| printer.stop(plant));
                Ok(())
            }
            Ask::Speed => {
                self.fast = !self.fast;
                Ok(())
            }
            Ask::Power if self.world.app().is_some() => {
                self.world.power_off();
                Ok(())
            }
            Ask::Power => self.world.power_on(),
            Ask::Leave => return false,
        };
        self.said = outcome.err().map(|error| error.to_string());
        true
    }

    /// Lets so much of the user's time pass.
    fn pass(&mut self, real: Duration) {
        let released = self.world.app().is_some_and(|app| app.phase().is_released());
        if released != self.was_released {
            self.was_released = released;
            self.fast = released && self.play.fast_after_release;
        }
        // A held knob is held in the user's time.
        let times = if self.fast && !self.held { u64::from(self.play.speed) } else { 1 };
        let ms = u64::try_from(real.as_millis()).unwrap_or(u64::MAX);
        self.world.pass(ms.saturating_mul(times));
    }

    fn status(&self) -> String {
        let printer = match self.world.printer().doing() {
            Doing::Idle => "is idle",
            Doing::HeatsBed => "heats its bed",
            Doing::Homes(_) => "homes",
            Doing::HeatsNozzle => "heats its nozzle",
            Doing::Prints(_) => "prints",
            Doing::Paused(_) => "waits",
        };
        let gate = match self.world.app().map(App::gate) {
            Some(Gate::Open) => "gate open",
            Some(Gate::Shut) => "gate shut",
            None => "power off",
        };
        let times = if self.fast { self.play.speed } else { 1 };
        format!("{}  {times}x  printer {printer}  {gate}", self.world.wall().format("%H:%M:%S"))
    }
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
