//! Rows as bytes.

use super::pen::Row;
use super::style::{Remarks, Style};

fn checked(number: usize, words: &str) -> String {
    let text = format!("N{number} {words} ");
    let sum = text.bytes().fold(0, |sum, byte| sum ^ byte);
    format!("{text}*{sum}")
}

/// The body as the style writes it down.
#[must_use]
pub fn body(rows: &[Row], style: &Style) -> Vec<u8> {
    let mut text = String::new();
    let mut number = 0;
    let mut line = |text: &mut String, words: &str, remark: &str| {
        let mut out = words.to_owned();
        if style.lower {
            out.make_ascii_lowercase();
        }
        if style.tight {
            out.retain(|c| c != ' ');
        }
        if style.numbered && !out.is_empty() {
            out = checked(number, &out);
            number += 1;
        }
        match (style.remarks, remark) {
            (Remarks::None, _) | (_, "") => {}
            (Remarks::Round, note) => out += &format!("({})", note.replace(['(', ')'], "")),
            (_, note) => {
                let gap = if out.is_empty() { "" } else { " " };
                out += &format!("{gap}; {note}");
            }
        }
        if out.is_empty() && words.is_empty() {
            return;
        }
        *text += &out;
        *text += style.line_end;
    };
    if style.numbered {
        line(&mut text, "M110", "");
    }
    for row in rows {
        let noted = row.words.is_empty() || matches!(style.remarks, Remarks::Chatty | Remarks::Round);
        line(&mut text, &row.words, if noted { &row.remark } else { "" });
    }
    text.into_bytes()
}

/// A header (formats, 1.1) before the body.
#[must_use]
pub fn with_header(material: &str, bore: f64, filament: f64, length: f64, body: &[u8]) -> Vec<u8> {
    let crc = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC).checksum(body);
    let text = format!(
        "; job-header 1\n; {{\"material\":\"{material}\",\"diameter_um\":{},\"bore_um\":{},\n;  \"length_mm\":{},\
         \"body_bytes\":{},\"body_crc32\":\"{crc:08x}\"}}\n; end-header\n",
        (filament * 1000.0).round(),
        (bore * 1000.0).round(),
        length.ceil(),
        body.len(),
    );
    let mut bytes = text.into_bytes();
    bytes.extend_from_slice(body);
    bytes
}
