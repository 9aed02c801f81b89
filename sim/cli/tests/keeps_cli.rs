//! What the command writes: never over what it reads, whole or not at all, one writer at a time, and a device's flash
//! that a kill does not cost anything.

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use holdpoint_cli::flash_file;
use holdpoint_desk::flash::FLASH_BYTES;
use holdpoint_shared::ledger::Ledger;

const JOB: &str = "M104 S210\nM140 S60\nM109 S210\nM190 S60\nG28\nG90\nM83\nG1 Z0.2 F600\nG1 X50 Y50 F6000\n\
                   G1 X90 Y50 E2 F1200\nG1 X90 Y90 E2\nM104 S0\nM140 S0\nM84\n";

fn command(arguments: &[&str], folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_holdpoint"));
    command.args(arguments).current_dir(folder);
    command
}

fn run(arguments: &[&str], folder: &Path) -> Output {
    command(arguments, folder).stdin(Stdio::null()).output().unwrap()
}

/// Runs what must be refused: its exit code and its message, of one line.
fn refused(arguments: &[&str], folder: &Path) -> (i32, String) {
    let output = run(arguments, folder);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(said.lines().count(), 1, "{arguments:?}: {said}");
    (output.status.code().unwrap(), said)
}

fn demo(folder: &Path) {
    assert!(run(&["card", "--demo", "card.img"], folder).status.success());
}

#[test]
fn output_never_destroys_input() {
    let here = tempfile::tempdir().unwrap();
    let at = |name: &str| here.path().join(name);
    demo(here.path());
    fs::write(at("x.svg"), JOB).unwrap();
    fs::write(at("x.png"), JOB).unwrap();
    fs::create_dir_all(at("jobs/inner")).unwrap();
    fs::write(at("jobs/part.gcode"), JOB).unwrap();
    fs::write(at("m.jsn"), "{\"tag\":\"M2\"}").unwrap();
    fs::write(at("run.txt"), "insert\nsnap list\n").unwrap();
    fs::write(at("screens.txt"), "insert\nsnap list\n").unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(at("x.svg"), at("link.svg")).unwrap();
    let mut pairs: Vec<&[&str]> = vec![
        &["survey", "x.svg", "--picture", "x.svg"],
        &["survey", "x.png", "--picture", "./x.png"],
        &["survey", "x.svg", "--picture", "x.png"],
        &["survey", "x.svg", "--picture", "jobs/../x.svg"],
        &["show", "card.img", "--png", "card.img"],
        &["show", "card.img", "--png", "x.png"],
        &["show", "jobs", "--png", "jobs/part.gcode"],
        &["show", "card.img", "--machine", "m.jsn", "--png", "m.jsn"],
        &["--png", "card.img"],
        &["show", "card.img", "--ledger", "card.img"],
        &["card", "jobs", "jobs/part.gcode"],
        &["card", "jobs", "jobs/part.gcode", "--replace"],
        &["card", "jobs", "x.png", "--replace"],
        &["stamp", "jobs/part.gcode", "--material", "PLA", "--to", "x.png"],
        &["stamp", "jobs/part.gcode", "--material", "PLA", "--to", "jobs/part.gcode"],
        &["snap", "screens.txt", "--out", "."],
        &["snap", "run.txt", "--ledger", "run.txt"],
        &["snap", "run.txt", "--ledger", "card.img"],
    ];
    if at("link.svg").exists() {
        pairs.push(&["survey", "x.svg", "--picture", "link.svg"]);
        pairs.push(&["survey", "link.svg", "--picture", "x.svg"]);
    }
    let inputs = ["card.img", "x.svg", "x.png", "jobs/part.gcode", "m.jsn", "run.txt", "screens.txt"];
    let read = || inputs.map(|name| fs::read(at(name)).unwrap());
    let before = read();
    for pair in pairs {
        let output = run(pair, here.path());
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(3), "{pair:?}: {said}");
        assert!(read() == before, "{pair:?} changed a file");
    }
    // The same outputs elsewhere are written.
    assert!(run(&["survey", "x.svg", "--picture", "new.svg"], here.path()).status.success());
    assert!(run(&["survey", "x.svg", "--picture", "new.svg"], here.path()).status.success());
    assert!(run(&["card", "jobs", "new.img"], here.path()).status.success());
    assert!(run(&["card", "jobs", "new.img", "--replace"], here.path()).status.success());
    let (code, said) = refused(&["card", "jobs", "new.img"], here.path());
    assert!(code == 3 && said.contains("already there"), "{said}");
}

