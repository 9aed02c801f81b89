//! The command as a user meets it: what it prints, and its exit codes.

mod demo;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use std::time::{Duration, SystemTime};

use tempfile::TempDir;

/// A machine sheet, a ticket and rules that a small job passes; the day is a Wednesday.
const NOW: &str = "2026-11-25T14:42";

fn holdpoint(arguments: &[&str], folder: &Path) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_holdpoint"));
    command.args(arguments).current_dir(folder).env_remove("NO_COLOR").output().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("the command ended by itself")
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// The demo's files in a folder, as anybody could write them.
fn demo_folder() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    demo::write_files(&folder.path().join("jobs"));
    folder
}

/// A file of the day before [`NOW`], on whatever day the test is run: a later one would put the clock in doubt.
fn save(path: &Path, bytes: impl AsRef<[u8]>) {
    fs::write(path, bytes).unwrap();
    // 2026-11-24 12:00 UTC.
    let day_before = SystemTime::UNIX_EPOCH + Duration::from_secs(1_795_521_600);
    fs::File::options().write(true).open(path).unwrap().set_modified(day_before).unwrap();
}

/// One line on standard error that begins with the program's name, and exit code 3.
#[track_caller]
fn is_one_line_error(output: &Output, naming: &[&str]) {
    let text = err(output);
    assert_eq!(code(output), 3, "{text}");
    assert_eq!(text.lines().count(), 1, "{text}");
    assert!(text.starts_with("holdpoint: "), "{text}");
    for name in naming {
        assert!(text.contains(name), "{name} in {text}");
    }
}

#[test]
fn bare_without_a_terminal_it_tells_the_verdict_and_draws_the_screen() {
    let folder = tempfile::tempdir().unwrap();
    let run = holdpoint(&[], folder.path());
    assert_eq!(code(&run), 0, "{}", err(&run));
    let text = out(&run);
    assert!(text.contains("2026-11-25 14:42"), "{text}");
    assert!(text.lines().any(|line| line.starts_with("CLEAR") && line.contains("Bohrlehre 40")), "{text}");
    assert!(text.contains("holdpoint-verdict.png"), "{text}");
    assert!(!text.contains('\u{1b}'), "no colour where there is no terminal");
    let picture = fs::read(folder.path().join("holdpoint-verdict.png")).unwrap();
    // PNG's signature and its IHDR: 128 x 64 pixels, four times each way.
    assert_eq!(&picture[..8], b"\x89PNG\r\n\x1a\n");
    assert_eq!(&picture[16..24], [0, 0, 2, 0, 0, 0, 1, 0]);
}

#[test]
fn the_same_demo_gives_the_same_picture() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["a.png", "b.png"] {
        assert_eq!(code(&holdpoint(&["--png", name], folder.path())), 0);
    }
    let picture = |name| fs::read(folder.path().join(name)).unwrap();
    assert_eq!(picture("a.png"), picture("b.png"));
}

#[test]
fn a_picture_that_cannot_be_written_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let run = holdpoint(&["--png", "no/such/folder/x.png"], folder.path());
    is_one_line_error(&run, &["no/such/folder/x.png", "name another"]);
}

/// The verdicts of the demo's jobs, by a part of each name.
const VERDICTS: [(&str, &[&str]); 5] = [
    ("Bohrlehre 40", &["CLEAR"]),
    ("Café-Schild", &["HOLD"]),
    ("Regalträger", &["HOLD"]),
    ("Maßwand", &["LOOK", "HOLD"]),
    ("Zahnrad", &["LOOK", "HOLD"]),
];

#[track_caller]
fn tells_the_demo_verdicts(text: &str) {
    for (name, verdicts) in VERDICTS {
        let line =
            text.lines().find(|line| line.contains(name)).unwrap_or_else(|| panic!("{name} in {text}"));
        assert!(verdicts.iter().any(|verdict| line.starts_with(verdict)), "{line}");
    }
    assert!(text.contains("KURS 3/Haken.gcode"), "{text}");
    assert!(text.contains(">PETG<") && text.contains(">PLA<"), "{text}");
}

