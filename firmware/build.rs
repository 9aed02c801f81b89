//! Hands the linker the memory map of the board that the features name, and says which instruction set it is for.

use std::path::PathBuf;
use std::{env, fs};

/// Boards as (Cargo's variable for the feature, the map under `memory/`).
const BOARDS: [(&str, &str); 2] =
    [("CARGO_FEATURE_LM3S6965EVB", "lm3s6965evb.x"), ("CARGO_FEATURE_RP2040", "rp2040.x")];

fn main() {
    println!("cargo::rustc-check-cfg=cfg(armv6m)");
    if env::var("TARGET").is_ok_and(|target| target.starts_with("thumbv6m")) {
        println!("cargo::rustc-cfg=armv6m");
    }
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("Cargo sets OUT_DIR for build scripts"));
    for (feature, map) in BOARDS {
        let source = PathBuf::from("memory").join(map);
        println!("cargo::rerun-if-changed={}", source.display());
        if env::var_os(feature).is_some() {
            let copied = fs::copy(&source, out.join("memory.x"));
            copied.unwrap_or_else(|error| panic!("memory map {}: {error}", source.display()));
            if env::var_os("CARGO_FEATURE_LM3S6965EVB").is_some() {
                // The start-up code's script asks for the names of interrupt handlers: none is used. Where the chip's
                // register library is used, it has them.
                let named = fs::write(out.join("device.x"), "");
                named.unwrap_or_else(|error| panic!("device.x: {error}"));
            }
            println!("cargo::rustc-link-search={}", out.display());
        }
    }
}
