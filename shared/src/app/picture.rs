//! The first layer's picture, kept from the release on, so that a power cut in the first layer does not take it away.

use embedded_storage::nor_flash::NorFlash;
use serde::{Deserialize, Serialize};

use crate::ledger::{Ledger, LedgerError};
use crate::limits::PICTURE_BYTES;
use crate::phase::{Phase, Stage};
use crate::survey::{FOOTPRINT_STEPS, Footprint};

use super::device::App;

/// Of this layout. One that is not known is passed over: the watch goes on without its picture.
const VERSION: u8 = 1;

/// Most bytes of a head: numbers of 32 bits take five, those of 16 three.
const HEAD_BYTES: usize = 1 + 4 * 5 + 1 + 3 * FOOTPRINT_STEPS as usize;
const _: () = assert!(HEAD_BYTES + Footprint::MOST_PACKED <= PICTURE_BYTES, "the longest picture is kept");

/// What stands before a picture's cells.
#[derive(Serialize, Deserialize)]
struct PictureHead {
    version: u8,
    /// Number of the run that it belongs to.
    run: u32,
    cell_um: u32,
    origin_um: [i32; 2],
    known: u8,
    begins: [u16; FOOTPRINT_STEPS as usize],
}

impl App {
    /// Keeps the picture for the run that begins.
    pub(super) fn keep_picture<S: NorFlash>(&mut self, ledger: &mut Option<&mut Ledger<S>>) {
        let Some(ledger) = ledger.as_deref_mut() else { return };
        if self.vetting.picture().is_none() {
            return;
        }
        let run = self.memory.run;
        let (picture, window) = self.vetting.picture_and_window();
        let Some(length) = pack(run, picture, window) else { return };
        match ledger.save_picture(window.get(..length).unwrap_or_default()) {
            // Full: little flash keeps what counts, and a watch goes on without its picture after a power cut.
            Ok(()) | Err(LedgerError::Full) => {}
            Err(_) => self.notices.flash_failed(),
        }
    }

    /// Recalls the picture of the run that goes on, as long as it is looked at.
    pub(super) fn recall_picture<S: NorFlash>(&mut self, ledger: &mut Ledger<S>) {
        if !matches!(self.phase.phase(), Phase::Released(Stage::Start | Stage::WarmUp | Stage::FirstLayer)) {
            return;
        }
        let run = self.memory.run;
        let (picture, window) = self.vetting.picture_and_window();
        match ledger.saved_picture(window) {
            Ok(Some(length)) if unpack(run, picture, window.get(..length).unwrap_or_default()) => {
                self.vetting.has_recalled();
            }
            Ok(_) => {}
            Err(_) => self.notices.flash_failed(),
        }
    }
}

fn pack(run: u32, picture: &Footprint, into: &mut [u8]) -> Option<usize> {
    let &Footprint { cell_um, origin_um, known, begins, .. } = picture;
    let head = PictureHead { version: VERSION, run, cell_um, origin_um, known, begins };
    let head = postcard::to_slice(&head, into).ok()?.len();
    Some(head + picture.pack_cells(into.get_mut(head..)?)?)
}

/// Whether the bytes are this run's picture, and it was drawn.
fn unpack(run: u32, picture: &mut Footprint, bytes: &[u8]) -> bool {
    // Of another layout the rest may be anything: the version stands first.
    let Ok((head, cells)) = postcard::take_from_bytes::<PictureHead>(bytes) else { return false };
    if head.version != VERSION || head.run != run || !picture.unpack_cells(cells) {
        return false;
    }
    let PictureHead { cell_um, origin_um, known, begins, .. } = head;
    (picture.cell_um, picture.origin_um, picture.known, picture.begins) = (cell_um, origin_um, known, begins);
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_comes_back_to_its_own_run_alone() {
        let mut picture = Footprint { cell_um: u32::MAX, origin_um: [i32::MIN; 2], ..Footprint::default() };
        picture.known = FOOTPRINT_STEPS;
        picture.begins.fill(u16::MAX);
        picture.layer.iter_mut().for_each(|row| row.fill(0xF1));
        let mut bytes = [0; PICTURE_BYTES];
        let length = pack(u32::MAX, &picture, &mut bytes).unwrap();
        assert!(length > Footprint::MOST_PACKED);
        let mut other = Footprint::default();
        assert!(unpack(u32::MAX, &mut other, &bytes[..length]));
        assert_eq!(other, picture);
        assert!(!unpack(7, &mut other, &bytes[..length]), "another run's");
        assert!(!unpack(u32::MAX, &mut other, &bytes[..length - 1]), "cut");
        bytes[0] = VERSION + 1;
        assert!(!unpack(u32::MAX, &mut other, &bytes[..length]), "another layout");
        assert!(!unpack(u32::MAX, &mut other, &[]));
    }
}
