//! The spool ticket, SPOOL.JSN.

use chrono::NaiveDate;
use heapless::String;

use crate::limits::{MATERIAL_BYTES, TAG_BYTES, TEXT_BYTES};
use crate::units::{Celsius, Milligrams};

/// A spool ticket.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Spool {
    /// The room's number for it, such as `S17`.
    pub id: String<TAG_BYTES>,
    /// Material as on the sticker.
    pub material: String<MATERIAL_BYTES>,
    /// Colour as on the sticker.
    pub colour: Option<String<TEXT_BYTES>>,
    /// Filament diameter, µm.
    pub diameter_um: Option<u32>,
    /// Density, mg/cm³; `None` = the base material's.
    pub density_mg_cm3: Option<u32>,
    /// Filament left.
    pub left: Option<Milligrams>,
    /// Give or take, as the ticket states it.
    pub left_error: Option<Milligrams>,
    /// Mass of the empty spool.
    pub tare: Option<Milligrams>,
    /// Day it was opened.
    pub opened: Option<NaiveDate>,
    /// Hours in open air, a dry box not counted.
    pub open_hours: Option<u32>,
    /// Day it was last dried.
    pub dried: Option<NaiveDate>,
    /// The maker's nozzle window, least and most.
    pub nozzle_c: Option<(Celsius, Celsius)>,
    /// The maker's bed window, least and most.
    pub bed_c: Option<(Celsius, Celsius)>,
    /// Price in hundredths of the currency a kilogram.
    pub price_cent_per_kg: Option<u32>,
    /// Three-letter currency.
    pub currency: Option<String<3>>,
    /// How often it was loaded since it was weighed.
    pub loads: Option<u16>,
}
