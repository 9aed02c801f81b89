//! `holdpoint stamp` as a user meets it: what it writes, what it keeps, and what it refuses.

mod demo;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use holdpoint_shared::header::{HeaderOutcome, JobHeader, read_header};
use holdpoint_shared::units::{Celsius, Micrometres, Milligrams};
use tempfile::TempDir;

/// Two beads of 50 mm on two layers, 7.5 mm of filament at most, 6.5 mm at the end; heat and an end.
const JOB: &str = "\
M140 S60
M104 S230
G28
G90
M83
G1 Z0.2 F600
G1 X70 E5 F3000
G1 Z0.4 F600
G1 X20 E2.5004 F3000
G1 E-1 F1800
M104 S0
M140 S0
G0 Z10
M84
M2
";

fn folder(job: &str) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("job.gcode"), job).unwrap();
    folder
}

fn stamp(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_holdpoint"));
    command.arg("stamp").args(arguments).current_dir(folder).output().unwrap()
}

fn code(output: &Output) -> Option<i32> {
    output.status.code()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// The header of a file, and the bytes below it.
#[track_caller]
fn header(bytes: &[u8]) -> (JobHeader, &[u8]) {
    match read_header(bytes, bytes.len() <= 4096) {
        HeaderOutcome::Read { header, body_at, .. } => (header, &bytes[body_at as usize..]),
        other => panic!("{other:?}"),
    }
}

fn job(folder: &TempDir) -> Vec<u8> {
    fs::read(folder.path().join("job.gcode")).unwrap()
}

/// Names in the folder: nothing may be left beside the jobs.
fn names(folder: &TempDir) -> Vec<String> {
    let entries = fs::read_dir(folder.path()).unwrap();
    let mut names: Vec<_> = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn a_header_is_written_from_the_moves() {
    let folder = folder(JOB);
    // 1300 mg/cm³: 7.5004 mm · π · (1.75 mm)² / 4 · 1.3 mg/mm³ = 23.45 mg.
    let ticket = r#"{"id":"S1","material":"PETG","density_mg_cm3":1300}"#;
    fs::write(folder.path().join("s.jsn"), ticket).unwrap();
    let run = stamp(folder.path(), &["job.gcode", "--material", "PETG", "--spool", "s.jsn", "--for", "M2"]);
    assert_eq!(code(&run), Some(0), "{}", err(&run));
    assert!(out(&run).starts_with("job.gcode: header written: PETG, 8 mm, 0.02 g"), "{}", out(&run));
    let stamped = job(&folder);
    let (header, body) = header(&stamped);
    assert_eq!(body, JOB.as_bytes());
    assert_eq!(header.material.as_deref(), Some("PETG"));
    assert_eq!(header.machine.as_deref(), Some("M2"));
    assert_eq!(header.length, Some(Micrometres::from_mm(8)), "7.5004 mm rounded up");
    assert_eq!(header.mass, Some(Milligrams(23)));
    assert_eq!((header.nozzle_c, header.bed_c), (Some(Celsius(230)), Some(Celsius(60))));
    assert_eq!((header.first_layer_um, header.layer_um), (Some(200), Some(200)));
    assert_eq!(header.body_bytes, Some(JOB.len() as u64));
    assert_eq!(header.body_crc32, Some(crc32fast::hash(JOB.as_bytes())));
    assert!(header.time.unwrap().0 > 0);
    assert_eq!(names(&folder), ["job.gcode", "s.jsn"]);
    let check = stamp(folder.path(), &["--check", "job.gcode"]);
    assert_eq!((code(&check), out(&check).as_str()), (Some(0), "job.gcode: header agrees with the moves\n"));
}

#[test]
fn a_second_stamp_changes_no_byte_and_no_time() {
    let folder = folder(JOB);
    stamp(folder.path(), &["job.gcode", "--material", "PLA"]);
    let first = job(&folder);
    let written = fs::metadata(folder.path().join("job.gcode")).unwrap().modified().unwrap();
    let again = stamp(folder.path(), &["job.gcode"]);
    assert_eq!(code(&again), Some(0), "{}", err(&again));
    assert!(out(&again).contains("left as it is"), "{}", out(&again));
    assert_eq!(job(&folder), first);
    assert_eq!(fs::metadata(folder.path().join("job.gcode")).unwrap().modified().unwrap(), written);
    let copy = stamp(folder.path(), &["job.gcode", "--to", "copy.gcode"]);
    assert_eq!(code(&copy), Some(0), "{}", err(&copy));
    assert_eq!(fs::read(folder.path().join("copy.gcode")).unwrap(), first);
}

#[test]
fn a_new_file_is_written_and_an_older_one_of_that_name_kept() {
    let folder = folder(JOB);
    let run = stamp(folder.path(), &["job.gcode", "--material", "PLA", "--to", "new.gcode"]);
    assert_eq!(code(&run), Some(0), "{}", err(&run));
    assert_eq!(job(&folder), JOB.as_bytes());
    assert_eq!(header(&fs::read(folder.path().join("new.gcode")).unwrap()).1, JOB.as_bytes());
    fs::write(folder.path().join("taken.gcode"), "mine").unwrap();
    let taken = stamp(folder.path(), &["job.gcode", "--material", "PLA", "--to", "taken.gcode"]);
    assert_eq!(code(&taken), Some(3));
    assert!(err(&taken).contains("taken.gcode"), "{}", err(&taken));
    assert_eq!(err(&taken).lines().count(), 1);
    assert_eq!(fs::read(folder.path().join("taken.gcode")).unwrap(), b"mine");
    let nowhere = stamp(folder.path(), &["job.gcode", "--material", "PLA", "--to", "no/new.gcode"]);
    assert_eq!(code(&nowhere), Some(3));
    assert!(err(&nowhere).contains("nothing can be written into its folder"), "{}", err(&nowhere));
    assert_eq!(names(&folder), ["job.gcode", "new.gcode", "taken.gcode"]);
}

#[test]
fn what_only_people_know_is_kept_and_what_stood_above_stays() {
    let old = "; for the summer fair\n; job-header 1\n; {\"material\":\"PETG\",\"colour\":\"grün\",\"bore_um\":600,\
               \"length_mm\":99,\"time_s\":99999,\"part\":\"Haken\",\"author\":\"b\",\"made\":\"2026-11-20\"}\n; end-header\n";
    let folder = folder(&format!("{old}{JOB}"));
    let run = stamp(folder.path(), &["job.gcode", "--author", "c"]);
    assert_eq!(code(&run), Some(0), "{}", err(&run));
    assert!(out(&run).contains("header renewed"), "{}", out(&run));
    let stamped = job(&folder);
    assert!(stamped.starts_with(b"; for the summer fair\n; job-header 1\n"));
    let (header, body) = header(&stamped);
    assert_eq!(body, JOB.as_bytes());
    assert_eq!((header.colour.as_deref(), header.bore_um), (Some("grün"), Some(600)));
    assert_eq!((header.part.as_deref(), header.author.as_deref()), (Some("Haken"), Some("c")));
    assert_eq!(header.made.as_deref(), Some("2026-11-20"));
    assert_eq!(header.length, Some(Micrometres::from_mm(8)));
    assert_ne!(header.time.unwrap().0, 99_999);
    assert_eq!(stamped.windows(10).filter(|bytes| bytes == b"job-header").count(), 1, "one header, not two");
}

#[test]
fn the_files_own_line_ends_are_used() {
    let crlf = JOB.replace('\n', "\r\n");
    let folder = folder(&format!("\u{feff}{crlf}"));
    let run = stamp(folder.path(), &["job.gcode", "--material", "PLA"]);
    assert_eq!(code(&run), Some(0), "{}", err(&run));
    let stamped = job(&folder);
    assert!(stamped.starts_with(b"\xEF\xBB\xBF; job-header 1\r\n"), "the byte-order mark stays first");
    assert_eq!(header(&stamped).1, crlf.as_bytes());
    let ends = stamped.iter().filter(|byte| **byte == b'\n').count();
    assert_eq!(stamped.windows(2).filter(|pair| pair == b"\r\n").count(), ends, "no bare line feed");
    assert_eq!(code(&stamp(folder.path(), &["--check", "job.gcode"])), Some(0));
    assert!(out(&stamp(folder.path(), &["job.gcode"])).contains("left as it is"));
}

#[test]
fn without_a_material_nothing_is_written() {
    let folder = folder(JOB);
    let run = stamp(folder.path(), &["job.gcode"]);
    assert_eq!(code(&run), Some(3));
    assert!(
        err(&run).contains("job.gcode: no material") && err(&run).contains("--material PLA"),
        "{}",
        err(&run)
    );
    assert_eq!(err(&run).lines().count(), 1);
    assert_eq!(job(&folder), JOB.as_bytes());
    let commented = format!("; filament type = ABS\n{JOB}");
    fs::write(folder.path().join("job.gcode"), &commented).unwrap();
    let run = stamp(folder.path(), &["job.gcode"]);
    assert!(out(&run).contains("ABS (from a comment)"), "{}", out(&run));
    let stamped = job(&folder);
    assert_eq!(header(&stamped).0.material.as_deref(), Some("ABS"));
    assert_eq!(header(&stamped).1, commented.as_bytes());
}

#[test]
fn an_edit_after_the_stamp_is_told() {
    let folder = folder(JOB);
    let missing = stamp(folder.path(), &["--check", "job.gcode"]);
    assert_eq!((code(&missing), out(&missing).contains("no header")), (Some(1), true));
    stamp(folder.path(), &["job.gcode", "--material", "PLA"]);
    let good = String::from_utf8(job(&folder)).unwrap();
    // One digit: the same length, another target.
    fs::write(folder.path().join("job.gcode"), good.replace("M104 S230", "M104 S290")).unwrap();
    let edited = stamp(folder.path(), &["--check", "job.gcode"]);
    assert_eq!(code(&edited), Some(1));
    let text = out(&edited);
    assert!(text.contains("CRC-32") && text.contains("nozzle: header 230 °C, moves 290 °C"), "{text}");
    assert!(!text.contains("bytes after the header"), "{text}");
    // Renewed, it agrees again.
    assert_eq!(code(&stamp(folder.path(), &["job.gcode"])), Some(0));
    assert_eq!(code(&stamp(folder.path(), &["--check", "job.gcode"])), Some(0));
    // Cut: it is not covered up.
    fs::write(folder.path().join("job.gcode"), &good[..good.len() - 20]).unwrap();
    assert_eq!(code(&stamp(folder.path(), &["--check", "job.gcode"])), Some(1));
    let cut = stamp(folder.path(), &["job.gcode"]);
    assert_eq!(code(&cut), Some(3));
    assert!(err(&cut).contains("was the file cut?"), "{}", err(&cut));
    assert_eq!(job(&folder), &good.as_bytes()[..good.len() - 20]);
    assert_eq!(code(&stamp(folder.path(), &["job.gcode", "--replace"])), Some(0));
    assert_eq!(code(&stamp(folder.path(), &["--check", "job.gcode"])), Some(0));
}

#[test]
fn a_broken_header_is_replaced_on_request_only() {
    let broken = format!("; job-header 1\n; {{\"material\":\"PLA,}}\n; end-header\n{JOB}");
    let folder = folder(&broken);
    assert_eq!(code(&stamp(folder.path(), &["--check", "job.gcode"])), Some(1));
    let refused = stamp(folder.path(), &["job.gcode", "--material", "PLA"]);
    assert_eq!(code(&refused), Some(3));
    assert!(err(&refused).contains("line 2") && err(&refused).contains("--replace"), "{}", err(&refused));
    assert_eq!(job(&folder), broken.as_bytes());
    let replaced = stamp(folder.path(), &["job.gcode", "--material", "PLA", "--replace"]);
    assert_eq!(code(&replaced), Some(0), "{}", err(&replaced));
    assert_eq!(header(&job(&folder)).1, JOB.as_bytes());
    // One with no end: nobody can say where it ends.
    let endless = format!("; job-header 1\n; {{\"material\":\"PLA\"}}\n{JOB}");
    fs::write(folder.path().join("job.gcode"), &endless).unwrap();
    let refused = stamp(folder.path(), &["job.gcode", "--material", "PLA", "--replace"]);
    assert_eq!(code(&refused), Some(3));
    assert_eq!(job(&folder), endless.as_bytes());
}

#[test]
fn one_file_that_fails_does_not_stop_the_others() {
    let folder = folder(JOB);
    let run = stamp(folder.path(), &["none.gcode", "job.gcode", "--material", "PLA"]);
    assert_eq!(code(&run), Some(3));
    assert!(err(&run).contains("none.gcode"), "{}", err(&run));
    assert!(job(&folder).starts_with(b"; job-header 1\n"));
    let two = stamp(folder.path(), &["job.gcode", "job.gcode", "--to", "x.gcode"]);
    assert_eq!((code(&two), names(&folder).len()), (Some(64), 1));
}

#[test]
fn values_that_no_header_holds_are_refused_by_the_command_line() {
    let folder = folder(JOB);
    let long = "x".repeat(41);
    for wrong in [["--part", &long], ["--bore-um", "0.4"], ["--bore-um", "4"], ["--material", " "]] {
        let run = stamp(folder.path(), &[&["job.gcode"][..], &wrong[..]].concat());
        assert_eq!(code(&run), Some(64), "{wrong:?}: {}", err(&run));
    }
    assert_eq!(job(&folder), JOB.as_bytes());
}

#[cfg(unix)]
#[test]
fn permissions_and_links_are_kept_and_protection_respected() {
    use std::os::unix::fs::PermissionsExt;
    let folder = folder(JOB);
    let path = folder.path().join("job.gcode");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
    std::os::unix::fs::symlink("job.gcode", folder.path().join("link.gcode")).unwrap();
    let run = stamp(folder.path(), &["link.gcode", "--material", "PLA"]);
    assert_eq!(code(&run), Some(0), "{}", err(&run));
    assert!(fs::symlink_metadata(folder.path().join("link.gcode")).unwrap().is_symlink());
    assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
    let stamped = job(&folder);
    assert_eq!(header(&stamped).1, JOB.as_bytes());
    fs::set_permissions(&path, fs::Permissions::from_mode(0o440)).unwrap();
    let refused = stamp(folder.path(), &["job.gcode", "--material", "ABS"]);
    assert_eq!(code(&refused), Some(3));
    assert!(err(&refused).contains("write-protected"), "{}", err(&refused));
    assert_eq!(job(&folder), stamped);
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_costs_nothing() {
    use std::os::unix::fs::PermissionsExt;
    let folder = folder(JOB);
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o555)).unwrap();
    // The superuser writes everywhere: then there is nothing to refuse, and the stamp must be whole.
    let all_may = fs::write(folder.path().join("probe"), "").is_ok();
    let run = stamp(folder.path(), &["job.gcode", "--material", "PLA"]);
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
    if all_may {
        assert_eq!(code(&run), Some(0), "{}", err(&run));
        assert_eq!(header(&job(&folder)).1, JOB.as_bytes());
    } else {
        assert_eq!(code(&run), Some(3));
        assert!(err(&run).contains("--to"), "{}", err(&run));
        assert_eq!(job(&folder), JOB.as_bytes());
        assert_eq!(names(&folder), ["job.gcode"]);
    }
}

#[test]
fn vet_finds_header_and_moves_at_one_after_a_stamp() {
    let root = tempfile::tempdir().unwrap();
    demo::write_files(root.path());
    let jobs: Vec<_> =
        fs::read_dir(root.path().join("KURS 3")).unwrap().map(|job| job.unwrap().path()).collect();
    assert!(jobs.len() >= 3);
    for job in &jobs {
        let job = job.to_str().unwrap();
        let run = stamp(root.path(), &[job, "--replace"]);
        assert_eq!(code(&run), Some(0), "{}", err(&run));
        assert_eq!(code(&stamp(root.path(), &["--check", job])), Some(0));
    }
    let mut vet = Command::new(env!("CARGO_BIN_EXE_holdpoint"));
    let run = vet
        .args(["vet", "--json", ".", "--now", "2026-11-25T10:42"])
        .current_dir(root.path())
        .output()
        .unwrap();
    let document: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    let vetted = document["cards"][0]["jobs"].as_array().unwrap();
    let stamped: Vec<_> = vetted.iter().filter(|job| job["folder"] == "KURS 3").collect();
    assert_eq!(stamped.len(), jobs.len());
    for job in stamped {
        assert_eq!(job["header_error"], serde_json::Value::Null);
        // 6: the file is not what its header says.
        assert!(job["points"].as_array().unwrap().iter().all(|point| point["check"] != 6), "{job}");
    }
}

#[test]
fn what_is_no_job_is_left_as_it_is() {
    // A picture's first bytes and no text after them; a text without a move.
    let picture: Vec<u8> =
        b"\x89PNG\r\n\x1a\n".iter().copied().chain((0..2000).map(|n| (n * 7 % 256) as u8)).collect();
    for (bytes, said) in [(picture.as_slice(), "no plain text"), (b"M104 S0\n; G1 X5\n", "no move")] {
        let folder = folder("");
        fs::write(folder.path().join("job.gcode"), bytes).unwrap();
        let run = stamp(folder.path(), &["job.gcode", "--material", "PLA"]);
        assert_eq!(code(&run), Some(3), "{}", err(&run));
        assert!(err(&run).contains("job.gcode") && err(&run).contains(said), "{}", err(&run));
        assert_eq!(job(&folder), bytes);
    }
}

/// A header promises a print: what lays nothing gets none, and stays as it is.
#[test]
fn what_prints_nothing_is_refused() {
    for (job, why) in [
        ("G28\nG90\nG0 X10 Y10 Z5 F6000\nG0 X100\nM84\n", "prints nothing"),
        ("M104 S210\nM109 S210\nM104 S0\n", "prints nothing"),
        ("Dear all,\nthe room is shut on Friday.\nBring the cards back.\n", "is no job"),
    ] {
        let folder = folder(job);
        for arguments in [&["job.gcode", "--material", "PLA"][..], &["--check", "job.gcode"][..]] {
            let run = stamp(folder.path(), arguments);
            assert_eq!(code(&run), Some(3), "{job}");
            assert!(err(&run).contains(why) && err(&run).lines().count() == 1, "{}", err(&run));
        }
        assert_eq!(fs::read_to_string(folder.path().join("job.gcode")).unwrap(), job);
    }
}
