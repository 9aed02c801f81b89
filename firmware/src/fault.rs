//! A program that failed: what is shown, and what the ledger keeps of it.

use holdpoint_shared::ledger::LoggedEvent;
use holdpoint_shared::screens::{Frame, draw_lines};
use holdpoint_shared::time::WallClock;

/// How it failed. The numbers stand in ledgers and are never given anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq, defmt::Format)]
pub enum Cause {
    /// A mistake that the program found itself.
    Panic = 1,
    /// One that the processor found.
    HardFault = 2,
    /// The loop stood still until the watchdog came; also a stack too deep for the processor to say so.
    Hang = 3,
}

/// What failed, and where.
#[derive(Clone, Copy, Debug, PartialEq, Eq, defmt::Format)]
pub struct Fault {
    /// How it failed.
    pub cause: Cause,
    /// Where in the program, for `addr2line`; 0 = not known.
    pub address: u32,
}

/// Code of the ledger's event of a start after a fault; its numbers are cause and address.
const RESTARTED: u16 = 1;

/// The ledger counts seconds from here.
const EPOCH: WallClock = match chrono::NaiveDate::from_ymd_opt(2000, 1, 1) {
    Some(day) => WallClock::new(day, chrono::NaiveTime::MIN),
    None => WallClock::MIN,
};

impl Fault {
    /// The ledger's event of the start after this fault.
    #[must_use]
    pub fn event(self, wall: Option<WallClock>) -> LoggedEvent {
        let seconds = wall.map_or(0, |wall| wall.signed_duration_since(EPOCH).num_seconds());
        LoggedEvent {
            code: RESTARTED,
            numbers: [self.cause as i32, self.address.cast_signed()],
            time_s: u32::try_from(seconds).unwrap_or(0),
        }
    }

    /// The fault's code, such as `P-10003F2A`: its cause, then its place.
    fn code(self) -> [u8; 10] {
        let mut code = *b"P-00000000";
        code[0] = match self.cause {
            Cause::Panic => b'P',
            Cause::HardFault => b'F',
            Cause::Hang => b'W',
        };
        for (place, digit) in code[2..].iter_mut().enumerate() {
            *digit = b"0123456789ABCDEF"[(self.address >> (28 - 4 * place)) as usize & 0xF];
        }
        code
    }

    /// The screen of the start after it. In English: what language the room speaks, a program that failed does not know.
    #[must_use]
    pub fn screen(self) -> Frame {
        let code = self.code();
        let code = core::str::from_utf8(&code).unwrap_or_default();
        page([
            "RESTARTED BY A FAULT",
            code,
            "Look at the machine:",
            "it may be hot or run.",
            "Note the code.",
            "Press: go on",
        ])
    }
}

/// Six lines of at most 21 characters.
#[must_use]
pub fn page(lines: [&str; 6]) -> Frame {
    let mut frame = Frame::new();
    let Ok(()) = draw_lines(lines, &mut frame);
    frame
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_code_names_cause_and_place() {
        let fault = Fault { cause: Cause::HardFault, address: 0x1000_3F2A };
        assert_eq!(&fault.code(), b"F-10003F2A");
    }

    #[test]
    fn the_event_has_cause_place_and_time() {
        let fault = Fault { cause: Cause::Hang, address: u32::MAX };
        // 366 days of the year 2000, then one second.
        let event = fault.event(Some("2001-01-01T00:00:01".parse().unwrap()));
        assert_eq!((event.numbers, event.time_s), ([3, -1], 366 * 86_400 + 1));
        assert_eq!(fault.event(None).time_s, 0);
        assert_eq!(fault.event(Some("1999-12-31T23:59:59".parse().unwrap())).time_s, 0);
    }

    #[test]
    fn the_screen_fits() {
        let frame = Fault { cause: Cause::Panic, address: 0 }.screen();
        // Twenty-one characters of six pixels leave the last two columns dark; none may be cut by the edge.
        assert!((0..Frame::HEIGHT).all(|y| !frame.is_lit(126, y) && !frame.is_lit(127, y)));
        assert!((0..6).all(|line| (0..126).any(|x| (0..10).any(|y| frame.is_lit(x, line * 10 + y)))));
    }
}
