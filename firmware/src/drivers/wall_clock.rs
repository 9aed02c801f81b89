//! The clock that keeps time on its own battery: a DS3231 on I2C.

use ds323x::{DateTimeAccess as _, Ds323x, Error, ic, interface::I2cInterface};
use embedded_hal::i2c::I2c;
use holdpoint_shared::time::WallClock;

/// The clock chip.
pub struct WallClockChip<I> {
    chip: Ds323x<I2cInterface<I>, ic::DS3231>,
}

/// The clock chip does not answer, or holds no date.
#[derive(Clone, Copy, Debug, PartialEq, Eq, defmt::Format)]
pub enum ClockFault {
    /// Nothing answers on the bus, or what was written did not reach it.
    Away,
    /// What it holds is no date, or what it was to hold is not between 2000 and 2099.
    NoDate,
}

impl<E> From<Error<E>> for ClockFault {
    fn from(error: Error<E>) -> Self {
        match error {
            Error::Comm(_) => Self::Away,
            Error::InvalidInputData | Error::InvalidDeviceState => Self::NoDate,
        }
    }
}

impl<I: I2c> WallClockChip<I> {
    /// The chip on this bus.
    pub fn new(i2c: I) -> Self {
        Self { chip: Ds323x::new_ds3231(i2c) }
    }

    /// The local time that it was set to, gone on since; `None` when it stood still for want of power after that, or
    /// was never set. Five bytes and eleven on the bus.
    ///
    /// # Errors
    /// When it does not answer or holds no date.
    pub fn read(&mut self) -> Result<Option<WallClock>, ClockFault> {
        if self.chip.has_been_stopped()? {
            return Ok(None);
        }
        Ok(Some(self.chip.datetime()?))
    }

    /// Sets it, and takes back the mark that it stood still: last, so that a power cut in between leaves it unset. Then
    /// reads it: only what it says itself was taken.
    ///
    /// # Errors
    /// When it does not answer or does not go by the new time, or the year is not between 2000 and 2099.
    pub fn set(&mut self, wall: WallClock) -> Result<(), ClockFault> {
        /// It may have gone on to the next second; judgement: to the one after it, when the bus was slow.
        const GONE_ON_S: core::ops::RangeInclusive<i64> = 0..=2;
        self.chip.set_datetime(&wall)?;
        self.chip.clear_has_been_stopped_flag()?;
        let read = self.read()?.ok_or(ClockFault::Away)?;
        if GONE_ON_S.contains(&read.signed_duration_since(wall).num_seconds()) {
            Ok(())
        } else {
            Err(ClockFault::Away)
        }
    }
}

impl<I> core::fmt::Debug for WallClockChip<I> {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("WallClockChip").finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use embedded_hal::i2c::ErrorKind;
    use embedded_hal_mock::eh1::i2c::{Mock, Transaction};

    use super::*;

    // DS3231 data sheet: address 0x68; seconds to year in registers 0 to 6 as BCD, the day of the week from 1; the
    // oscillator-stop flag is bit 7 of register 0x0F, which power-up sets.

    fn wall() -> WallClock {
        "2026-11-25T14:42:07".parse().unwrap()
    }

    fn ask(status: u8) -> Transaction {
        Transaction::write_read(0x68, vec![0x0F], vec![status])
    }

    fn with(expected: &[Transaction], check: impl FnOnce(&mut WallClockChip<Mock>)) {
        let mut bus = Mock::new(expected);
        check(&mut WallClockChip::new(bus.clone()));
        bus.done();
    }

    #[test]
    fn reads_its_registers() {
        let time = Transaction::write_read(0x68, vec![0], vec![0x07, 0x42, 0x14, 4, 0x25, 0x11, 0x26]);
        with(&[ask(0), time], |chip| assert_eq!(chip.read(), Ok(Some(wall()))));
    }

    #[test]
    fn one_that_stood_still_is_not_set() {
        with(&[ask(0x80)], |chip| assert_eq!(chip.read(), Ok(None)));
    }

    #[test]
    fn registers_that_are_no_date_are_a_fault() {
        let time = Transaction::write_read(0x68, vec![0], vec![0x07, 0x42, 0x14, 4, 0x31, 0x02, 0x26]);
        with(&[ask(0), time], |chip| assert_eq!(chip.read(), Err(ClockFault::NoDate)));
        // What a line that is stuck high reads.
        let stuck = Transaction::write_read(0x68, vec![0], vec![0xFF; 7]);
        with(&[ask(0), stuck], |chip| assert_eq!(chip.read(), Err(ClockFault::NoDate)));
    }

    #[test]
    fn no_chip_is_a_fault() {
        let away = ask(0).with_error(ErrorKind::Other);
        with(&[away], |chip| assert_eq!(chip.read(), Err(ClockFault::Away)));
    }

    #[test]
    fn is_set_and_then_counts_as_set() {
        // 25 November 2026 is a Wednesday, the fourth day from Sunday.
        let time = Transaction::write(0x68, vec![0, 0x07, 0x42, 0x14, 4, 0x25, 0x11, 0x26]);
        // The two alarms' flags are cleared by a 0, so they are written as 1; bit 3 is the 32 kHz output, as at power-up.
        let clear = Transaction::write(0x68, vec![0x0F, 0x0B]);
        let gone_on =
            |second| Transaction::write_read(0x68, vec![0], vec![second, 0x42, 0x14, 4, 0x25, 0x11, 0x26]);
        for second in [0x07, 0x08] {
            let expected = [time.clone(), clear.clone(), ask(0), gone_on(second)];
            with(&expected, |chip| assert_eq!(chip.set(wall()), Ok(())));
        }
        // It goes by another time: what was written did not reach it.
        let expected = [time.clone(), clear.clone(), ask(0), gone_on(0x59)];
        with(&expected, |chip| assert_eq!(chip.set(wall()), Err(ClockFault::Away)));
        let expected = [time, clear, ask(0x80)];
        with(&expected, |chip| assert_eq!(chip.set(wall()), Err(ClockFault::Away)));
    }
}
