//! Many jobs and a long day book: `cargo bench -p holdpoint-cli --bench load`.
//!
//! A folder of jobs of 100 KB each against the sum of their single vets (each a run of its own; of 100 files, spread over
//! the folder, for a sum of all), cards with thousands of files in one folder, and `ledger` over books of 30,000 and 300,000 rows with the most memory that it held.
//! Numbers after `--` are other counts of jobs.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use chrono::{NaiveDate, TimeDelta};
use holdpoint_shared::daybook::{HEADER, ROW_BYTES, Row};
use holdpoint_shared::units::Milligrams;

/// Counts of jobs, unless others are asked for.
const JOBS: [usize; 3] = [1_000, 2_000, 5_000];

/// Single runs that stand for all.
const SINGLES: usize = 100;

/// Rows of the two books: the second takes no more memory than the first.
const ROWS: [u32; 2] = [30_000, 300_000];

/// Files of a card, all in one folder.
const FILES: [usize; 2] = [1_000, 5_000];

/// A folder takes no longer than this many times its single vets.
const MOST: f64 = 1.5;

fn command() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_holdpoint"));
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// A box of squares, one within the other, of about 100 KB; each job's differs.
fn job(number: usize) -> String {
    let mut text = String::from(
        "; filament type = PLA\nM140 S60\nM104 S210\nM190 S60\nM109 S210\nG28\nG90\nM83\nG1 Z0.3 F600\n",
    );
    let half = 20.0 + (number % 97) as f64 / 10.0;
    for layer in 1.. {
        text += &format!("G1 Z{:.2} F600\n", 0.2 * f64::from(layer));
        for ring in 0..10 {
            let half = half - 0.42 * f64::from(ring);
            let corners = [(-half, -half), (half, -half), (half, half), (-half, half), (-half, -half)];
            for (at, (x, y)) in corners.iter().enumerate() {
                let (x, y) = (x + 110.0, y + 110.0);
                text += &match at {
                    0 => format!("G1 X{x:.3} Y{y:.3} F9000\n"),
                    _ => format!("G1 X{x:.3} Y{y:.3} E{:.5} F1800\n", half * 2.0 * 0.0332),
                };
            }
        }
        if text.len() > 100_000 {
            break;
        }
    }
    text + "M104 S0\nM140 S0\nG91\nG1 Z10 F600\nG90\nM84\n"
}

fn name(number: usize) -> String {
    format!("part_{number:05}.gcode")
}

fn timed(command: &mut Command) -> Duration {
    let began = Instant::now();
    assert!(command.status().expect("the command runs").code().is_some(), "it was killed");
    began.elapsed()
}

fn vet(here: &Path, jobs: usize) -> f64 {
    let folder = here.join(jobs.to_string());
    fs::create_dir_all(&folder).expect("a folder");
    (0..jobs).for_each(|number| fs::write(folder.join(name(number)), job(number)).expect("space"));
    let step = jobs.div_ceil(SINGLES).max(1);
    let singles: Vec<usize> = (0..jobs).step_by(step).collect();
    let began = Instant::now();
    for number in &singles {
        timed(command().arg("vet").arg(folder.join(name(*number))));
    }
    let sum = began.elapsed().as_secs_f64() * jobs as f64 / singles.len() as f64;
    let all = timed(command().arg("vet").arg(&folder)).as_secs_f64();
    fs::remove_dir_all(&folder).expect("ours");
    println!("vet, {jobs} jobs: {all:.1} s; their single vets {sum:.1} s; {:.2} times", all / sum);
    all / sum
}

