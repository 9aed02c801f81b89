//! Faults of what comes from outside: days that cannot be.

use chrono::TimeDelta;

use super::{Fault, fault, look, plain, text};
use crate::corpus::wednesday;

pub(super) fn jobs() -> Vec<Fault> {
    let tomorrow = wednesday(10, 0).date() + TimeDelta::days(1);
    vec![
        fault(
            plain("a spool that is opened tomorrow", |_| {}).spool(|ticket| ticket.opened = Some(tomorrow)),
            look(63, 1).values([text("PLA")]),
        ),
        fault(
            plain("a spool that was dried next year", |_| {})
                .spool(|ticket| ticket.dried = Some(tomorrow + TimeDelta::days(365))),
            look(63, 1).values([text("PLA")]),
        ),
    ]
}
