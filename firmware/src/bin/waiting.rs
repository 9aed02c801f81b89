//! The waiting screen on board one, and nothing else: clock, display, log and the core's own drawing.
//!
//! The least that runs on a new board, before its card slot and knob do.

#![no_std]
#![no_main]

use cortex_m_rt::entry;
use holdpoint_firmware::boards::lm3s6965evb::{self, Parts};
use holdpoint_firmware::setup::without_records;
use holdpoint_shared::screens::{Closing, Frame, PlateHeat, ScreenModel, Waiting, draw};

#[entry]
fn main() -> ! {
    let mut display = match Parts::take() {
        Some(Ok(parts)) => parts.display,
        Some(Err(error)) => defmt::panic!("display: {}", error),
        None => defmt::panic!("set up twice"),
    };
    let setup = without_records();
    let model = ScreenModel::Waiting(Waiting {
        machine: &setup.machine.tag,
        spool: None,
        last: None,
        closing: Closing::NoHours,
        plate: PlateHeat::NoReading,
    });
    let mut frame = Frame::new();
    let Ok(()) = draw(&model, setup.room.language, &mut frame);
    match display.show(&frame) {
        Ok(()) => defmt::info!("screen shown"),
        Err(error) => defmt::error!("display: {}", error),
    }
    loop {
        lm3s6965evb::sleep();
    }
}