/// Lines that begin a job in `vet`'s table.
fn jobs(text: &str) -> usize {
    let verdicts = ["CLEAR ", "LOOK ", "HOLD ", "NO VERDICT "];
    text.lines().filter(|line| verdicts.iter().any(|verdict| line.starts_with(verdict))).count()
}

#[test]
fn a_folder_gets_a_line_a_job() {
    let folder = demo_folder();
    let run = holdpoint(&["vet", "jobs", "--now", NOW], folder.path());
    tells_the_demo_verdicts(&out(&run));
    assert_eq!(jobs(&out(&run)), 7);
    assert!(matches!(code(&run), 2 | 3), "{}", err(&run));
}

#[test]
fn a_card_image_says_what_its_folder_says() {
    let folder = demo_folder();
    let made = holdpoint(&["card", "jobs", "card.img"], folder.path());
    assert_eq!(code(&made), 0, "{}", err(&made));
    let image = holdpoint(&["vet", "card.img", "--now", NOW], folder.path());
    tells_the_demo_verdicts(&out(&image));
    assert_eq!(out(&image), out(&holdpoint(&["vet", "jobs", "--now", NOW], folder.path())));
}

#[test]
fn the_exit_code_is_the_worst_verdict() {
    let folder = demo_folder();
    let record = |name: &str| format!("jobs/HOLDPT/{name}.JSN");
    let vet = |file: &str| {
        let (machine, spool, room) = (record("MACHINE"), record("SPOOL"), record("ROOM"));
        let arguments =
            ["vet", file, "--machine", &machine, "--spool", &spool, "--room", &room, "--now", NOW];
        code(&holdpoint(&arguments, folder.path()))
    };
    assert_eq!(vet("jobs/Bohrlehre 40.gcode"), 0);
    assert_eq!(vet("jobs/Café-Schild.gcode"), 2);
}

#[test]
fn explained_points_carry_their_remedies() {
    let folder = demo_folder();
    let plain = out(&holdpoint(&["vet", "jobs", "--now", NOW], folder.path()));
    let explained = out(&holdpoint(&["vet", "jobs", "--explain", "--now", NOW], folder.path()));
    assert!(explained.lines().count() > plain.lines().count() + 4, "{explained}");
    assert!(explained.lines().any(|line| line.starts_with("    HOLD")), "{explained}");
    assert!(explained.contains("job header, line 2, column"), "{explained}");
}

#[test]
fn json_is_one_document_with_every_job() {
    let folder = demo_folder();
    let run = holdpoint(&["vet", "jobs", "--json", "--now", NOW], folder.path());
    let document: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    assert_eq!(document["vet"], 1);
    assert_eq!(document["now"], "2026-11-25T14:42:00");
    let jobs = document["cards"][0]["jobs"].as_array().unwrap();
    assert_eq!(jobs.len(), 7);
    assert_eq!(jobs[0]["name"], "Bohrlehre 40.gcode");
    assert_eq!(jobs[0]["verdict"], "CLEAR");
    assert_eq!(jobs[0]["saved"], "2026-11-25T14:38:00");
    assert_eq!(jobs[0]["job_mark"], "PLA");
    let sign = jobs.iter().find(|job| job["name"] == "Café-Schild.gcode").unwrap();
    assert_eq!(sign["points"][0]["level"], "HOLD");
    assert!(!sign["points"][0]["remedy"].as_str().unwrap().is_empty());
    let gear = jobs.iter().find(|job| job["name"] == "Zahnrad m2 z24.gcode").unwrap();
    assert_eq!(gear["header_error"]["line"], 2);
}

#[test]
fn csv_has_its_heading_and_a_row_a_job() {
    let folder = demo_folder();
    let run = holdpoint(&["vet", "jobs", "missing.img", "--csv", "--now", NOW], folder.path());
    let text = out(&run);
    assert!(text.starts_with("card,folder,name,size_bytes,saved,verdict,"), "{text}");
    assert!(text.contains("\r\n"), "RFC 4180 ends its lines with CR LF");
    let mut rows = csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<_> = rows.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 8, "seven jobs and the card that could not be read");
    assert_eq!(&rows[0][2], "Bohrlehre 40.gcode");
    assert_eq!(&rows[7][0], "missing.img");
    assert_eq!(&rows[7][5], "NO VERDICT");
    assert_eq!(code(&run), 3);
}