#[test]
fn what_the_command_does_not_take_is_one_line_and_64() {
    let here = tempfile::tempdir().unwrap();
    fs::write(here.path().join("a.gcode"), JOB).unwrap();
    for (arguments, word) in [
        (&["survey", "a.gcode", "--picture", "x.bmp"][..], ".png or .svg"),
        (&["survey", "a.gcode", "a.gcode", "--picture", "x.png"], "one job"),
        (&["card", "."], "an image"),
        (&["vet", "a.gcode", "--explain", "58"], "--explain=58"),
        (&["vet", "--explain", "58", "a.gcode"], "--explain=58"),
        (&["ledger", ".", "--from", "2026-11-02", "--to", "2026-11-01"], "--from"),
        (&["card", "--demo", ".", "x.img"], "--demo"),
        (&["stamp", "a.gcode", "a.gcode", "--to", "x"], "one at a time"),
    ] {
        let (code, said) = refused(arguments, here.path());
        assert!(code == 64 && said.contains(word), "{arguments:?}: {code} {said}");
    }
    let by = run(&["settle", ".", "--check", "63", "--for", "spool", "--by", "Maria Muster"], here.path());
    assert_eq!(by.status.code(), Some(64), "a name is no code");
}

#[test]
fn a_kill_costs_no_change_that_was_made() {
    let here = tempfile::tempdir().unwrap();
    let file = here.path().join("flash.bin");
    let kills = std::env::var("HOLDPOINT_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(6_u32);
    for kill in 0..kills {
        let mut child = command(&["snap", "--ledger", "flash.bin", "--out", "out"], here.path())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // Wait for the file, then for another time each round.
        let began = Instant::now();
        while !file.exists() && began.elapsed() < Duration::from_secs(30) {
            std::thread::yield_now();
        }
        std::thread::sleep(Duration::from_millis(u64::from(kill * kill) * 7));
        child.kill().unwrap();
        child.wait().unwrap();
        let bytes = fs::read(&file).unwrap();
        assert_eq!(bytes.len(), FLASH_BYTES, "never an empty or half file");
        // Blank until the first change; from then on a whole ledger, and what it held stays.
        let flash = flash_file::load(&file).unwrap();
        if bytes.iter().any(|byte| *byte != 0xFF) {
            assert!(Ledger::open(flash).is_ok(), "round {kill}");
        }
    }
    // The run that came to its end left what it did.
    fs::remove_file(&file).unwrap();
    assert!(run(&["snap", "--ledger", "flash.bin", "--out", "out"], here.path()).status.success());
    let whole = fs::read(&file).unwrap();
    fs::write(here.path().join("look.txt"), "wait 2 s\nsnap waiting\n").unwrap();
    let seen = run(&["snap", "look.txt", "--ledger", "flash.bin", "--out", "out", "--text"], here.path());
    let text = String::from_utf8(seen.stdout).unwrap();
    assert!(
        whole.iter().any(|byte| *byte != 0xFF) && !text.contains("110 g"),
        "its balance is there again: {text}"
    );
}

#[test]
fn two_writers_lose_neither_entry() {
    let here = tempfile::tempdir().unwrap();
    demo(here.path());
    fs::create_dir_all(here.path().join("HOLDPT")).unwrap();
    fs::write(here.path().join("HOLDPT/MACHINE.JSN"), include_bytes!("../../demo/HOLDPT/MACHINE.JSN"))
        .unwrap();
    for card in [".", "card.img"] {
        let settle = |check: &str| {
            command(&["settle", card, "--check", check, "--for", "machine"], here.path())
                .stdout(Stdio::null())
                .stderr(Stdio::piped())
                .spawn()
                .unwrap()
        };
        let children = ["8", "9", "10", "14"].map(|check| (check, settle(check)));
        let mut done = Vec::new();
        for (check, child) in children {
            let output = child.wait_with_output().unwrap();
            match output.status.code() {
                Some(0) => done.push(check),
                _ => {
                    assert!(String::from_utf8_lossy(&output.stderr).contains("wait until"), "{card} {check}")
                }
            }
        }
        let list = String::from_utf8(run(&["settle", card, "--list"], here.path()).stdout).unwrap();
        let mut held: Vec<_> = list.lines().map(|line| line.split_whitespace().next().unwrap()).collect();
        for checks in [&mut done, &mut held] {
            checks.sort_by_key(|check| check.parse::<u8>().unwrap());
        }
        assert!(!done.is_empty());
        assert_eq!(held, done, "{card}: {list}");
    }
}

#[cfg(unix)]
#[test]
fn a_stamp_keeps_mode_and_links_and_parts_no_names() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    let here = tempfile::tempdir().unwrap();
    let at = |name: &str| here.path().join(name);
    fs::write(at("a.gcode"), JOB).unwrap();
    fs::set_permissions(at("a.gcode"), fs::Permissions::from_mode(0o640)).unwrap();
    std::os::unix::fs::symlink(at("a.gcode"), at("link.gcode")).unwrap();
    assert!(run(&["stamp", "link.gcode", "--material", "PLA"], here.path()).status.success());
    let found = fs::metadata(at("a.gcode")).unwrap();
    assert_eq!(found.permissions().mode() & 0o777, 0o640);
    assert_eq!(found.uid(), fs::metadata(here.path()).unwrap().uid());
    assert!(fs::symlink_metadata(at("link.gcode")).unwrap().is_symlink());
    assert!(fs::read_to_string(at("a.gcode")).unwrap().starts_with("; job-header 1"));
    fs::write(at("b.gcode"), JOB).unwrap();
    fs::hard_link(at("b.gcode"), at("c.gcode")).unwrap();
    let (code, said) = refused(&["stamp", "b.gcode", "--material", "PLA"], here.path());
    assert!(code == 3 && said.contains("hard links") && said.contains("--to"), "{said}");
    assert_eq!(fs::read_to_string(at("c.gcode")).unwrap(), JOB);
    // One that somebody stamps already is left to them.
    let busy = fs::File::open(at("a.gcode")).unwrap();
    busy.lock().unwrap();
    let (code, said) = refused(&["stamp", "a.gcode", "--material", "PETG"], here.path());
    assert!(code == 3 && said.contains("wait until"), "{said}");
}

