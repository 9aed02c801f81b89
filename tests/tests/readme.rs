//! The README's table of checks is the catalogue's own.

use std::fs;
use std::path::Path;

use holdpoint_shared::checks::write_markdown;

const BEGIN: &str = "<!-- checks -->\n";
const END: &str = "<!-- end of checks -->";

/// With `UPDATE_README` set the table is written anew instead.
#[test]
fn the_readme_lists_the_catalogue_as_it_is() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../README.md");
    let text = fs::read_to_string(&path).expect("the README");
    let (before, rest) = text.split_once(BEGIN).expect("where the table begins");
    let (table, after) = rest.split_once(END).expect("where the table ends");
    let mut wanted = String::new();
    write_markdown(&mut wanted).expect("a string takes all");
    if std::env::var_os("UPDATE_README").is_some() {
        fs::write(&path, format!("{before}{BEGIN}{wanted}{END}{after}")).expect("the README can be written");
        return;
    }
    assert!(
        table == wanted,
        "README.md and the catalogue differ; write the table anew with: UPDATE_README=1 cargo test -p holdpoint-tests --test readme"
    );
}