/// A letter is no job: its row has a verdict, a point, and no time.
#[test]
fn a_job_without_a_verdict_is_a_row_with_empty_times() {
    let folder = tempfile::tempdir().unwrap();
    let letter = "Dear all,\nthe room is shut on Friday.\nBring the cards back by then.\n".repeat(40);
    fs::write(folder.path().join("letter.gcode"), letter).unwrap();
    fs::write(folder.path().join("travels.gcode"), "G28\nG90\nG0 X10 Y10 Z5 F6000\nG0 X100\nM84\n").unwrap();
    let run = holdpoint(&["vet", "letter.gcode", "travels.gcode", "--csv", "--now", NOW], folder.path());
    assert_eq!(code(&run), 3);
    let text = out(&run);
    let mut rows = csv::Reader::from_reader(text.as_bytes());
    let headings = rows.headers().unwrap().clone();
    let rows: Vec<_> = rows.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 2);
    for row in &rows {
        let of = |name: &str| &row[headings.iter().position(|heading| heading == name).unwrap()];
        assert_eq!(
            (of("verdict"), of("worst_check"), of("worst_level")),
            ("NO VERDICT", "12", "HOLD"),
            "{text}"
        );
        assert!(!of("worst_point").is_empty() && of("error").is_empty());
        for empty in ["duration_s", "ends_from", "ends_to", "job_mark"] {
            assert_eq!(of(empty), "", "{empty}: {text}");
        }
    }
    let run = holdpoint(&["vet", "letter.gcode", "--json", "--now", NOW], folder.path());
    let document: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    let job = &document["cards"][0]["jobs"][0];
    for key in ["duration_s", "duration_from", "ends_from", "ends_to", "job_mark"] {
        assert!(job.as_object().unwrap().contains_key(key) && job[key].is_null(), "{key}: {job}");
    }
    assert_eq!(job["other_durations"], serde_json::json!([]));
}

/// The moves' time counts; what header and comments say of it stands beside it, each with its source.
#[test]
fn other_times_stand_below_with_their_source() {
    let folder = tempfile::tempdir().unwrap();
    let job = "; estimated printing time = 1h 2m 3s\nM104 S210\nM109 S210\nG28\nG90\nM83\nG1 Z0.2 F600\n\
               G1 X50 Y50 F6000\nG1 X90 E1.5 F1200\nM104 S0\nM84\n";
    fs::write(folder.path().join("job.gcode"), job).unwrap();
    let run = holdpoint(&["vet", "job.gcode", "--json", "--now", NOW], folder.path());
    let document: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    let job = &document["cards"][0]["jobs"][0];
    assert_eq!(job["duration_from"], "moves");
    assert_eq!(job["other_durations"], serde_json::json!([{ "from": "comment", "duration_s": 3723 }]));
    let run = holdpoint(&["vet", "job.gcode", "--explain", "--now", NOW], folder.path());
    assert!(out(&run).contains("by the moves, 1 h 03 by a comment"), "{}", out(&run));
}

#[test]
fn a_missing_path_is_an_error_of_one_line() {
    let folder = tempfile::tempdir().unwrap();
    is_one_line_error(&holdpoint(&["vet", "nothing.img"], folder.path()), &["nothing.img"]);
    is_one_line_error(&holdpoint(&["show", "nothing.img"], folder.path()), &["nothing.img"]);
}

#[test]
fn a_cut_off_or_random_image_is_an_error_of_one_line() {
    let folder = demo_folder();
    assert_eq!(code(&holdpoint(&["card", "jobs", "card.img"], folder.path())), 0);
    let whole = fs::read(folder.path().join("card.img")).unwrap();
    // A linear congruential generator (Numerical Recipes' constants) for bytes that mean nothing.
    let mut state = 1_u32;
    let noise: Vec<u8> = std::iter::repeat_with(|| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 24) as u8
    })
    .take(100_000)
    .collect();
    let cases: [(&str, &[u8]); 6] = [
        ("sector.img", &whole[..512]),
        ("odd.img", &whole[..1000]),
        ("half.img", &whole[..whole.len() / 2 + 77]),
        ("noise.img", &noise),
        ("blank.img", &[0; 4096]),
        ("empty.img", &[]),
    ];
    for (name, bytes) in cases {
        save(&folder.path().join(name), bytes);
        let run = holdpoint(&["vet", name, "--now", NOW], folder.path());
        is_one_line_error(&run, &[name]);
    }
}