/// Runs through a shell that lets no file grow beyond so many blocks of 512 bytes: the nearest to a full disk that a
/// test can have. The signal is ignored, as the write's error is.
#[cfg(unix)]
fn run_on_a_full_disk(arguments: &str, blocks: u32, folder: &Path) -> Output {
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" {arguments}");
    let mut shell = Command::new("sh");
    shell.args(["-c", &script, env!("CARGO_BIN_EXE_holdpoint")]).current_dir(folder).stdin(Stdio::null());
    shell.output().unwrap()
}

#[cfg(unix)]
#[test]
fn a_full_disk_leaves_no_empty_file_and_is_said() {
    let here = tempfile::tempdir().unwrap();
    let at = |name: &str| here.path().join(name);
    let long = JOB.replace("G1 X90 Y90 E2\n", &"G1 X90 Y90 E2\nG1 X90 Y50 E2\n".repeat(400));
    fs::create_dir_all(at("jobs/HOLDPT")).unwrap();
    fs::write(at("jobs/part.gcode"), &long).unwrap();
    fs::write(at("jobs/HOLDPT/MACHINE.JSN"), include_bytes!("../../demo/HOLDPT/MACHINE.JSN")).unwrap();
    let names = || {
        let mut all = Vec::new();
        let mut folders = vec![here.path().to_owned()];
        while let Some(folder) = folders.pop() {
            for path in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
                if path.is_dir() {
                    folders.push(path)
                } else {
                    all.push((fs::metadata(&path).unwrap().len(), path))
                }
            }
        }
        all.sort();
        all
    };
    let before = names();
    for (arguments, blocks) in [
        ("stamp jobs/part.gcode --material PLA", 1),
        ("stamp jobs/part.gcode --material PLA --to new.gcode", 1),
        ("survey jobs/part.gcode --picture part.svg", 1),
        ("survey jobs/part.gcode --picture part.png", 1),
        ("card jobs card.img", 8),
        ("settle jobs --check 8 --for machine", 0),
        ("show jobs --png screen.png", 0),
        ("show jobs --ledger flash.bin --png screen.png", 0),
        ("snap --ledger flash.bin --out .", 1),
    ] {
        let output = run_on_a_full_disk(arguments, blocks, here.path());
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(3), "{arguments}: {said}");
        assert_eq!(said.lines().count(), 1, "{arguments}: {said}");
        assert!(
            said.contains("File too large") || said.contains("no space left") || said.contains("space"),
            "{arguments}: {said}"
        );
        assert_eq!(names(), before, "{arguments}");
    }
    // What was printed and could not be kept is no success.
    if Path::new("/dev/full").exists() {
        let full = || Stdio::from(fs::File::options().write(true).open("/dev/full").unwrap());
        for arguments in [
            &["vet", "jobs"][..],
            &["vet", "jobs", "--json"],
            &["vet", "jobs", "--csv"],
            &["checks"],
            &["survey", "jobs/part.gcode"],
        ] {
            let output =
                command(arguments, here.path()).stdout(full()).stdin(Stdio::null()).output().unwrap();
            let said = String::from_utf8(output.stderr).unwrap();
            assert!(
                output.status.code() == Some(3) && said.contains("No space left"),
                "{arguments:?}: {said}"
            );
        }
    }
}

