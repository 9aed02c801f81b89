//! However the bytes of a job are cut into blocks, the survey is the same; wherever a job is cut off, it ends well.

use holdpoint_shared::survey::{Survey, Surveyor};
use holdpoint_tests::generate::{Plan, job, sheet};
use proptest::prelude::*;

fn in_blocks(bytes: &[u8], mut block: impl FnMut() -> usize) -> Survey {
    let mut surveyor = Surveyor::new(&sheet());
    let mut rest = bytes;
    while !rest.is_empty() {
        let (now, later) = rest.split_at(block().clamp(1, rest.len()));
        surveyor.feed(now);
        rest = later;
    }
    surveyor.finish()
}

fn whole(bytes: &[u8]) -> Survey {
    in_blocks(bytes, || usize::MAX)
}

/// Everything that a line can be, with a header.
fn odd_job() -> Vec<u8> {
    let mut bytes = b"\xEF\xBB\xBF; job-header 1\r\n; {\"material\":\"PLA\"}\r\n;; end-header\r\n".to_vec();
    bytes.extend(b"N1 G28*18\nN2 G29*1\n/G1 X1\nNAME_OF A=1\nM117 hello ; x\ng1 x - 1 . 5 y+2e.5f600\n(note) G2 X5 I2 E1\n");
    bytes.extend([0; 300]);
    bytes.extend(b"\nM117 ");
    bytes.extend([b'u'; 252]);
    bytes.extend(b"\r\n;");
    bytes.extend([0xFF; 600]);
    bytes.extend(b"\nG1 X3 ");
    bytes.extend([b' '; 250]);
    bytes.extend(b"; the comment passes the limit, the words do not\nG1 X9");
    bytes.extend([b'1'; 260]);
    bytes.extend(b"\xC3\xBC\x01\n*%\xB3");
    // What comes after a checksum begins a command, but only behind the part of the line that is held.
    bytes.extend([b' '; 252]);
    bytes.extend(b"G1 X7\nG1 X1..2 $$ E\n%\nM84\nM2\nG1 X4 E9");
    bytes
}

fn jobs() -> Vec<Vec<u8>> {
    let small = Plan { layers: 2, parts: 1, ..Plan::default() };
    let mut jobs: Vec<Vec<u8>> = [
        small,
        Plan { inch: true, relative_feed: true, purge_um: Some(400), ..small },
        Plan { one_by_one: true, parts: 2, ..small },
        Plan { spiral_from: Some(1), layers: 3, ..small },
    ]
    .iter()
    .map(|plan| job(plan).into_bytes())
    .collect();
    jobs.push(odd_job());
    jobs
}

#[test]
fn blocks_of_every_size() {
    for bytes in jobs() {
        let expected = whole(&bytes);
        for size in [1, 2, 3, 7, 64, 255, 256, 257, 258, 259, 512, 4096] {
            assert_eq!(in_blocks(&bytes, || size), expected, "blocks of {size}");
        }
    }
}

#[test]
fn cut_off_at_any_byte() {
    let odd = odd_job();
    for end in 0..odd.len() {
        let survey = whole(&odd[..end]);
        assert_eq!(survey.reading.bytes, end as u64);
        assert_eq!(survey, in_blocks(&odd[..end], || 100), "cut at {end}");
    }
    let job = job(&Plan { layers: 3, parts: 1, ..Plan::default() });
    let ends = job.len() - 2_000..job.len();
    for end in (0..2_000).chain(ends) {
        let survey = whole(&job.as_bytes()[..end]);
        // An end of a line only where there is one.
        let ended = end == 0 || job.as_bytes()[end - 1] == b'\n';
        assert_eq!(survey.tail.last_line_ended, ended, "cut at {end}");
    }
}

/// Bytes that look like a job more often than by chance.
fn soup() -> impl Strategy<Value = Vec<u8>> {
    let piece = prop_oneof![
        4 => "[GgMmNnTtXxYyZzEeFfIiJjRrSsPp]-?[0-9]{0,4}(\\.[0-9]{0,8})?[ \t]?".prop_map(String::into_bytes),
        2 => proptest::sample::select(vec![
            "\n", "\r\n", ";", "(", ")", "*", "/", "%", " ", "G2 I", "G3 R", "G92 ", "G91\n", "G20\n", "G28\n", "M83\n",
            "G1 E", "M220 S", "M221 S", "G18\n", "G4 P99999999\n", "G1 X999999999 ", "G2 I-999999999 ", "T255\n",
            "M104 S", "M109 R", "; job-header 1\n", "; end-header\n",
        ])
        .prop_map(|text| text.as_bytes().to_vec()),
        1 => proptest::collection::vec(any::<u8>(), 0..20),
    ];
    proptest::collection::vec(piece, 0..200).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1_500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_in_any_blocks(bytes in soup(), sizes in proptest::collection::vec(1_usize..600, 1..20)) {
        let mut sizes = sizes.iter().cycle();
        let cut = in_blocks(&bytes, || *sizes.next().expect("it goes round"));
        prop_assert!(cut == whole(&bytes), "the surveys differ");
    }
}
