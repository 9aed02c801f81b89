//! The survey of one file, fed with its bytes.

use core::mem::size_of;

use crate::limits::HEADER_WINDOW_BYTES;
use crate::motion::{Modal, may_act};
use crate::records::Machine;
use crate::text::{Checksum, LineAt, LineSink, Lines, Marks, Odd, Words};
use crate::visible::BYTE_ORDER_MARK;

use super::crc32::Crc32;
use super::measure::Measure;
use super::remarks::bare;
use super::values::{Footprint, Survey};

/// All state of a survey: the device holds one beside its buffers.
const MOST_BYTES: usize = 30 * 1024;
const _: () = assert!(size_of::<Surveyor>() <= MOST_BYTES, "the survey's state has a bound");

/// Streams a job file once, in constant memory, however its bytes are cut into chunks.
///
/// Never fails and never panics: what cannot be read is counted in the survey with its first line.
pub struct Surveyor {
    lines: Lines,
    core: Core,
    crc: Crc32,
    filament_um: u32,
}

#[derive(Debug)]
struct Core {
    modal: Modal,
    measure: Measure,
    /// Whether lines may still be the header's.
    in_window: bool,
    header_begun: bool,
    /// Place of the byte after the end-header line, once it came.
    body_from: Option<u64>,
}

impl core::fmt::Debug for Surveyor {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("Surveyor")
            .field("lines", &self.lines)
            .field("core", &self.core)
            .finish_non_exhaustive()
    }
}

impl Surveyor {
    /// Ready for the first byte of a job for this machine.
    #[must_use]
    pub fn new(machine: &Machine) -> Self {
        let mut surveyor = Self::idle();
        surveyor.restart(machine);
        surveyor
    }

    /// Of no job yet: [`restart`](Self::restart) begins one.
    ///
    /// For a small board, whose stack does not hold two surveyors: it makes this one in its place for good.
    #[inline(never)]
    #[must_use]
    pub fn idle() -> Self {
        Self {
            lines: Lines::default(),
            core: Core {
                modal: Modal::new(None),
                measure: Measure::idle(),
                in_window: true,
                header_begun: false,
                body_from: None,
            },
            crc: Crc32::new(),
            filament_um: 0,
        }
    }

    /// Begins anew with another file, in place.
    pub fn restart(&mut self, machine: &Machine) {
        let Self { lines, core, crc, filament_um } = self;
        let Core { modal, measure, in_window, header_begun, body_from } = core;
        *lines = Lines::default();
        *modal = Modal::new(machine.absolute_resets_feed);
        measure.restart(machine);
        (*in_window, *header_begun, *body_from) = (true, false, None);
        *crc = Crc32::new();
        *filament_um = machine.filament_um;
    }

    /// Takes the next bytes of the file.
    pub fn feed(&mut self, chunk: &[u8]) {
        let before = self.lines.bytes();
        let had_body = self.core.body_from.is_some();
        self.lines.feed(chunk, &mut self.core);
        let mut body = chunk;
        if let (Some(from), false) = (self.core.body_from, had_body) {
            // The header ended within this chunk: what stood before it is no body.
            self.crc = Crc32::new();
            let skip = usize::try_from(from.saturating_sub(before)).unwrap_or(usize::MAX);
            body = chunk.get(skip..).unwrap_or_default();
        }
        self.crc.update(body);
    }

    /// Bytes taken so far.
    #[must_use]
    pub const fn bytes(&self) -> u64 {
        self.lines.bytes()
    }

    /// What is known so far. Times lag behind by the moves that the machine looks ahead; what only the end tells
    /// (first layer, flow, tail, totals of time) is missing.
    #[must_use]
    pub const fn so_far(&self) -> &Survey {
        &self.core.measure.survey
    }

    /// The layer that the last bead lies in, from 1, in the order of printing; 0 = none yet.
    #[must_use]
    pub const fn layer(&self) -> u32 {
        self.core.measure.layers.passes()
    }

    /// The first layer's picture, to recall another one in its place.
    pub(crate) const fn picture(&mut self) -> &mut Footprint {
        &mut self.core.measure.survey.footprint
    }

    /// The end of the file. The survey stays in place, so that a small board needs no second copy of it.
    pub fn close(&mut self) -> &Survey {
        let had_body = self.core.body_from.is_some();
        self.lines.finish(&mut self.core);
        if !had_body && self.core.body_from.is_some() {
            // The header ends with the file.
            self.crc = Crc32::new();
        }
        let position = self.core.modal.position();
        let measure = &mut self.core.measure;
        measure.finish(position, self.filament_um);
        let reading = &mut measure.survey.reading;
        reading.bytes = self.lines.bytes();
        reading.lines = self.lines.count();
        reading.header_ended = self.core.body_from.is_some();
        reading.body_bytes = reading.bytes.saturating_sub(self.core.body_from.unwrap_or(0));
        reading.body_crc32 = self.crc.value();
        &self.core.measure.survey
    }