#[test]
fn a_day_that_cannot_be_read_says_its_form() {
    let here = tempfile::tempdir().unwrap();
    fs::write(here.path().join("a.gcode"), JOB).unwrap();
    for arguments in [
        &["ledger", "x", "--from", "1.11.2026"][..],
        &["ledger", "x", "--to", "tomorrow"],
        &["vet", "a.gcode", "--now", "10:40"],
        &["stamp", "a.gcode", "--material", "PLA", "--made", "yesterday"],
        &["stamp", "a.gcode", "--material", "PLA", "--made", "2026-13-01"],
    ] {
        let output = run(arguments, here.path());
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(
            output.status.code() == Some(64) && said.contains("such as 2026-11-25"),
            "{arguments:?}: {said}"
        );
    }
    for made in [
        "2026-11-25",
        "2026-11-25T10:40",
        "2026-11-25T10:40:30.5",
        "2026-11-25T10:40:00+01:00",
        "2026-11-25T10:40:00Z",
    ] {
        let run = run(&["stamp", "a.gcode", "--material", "PLA", "--made", made, "--replace"], here.path());
        assert!(run.status.success(), "{made}: {}", String::from_utf8_lossy(&run.stderr));
    }
}

/// Without a terminal nothing is played, so nothing is kept: this is said, and the file is not touched.
#[test]
fn a_ledger_that_is_not_used_is_named() {
    let here = tempfile::tempdir().unwrap();
    demo(here.path());
    fs::write(here.path().join("flash.bin"), "mine").unwrap();
    let output = run(&["show", "card.img", "--ledger", "flash.bin", "--png", "screen.png"], here.path());
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success(), "{said}");
    assert!(said.contains("flash.bin: is not used"), "{said}");
    assert_eq!(fs::read(here.path().join("flash.bin")).unwrap(), b"mine");
}
