//! What is not vetted is told, with its count and its first place, and the exit code is not 0; one bad folder costs that
//! folder; and what a folder of links, pipes and hidden files does to a walk.

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use serde_json::Value;

const JOB: &str = "M104 S210\nM140 S60\nM109 S210\nM190 S60\nG28\nG90\nM83\nG1 Z0.2 F600\nG1 X50 Y50 F6000\n\
                   G1 X90 Y50 E2 F1200\nG1 X90 Y90 E2\nM104 S0\nM140 S0\nM84\n";

fn run(arguments: &[&str], folder: &Path) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_holdpoint"));
    command.args(arguments).current_dir(folder).stdin(Stdio::null()).output().unwrap()
}

fn job(path: &Path) {
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, JOB).unwrap();
}

/// The jobs that were vetted, by their paths, and what was left out.
fn vetted(at: &Path) -> (Vec<String>, Option<String>, i32) {
    let output = run(&["vet", "jobs", "--json"], at);
    let document: Value = serde_json::from_slice(&output.stdout).unwrap();
    let card = &document["cards"][0];
    let path = |job: &Value| format!("{}/{}", job["folder"].as_str().unwrap(), job["name"].as_str().unwrap());
    let mut jobs: Vec<String> = card["jobs"].as_array().unwrap().iter().map(path).collect();
    jobs.sort();
    let left_out = card["left_out"].as_str().map(str::to_owned);
    // What is told in the document is told on standard error too, in one line.
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(
        said.lines().filter(|line| line.contains("not everything was vetted")).count(),
        usize::from(left_out.is_some())
    );
    (jobs, left_out, output.status.code().unwrap())
}

#[track_caller]
fn left_out(at: &Path, what: &str, first: &str) {
    let (jobs, left_out, code) = vetted(at);
    assert_eq!(jobs, ["/part.gcode"]);
    let left_out = left_out.expect("something is left out");
    assert!(left_out.contains(&format!("vetted: {what};")), "{left_out}");
    assert!(left_out.contains(&format!("the first is {first};")), "{left_out}");
    assert_eq!(code, 3, "NO VERDICT");
}

fn folder() -> tempfile::TempDir {
    let here = tempfile::tempdir().unwrap();
    job(&here.path().join("jobs/part.gcode"));
    here
}

#[test]
fn six_folders_down_is_vetted_and_seven_is_told() {
    let here = folder();
    job(&here.path().join("jobs/1/2/3/4/5/6/six.gcode"));
    assert_eq!(vetted(here.path()).0, ["/part.gcode", "1/2/3/4/5/6/six.gcode"]);
    assert_eq!(vetted(here.path()).1, None);
    fs::remove_file(here.path().join("jobs/1/2/3/4/5/6/six.gcode")).unwrap();
    fs::create_dir(here.path().join("jobs/1/2/3/4/5/6/7")).unwrap();
    fs::write(here.path().join("jobs/1/2/3/4/5/6/7/notes.txt"), "").unwrap();
    assert_eq!(vetted(here.path()).1, None, "no job is lost there");
    job(&here.path().join("jobs/1/2/3/4/5/6/7/a.gcode"));
    job(&here.path().join("jobs/1/2/3/4/5/6/7/8/b.gcode"));
    let (_, said, code) = vetted(here.path());
    let said = said.unwrap();
    assert!(
        said.contains("vetted: 2 too deep (more than 6 folders down)") && said.contains("1/2/3/4/5/6/7/"),
        "{said}"
    );
    assert_eq!(code, 3);
}

#[test]
fn hidden_jobs_are_told_and_what_a_system_leaves_on_a_card_is_not() {
    let here = folder();
    let at = |name: &str| here.path().join("jobs").join(name);
    fs::write(at("._part.gcode"), b"\0\x05\x16\x07\0\x02\0\0Mac OS X").unwrap();
    fs::create_dir(at(".Spotlight-V100")).unwrap();
    fs::write(at(".Spotlight-V100/store.db"), "").unwrap();
    fs::write(at(".DS_Store"), "").unwrap();
    assert_eq!(vetted(here.path()).1, None);
    job(&at(".hidden/inner/part.gcode"));
    left_out(here.path(), "1 hidden", ".hidden/inner/part.gcode");
    fs::remove_dir_all(at(".hidden")).unwrap();
    job(&at("._other.gcode"));
    left_out(here.path(), "1 hidden", "._other.gcode");
}

#[cfg(unix)]
#[test]
fn links_are_followed_once_and_one_that_leads_back_is_told() {
    use std::os::unix::fs::symlink;
    let here = folder();
    let at = |name: &str| here.path().join("jobs").join(name);
    job(&at("z/inner.gcode"));
    job(&here.path().join("elsewhere/other.gcode"));
    // Twice to the same folder, once to one outside: each job has one line, by its own folder where it has one.
    symlink(at("z"), at("a")).unwrap();
    symlink("z", at("y")).unwrap();
    symlink(here.path().join("elsewhere"), at("out")).unwrap();
    symlink(here.path().join("elsewhere/other.gcode"), at("linked.gcode")).unwrap();
    let (jobs, said, _) = vetted(here.path());
    assert_eq!(jobs, ["/linked.gcode", "/part.gcode", "out/other.gcode", "z/inner.gcode"]);
    assert_eq!(said, None);
    // To the folder above, to itself by name, and round through another.
    symlink("..", at("z/up")).unwrap();
    symlink(at("z"), here.path().join("elsewhere/back")).unwrap();
    let (jobs, said, code) = vetted(here.path());
    assert_eq!(jobs, ["/linked.gcode", "/part.gcode", "out/other.gcode", "z/inner.gcode"]);
    let said = said.unwrap();
    assert!(
        said.contains("1 leading back to a folder above") && said.contains("the first is z/up"),
        "{said}"
    );
    assert_eq!(code, 3);
}

