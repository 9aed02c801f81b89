//! A row of the day book: one start, close-out or refusal.

use heapless::{String, Vec};
use serde::{Deserialize, Serialize};

use super::line::{BookLine, SUM_DIGITS};
use super::text::Into;
use crate::checks::{Findings, Verdict};
use crate::limits::{FINDINGS, MATERIAL_BYTES, NAME_BYTES, TAG_BYTES, TEXT_BYTES, up_to};
use crate::records::OwnerCode;
use crate::time::WallClock;
use crate::units::Milligrams;

/// The first line of the rows' file: the columns' names in their order (job catalogue, section 5), with units as far as
/// they have any.
pub const HEADER: &str = "rec,machine,started,ended,end_forecast_lo,end_forecast_hi,result,reason,owner,job_name,\
job_crc32,job_bytes,grade,colour,spool_id,nozzle_mm,layer_mm,height_mm,est_s,actual_s,est_g,booked_g,wasted_g,left_g,\
left_err_g,verdict,findings,overrides,override_by,watch_s_asked,watch_s_done,plate_max_c,safe_at,closed_out,cost,\
settings_crc,fw,line_crc\r\n";

/// Columns of a row.
pub const COLUMNS: usize = 38;

/// The result of a start that never was: the gate stayed shut, or the person chose another job.
pub const REFUSED: &str = "refused";

/// Bytes of result, reason and firmware version at most.
const CODE_BYTES: usize = 24;

/// Bytes of the longest row, with its line end: texts to their limits and a quarter more for what must stand before
/// some of their characters, and a pair of quotes for each.
pub const ROW_BYTES: usize = {
    let texts = MACHINE_CELL + NAME_CELL + GRADE_CELL + COLOUR_CELL + SPOOL_CELL + 3 * CODE_BYTES + 8 * 2;
    let times = 5 * 25;
    // 64 bits with sign and point; 32 bits.
    let wide = 7 * 21 + 2 * 12;
    let narrow = 8 * 10 + 7;
    let findings = FINDINGS * 4;
    let codes = 2 * 4 + "NO VERDICT".len() + 3 * SUM_DIGITS + 4;
    texts + times + wide + narrow + findings + codes + COLUMNS - 1 + END.len()
};

const MACHINE_CELL: usize = TAG_BYTES + TAG_BYTES / 4;
const NAME_CELL: usize = NAME_BYTES + NAME_BYTES / 4;
const GRADE_CELL: usize = MATERIAL_BYTES + MATERIAL_BYTES / 4;
const COLOUR_CELL: usize = TEXT_BYTES + TEXT_BYTES / 4;
const SPOOL_CELL: usize = TAG_BYTES + TAG_BYTES / 4;

/// The line end of RFC 4180.
const END: &str = "\r\n";

