//! 10: a file name that the machine's own list may not show.

use crate::checks::prelude::*;

pub(crate) const CHECK: Check = Check {
    number: 10,
    id: "name the printer may choke on",
    group: Group::File,
    levels: &[Level::Look],
    rule: "the name holds letters beyond a to z and the machine sheet does not say that its list takes them (name_accents); or more characters than the machine sheet's name_max",
    source: "owners' reports of frozen lists; machine sheet",
    live: Live::Card,
    needs: Needs::Nothing,
    never_silenced: false,
    run,
};

fn run(input: &CheckInput<'_>, findings: &mut Findings) {
    let name = input.file.name;
    let characters = u32::try_from(name.chars().count()).unwrap_or(u32::MAX);
    if !name.is_ascii() && !input.machine.name_accents {
        findings.push(0, Level::Look, Signal::None, [Value::name(name)]);
    } else if let Some(most) = input.machine.name_max.filter(|most| characters > u32::from(*most)) {
        findings.push(1, Level::Look, Signal::None, [Value::Count(characters), Value::Count(most.into())]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::bench::{Bench, LOOK, levels};

    fn named(name: &'static str, most: Option<u8>) -> std::vec::Vec<(Level, u8)> {
        let mut bench = Bench::new();
        bench.machine.name_max = most;
        let mut input = bench.input();
        input.file.name = name;
        levels(&CHECK, &input)
    }

    #[test]
    fn a_sheet_may_say_that_its_list_takes_accents() {
        let mut bench = Bench::new();
        (bench.machine.name_accents, bench.machine.name_max) = (true, Some(8));
        let mut input = bench.input();
        input.file.name = "H\u{fc}lse.gco";
        assert_eq!(levels(&CHECK, &input), [(LOOK, 1)], "nine characters");
        input.file.name = "H\u{fc}ls.gco";
        assert!(levels(&CHECK, &input).is_empty());
    }

    #[test]
    fn accents_and_length() {
        assert!(named("BRACKET.GCO", None).is_empty());
        assert_eq!(named("H\u{fc}lse.gco", None), [(LOOK, 0)]);
        assert!(named("12345678", Some(8)).is_empty());
        assert_eq!(named("123456789", Some(8)), [(LOOK, 1)]);
    }
}
