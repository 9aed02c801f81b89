//! Whole job files: their header, their comments, and what the two of them say.

use holdpoint_shared::header::{HeaderErrorKind, HeaderOutcome, HintReader, Hints, JobHeader, read_header};
use holdpoint_shared::json::JsonFault;
use holdpoint_shared::units::{Celsius, Micrometres, Milligrams, Seconds};

/// A job with header and comments that agree, CRLF line ends.
const STAMPED: &str = "; a bracket for the tool wall\r\n\
    ; job-header 1\r\n\
    ; {\"material\":\"PLA\",\"diameter_um\":1750,\"bore_um\":400,\r\n\
    ;  \"nozzle_c\":215,\"bed_c\":60,\"length_mm\":12681,\"time_s\":30600,\r\n\
    ;  \"part\":\"bracket \\\"v3\\\"\",\"body_bytes\":57,\"body_crc32\":\"cbf43926\"}\r\n\
    ; end-header\r\n\
    G21\r\nG90\r\nM82\r\nM140 S60\r\nM109 S215\r\nG28\r\nG1 X10 Y10 E1 F1200\r\n";

/// A job with comments alone, at its head and at its tail.
const PLAIN: &str = ";material: PETG\n;nozzle diameter: 0.6 mm\n; first layer bed temperature = 85\nG21\n\
    G1 X1 Y1 E0.5 ; filament diameter = 2.85\nM104 S0\n\
    ; filament used = 8.25 m\n; filament weight = 25.2 g\n; estimated printing time = 2h 40m\n; bed temperature = 80\n";

fn hints(text: &[u8]) -> Hints {
    let mut reader = HintReader::new(&[]);
    text.chunks(7).for_each(|chunk| reader.feed(chunk));
    reader.finish()
}

#[test]
fn a_stamped_job() {
    let HeaderOutcome::Read { header, body_at, .. } = read_header(STAMPED.as_bytes(), true) else {
        panic!("no header")
    };
    assert!(STAMPED[body_at as usize..].starts_with("G21\r\n"));
    assert_eq!(header.material.as_deref(), Some("PLA"));
    assert_eq!(header.part.as_deref(), Some("bracket \"v3\""));
    assert_eq!(header.length, Some(Micrometres::from_mm(12_681)));
    assert_eq!(header.body_crc32, Some(0xcbf4_3926));
    // The header's own lines are no comments.
    assert_eq!(hints(STAMPED.as_bytes()), Hints::default());
}

#[test]
fn a_job_with_comments_alone() {
    assert_eq!(read_header(PLAIN.as_bytes(), true), HeaderOutcome::Absent);
    let expected = JobHeader {
        material: Some("PETG".try_into().unwrap()),
        bore_um: Some(600),
        bed_c: Some(Celsius(80)),
        bed_first_c: Some(Celsius(85)),
        length: Some(Micrometres(8_250_000)),
        mass: Some(Milligrams(25_200)),
        time: Some(Seconds(9_600)),
        ..JobHeader::default()
    };
    let hints = hints(PLAIN.as_bytes());
    assert_eq!((hints.facts.clone(), hints.conflicts), (expected, 0));
    assert_eq!(hints.named_for(0).next(), None);
}

#[test]
fn a_broken_header_leaves_the_comments_readable() {
    let text = format!(
        "; job-header 1\n; {{\"material\":\"PLA\",\n;  \"nozzle_c\":\"215\"}}\n; end-header\n{PLAIN}"
    );
    let HeaderOutcome::Broken(error) = read_header(text.as_bytes(), true) else { panic!("not broken") };
    assert_eq!((error.line, error.column, error.key.as_str()), (3, 15, "nozzle_c"));
    assert!(matches!(error.kind, HeaderErrorKind::Json(JsonFault::Value(_))));
    assert_eq!(hints(text.as_bytes()).facts.material.as_deref(), Some("PETG"));
}

/// serde_json, an independent reader, agrees with what is written.
#[test]
fn an_outside_reader_reads_what_is_written() {
    let header = JobHeader {
        material: Some("PA6-CF15".try_into().unwrap()),
        colour: Some("tab\there \\ \"Grün\"".try_into().unwrap()),
        nozzle_c: Some(Celsius(265)),
        mass: Some(Milligrams(37_822)),
        body_crc32: Some(1),
        ..JobHeader::default()
    };
    let mut text = String::new();
    header.write(&mut text).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!((lines.first(), lines.last()), (Some(&"; job-header 1"), Some(&"; end-header")));
    let json: String = lines[1..lines.len() - 1].iter().map(|line| line.trim_start_matches(';')).collect();
    let read: serde_json::Value = serde_json::from_str(&json).unwrap();
    let expected = serde_json::json!({"material": "PA6-CF15", "colour": "tab\there \\ \"Grün\"", "nozzle_c": 265,
        "mass_mg": 37_822, "body_crc32": "00000001"});
    assert_eq!(read, expected);
}