fn book(path: &Path, rows: u32) {
    let mut book = std::io::BufWriter::new(fs::File::create(path).expect("a file"));
    book.write_all(HEADER.as_bytes()).expect("space");
    let begin = NaiveDate::from_ymd_opt(2020, 1, 1).and_then(|day| day.and_hms_opt(8, 0, 0)).expect("a time");
    for rec in 0..rows {
        let started = begin + TimeDelta::minutes(i64::from(rec));
        let mut row = Row {
            rec,
            started: Some(started),
            ended: Some(started + TimeDelta::hours(1)),
            result: if rec % 9 == 0 { "failed" } else { "good" },
            reason: if rec % 9 == 0 { "tangle" } else { "" },
            actual_s: Some(3_600),
            booked: Some(Milligrams(10_500)),
            left: Some(Milligrams(100_000)),
            closed_out: true,
            ..Row::default()
        };
        row.set_machine(["M1", "M2", "M3"][rec as usize % 3]);
        row.set_job("BRACKET_V3.GCO", Some(4_183_221), Some(rec));
        row.set_spool(&format!("S{}", rec % 40), "PLA", "black");
        book.write_all(row.write(&mut [0; ROW_BYTES])).expect("space");
    }
    book.flush().expect("space");
}

/// The most memory that a process held, KiB, as Linux counts it; 0 elsewhere.
fn most_kib(child: &mut Child) -> u64 {
    let status = format!("/proc/{}/status", child.id());
    let mut most = 0;
    while child.try_wait().expect("our child").is_none() {
        let text = fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        most = line.and_then(|line| line.split_whitespace().next()?.parse().ok()).unwrap_or(most).max(most);
        std::thread::sleep(Duration::from_millis(2));
    }
    most
}

fn ledger(here: &Path, rows: u32) -> u64 {
    let path = here.join(format!("{rows}.csv"));
    book(&path, rows);
    let began = Instant::now();
    let most = most_kib(&mut command().arg("ledger").arg(&path).spawn().expect("the command runs"));
    let bytes = fs::metadata(&path).expect("a file").len() >> 20;
    println!(
        "ledger, {rows} rows, {bytes} MiB: {:.1} s, {} MiB held at most",
        began.elapsed().as_secs_f64(),
        most >> 10
    );
    most
}

/// A card of so many small jobs in one folder: made, written to, vetted.
fn card(here: &Path, jobs: usize) -> f64 {
    let (folder, image) = (here.join("jobs"), here.join("card.img"));
    fs::create_dir_all(&folder).expect("a folder");
    fs::create_dir_all(folder.join("HOLDPT")).expect("a folder");
    let sheet = include_str!("../../demo/HOLDPT/MACHINE.JSN");
    fs::write(folder.join("HOLDPT/MACHINE.JSN"), sheet).expect("space");
    let job = "M104 S210\nG28\nG1 X10 Y10 Z0.2 F600\nG1 X20 E1\n";
    (0..jobs).for_each(|number| fs::write(folder.join(name(number)), job).expect("space"));
    let made = timed(command().arg("card").arg(&folder).arg(&image)).as_secs_f64();
    let settled = ["--check", "10", "--for", "machine", "--why", "measured", "--by", "K7"];
    let settled = timed(command().arg("settle").arg(&image).args(settled)).as_secs_f64();
    let vetted = timed(command().arg("vet").arg(&image)).as_secs_f64();
    fs::remove_dir_all(&folder).expect("ours");
    fs::remove_file(&image).expect("ours");
    println!(
        "card of {jobs} jobs in one folder: made in {made:.2} s, settle {settled:.1} s, vet {vetted:.1} s"
    );
    made
}

fn main() {
    let here = tempfile::tempdir().expect("a folder for temporary files");
    let asked: Vec<usize> = std::env::args().filter_map(|argument| argument.parse().ok()).collect();
    let counts = if asked.is_empty() { JOBS.to_vec() } else { asked };
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    println!("{cores} cores");
    let ratios: Vec<f64> = counts.iter().map(|jobs| vet(here.path(), *jobs)).collect();
    let made = FILES.map(|files| card(here.path(), files));
    let [few, many] = ROWS.map(|rows| ledger(here.path(), rows));
    assert!(
        ratios.iter().all(|ratio| *ratio <= MOST),
        "a folder takes longer than {MOST} times its single vets"
    );
    // With as much again for each name that was there before, five times the files would take 25 times as long.
    assert!(made[1] <= 10.0 * made[0] + 1.0, "5,000 files on a card take {} s, 1,000 {} s", made[1], made[0]);
    // The temporary file's buffers grow a little with the book.
    assert!(many <= few + 16 * 1024, "ten times the rows take {} KiB more", many - few);
}