/// What is known of one start: kept and filled while the job runs, written whenever a row is due. What is `None` or
/// empty is an empty cell.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Row {
    /// `rec`: number of the start on this machine, rising. With `machine` it names the start for ever.
    pub rec: u32,
    /// `machine`: tag of the machine.
    pub machine: String<TAG_BYTES>,
    /// Minutes east of UTC of all the row's times; `None` = not known.
    pub utc_offset_min: Option<i16>,
    /// `started`.
    #[serde(with = "wall")]
    pub started: Option<WallClock>,
    /// `ended`.
    #[serde(with = "wall")]
    pub ended: Option<WallClock>,
    /// `end_forecast_lo`: earliest end as it was forecast at the start.
    #[serde(with = "wall")]
    pub end_from: Option<WallClock>,
    /// `end_forecast_hi`: latest.
    #[serde(with = "wall")]
    pub end_to: Option<WallClock>,
    /// `result`: `good`, `usable`, `failed` or `stopped` of a close-out, [`REFUSED`], or empty at a start. Not kept: written
    /// with the row's end. The phases'
    /// outcomes have these words.
    #[serde(skip)]
    pub result: &'static str,
    /// `reason`: why it failed or was stopped, in the phases' twelve words.
    #[serde(skip)]
    pub reason: &'static str,
    /// `owner`.
    pub owner: Option<OwnerCode>,
    /// `job_name`, as listed.
    pub job_name: String<NAME_BYTES>,
    /// `job_crc32`: CRC-32 (ISO-HDLC) of the job's bytes.
    pub job_crc32: Option<u32>,
    /// `job_bytes`.
    pub job_bytes: Option<u64>,
    /// `grade`: material of the spool as told or, unasked, as on its ticket.
    pub grade: String<MATERIAL_BYTES>,
    /// `colour`.
    pub colour: String<TEXT_BYTES>,
    /// `spool_id`.
    pub spool_id: String<TAG_BYTES>,
    /// `nozzle_mm`, here in µm.
    pub bore_um: Option<u32>,
    /// `layer_mm`, here in µm.
    pub layer_um: Option<u32>,
    /// `height_mm`, here in µm.
    pub height_um: Option<u32>,
    /// `est_s`: printing time as surveyed, s.
    pub estimated_s: Option<u32>,
    /// `actual_s`: from start to end, warm-up included, s.
    pub actual_s: Option<u32>,
    /// `est_g`: filament as surveyed.
    pub estimated: Option<Milligrams>,
    /// `booked_g`: filament booked off the spool.
    pub booked: Option<Milligrams>,
    /// `wasted_g`: of that, what became no usable part.
    pub wasted: Option<Milligrams>,
    /// `left_g`: on the spool after it.
    pub left: Option<Milligrams>,
    /// `left_err_g`: give or take.
    pub left_error: Option<Milligrams>,
    /// `verdict`.
    pub verdict: Option<Verdict>,
    /// `findings`: numbers of the checks that found something, worst first.
    pub findings: Vec<u8, FINDINGS>,
    /// `overrides`: how many of them a lead opened.
    pub overrides: u8,
    /// `override_by`.
    pub override_by: Option<OwnerCode>,
    /// `watch_s_asked`: how long somebody was asked to watch the first layer, s.
    pub watch_asked_s: Option<u32>,
    /// `watch_s_done`: how long somebody did, as far as was told, s.
    pub watch_done_s: Option<u32>,
    /// `plate_max_c`: highest reading of the plate's probe, tenths of a degree Celsius.
    pub plate_max_dc: Option<i16>,
    /// `safe_at`: when the plate had come below the limit of touch, by probe or, without one, by clock. It says nothing
    /// of the nozzle.
    #[serde(with = "wall")]
    pub touch_from: Option<WallClock>,
    /// `closed_out`: whether somebody answered the close-out (1) or not (0).
    pub closed_out: bool,
    /// `cost`, hundredths of the room's currency.
    pub cost_cent: Option<u32>,
    /// `settings_crc`: fingerprint of machine sheet, spool ticket and room rules.
    pub settings_crc: Option<u32>,
    /// `fw`: version of the firmware.
    #[serde(skip)]
    pub firmware: &'static str,
}

impl Row {
    /// Sets the machine's tag, cut where it is too long.
    pub fn set_machine(&mut self, tag: &str) {
        self.machine = cut(tag);
    }

    /// Sets what is known of the job's file.
    pub fn set_job(&mut self, name: &str, bytes: Option<u64>, crc32: Option<u32>) {
        self.job_name = cut(name);
        self.job_bytes = bytes;
        self.job_crc32 = crc32;
    }

    /// Sets what is known of the spool.
    pub fn set_spool(&mut self, id: &str, grade: &str, colour: &str) {
        self.spool_id = cut(id);
        self.grade = cut(grade);
        self.colour = cut(colour);
    }

    /// Takes the verdict and the numbers of the checks that found something.
    pub fn set_verdict(&mut self, findings: &Findings) {
        self.verdict = Some(findings.verdict());
        self.findings = up_to(findings.iter().map(|finding| finding.check));
    }

    /// Whether this is a close-out or a refusal: the last row of its start.
    #[must_use]
    pub fn is_last(&self) -> bool {
        self.closed_out || self.result == REFUSED
    }

