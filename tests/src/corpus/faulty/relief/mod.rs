//! Faults that the height map must see. One fault of this sort shows in several ways: each names the points of which one
//! must be raised as a HOLD, and more may be.

mod air;
mod low;
mod piles;

use holdpoint_shared::checks::Level;

use crate::corpus::plan::Plan;
use crate::corpus::{Job, Outcome};

/// A job and the checks of which one must hold it.
#[derive(Clone, Debug)]
pub struct ReliefFault {
    pub job: Job,
    pub checks: Vec<u8>,
}

impl ReliefFault {
    /// Whether it is held, and by one of its checks.
    #[must_use]
    pub fn is_held(&self, outcome: &Outcome) -> bool {
        let held = |check: u8| {
            outcome.findings.iter().any(|found| found.check == check && found.level == Level::Hold)
        };
        self.checks.iter().any(|check| held(*check))
    }
}

fn held(job: Job, checks: &[u8]) -> ReliefFault {
    ReliefFault { job, checks: checks.to_vec() }
}

/// All of them.
#[must_use]
pub fn jobs() -> Vec<ReliefFault> {
    let mut jobs = low::through();
    jobs.extend(low::one_by_one());
    jobs.extend(low::low());
    jobs.extend(low::homes());
    jobs.extend(air::gaps());
    jobs.extend(air::raised());
    jobs.extend(air::shifted());
    jobs.extend(piles::piled());
    jobs.extend(piles::repeated());
    jobs
}

/// The habits that a fault is tried with.
fn habit(plan: &mut Plan, number: usize) {
    plan.dialect.relative_feed = number.is_multiple_of(2);
    plan.dialect.hop = number.is_multiple_of(3);
}

/// Text before the first layer, of each layer, and behind the last one.
fn layers(text: &str) -> Vec<String> {
    let mut parts = vec![String::new()];
    for line in text.lines() {
        if line.starts_with("; layer ") && line.contains(" of ") || line == "; end" {
            parts.push(String::new());
        }
        let part = parts.last_mut().expect("never empty");
        part.push_str(line);
        part.push('\n');
    }
    parts
}