    /// The end of the file: the survey.
    #[must_use]
    pub fn finish(mut self) -> Survey {
        self.close();
        self.core.measure.survey
    }
}

impl Core {
    /// The header's lines, and the byte-order mark.
    #[cold]
    fn head(&mut self, at: LineAt, words: &Words, bytes: &[u8]) {
        let LineAt { number, long, end_byte, .. } = at;
        if end_byte > HEADER_WINDOW_BYTES as u64 {
            self.in_window = false;
            return;
        }
        let Some(comment) = words.comment else { return };
        // The header is made of comment lines of ordinary length.
        if words.any && number > 1 || long {
            return;
        }
        let text = bytes.get(comment as usize..words.end as usize).unwrap_or_default();
        let text = bare(text);
        if text.starts_with(b"job-header") {
            self.header_begun = true;
        } else if text == b"end-header" && self.header_begun {
            self.body_from = Some(end_byte);
            self.in_window = false;
        }
    }

    /// Whatever else than words a line has; gives whether its words are to be executed.
    #[cold]
    fn unusual(&mut self, number: u32, start: usize, words: &Words, bytes: &[u8]) -> bool {
        let Marks { deleted, checksum, doubtful, mut malformed, rounded, repeated, identifier } =
            *words.marks();
        let measure = &mut self.measure;
        let reading = &mut measure.survey.reading;
        if number == 1 && bytes.get(start..).is_some_and(|line| line.starts_with(BYTE_ORDER_MARK)) {
            reading.byte_order_mark = true;
            malformed = malformed.saturating_sub(1);
        }
        if let Some((from, to)) = identifier {
            reading.identifier(bytes.get(from as usize..to as usize).unwrap_or_default(), number);
        }
        let known = identifier.is_none() && words.m().iter().all(|m| crate::motion::is_listed(b'M', *m));
        if malformed > 0 && known {
            measure.readable = false;
            for _ in 0..malformed {
                reading.malformed.add(number);
            }
            if measure.closed {
                measure.survey.tail.malformed_after_end.add(number);
            }
        }
        let reading = &mut measure.survey.reading;
        let acts = may_act(words);
        if doubtful || (malformed > 0 || repeated > 0) && known && acts {
            reading.doubtful.add(number);
        }
        if rounded > 0 {
            reading.rounded.add(number);
        }
        if repeated > 0 {
            reading.repeated.add(number);
        }
        if checksum != Checksum::Absent {
            reading.checksums.checked = reading.checksums.checked.saturating_add(1);
            if checksum == Checksum::Wrong {
                reading.checksums.failed.add(number);
            }
        }
        if deleted {
            reading.block_deleted.add(number);
            if acts {
                reading.deleted_commands.add(number);
            }
            return false;
        }
        true
    }
}

impl Core {
    /// A line of which the beginning alone is here.
    #[cold]
    fn too_long(&mut self, at: LineAt, words: &Words, bytes: &[u8]) {
        let number = at.number;
        let Survey { reading, tail, .. } = &mut self.measure.survey;
        reading.long_lines.add(number);
        tail.last_line_readable = false;
        if let Some((from, to)) = words.marks().identifier {
            reading.identifier(bytes.get(from as usize..to as usize).unwrap_or_default(), number);
            if at.has_code {
                reading.doubtful.add(number);
            }
        } else if words.g().is_empty() && matches!(words.m(), [1170 | 1180]) {
            // The display shows less of it, that is all.
        } else {
            reading.doubtful.add(number);
        }
    }
}

impl LineSink for Core {
    #[inline]
    fn line(&mut self, at: LineAt, words: &Words, bytes: &[u8]) {
        if self.in_window {
            self.head(at, words, bytes);
        }
        self.measure.line = at.number;
        if !at.ended {
            self.measure.survey.tail.last_line_ended = false;
        }
        if at.too_long {
            self.too_long(at, words, bytes);
            return;
        }
        if !words.any {
            let line = bytes.get(at.start..words.end as usize).unwrap_or_default();
            // Of a long one only its mark is the same however it came.
            let line = if at.long { line.trim_ascii_start().get(..1).unwrap_or_default() } else { line };
            let measure = &mut self.measure;
            measure.heat.fresh_bead |=
                measure.remarks.wordless(line, measure.line, measure.closed, &measure.survey);
            return;
        }
        self.measure.readable = true;
        if !words.is_plain() && !self.unusual(at.number, at.start, words, bytes) {
            return;
        }
        self.modal.apply(words, &mut self.measure);
        self.measure.survey.tail.last_line_readable = self.measure.readable;
    }

    #[cold]
    fn odd(&mut self, at_byte: u64, what: Odd) {
        self.measure.odd(at_byte, what);
    }
}