#[test]
fn a_folder_without_jobs_says_what_a_job_is() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("empty")).unwrap();
    is_one_line_error(&holdpoint(&["vet", "empty"], folder.path()), &["empty", "job"]);
}

#[test]
fn a_bad_record_is_named_with_its_line_and_column() {
    let folder = demo_folder();
    save(&folder.path().join("spool.jsn"), "{\n  \"id\": \"S17\",\n  \"material\": PLA\n}\n");
    let run = holdpoint(&["vet", "jobs", "--spool", "spool.jsn", "--now", NOW], folder.path());
    // Every job is vetted by what could be read, and none is more than NO VERDICT.
    let names_the_ticket = |run: &Output| {
        assert_eq!(code(run), 3);
        let (out, err) = (out(run), err(run));
        for said in ["line 3", "column 15", "expected a value"] {
            assert!(err.contains(said), "{err}");
        }
        assert_eq!(jobs(&out), 7, "{out}");
        assert_eq!(out.lines().filter(|line| line.starts_with("NO VERDICT ")).count(), 7, "{out}");
    };
    names_the_ticket(&run);
    // The same on the card itself.
    fs::copy(folder.path().join("spool.jsn"), folder.path().join("jobs/HOLDPT/SPOOL.JSN")).unwrap();
    let run = holdpoint(&["vet", "jobs", "--now", NOW], folder.path());
    names_the_ticket(&run);
    let run = holdpoint(&["vet", "jobs", "--room", "none.jsn", "--now", NOW], folder.path());
    is_one_line_error(&run, &["none.jsn", "--room"]);
}

#[test]
fn one_bad_input_does_not_keep_the_others_from_being_vetted() {
    let folder = demo_folder();
    let run = holdpoint(&["vet", "missing.img", "jobs", "--now", NOW], folder.path());
    assert_eq!(code(&run), 3);
    assert!(err(&run).contains("missing.img"));
    tells_the_demo_verdicts(&out(&run));
}

#[test]
fn the_language_can_be_chosen() {
    let folder = demo_folder();
    let text =
        |lang| out(&holdpoint(&["vet", "jobs", "--explain", "--lang", lang, "--now", NOW], folder.path()));
    let (english, german) = (text("en"), text("de"));
    assert_ne!(english, german);
    // The verdict's word and the structure stay.
    tells_the_demo_verdicts(&german);
    assert_eq!(jobs(&english), jobs(&german));
    let points = |text: &str| {
        let levels = ["    HOLD ", "    LOOK ", "    NOTE "];
        text.lines().filter(|line| levels.iter().any(|level| line.starts_with(level))).count()
    };
    assert!(points(&english) > 7, "{english}");
    assert_eq!(points(&english), points(&german));
}

