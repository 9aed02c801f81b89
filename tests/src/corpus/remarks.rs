//! What a job says about itself.

use super::plan::Plan;

impl Plan {
    /// The job header over a body.
    pub(super) fn header_text(&self, body: &[u8], length_mm: i64) -> String {
        let crc = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC);
        let (body_bytes, check) = if self.picture {
            let mut whole = picture().into_bytes();
            whole.extend_from_slice(body);
            (whole.len(), crc.checksum(&whole))
        } else {
            (body.len(), crc.checksum(body))
        };
        let um = |mm: f64| (mm * 1000.0).round() as i64;
        format!(
            "; job-header 1\n; {{\"material\":\"{}\",\"diameter_um\":{},\"bore_um\":{},\n; \"nozzle_c\":{},\
             \"nozzle_first_c\":{},\"bed_c\":{},\"bed_first_c\":{},\"length_mm\":{length_mm},\n; \"layer_um\":{},\
             \"first_layer_um\":{}{},\n; \"body_bytes\":{body_bytes},\"body_crc32\":\"{check:08x}\"}}\n; end-header\n",
            self.material,
            um(self.filament),
            um(self.bore),
            self.nozzle[1],
            self.nozzle[0],
            self.bed[1],
            self.bed[0],
            um(self.layer),
            um(self.first),
            self.header,
        )
    }

    /// Free comments in the trade's words.
    pub(super) fn comments(&self, length_mm: i64) -> String {
        format!(
            "; material: {}\n; nozzle diameter = {}\n; filament diameter = {} mm\n; layer height = {}\n\
             ; first layer height = {}\n; nozzle temperature = {}\n; bed temperature = {}\n\
             ; filament used = {:.2} m\n; support material = no\n; wall count = 2\n",
            self.material,
            self.bore,
            self.filament,
            self.layer,
            self.first,
            self.nozzle[1],
            self.bed[1],
            length_mm as f64 / 1000.0,
        )
    }
}

/// Lines of a small picture in base64, as comments hold it.
pub(super) fn picture() -> String {
    let mut text = "; picture begins 48x48\n".to_owned();
    for line in 0..24_u32 {
        text.push_str("; ");
        for at in 0..76_u32 {
            let letter = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"
                [(line * 31 + at * 17 + line * at) as usize % 64];
            text.push(char::from(letter));
        }
        text.push('\n');
    }
    text.push_str("; picture ends ==\n");
    text
}

/// Comments of settings, about this many bytes.
pub(super) fn settings(bytes: usize) -> String {
    let words = [
        "wall speed",
        "infill pattern",
        "bridge flow",
        "travel acceleration",
        "skirt distance",
        "seam place",
        "cooling minimum",
        "overhang limit",
        "filament cost",
        "filament density",
        "support material gap",
        "retraction speed",
        "chamber temperature",
        "nozzle standby temperature",
        "maximum layer height",
    ];
    let mut text = String::new();
    let mut at = 0_usize;
    while text.len() < bytes {
        text.push_str(&format!("; {} {} = {}\n", words[at % words.len()], at / words.len(), at * 7 % 300));
        at += 1;
    }
    text
}
