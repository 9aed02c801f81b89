//! Blocks of the file lost in its middle.

use super::{Fault, fault, look};
use crate::corpus::Job;
use crate::trade::{Draft, Feed, Label, Retract, Wish, sound};

/// The first sound job from the trade with relative E, remarks and retracts on lines of their own, with its beads.
fn large() -> (Draft, Vec<usize>) {
    let wish = Wish {
        feed: Some(Feed::Relative),
        label: Some(Label::Head),
        bytes: 200_000,
        plain_lines: true,
        ..Wish::default()
    };
    let fits = |draft: &Draft| draft.style.label == Label::Head && draft.style.retract == Retract::Words;
    let draft = (1..).map(|seed| sound(seed, wish)).find(fits).expect("one of endlessly many");
    let lays = |index: &usize| draft.rows[*index].lays;
    let beads: Vec<usize> = (0..draft.rows.len()).filter(lays).collect();
    (draft, beads)
}

/// The job without some of its lines.
fn without(what: &str, mut draft: Draft, lines: std::ops::Range<usize>) -> Job {
    draft.rows.drain(lines);
    draft.what = what.into();
    draft.job()
}

pub(super) fn jobs() -> Vec<Fault> {
    let (draft, beads) = large();
    // From within one line of beads to within another, far away.
    let middle = beads.len() / 2;
    let inner = |index: usize| {
        (index..).find(|i| {
            draft.rows[beads[*i] - 1].lays && draft.rows[beads[*i] + 1].lays && draft.rows[beads[*i] + 2].lays
        })
    };
    let from = inner(middle).expect("a chain of beads");
    let far = |i: &usize| {
        let (a, b) = (draft.rows[beads[from] - 1].to, draft.rows[beads[*i]].to);
        (a[0] - b[0]).hypot(a[1] - b[1]) > 8.0
            && draft.rows[beads[*i] + 1].lays
            && draft.rows[beads[*i] + 2].lays
    };
    let to = (from + 30..).find(far).expect("a bead elsewhere");
    vec![fault(without("30 beads lost", draft.clone(), beads[from]..beads[to]), look(105, 0))]
}
