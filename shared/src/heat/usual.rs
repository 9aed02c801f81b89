//! What the sheet's machine usually does: its heaters, and how long they take to warm up and to cool down.

use crate::records::{Machine, Room};
use crate::units::Celsius;

use super::body::{Body, TimeLeft};
use super::touch::MilliCelsius;

/// Air where neither a probe nor the room's rules tell it (ISO 1:2022: 20 °C is the standard reference temperature).
pub(crate) const ROOM_AIR: MilliCelsius = MilliCelsius(20_000);

/// Hot end and plate as the sheet states them, or as heat's own defaults do.
pub(crate) fn bodies(machine: &Machine) -> (Body, Body) {
    match &machine.heaters {
        Some(heaters) => (Body::nozzle(heaters), Body::bed(heaters)),
        None => (Body::UNKNOWN_NOZZLE, Body::UNKNOWN_BED),
    }
}

/// How long the sheet's machine takes from the room's air to a job's targets, s; hot end and plate at once.
pub(crate) fn usual_warm_up_s(
    machine: &Machine,
    air: MilliCelsius,
    nozzle: Option<Celsius>,
    bed: Option<Celsius>,
) -> u32 {
    let (hot_end, plate) = bodies(machine);
    let time = |body: Body, target: Option<Celsius>| {
        target.and_then(|target| seconds(body.warm(air, air, milli(target)))).unwrap_or(0)
    };
    time(hot_end, nozzle).max(time(plate, bed))
}

/// How long the sheet's plate takes from a target to a limit, s; `None` = never in this air.
pub(crate) fn usual_cool_down_s(
    machine: &Machine,
    air: MilliCelsius,
    bed: Celsius,
    limit: MilliCelsius,
) -> Option<u32> {
    let (_, plate) = bodies(machine);
    seconds(plate.cool(milli(bed), air, limit))
}

/// The room's air as its rules state it.
pub(crate) fn stated_air(room: &Room) -> MilliCelsius {
    room.ambient.map_or(ROOM_AIR, milli)
}

/// Whole degrees as the models hold them.
pub(crate) const fn milli(celsius: Celsius) -> MilliCelsius {
    MilliCelsius(celsius.0 as i32 * 1000)
}

/// Whole degrees, towards the warmer side.
pub(crate) fn whole(temperature: MilliCelsius) -> Celsius {
    let up = temperature.0.saturating_add(999).div_euclid(1000);
    Celsius(i16::try_from(up).unwrap_or(i16::MAX))
}

/// Time left, whole seconds up; `None` = never.
pub(crate) fn seconds(left: TimeLeft) -> Option<u32> {
    match left {
        TimeLeft::Now => Some(0),
        TimeLeft::In(ms) => Some(ms.div_ceil(1000)),
        TimeLeft::Never => None,
    }
}