/// Long names, marks and sentences too.
#[test]
fn the_table_has_heads_fits_80_columns_and_ends_with_a_total_in_each_language() {
    use unicode_width::UnicodeWidthStr;
    let folder = demo_folder();
    let long = "jobs/A very long name of a part, as people who are in no hurry give them to their files, v12 final.gcode";
    save(&folder.path().join(long), fs::read(folder.path().join("jobs/Bohrlehre 40.gcode")).unwrap());
    let heads = [
        ("en", "verdict", ["Spool: >PLA<", "material", "needs", "takes", "ends"], "8 jobs: ", "Together: "),
        ("de", "Urteil", ["Spule: >PLA<", "Material", "Bedarf", "Dauer", "Ende"], "8 Jobs: ", "Zusammen: "),
    ];
    for (lang, first, rest, total, together) in heads {
        for more in [None, Some("--explain"), Some("--explain=54")] {
            let mut arguments = vec!["vet", "jobs", "--lang", lang, "--now", NOW];
            arguments.extend(more);
            let text = out(&holdpoint(&arguments, folder.path()));
            let wide: Vec<_> = text.lines().filter(|line| line.width() > 80).collect();
            assert!(wide.is_empty(), "{lang}: {wide:#?}");
            let head: Vec<&str> = text.lines().take(2).collect();
            assert!(head[1].starts_with(first), "{text}");
            for word in rest {
                assert!(head.iter().any(|line| line.contains(word)), "{word} in {text}");
            }
            let last = text.split("\n\n").last().unwrap();
            assert!(last.starts_with(total) && last.contains(together), "{text}");
            assert!(last.contains("2 CLEAR, 3 LOOK, 3 HOLD"), "{text}");
        }
    }
    // Single files stand in one table, by the names by which they were named.
    let files = ["jobs/Café-Schild.gcode", "jobs/KURS 3/Haken.gcode"];
    let text = out(&holdpoint(&["vet", files[0], files[1], "--now", NOW], folder.path()));
    assert_eq!(text.matches("material").count(), 1, "{text}");
    assert!(files.iter().all(|file| text.contains(file)), "{text}");
}

#[test]
fn a_misunderstood_command_line_is_never_taken_for_a_verdict() {
    let folder = tempfile::tempdir().unwrap();
    for arguments in [
        &["vet"] as &[&str],
        &["vet", "x", "--json", "--csv"],
        &["nonsense"],
        &["vet", "x", "--now", "noon"],
        &["--png", "x.png", "vet", "x"],
    ] {
        let run = holdpoint(arguments, folder.path());
        assert_eq!(code(&run), 64, "{arguments:?}: {}", err(&run));
        assert!(!err(&run).is_empty());
    }
}

#[test]
fn help_has_an_example_of_every_command() {
    let folder = tempfile::tempdir().unwrap();
    let all = out(&holdpoint(&["--help"], folder.path()));
    for command in ["vet", "show", "card", "checks"] {
        assert!(all.contains(&format!("holdpoint {command}")), "{all}");
        let run = holdpoint(&[command, "--help"], folder.path());
        assert_eq!(code(&run), 0);
        assert!(out(&run).contains("Examples:"), "{}", out(&run));
        assert!(out(&run).contains(&format!("holdpoint {command}")), "{}", out(&run));
    }
}

#[test]
fn the_catalogue_lists_every_check_once() {
    let folder = tempfile::tempdir().unwrap();
    let run = holdpoint(&["checks"], folder.path());
    assert_eq!(code(&run), 0);
    let text = out(&run);
    let numbers: Vec<u8> =
        text.lines().filter_map(|line| line.get(..3)?.trim_start().parse::<u8>().ok()).collect();
    assert!(numbers.len() >= 8, "{text}");
    let mut sorted = numbers.clone();
    sorted.sort_unstable();
    sorted.dedup();
    assert_eq!(numbers, sorted);
}

#[cfg(unix)]
#[test]
fn names_that_are_not_utf8_are_vetted_and_shown() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;

    let folder = demo_folder();
    let name = OsStr::from_bytes(b"gr\xFC\xDFe.gcode");
    fs::copy(folder.path().join("jobs/Bohrlehre 40.gcode"), folder.path().join(name)).unwrap();
    let run = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
        .args(["vet", "--now", NOW])
        .arg(name)
        .current_dir(folder.path())
        .output()
        .unwrap();
    assert!(code(&run) <= 2, "{}", err(&run));
    assert!(out(&run).contains("gr\u{fffd}\u{fffd}e.gcode"), "{}", out(&run));
}

#[cfg(unix)]
#[test]
fn a_pipe_or_an_endless_device_is_refused_at_once() {
    let folder = demo_folder();
    let made = Command::new("mkfifo").arg(folder.path().join("pipe")).status().unwrap();
    assert!(made.success());
    for command in ["vet", "show", "survey", "stamp"] {
        is_one_line_error(&holdpoint(&[command, "pipe"], folder.path()), &["pipe", "file"]);
    }
    for record in ["pipe", "/dev/zero"] {
        let run = holdpoint(&["vet", "jobs", "--spool", record], folder.path());
        is_one_line_error(&run, &[record, "file"]);
    }
}

