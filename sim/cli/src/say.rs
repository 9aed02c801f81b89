//! What goes to standard error.

use holdpoint_desk::setup::Records;
use holdpoint_desk::shown::{Several, Shown};

/// One line on standard error, after the program's name.
pub fn say(line: &str) {
    eprintln!("holdpoint: {}", line.shown());
}

/// An error on standard error: a line, or one for each of several faults.
pub fn say_error(error: &anyhow::Error) {
    match error.downcast_ref::<Several>() {
        Some(Several(lines)) => lines.iter().for_each(|line| say(line)),
        None => say(&format!("{error:#}")),
    }
}

/// What does not count in the file of what is settled.
pub fn say_left_out(records: &Records) {
    records.left_out.iter().for_each(|what| say(what));
}
