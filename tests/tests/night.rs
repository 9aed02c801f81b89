//! The demo's scripted night (`holdpoint snap`), and what is left of it: the day book on the card, the spool's balance,
//! the gate. What a job needs is added up here, from its own decimals.

use std::collections::BTreeMap;
use std::str::FromStr;

use holdpoint_desk::demo::night;
use holdpoint_desk::script::{Begin, Played, play};
use holdpoint_shared::daybook::{LineState, row_state};
use holdpoint_shared::media::PageFrom;
use holdpoint_shared::phase::{Gate, Phase};
use holdpoint_tests::cards::{all_jobs, in_memory, read_job, read_record};
use rust_decimal::Decimal;

/// Grams of the first job called so before each layer, and of all of it at its furthest (its last word draws a little
/// back): its words' decimals, times π/4 · 1.75² mm² and 1.24 mg/mm³.
fn grams(played: &Played, name: &str) -> (Vec<Decimal>, Decimal) {
    let text = in_memory(played.card.bytes(), |volume| {
        let (jobs, _) = all_jobs(volume).unwrap();
        let place = jobs.iter().find(|job| job.name.contains(name)).unwrap().place;
        String::from_utf8(read_job(volume, place, 4_096).unwrap()).unwrap()
    });
    // 20 places of π: far more than a milligram of a kilogram needs.
    let area = Decimal::from_str("3.14159265358979323846").unwrap() * Decimal::from_str("0.765625").unwrap();
    let mass = |mm: Decimal| mm * area * Decimal::from_str("0.00124").unwrap();
    let (mut fed, mut furthest, mut at_layers) = (Decimal::ZERO, Decimal::ZERO, Vec::new());
    for line in text.lines() {
        if line.starts_with("; layer ") {
            at_layers.push(mass(fed));
        }
        if line.starts_with("G1 ") {
            let word = line.split(' ').find_map(|word| word.strip_prefix('E'));
            fed += word.map_or(Decimal::ZERO, |number| Decimal::from_str(number).unwrap());
            furthest = furthest.max(fed);
        }
    }
    (at_layers, mass(furthest))
}

/// The book's rows of this night, by column name.
fn rows(played: &Played) -> Vec<BTreeMap<String, String>> {
    let book = in_memory(played.card.bytes(), |volume| read_record(volume, "DAYBOOK.CSV").unwrap());
    for (number, line) in book.split_inclusive(|byte| *byte == b'\n').enumerate() {
        let expected = if number == 0 { LineState::Header } else { LineState::Whole };
        assert_eq!(row_state(line), expected, "line {}: {}", number + 1, String::from_utf8_lossy(line));
    }
    let mut reader = csv::Reader::from_reader(&book[..]);
    let names: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let rows = reader.records().map(|row| {
        let row = row.expect("a CSV that any reader takes");
        names.iter().cloned().zip(row.iter().map(str::to_owned)).collect::<BTreeMap<_, _>>()
    });
    // The demo's own book ends before 14:42 of its day, and its numbers are those of another device.
    rows.filter(|row| row["machine"] == "M2" && row["started"].as_str() >= "2026-11-25T14:42").collect()
}

fn number(row: &BTreeMap<String, String>, column: &str) -> Decimal {
    Decimal::from_str(&row[column]).unwrap_or_else(|_| panic!("{column}: {row:?}"))
}

#[test]
fn the_night_is_booked_to_the_gram_and_its_gate_never_cuts_heat() {
    let played =
        play(&night().unwrap(), Begin::default(), &|_| unreachable!("it names no card"), |_, _| {}).unwrap();
    played.ended.as_ref().unwrap();
    let rows = rows(&played);
    let told: Vec<_> = rows.iter().map(|row| (row["rec"].as_str(), row["result"].as_str())).collect();
    assert_eq!(
        told,
        [("1", "refused"), ("2", ""), ("2", "good"), ("3", ""), ("3", "failed"), ("4", ""), ("4", "usable")]
    );
    assert_eq!(
        rows[0]["grade"], "PLA",
        "refused: the ticket's grade stands, the sticker's answer is an event"
    );
    assert_eq!(rows[4]["reason"], "first layer bad at start");

    // What was booked: whole jobs to the milligram, the failed one between its strip and its first layer's end.
    let (layers, whole) = grams(&played, "Bohrlehre");
    let milligram = Decimal::from_str("0.001").unwrap();
    for at in [2, 6] {
        let booked = number(&rows[at], "booked_g");
        assert!((booked - whole).abs() <= milligram, "{booked} {whole}");
    }
    let failed = number(&rows[4], "booked_g");
    assert!(failed > layers[0] && failed < layers[1], "{failed} {layers:?}");
    assert_eq!(rows[4]["wasted_g"], rows[4]["booked_g"]);

    // The balance after each is the one before less what was booked, and the device's is the last.
    let mut left = Decimal::from(110);
    for at in [2, 4, 6] {
        assert_eq!(number(&rows[at - 1], "left_g"), left, "at the start of {}", rows[at]["rec"]);
        left -= number(&rows[at], "booked_g");
        assert_eq!(number(&rows[at], "left_g"), left, "after {}", rows[at]["rec"]);
    }
    let app = played.world.app().expect("the power is on");
    let spool = app.setup().spool.as_ref().unwrap();
    assert_eq!(Decimal::new(spool.left.unwrap().0, 3), left);
    assert_eq!(app.phase(), Phase::Waiting);

    // The ends that the plate told, and the one that a person did, are the printer's own within ten seconds.
    for (at, end) in [2, 4, 6].into_iter().zip(played.world.ends()) {
        let ended = chrono::DateTime::parse_from_rfc3339(&rows[at]["ended"]).unwrap().naive_local();
        assert!((ended - *end).num_seconds().abs() <= 10, "{ended} {end}");
    }

    // Shut before the first release, then open until nothing is hot.
    let gate = played.world.gate();
    let moves: Vec<_> = gate.iter().map(|moved| moved.gate).collect();
    assert_eq!(moves, [Gate::Shut, Gate::Open, Gate::Shut]);
    let last = gate[2];
    assert!(last.plate_c <= 41.0 && last.nozzle_c <= 51.0, "{last:?}");
    // The whole list is there to be read, and no picture is the same as the one before it.
    for two in played.snaps.windows(2) {
        assert_ne!(two[0].text, two[1].text, "{} and {}", two[0].name, two[1].name);
    }
    let page =
        in_memory(played.card.bytes(), |volume| holdpoint_tests::cards::page(volume, PageFrom::Newest));
    assert_eq!(page.unwrap().census.jobs, 7, "the jobs are all there still");
}
