//! The jobs on the demo card, and what is wrong with each.

use chrono::{NaiveDateTime, TimeDelta};
use holdpoint_shared::header::JobHeader;
use holdpoint_shared::records::Machine;
use holdpoint_shared::survey::Surveyor;
use holdpoint_shared::units::{Celsius, Micrometres, Seconds, filament_mass};

use super::shapes::Shape;
use super::writer::{Body, Part, body};

/// A job file.
#[derive(Debug)]
pub(super) struct JobFile {
    pub(super) path: &'static str,
    pub(super) saved: NaiveDateTime,
    pub(super) bytes: Vec<u8>,
}

/// What stands above the moves.
enum Head {
    /// A job header that agrees with the moves.
    Header,
    /// One that somebody spoilt with a text editor.
    SpoiltHeader,
    /// Free comments only.
    Comments,
}

/// Middle of the demo machine's plate, mm.
const CENTRE: [f64; 2] = [110.0, 110.0];

/// Density of the demo's materials for the header's mass, mg/cm³: PLA and PETG (handbook values).
const DENSITIES: [(&str, u32); 2] = [("PLA", 1240), ("PETG", 1270)];

/// All jobs; the newest is the one that is shown first.
pub(super) fn all() -> Vec<JobFile> {
    let job = |path, minutes_ago, part: Part, head: Head| {
        let body = body(&part, CENTRE);
        let head = match head {
            Head::Header => header(&part, &body),
            Head::SpoiltHeader => header(&part, &body).replace("\"PLA\",", "\"PLA,") + &comments(&part),
            Head::Comments => comments(&part),
        };
        let text = head + &body.text;
        JobFile { path, saved: super::clock() - TimeDelta::minutes(minutes_ago), bytes: text.into_bytes() }
    };
    let mut jobs = vec![
        job("Bohrlehre 40.gcode", 4, gauge(), Head::Header),
        job("Café-Schild.gcode", 17, sign(), Head::Header),
        job("Regalträger 2x.gcode", 31, brackets(), Head::Header),
        job("Maßwand.gcode", 64, tool_board(), Head::Header),
        job("KURS 3/Zahnrad m2 z24.gcode", 90, gear(), Head::SpoiltHeader),
        job("KURS 3/Haken.gcode", 95, hook(), Head::Comments),
        job("KURS 3/Rändelknopf.gcode", 101, knob(), Head::Header),
    ];
    // The card was pulled out of the computer before the copy had ended.
    if let Some(cut) = jobs.last_mut() {
        cut.bytes.truncate(cut.bytes.len() * 61 / 100);
    }
    jobs
}

const PLA: Part = Part {
    name: "",
    material: "PLA",
    nozzle_c: 215,
    bed_c: 60,
    shape: Shape(Vec::new()),
    copies: (1, 0.0),
    layers: 1,
    layer_mm: 0.2,
    line_spacing_mm: 3.0,
};

fn gauge() -> Part {
    let shape = Shape::plate(60.0, 40.0, &[([-20.0, 0.0], 5.0), ([0.0, 0.0], 7.5), ([20.0, 0.0], 5.0)]);
    Part { name: "Bohrlehre 40", shape, layers: 20, ..PLA }
}

fn sign() -> Part {
    let shape = Shape::plate(120.0, 40.0, &[([-54.0, 0.0], 2.0), ([54.0, 0.0], 2.0)]);
    Part { name: "Café-Schild", material: "PETG", nozzle_c: 240, bed_c: 80, shape, layers: 12, ..PLA }
}

fn brackets() -> Part {
    let shape = Shape::angle(80.0, 12.0);
    let (copies, layer_mm, line_spacing_mm) = ((2, 84.0), 0.3, 0.5);
    Part { name: "Regalträger", shape, copies, layers: 120, layer_mm, line_spacing_mm, ..PLA }
}

fn tool_board() -> Part {
    let holes: Vec<_> =
        (0..12).map(|n| ([f64::from(n % 4) * 40.0 - 60.0, f64::from(n / 4) * 40.0 - 40.0], 8.0)).collect();
    Part { name: "Maßwand", shape: Shape::plate(180.0, 140.0, &holes), layers: 22, ..PLA }
}

fn gear() -> Part {
    Part { name: "Zahnrad", shape: Shape::gear(24, 2.0, 8.0), layers: 40, ..PLA }
}