#[test]
fn an_erased_card_is_a_blank_card_not_a_job() {
    let folder = tempfile::tempdir().unwrap();
    for (name, byte) in [("zero.img", 0), ("erased.img", 0xFF)] {
        save(&folder.path().join(name), vec![byte; 1 << 20]);
        is_one_line_error(&holdpoint(&["vet", name], folder.path()), &[name, "blank"]);
    }
}

#[test]
fn a_single_file_is_vetted_against_the_records_beside_it() {
    let folder = demo_folder();
    let run = holdpoint(&["vet", "jobs/KURS 3/Haken.gcode", "--now", NOW], folder.path());
    assert_eq!(code(&run), 0, "{}{}", out(&run), err(&run));
    assert!(out(&run).contains("Spool: >PLA<") && out(&run).contains("Haken.gcode >PLA<"), "{}", out(&run));
    save(&folder.path().join("jobs/HOLDPT/SPOOL.JSN"), "{\n\"id\":1}");
    let broken = holdpoint(&["vet", "jobs/KURS 3/Haken.gcode"], folder.path());
    // All its faults at once, each with an example.
    let told = err(&broken);
    assert_eq!((code(&broken), told.lines().count()), (3, 2), "{told}");
    for said in ["jobs", "SPOOL.JSN", "line 2", "\"id\": \"S17\"", "\"material\": \"PLA\""] {
        assert!(told.contains(said), "{told}");
    }
}

#[test]
fn one_check_can_be_explained_by_its_rule() {
    let folder = demo_folder();
    let run = holdpoint(&["vet", "jobs", "--explain=58", "--now", NOW], folder.path());
    let text = out(&run);
    let points: Vec<_> = text.lines().filter(|line| line.starts_with("    HOLD")).collect();
    assert!(points.len() == 1 && points[0].contains("HOLD 58"), "{text}");
    assert!(text.contains("rule: m = length") && text.contains("source: "), "{text}");
    assert!(!text.contains("job header, line"), "{text}");
    let list = holdpoint(&["checks", "58"], folder.path());
    assert_eq!(code(&list), 0);
    let list = out(&list);
    assert!(list.starts_with(" 58  not enough left") && list.contains("says: Needs <mass>"), "{list}");
    assert!(list.contains("remedy: Take a fresh spool") && !list.contains("\n 59"), "{list}");
    for arguments in [&["vet", "jobs", "--explain=200"][..], &["checks", "200"], &["checks", "x"]] {
        assert_eq!(code(&holdpoint(arguments, folder.path())), 64);
    }
}

/// The demo's folder at closing time: its jobs end too late, which check 76 looks at.
fn at_closing(folder: &Path, more: &[&str]) -> Output {
    let mut arguments = vec!["vet", "jobs/Bohrlehre 40.gcode", "--now", "2026-11-25T17:40"];
    arguments.extend(more);
    holdpoint(&arguments, folder)
}

