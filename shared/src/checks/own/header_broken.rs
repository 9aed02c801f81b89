//! 89: the job header is broken. The job can still be checked by its comments and moves.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 89,
    id: "header broken",
    group: Group::Own,
    levels: &[Level::Look],
    rule: "a job header begins, but cannot be read to its end by its format",
    source: "Holdpoint's header format; RFC 8259",
    live: Live::Header,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    if let Some(error) = input.header_error {
        findings.push(0, Level::Look, Signal::None, [Value::Count(error.line), Value::Count(error.column)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, levels, run};
    use crate::header::{HeaderError, HeaderErrorKind};

    #[test]
    fn its_place_is_told() {
        let error =
            HeaderError { kind: HeaderErrorKind::NoEnd, key: Default::default(), line: 3, column: 41 };
        let bench = Bench::new();
        let mut input = bench.input();
        assert!(levels(&CHECK, &input).is_empty());
        input.header_error = Some(&error);
        assert_eq!(levels(&CHECK, &input), [(LOOK, 0)]);
        assert_eq!(run(&CHECK, &input)[0].values[..2], [Value::Count(3), Value::Count(41)]);
    }
}
