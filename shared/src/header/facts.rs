//! What a job says of itself, each value with its source.

use heapless::String;

use crate::limits::{MATERIAL_BYTES, TAG_BYTES, TEXT_BYTES};
use crate::units::{Celsius, Micrometres, Milligrams, Seconds};

/// Where a fact about a job was read, in rising order of proof.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Source {
    /// A free comment, harvested by the trade's words.
    Comment,
    /// The job header.
    Header,
    /// The motion words themselves.
    Moves,
}

/// A value and where it was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Stated<T> {
    /// The value.
    pub value: T,
    /// Where it was read.
    pub source: Source,
}

/// The facts a header or comments can state (formats, 1.1). All optional here: what is required is checked by
/// the reader.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct JobHeader {
    /// An ISO 1043 symbol or a trade word for it.
    pub material: Option<String<MATERIAL_BYTES>>,
    /// As on the sticker.
    pub colour: Option<String<TEXT_BYTES>>,
    /// Filament diameter in µm.
    pub diameter_um: Option<u32>,
    /// Nozzle bore in µm.
    pub bore_um: Option<u32>,
    /// Hot-end target of all layers.
    pub nozzle_c: Option<Celsius>,
    /// Hot-end target of the first layer.
    pub nozzle_first_c: Option<Celsius>,
    /// Bed target of all layers.
    pub bed_c: Option<Celsius>,
    /// Bed target of the first layer.
    pub bed_first_c: Option<Celsius>,
    /// Filament to be used, rounded up to millimetres.
    pub length: Option<Micrometres>,
    /// Filament to be used.
    pub mass: Option<Milligrams>,
    /// Estimated printing time.
    pub time: Option<Seconds>,
    /// Layer height in µm.
    pub layer_um: Option<u32>,
    /// First layer's height in µm.
    pub first_layer_um: Option<u32>,
    /// Tag of the machine that the job was made for.
    pub machine: Option<String<TAG_BYTES>>,
    /// The part's name.
    pub part: Option<String<TEXT_BYTES>>,
    /// Who made the job.
    pub author: Option<String<TEXT_BYTES>>,
    /// When it was made, ISO 8601.
    pub made: Option<String<32>>,
    /// Bytes after the end-header line.
    pub body_bytes: Option<u64>,
    /// CRC-32 (ISO-HDLC) of those bytes.
    pub body_crc32: Option<u32>,
}