    /// Writes the row with its sum and its line end.
    #[inline(never)]
    pub fn write<'b>(&self, buffer: &'b mut [u8; ROW_BYTES]) -> &'b [u8] {
        let mut cells = RowCells { line: BookLine::new(buffer), utc_offset_min: self.utc_offset_min };
        cells.number(Some(self.rec));
        cells.text(&self.machine, MACHINE_CELL);
        cells.time(self.started);
        cells.time(self.ended);
        cells.time(self.end_from);
        cells.time(self.end_to);
        cells.text(self.result, CODE_BYTES);
        cells.text(self.reason, CODE_BYTES);
        cells.owner(self.owner);
        cells.text(&self.job_name, NAME_CELL);
        cells.hex(self.job_crc32);
        // A file has less than 2^63 bytes on every kind of card.
        cells.decimal(self.job_bytes.map(|bytes| i64::try_from(bytes).unwrap_or(i64::MAX)), 0);
        cells.text(&self.grade, GRADE_CELL);
        cells.text(&self.colour, COLOUR_CELL);
        cells.text(&self.spool_id, SPOOL_CELL);
        for um in [self.bore_um, self.layer_um, self.height_um] {
            cells.decimal(um.map(i64::from), 3);
        }
        cells.number(self.estimated_s);
        cells.number(self.actual_s);
        for mass in [self.estimated, self.booked, self.wasted, self.left, self.left_error] {
            cells.decimal(mass.map(|mass| mass.0), 3);
        }
        cells.text(self.verdict.map_or("", verdict_word), CODE_BYTES);
        cells.checks(&self.findings);
        cells.number(Some(self.overrides.into()));
        cells.owner(self.override_by);
        cells.number(self.watch_asked_s);
        cells.number(self.watch_done_s);
        cells.decimal(self.plate_max_dc.map(i64::from), 1);
        cells.time(self.touch_from);
        cells.number(Some(self.closed_out.into()));
        cells.decimal(self.cost_cent.map(i64::from), 2);
        cells.hex(self.settings_crc);
        cells.text(self.firmware, CODE_BYTES);
        cells.line.end(END)
    }
}

/// Wall clocks as they are kept: seconds since 1970 by local time.
pub(crate) mod wall {
    use chrono::DateTime;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use crate::time::WallClock;

    pub(crate) fn serialize<S: Serializer>(wall: &Option<WallClock>, to: S) -> Result<S::Ok, S::Error> {
        wall.map(|wall| wall.and_utc().timestamp()).serialize(to)
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<WallClock>, D::Error> {
        let seconds = Option::<i64>::deserialize(from)?;
        Ok(seconds.and_then(|seconds| Some(DateTime::from_timestamp(seconds, 0)?.naive_utc())))
    }
}

/// The verdict's word: the same in every language.
const fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Clear => "CLEAR",
        Verdict::Look => "LOOK",
        Verdict::Hold => "HOLD",
        Verdict::NoVerdict => "NO VERDICT",
    }
}

fn cut<const N: usize>(text: &str) -> String<N> {
    let mut end = text.len().min(N);
    while !text.is_char_boundary(end) {
        end = end.saturating_sub(1);
    }
    text.get(..end).and_then(|text| String::try_from(text).ok()).unwrap_or_default()
}

/// Cells of a row, a comma after each.
struct RowCells<'b> {
    line: BookLine<'b>,
    utc_offset_min: Option<i16>,
}

impl RowCells<'_> {
    fn comma(&mut self) {
        self.line.put(b',');
    }

    #[inline(never)]
    fn decimal(&mut self, value: Option<i64>, places: u8) {
        if let Some(value) = value {
            self.line.decimal(value, places);
        }
        self.comma();
    }

    #[inline(never)]
    fn number(&mut self, value: Option<u32>) {
        self.decimal(value.map(i64::from), 0);
    }

    #[inline(never)]
    fn text(&mut self, text: &str, most: usize) {
        self.line.text(text, most, Into::Cell);
        self.comma();
    }

    #[inline(never)]
    fn time(&mut self, time: Option<WallClock>) {
        if let Some(time) = time {
            self.line.time(time, self.utc_offset_min);
        }
        self.comma();
    }

    #[inline(never)]
    fn hex(&mut self, value: Option<u32>) {
        if let Some(value) = value {
            self.line.hex(value);
        }
        self.comma();
    }

    fn owner(&mut self, owner: Option<OwnerCode>) {
        if let Some(owner) = owner {
            self.line.plain(owner.as_str());
        }
        self.comma();
    }

    fn checks(&mut self, checks: &[u8]) {
        for (place, check) in checks.iter().enumerate() {
            if place > 0 {
                self.line.put(b';');
            }
            self.line.decimal((*check).into(), 0);
        }
        self.comma();
    }
}
