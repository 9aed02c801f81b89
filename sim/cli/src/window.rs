//! The live device in a window of its own, through SDL: the screen's pixels, the keys as its knob.

use std::time::{Duration, Instant};

use anyhow::{Result, anyhow};
use embedded_graphics::Pixel;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, Point, Size};
use embedded_graphics_simulator::{
    BinaryColorTheme, OutputSettingsBuilder, SimulatorDisplay, SimulatorEvent, Window,
};
use holdpoint_desk::hands::{Ask, Hands, Play};
use holdpoint_desk::world::World;
use holdpoint_shared::screens::Frame;
use sdl2::keyboard::Keycode;

/// A key that is down for so long holds the knob; one that comes up before presses it.
const HELD: Duration = Duration::from_millis(400);

/// The most of the user's time that passes at once.
const LONGEST: Duration = Duration::from_millis(200);

/// Window pixels for each pixel of the screen.
const SCALE: u32 = 6;

/// What the keys do, told on the terminal: the window holds the screen alone.
const KEYS: &str = "\
Keys of the window: arrows turn, Enter presses (kept down: holds), i card, p printer, s fast or slow, o power, q leaves.";

/// Runs the world until its user leaves or shuts the window.
///
/// # Errors
/// When there is no display to open a window on.
pub fn run(world: &mut World, play: &Play<'_>) -> Result<()> {
    let refused = |why: String| {
        anyhow!("no window can be opened: {why}; leave --window away for the terminal, or set DISPLAY")
    };
    let driver = sdl2::init().and_then(|sdl| sdl.video()).map_err(refused)?.current_video_driver();
    if ["dummy", "offscreen"].contains(&driver) {
        // SDL falls back to drivers that show nothing.
        return Err(refused("there is no display".to_owned()));
    }
    println!("{KEYS}");
    let settings =
        OutputSettingsBuilder::new().theme(BinaryColorTheme::OledWhite).scale(SCALE).pixel_spacing(0).build();
    let mut window = Window::new("Holdpoint", &settings);
    let mut display =
        SimulatorDisplay::<BinaryColor>::new(Size::new(Frame::WIDTH as u32, Frame::HEIGHT as u32));
    let mut hands = Hands::new(world, play);
    let mut last = Instant::now();
    let mut down: Option<Instant> = None;
    let mut told = None;
    loop {
        let now = Instant::now();
        hands.pass(now.duration_since(last).min(LONGEST));
        last = now;
        draw(&hands.world.frame(), &mut display);
        window.update(&display);
        if hands.said != told {
            told.clone_from(&hands.said);
            told.iter().for_each(|said| println!("{said}"));
        }
        if down.is_some_and(|since| since.elapsed() >= HELD) && !hands.held {
            hands.take(Ask::Hold);
        }
        for event in window.events() {
            let ask = match event {
                SimulatorEvent::Quit => Some(Ask::Leave),
                SimulatorEvent::KeyDown { keycode, repeat: false, .. } if is_knob(keycode) => {
                    down = Some(Instant::now());
                    None
                }
                SimulatorEvent::KeyUp { keycode, .. } if is_knob(keycode) => {
                    down.take().map(|_| if hands.held { Ask::Hold } else { Ask::Press })
                }
                SimulatorEvent::KeyDown { keycode, .. } => asked(keycode),
                SimulatorEvent::MouseWheel { scroll_delta, .. } => {
                    Some(Ask::Turn(if scroll_delta.y > 0 { -1 } else { 1 }))
                }
                _ => None,
            };
            if ask.is_some_and(|ask| !hands.take(ask)) {
                return Ok(());
            }
        }
    }
}

fn is_knob(key: Keycode) -> bool {
    key == Keycode::Return || key == Keycode::Space
}

fn asked(key: Keycode) -> Option<Ask> {
    Some(match key {
        Keycode::Down | Keycode::Right => Ask::Turn(1),
        Keycode::Up | Keycode::Left => Ask::Turn(-1),
        Keycode::I => Ask::Card,
        Keycode::P => Ask::Printer,
        Keycode::S => Ask::Speed,
        Keycode::O => Ask::Power,
        Keycode::Q | Keycode::Escape => Ask::Leave,
        _ => return None,
    })
}

fn draw(frame: &Frame, display: &mut SimulatorDisplay<BinaryColor>) {
    let all = (0..Frame::HEIGHT).flat_map(|y| (0..Frame::WIDTH).map(move |x| (x, y)));
    let pixels = all.map(|(x, y)| {
        let color = if frame.is_lit(x, y) { BinaryColor::On } else { BinaryColor::Off };
        Pixel(Point::new(x as i32, y as i32), color)
    });
    let Ok(()) = display.draw_iter(pixels);
}
