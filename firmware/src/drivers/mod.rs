//! Thin adapters from embedded-hal's traits to what the core takes.

pub mod beeper;
pub mod buttons;
pub mod card_line;
pub mod grey_oled;
pub mod knob;
pub mod page_oled;
pub mod press;
pub mod sd_card;
pub mod wall_clock;
