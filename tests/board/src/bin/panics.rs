//! `panics FIRMWARE LIST`: prints the core's functions that hold a call of a panic in a firmware for thumbv6m, and fails where one
//! of them is not in the list, which says why each cannot happen.
//!
//! The lints keep `unwrap`, indexing and the like out of the core's source; this sees what the compiler put into its functions
//! besides: a division by what might be 0, a library's own assertion.

use std::collections::{BTreeMap, BTreeSet};
use std::process::ExitCode;

use anyhow::{Context as _, Result, bail};
use object::{Object as _, ObjectSection as _, ObjectSymbol as _, SymbolKind};
use rustc_demangle::demangle;
use serde::Deserialize;

/// What begins the names of the core's functions.
const CORE: &str = "holdpoint_shared::";

/// Parts of the names of functions that do nothing but panic.
const PANICS: [&str; 5] = ["core::panicking::", "_fail", "unwrap_failed", "expect_failed", "panic_"];

/// The core's functions that may hold one, each with the reason why it never comes to that.
#[derive(Debug, Deserialize)]
struct List {
    functions: BTreeMap<String, String>,
}

struct Function {
    name: String,
    address: u64,
    bytes: Vec<u8>,
}

fn main() -> Result<ExitCode> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [firmware, list] = arguments.as_slice() else { bail!("usage: panics FIRMWARE LIST") };
    let read = |path: &String| std::fs::read(path).with_context(|| path.clone());
    let List { functions: allowed } = toml::from_str(&String::from_utf8(read(list)?)?)?;
    let functions = functions(&read(firmware)?)?;
    // Functions of the same instructions are one, under several names.
    let panics: BTreeSet<u64> = functions
        .iter()
        .filter(|function| PANICS.iter().any(|part| function.name.contains(part)))
        .map(|function| function.address)
        .collect();
    if panics.is_empty() {
        bail!("{firmware} holds no panic at all: are its symbols there?");
    }
    let (mut core, mut libraries) = (BTreeSet::new(), 0);
    for function in functions.iter().filter(|function| !panics.contains(&function.address)) {
        if calls(function).iter().any(|address| panics.contains(address)) {
            match function.name.strip_prefix(CORE) {
                Some(name) => drop(core.insert(name)),
                None => libraries += 1,
            }
        }
    }
    println!(
        "functions with a call of a panic: {} of the core, {libraries} of libraries and board",
        core.len()
    );
    let mut sound = true;
    for name in &core {
        match allowed.get(*name) {
            Some(why) => println!("  {name}: {why}"),
            None => {
                sound = false;
                println!("  {name}: NOT IN {list}");
            }
        }
    }
    for name in allowed.keys().filter(|name| !core.contains(name.as_str())) {
        println!("  {name}: holds none with this compiler");
    }
    Ok(if sound { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

/// All functions, their names as in the source.
fn functions(elf: &[u8]) -> Result<Vec<Function>> {
    let file = object::File::parse(elf)?;
    let mut functions = Vec::new();
    for symbol in file.symbols().filter(|symbol| symbol.kind() == SymbolKind::Text && symbol.size() > 0) {
        let Some(section) = symbol.section_index() else { continue };
        // The lowest bit says that it is Thumb code.
        let address = symbol.address() & !1;
        let bytes = file.section_by_index(section)?.data_range(address, symbol.size())?.unwrap_or_default();
        // Without the hash at its end.
        let name = format!("{:#}", demangle(symbol.name()?));
        functions.push(Function { name, address, bytes: bytes.to_vec() });
    }
    Ok(functions)
}

/// Where its calls (BL) lead: Armv6-M Architecture Reference Manual, A5.1 and A6.7.13, encoding T1.
fn calls(function: &Function) -> Vec<u64> {
    let halves: Vec<u32> =
        function.bytes.chunks_exact(2).map(|pair| u16::from_le_bytes([pair[0], pair[1]]).into()).collect();
    let mut calls = Vec::new();
    let mut at = 0;
    while let Some(first) = halves.get(at) {
        let place = function.address as i64 + 2 * at as i64;
        let is_wide = first >> 11 > 0b11100;
        at += if is_wide { 2 } else { 1 };
        let Some(second) = halves.get(at - 1).filter(|second| is_wide && **second & 0xD000 == 0xD000) else {
            continue;
        };
        if first & 0xF800 != 0xF000 {
            continue;
        }
        let sign = first >> 10 & 1;
        let [i1, i2] = [13, 11].map(|bit| !(second >> bit ^ sign) & 1);
        let offset = sign << 24 | i1 << 23 | i2 << 22 | (first & 0x3FF) << 12 | (second & 0x7FF) << 1;
        // 25 bits with their sign, from the instruction's place and 4.
        let offset = i64::from((offset << 7).cast_signed() >> 7);
        calls.extend(u64::try_from(place + 4 + offset));
    }
    calls
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_call_is_found_both_ways() {
        // bl .+4+0x100, nop, bl .+4-6 (back to the begin).
        let bytes = [0x00, 0xF0, 0x80, 0xF8, 0x00, 0xBF, 0xFF, 0xF7, 0xFB, 0xFF].to_vec();
        let function = Function { name: String::new(), address: 0x1000_0000, bytes };
        assert_eq!(calls(&function), [0x1000_0104, 0x1000_0000]);
    }
}
