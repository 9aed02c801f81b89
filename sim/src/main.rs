//! The `holdpoint` command.
fn main() {}