fn hook() -> Part {
    Part { name: "Haken", shape: Shape::angle(40.0, 8.0), layers: 40, ..PLA }
}

fn knob() -> Part {
    Part { name: "Rändelknopf", shape: Shape::gear(30, 1.0, 6.0), layers: 50, ..PLA }
}

fn header(part: &Part, body: &Body) -> String {
    let length = Micrometres((body.filament_e5 + 99) / 100);
    let density =
        DENSITIES.iter().find(|(name, _)| *name == part.material).map_or(1240, |(_, density)| *density);
    let layer_um = (part.layer_mm * 1000.0).round() as u32;
    let header = JobHeader {
        material: part.material.try_into().ok(),
        diameter_um: Some(1750),
        bore_um: Some(400),
        nozzle_c: Some(Celsius(part.nozzle_c)),
        bed_c: Some(Celsius(part.bed_c)),
        length: Some(length),
        mass: Some(filament_mass(length, 1750, density)),
        time: surveyed(body),
        layer_um: Some(layer_um),
        first_layer_um: Some(layer_um),
        machine: "M2".try_into().ok(),
        part: part.name.try_into().ok(),
        body_bytes: Some(body.text.len() as u64),
        body_crc32: Some(crc32fast::hash(body.text.as_bytes())),
        ..JobHeader::default()
    };
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = header.write(&mut text);
    text
}

/// The printing time as the survey finds it on the demo's machine.
fn surveyed(body: &Body) -> Option<Seconds> {
    let [(_, machine), ..] = super::RECORDS;
    let mut surveyor = Surveyor::new(&Machine::from_json(machine).ok()?);
    surveyor.feed(body.text.as_bytes());
    Some(Seconds(surveyor.finish().time.total_s))
}

fn comments(part: &Part) -> String {
    format!(
        "; part: {}\n; material = {}\n; nozzle diameter: 0.4\n; filament diameter = 1.75\n",
        part.name, part.material
    )
}

#[cfg(test)]
mod tests {
    use super::{JobFile, all};

    fn job(name: &str) -> JobFile {
        all().into_iter().find(|job| job.path.contains(name)).unwrap()
    }

    /// The JSON object of a header, and the bytes below it.
    fn parts(bytes: &[u8]) -> (serde_json::Value, Vec<u8>) {
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        let (head, body) = text.split_once("; end-header\n").unwrap();
        let json: String = head.lines().skip(1).map(|line| line.trim_start_matches(';')).collect();
        (serde_json::from_str(&json).unwrap(), body.as_bytes().to_vec())
    }

    #[test]
    fn headers_agree_with_the_bytes_and_the_moves_below_them() {
        for name in ["Bohrlehre", "Café", "Regal", "Maßwand"] {
            let (header, body) = parts(&job(name).bytes);
            assert_eq!(header["body_bytes"], body.len(), "{name}");
            // Every E word added up as decimals of five places.
            let fed: i64 = String::from_utf8(body)
                .unwrap()
                .lines()
                .filter(|line| line.starts_with("G1 "))
                .filter_map(|line| line.split(' ').find_map(|word| word.strip_prefix('E')))
                .map(|number| number.replace('.', "").parse::<i64>().unwrap())
                .sum();
            let length_mm = header["length_mm"].as_i64().unwrap();
            // The last word draws the filament back.
            assert_eq!(length_mm, (fed + 99_999) / 100_000, "{name}");
        }
    }

    #[test]
    fn one_header_is_spoilt_one_job_has_none_and_one_is_cut_off() {
        let spoilt = job("Zahnrad").bytes;
        let text = String::from_utf8(spoilt).unwrap();
        let json: String = text.lines().skip(1).take(4).map(|line| line.trim_start_matches(';')).collect();
        assert!(serde_json::from_str::<serde_json::Value>(&json).is_err());
        assert!(!String::from_utf8(job("Haken").bytes).unwrap().contains("job-header"));
        let (header, body) = parts(&job("Rändel").bytes);
        assert!(header["body_bytes"].as_u64().unwrap() > body.len() as u64);
    }

    #[test]
    fn the_demo_is_small_and_the_same_every_time() {
        let bytes: usize = all().iter().map(|job| job.bytes.len()).sum();
        assert!(bytes < 8_000_000, "{bytes}");
        assert!(all().iter().zip(all()).all(|(first, second)| first.bytes == second.bytes));
    }
}
