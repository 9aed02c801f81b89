//! bytes → the job header and the comment hints.
//!
//! Takes `&[u8]`, gives values with their source. Unknown keys are skipped, wrong ones reported by name; nothing
//! is guessed.
//!
//! # The job header
//! A block of comment lines in the first 4 KiB of a job file, lines ended by LF or CRLF:
//!
//! ```text
//! ; job-header 1
//! ; {"material":"PLA","diameter_um":1750,"bore_um":400,
//! ;  "nozzle_c":215,"bed_c":60,"length_mm":12681,"time_s":30600,
//! ;  "body_bytes":8123456,"body_crc32":"cbf43926"}
//! ; end-header
//! ```
//!
//! Without the `;` and the blanks at both ends, the lines between are one JSON object (RFC 8259) of at most 2,048
//! bytes, line feeds between the lines counted in. A text or a number cannot run on from line to line. Unknown keys
//! are skipped, whatever they hold, and one that is nearly a known one is named; `null` counts as not stated; a key that stands twice is refused; all numbers
//! are whole, without point or exponent.
//!
//! | key | value | meaning |
//! | --- | --- | --- |
//! | material | text to 32 bytes, required | an ISO 1043 symbol or a trade word for it |
//! | colour | text to 40 bytes | as on the sticker |
//! | diameter_um | 500 to 5000 µm | filament diameter |
//! | bore_um | 100 to 2000 µm | nozzle bore |
//! | nozzle_c, nozzle_first_c | 0 to 500 °C | hot-end target, all layers and first layer |
//! | bed_c, bed_first_c | 0 to 500 °C | bed target |
//! | length_mm | 0 to 10,000,000 mm | filament to be used, rounded up |
//! | mass_mg | 0 to 100,000,000 mg | the same as a mass |
//! | time_s | 0 to 31,536,000 s | estimated printing time |
//! | layer_um, first_layer_um | 5 to 2000 µm | layer heights |
//! | machine | text to 16 bytes | tag of the machine that the job was made for |
//! | part, author | texts to 40 bytes | free |
//! | made | text to 32 bytes | ISO 8601, kept as it stands |
//! | body_bytes | 0 to 2⁴⁰ | bytes after the end-header line's line end |
//! | body_crc32 | eight hexadecimal digits in quotes | their CRC-32 (ISO-HDLC) |
//!
//! # Jobs with no header
//! [`HintReader`] harvests free comments by the trade's own words.

mod block;
mod error;
mod facts;
mod fields;
mod hint_key;
mod hint_value;
mod hints;
mod write;

pub use block::{HeaderOutcome, header_place, read_header};
pub use error::{HeaderError, HeaderErrorKind};
pub use facts::{JobHeader, Source, Stated};
pub use hints::{HintReader, Hints};