#[test]
fn a_settled_look_is_shown_and_weighs_no_longer_until_it_is_undone() {
    let folder = demo_folder();
    let settle = |more: &[&str]| {
        let mut arguments = vec!["settle", "jobs", "--now", "2026-11-24T09:00"];
        arguments.extend(more);
        holdpoint(&arguments, folder.path())
    };
    assert_eq!(code(&at_closing(folder.path(), &[])), 1);

    let run = settle(&["--check", "76", "--for", "machine", "--why", "caretaker looks in", "--by", "K7"]);
    assert_eq!(
        (code(&run), out(&run).as_str()),
        (0, "check 76 (ends after closing) is settled for machine M2\n")
    );
    let run = at_closing(folder.path(), &["--explain"]);
    assert_eq!(code(&run), 0, "{}", out(&run));
    assert!(out(&run).contains("(1 point settled)"), "{}", out(&run));
    assert!(out(&run).contains("LOOK 76 settled 2026-11-24: Room closes 18:00."), "{}", out(&run));
    let json: serde_json::Value =
        serde_json::from_slice(&at_closing(folder.path(), &["--json"]).stdout).unwrap();
    let points = json["cards"][0]["jobs"][0]["points"].as_array().unwrap();
    let settled: Vec<_> = points.iter().filter(|point| !point["settled"].is_null()).collect();
    assert_eq!((settled.len(), &settled[0]["settled"]), (1, &serde_json::json!("2026-11-24")));
    let run = settle(&["--list"]);
    assert_eq!(
        out(&run),
        " 76  machine M2                2026-11-24  ends after closing  by K7  (caretaker looks in)\n"
    );

    // It holds for that machine alone.
    let other = fs::read_to_string(folder.path().join("jobs/HOLDPT/MACHINE.JSN"))
        .unwrap()
        .replace("\"M2\"", "\"M9\"");
    save(&folder.path().join("m9.jsn"), other);
    assert_eq!(code(&at_closing(folder.path(), &["--machine", "m9.jsn"])), 1);

    let run = settle(&["--check", "76", "--for", "machine", "--undo"]);
    assert_eq!((code(&run), out(&run).contains("no longer settled")), (0, true));
    assert_eq!(code(&at_closing(folder.path(), &[])), 1);
    assert_eq!(out(&settle(&["--list"])), "nothing is settled\n");
    is_one_line_error(
        &settle(&["--check", "76", "--for", "machine", "--undo"]),
        &["check 76 is not settled", "M2"],
    );
}

#[test]
fn what_is_never_silenced_cannot_be_settled() {
    let folder = demo_folder();
    let settle = |check| holdpoint(&["settle", "jobs", "--check", check, "--for", "spool"], folder.path());
    is_one_line_error(&settle("54"), &["check 54 is never silenced", "record"]);
    is_one_line_error(&settle("82"), &["check 82", "nothing but HOLD"]);
    assert_eq!(code(&settle("200")), 64);
    assert!(!folder.path().join("jobs/HOLDPT/SETTLED.JSL").exists());
    // Written by hand it is named with its place and does not count; the job is vetted without it.
    let line = r#"{"check":50,"for":"machine","of":"M2","day":"2026-11-24"}"#;
    save(&folder.path().join("jobs/HOLDPT/SETTLED.JSL"), line);
    let run = at_closing(folder.path(), &[]);
    assert_eq!(code(&run), 1, "{}", err(&run));
    for word in ["SETTLED.JSL", "line 1", "never silenced"] {
        assert!(err(&run).contains(word), "{word} in {}", err(&run));
    }
}

#[test]
fn a_card_image_keeps_what_was_settled() {
    let folder = demo_folder();
    assert_eq!(code(&holdpoint(&["card", "jobs", "card.img"], folder.path())), 0);
    let run = holdpoint(&["settle", "card.img", "--check", "76", "--for", "spool"], folder.path());
    assert_eq!(code(&run), 0, "{}", err(&run));
    assert!(out(&holdpoint(&["settle", "card.img", "--list"], folder.path())).contains("spool   S17"));
}

#[test]
fn a_verdict_that_the_moves_make_worse_says_what_it_was() {
    let folder = demo_folder();
    let job = fs::read_to_string(folder.path().join("jobs/Bohrlehre 40.gcode")).unwrap();
    // The heaters stay on at the end, which no header can say.
    let on = job.replace("M140 S0 ;", "M105    ;");
    assert!(on != job);
    save(&folder.path().join("jobs/hot.gcode"), on);
    let vet = |more: &str| holdpoint(&["vet", "jobs/hot.gcode", "--now", NOW, more], folder.path());
    let run = vet("--explain");
    assert_eq!(code(&run), 2);
    assert!(out(&run).contains("(by its header alone: CLEAR)"), "{}", out(&run));
    let json: serde_json::Value = serde_json::from_slice(&vet("--json").stdout).unwrap();
    assert_eq!(json["cards"][0]["jobs"][0]["first_verdict"], "CLEAR");
}

