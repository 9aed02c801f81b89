//! What the machine was left with.

use heapless::String;

use crate::limits::MATERIAL_BYTES;

use super::row::{RowReader, RowWriter};

/// How the last run ended on this machine, and what is counted over its runs.
///
/// The codes are the numbers of the answers that the phases define; the ledger keeps them and has no opinion.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct MachineState {
    /// The last run that was closed; 0 for none.
    pub run: u32,
    /// Its result.
    pub result: u8,
    /// The reason of a failure.
    pub reason: u8,
    /// What was told of the plate: back, bare.
    pub plate: u8,
    /// Where its purge line was laid.
    pub purge: u8,
    /// How many runs in a row ended with that same fault.
    pub same_fault: u8,
    /// Starts since the plate was washed.
    pub starts_since_wash: u16,
    /// Minutes that the nozzle has printed, those of abrasive filament as often as they wear.
    pub nozzle_minutes: u32,
    /// The grade that was melted last in the nozzle, as on its sticker; empty when not known.
    pub grade: String<MATERIAL_BYTES>,
}

impl MachineState {
    pub(super) fn read(bytes: &[u8]) -> Option<Self> {
        let mut row = RowReader(bytes);
        Some(Self {
            run: row.word()?,
            result: row.byte()?,
            reason: row.byte()?,
            plate: row.byte()?,
            purge: row.byte()?,
            same_fault: row.byte()?,
            starts_since_wash: row.half()?,
            nozzle_minutes: row.word()?,
            grade: row.text()?,
        })
    }

    pub(super) fn write(&self) -> RowWriter {
        let Self { run, result, reason, plate, purge, same_fault, starts_since_wash, nozzle_minutes, grade } =
            self;
        let mut row = RowWriter::default();
        row.word(*run).bytes(&[*result, *reason, *plate, *purge, *same_fault]);
        row.half(*starts_since_wash).word(*nozzle_minutes).text(grade);
        row
    }
}
