//! The words that are known, by what they ask for.

/// What a G or M word asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Known {
    /// G0, G1.
    Line,
    /// G2: clockwise.
    ArcClockwise,
    /// G3: counter-clockwise.
    ArcCounterClockwise,
    /// G4.
    Dwell,
    /// G10: retract, or with `L` an offset set (RS274/NGC 3.5.6).
    RetractOrOffset,
    /// G17.
    PlaneXy,
    /// G18, G19.
    PlaneOther,
    /// G20, G21.
    Units {
        /// Inches.
        inch: bool,
    },
    /// G28.
    Home,
    /// Probing.
    Probe,
    /// G90, G91.
    Positions {
        /// G91.
        relative: bool,
    },
    /// G92.
    SetPosition,
    /// G93, G95; G94 is `false`.
    FeedForm {
        /// Not units a minute.
        other: bool,
    },
    /// M82, M83.
    FeedMode {
        /// M83.
        relative: bool,
    },
    /// M104, M109, M140, M190, M141, M191.
    Heat(super::Heater, bool),
    /// M106.
    FanOn,
    /// M107.
    FanOff,
    /// M0, M1: a stop, or with a time a dwell.
    Stop,
    /// A stop for a person.
    Pause(super::PauseKind),
    /// M2.
    End,
    /// M30: end, or with a name a file deleted.
    EndOrDelete,
    /// M84, M18.
    MotorsOff,
    /// M201.
    AxisAccel,
    /// M203.
    AxisSpeed,
    /// M204.
    Accel,
    /// M205.
    Corner,
    /// M220.
    FeedFactor,
    /// M221.
    FlowFactor,
    /// M200.
    Volume,
    /// Changes what the machine remembers.
    Memory,
    /// Nothing that the survey measures.
    Quiet,
    /// Not known.
    Unknown,
}

/// Limits that a line sets. Per axis X Y Z E.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitWords {
    /// M201, µm/s².
    AxisAccel([Option<u32>; 4]),
    /// M203, µm/s.
    AxisSpeed([Option<u32>; 4]),
    /// M204: print, travel, retract, µm/s².
    Accel([Option<u32>; 3]),
    /// M205: steps µm/s, deviation µm.
    Corner {
        /// Steps, µm/s.
        steps: [Option<u32>; 4],
        /// Deviation, µm.
        deviation: Option<u32>,
    },
}

/// What a G word (number in tenths) asks for. RS274/NGC Table 4, and the trade's use of G10, G11, G28 to G32 and
/// the G80 range for homing and probing (convention, from memory).
#[must_use]
pub const fn known_g(code: u32) -> Known {
    match code {
        0 | 10 => Known::Line,
        20 => Known::ArcClockwise,
        30 => Known::ArcCounterClockwise,
        40 => Known::Dwell,
        100 => Known::RetractOrOffset,
        170 => Known::PlaneXy,
        180 | 190 => Known::PlaneOther,
        200 => Known::Units { inch: true },
        210 => Known::Units { inch: false },
        280 => Known::Home,
        290 | 291 | 300 | 310 | 320 | 380..=385 | 800..=899 => Known::Probe,
        900 => Known::Positions { relative: false },
        910 => Known::Positions { relative: true },
        920 => Known::SetPosition,
        930 | 950 => Known::FeedForm { other: true },
        940 => Known::FeedForm { other: false },
        // G11; cutter and tool length off, offsets off, work offset 1, path modes: as a machine stands anyway.
        110 | 400 | 490 | 540 | 610 | 611 | 640 => Known::Quiet,
        _ => Known::Unknown,
    }
}

/// What an M word (number in tenths) asks for: the trade's convention (from memory, no standard), M0 to M2 and M30
/// as in RS274/NGC 3.6.1.
#[must_use]
pub const fn known_m(code: u32) -> Known {
    use super::{Heater, PauseKind};
    if !code.is_multiple_of(10) {
        return Known::Unknown;
    }
    match code / 10 {
        0 | 1 => Known::Stop,
        2 => Known::End,
        30 => Known::EndOrDelete,
        25 | 226 | 601 => Known::Pause(PauseKind::Stop),
        600 => Known::Pause(PauseKind::Filament),
        18 | 84 => Known::MotorsOff,
        82 => Known::FeedMode { relative: false },
        83 => Known::FeedMode { relative: true },
        104 => Known::Heat(Heater::Nozzle, false),
        109 => Known::Heat(Heater::Nozzle, true),
        140 => Known::Heat(Heater::Bed, false),
        190 => Known::Heat(Heater::Bed, true),
        141 => Known::Heat(Heater::Chamber, false),
        191 => Known::Heat(Heater::Chamber, true),
        106 => Known::FanOn,
        107 => Known::FanOff,
        200 => Known::Volume,
        201 => Known::AxisAccel,
        203 => Known::AxisSpeed,
        204 => Known::Accel,
        205 => Known::Corner,
        220 => Known::FeedFactor,
        221 => Known::FlowFactor,
        // Steps a millimetre; offsets; tuning; guard against cold feeding; settings stored, read, reset, erased;
        // probe offset.
        92 | 206 | 218 | 301..=304 | 428 | 500..=502 | 504 | 851 => Known::Memory,
        // Motors on; tool change with its T word; card and print timer; progress; reports; waiting; messages.
        6
        | 17
        | 20..=24
        | 26
        | 27
        | 31
        | 73
        | 75..=78
        | 105
        | 108
        | 110
        | 111
        | 114
        | 115
        | 117..=119
        | 155
        | 300
        | 400 => Known::Quiet,
        _ => Known::Unknown,
    }
}