#[test]
fn a_german_reader_reads_german() {
    let folder = demo_folder();
    let job = fs::read_to_string(folder.path().join("jobs/Bohrlehre 40.gcode")).unwrap();
    let broken = job.replace("\"diameter_um\":1750", "\"diameter_um\":17").replace("M140 S0 ;", "M105    ;");
    save(&folder.path().join("jobs/hot.gcode"), broken);
    let vet = |more| holdpoint(&["vet", "jobs/hot.gcode", "--now", NOW, "--lang", "de", more], folder.path());
    let text = out(&vet("--explain"));
    assert!(text.contains("  Mi 1"), "a weekday: {text}");
    assert!(text.contains("HOLD 50 WARNUNG: "), "a signal word: {text}");
    assert!(text.contains("    KOPF DEFEKT: Zeile 2, Spalte "), "the header's fault: {text}");
    // What other programs read stays as it is.
    let json: serde_json::Value = serde_json::from_slice(&vet("--json").stdout).unwrap();
    assert_eq!(json["cards"][0]["jobs"][0]["points"][0]["signal"], "WARNING");
}

#[test]
fn a_rooms_own_material_row_wins_and_is_named() {
    let folder = demo_folder();
    let rules = fs::read_to_string(folder.path().join("jobs/HOLDPT/ROOM.JSN")).unwrap();
    // The demo's job asks for 215 °C, within the table's window and not within this one.
    let own = rules.replacen('{', r#"{"materials": [{"symbol": "PLA", "nozzle_c": [190, 200]}],"#, 1);
    save(&folder.path().join("room.jsn"), own);
    // The ticket's own window would win over both.
    let ticket = fs::read_to_string(folder.path().join("jobs/HOLDPT/SPOOL.JSN")).unwrap();
    save(&folder.path().join("s17.jsn"), ticket.replace("\"nozzle_c\": [195, 220],", ""));
    let vet = |more: &[&str]| {
        let mut arguments = vec!["vet", "jobs/Bohrlehre 40.gcode", "--now", NOW, "--spool", "s17.jsn"];
        arguments.extend(more);
        holdpoint(&arguments, folder.path())
    };
    assert_eq!(code(&vet(&[])), 0);
    let run = vet(&["--room", "room.jsn", "--explain"]);
    assert_eq!(code(&run), 1, "{}", out(&run));
    assert!(out(&run).contains("material: by the room rules' own row"), "{}", out(&run));
    assert!(out(&run).contains("LOOK 46"), "{}", out(&run));
    let json: serde_json::Value =
        serde_json::from_slice(&vet(&["--room", "room.jsn", "--json"]).stdout).unwrap();
    assert_eq!(json["cards"][0]["jobs"][0]["material_row"], "room rules");
}

/// Names no time and no end where nothing could be judged, whatever a comment says of them.
#[test]
fn without_a_verdict_no_time_and_no_end_are_named() {
    let folder = demo_folder();
    fs::write(folder.path().join("jobs/HOLDPT/MACHINE.JSN"), "{").unwrap();
    let text = out(&holdpoint(&["vet", "jobs", "--now", NOW], folder.path()));
    assert!(text.contains("NO VERDICT") && !text.contains("Wed "), "{text}");
    let json = out(&holdpoint(&["vet", "--json", "jobs", "--now", NOW], folder.path()));
    for key in ["duration_s", "ends_from", "ends_to"] {
        let all = json.matches(&format!("\"{key}\"")).count();
        assert_eq!(json.matches(&format!("\"{key}\": null")).count(), all, "{key} in {json}");
    }
    assert!(!text.contains("are missing"), "{text}");
}

#[test]
fn a_job_without_records_is_told_what_to_do_next() {
    let folder = tempfile::tempdir().unwrap();
    save(
        &folder.path().join("a.gcode"),
        "G21\nG90\nM83\nM104 S215\nM109 S215\nG28\nG1 X60 Z0.2 E2 F1500\nM104 S0\n",
    );
    let text = out(&holdpoint(&["vet", "a.gcode", "--now", NOW], folder.path()));
    let last = text.split("\n\n").last().unwrap().replace('\n', " ");
    for name in
        ["MACHINE.JSN", "SPOOL.JSN", "ROOM.JSN", "HOLDPT/", "sim/demo/HOLDPT", "sim/guide/src/records.md"]
    {
        assert!(last.contains(name), "{name} in {last}");
    }
}