#[cfg(unix)]
#[test]
fn what_cannot_be_read_costs_only_itself_and_is_told() {
    use std::os::unix::fs::symlink;
    let here = folder();
    let at = |name: &str| here.path().join("jobs").join(name);
    symlink("nowhere", at("gone.gcode")).unwrap();
    left_out(here.path(), "1 unreadable", "gone.gcode");
    fs::remove_file(at("gone.gcode")).unwrap();
    // A pipe would be waited for.
    assert!(Command::new("mkfifo").arg(at("pipe.gcode")).status().unwrap().success());
    left_out(here.path(), "1 unreadable", "pipe.gcode");
    fs::remove_file(at("pipe.gcode")).unwrap();
    // Rights hold back everybody but the system's own user.
    use std::os::unix::fs::PermissionsExt;
    job(&at("shut/inner.gcode"));
    fs::set_permissions(at("shut"), fs::Permissions::from_mode(0o000)).unwrap();
    if fs::read_dir(at("shut")).is_err() {
        left_out(here.path(), "1 unreadable", "shut");
        fs::set_permissions(at("part.gcode"), fs::Permissions::from_mode(0o000)).unwrap();
        let said = run(&["vet", "jobs/part.gcode"], here.path());
        assert!(String::from_utf8_lossy(&said.stderr).contains("Permission denied"));
        assert_eq!(said.status.code(), Some(3));
    }
    fs::set_permissions(at("shut"), fs::Permissions::from_mode(0o755)).unwrap();
}

#[test]
fn a_card_tells_it_as_a_folder_does() {
    let here = folder();
    let at = |name: &str| here.path().join("jobs").join(name);
    job(&at("1/2/3/4/5/6/7/deep.gcode"));
    assert_eq!(run(&["card", "jobs", "card.img"], here.path()).status.code(), Some(0));
    let output = run(&["vet", "card.img", "--csv"], here.path());
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("card.img: not everything was vetted: 1 too deep"), "{said}");
    assert!(said.contains("the first is 1/2/3/4/5/6/7;"), "{said}");
    assert_eq!(output.status.code(), Some(3));
    // A table that is read without its messages holds it too.
    let table = String::from_utf8(output.stdout).unwrap();
    let last = table.lines().last().unwrap();
    assert!(
        last.starts_with("card.img,,,,,NO VERDICT") && last.contains("not everything was vetted"),
        "{last}"
    );
}

#[test]
fn many_jobs_come_out_in_the_listings_order() {
    let here = tempfile::tempdir().unwrap();
    let names: Vec<String> = (0..60).map(|number| format!("part{number:02}.gcode")).collect();
    for (number, name) in names.iter().enumerate() {
        let path = here.path().join("jobs").join(name);
        job(&path);
        // The first is the newest, and by far the longest.
        let text = if number == 0 {
            JOB.replace("G1 X90 Y90 E2\n", &"G1 X90 Y90 E2\nG1 X90 Y50 E2\n".repeat(4_000))
        } else {
            JOB.to_owned()
        };
        fs::write(&path, text).unwrap();
        let saved = std::time::SystemTime::UNIX_EPOCH
            + std::time::Duration::from_secs(1_795_521_600 - number as u64 * 60);
        fs::File::options().write(true).open(&path).unwrap().set_modified(saved).unwrap();
    }
    let text = |arguments: &[&str]| String::from_utf8(run(arguments, here.path()).stdout).unwrap();
    let folder = text(&["vet", "jobs", "--now", "2026-11-25T10:00"]);
    let listed: Vec<&str> = folder
        .lines()
        .filter_map(|line| names.iter().map(String::as_str).find(|name| line.contains(name)))
        .collect();
    assert_eq!(listed, names);
    assert!(run(&["card", "jobs", "card.img"], here.path()).status.success());
    let card = text(&["vet", "card.img", "--now", "2026-11-25T10:00"]);
    assert_eq!(card, folder, "a card and a folder say the same of the same jobs");
    // Files that are named one by one come in the order in which they are named.
    let paths: Vec<String> = names.iter().rev().map(|name| format!("jobs/{name}")).collect();
    let arguments: Vec<&str> = ["vet", "--csv"].into_iter().chain(paths.iter().map(String::as_str)).collect();
    let table = text(&arguments);
    let cards: Vec<&str> = table.lines().skip(1).filter_map(|line| line.split(',').next()).collect();
    assert_eq!(cards, paths);
}
