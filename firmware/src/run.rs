//! The one loop: now → App → actions → drivers.

use embedded_graphics::mono_font::MonoTextStyle;
use embedded_graphics::mono_font::iso_8859_1::FONT_6X10;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::*;
use embedded_graphics::text::Text;
use holdpoint_shared::screens::Frame;

use crate::board::Board;

/// Runs the board for ever.
pub fn run(board: &mut impl Board) -> ! {
    let mut frame = Frame::new();
    let _ = Text::new("no card", Point::new(2, 12), MonoTextStyle::new(&FONT_6X10, BinaryColor::On))
        .draw(&mut frame);
    board.show(&frame);
    defmt::info!("screen shown");
    loop {
        board.knob(|event| defmt::info!("knob {}", event));
        let t = board.instant();
        if let Some(change) = board.look_at_slot() {
            defmt::info!("slot {} {}", change, board.instant().since_ms(t));
        }
        board.sleep();
    }
}
