//! Jobs as the trade writes them, and faults planted in them.
//!
//! Written from a list of what jobs are like and how they fail, by somebody who had not read the program's own view of
//! the trade: its jobs share no code and no assumption with the program or with [`corpus`](crate::corpus), only the card
//! and the vetting.

pub mod damage;
pub mod ends;
pub mod faults;
pub mod layers;
pub mod make;
pub mod pen;
pub mod place;
pub mod rng;
pub mod shape;
pub mod style;
pub mod write;

pub use make::{Facts, Wish, body_of, sound};
pub use pen::{At, Row};
pub use place::Place;
pub use rng::Rng;
pub use style::{Arcs, Feed, Label, Remarks, Retract, Style};

use std::path::Path;

use crate::corpus::Job;

/// A job with what it was made of, so that a fault can be planted at a chosen place.
#[derive(Clone, Debug)]
pub struct Draft {
    pub what: String,
    pub rows: Vec<Row>,
    pub style: Style,
    pub place: Place,
    pub facts: Facts,
    /// Checks that are right to speak of this sound job.
    pub due: Vec<u8>,
    /// What is written instead of the rows.
    pub bytes: Option<Vec<u8>>,
}

impl Draft {
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        if let Some(bytes) = &self.bytes {
            return bytes.clone();
        }
        let body = write::body(&self.rows, &self.style);
        if self.style.label == Label::Header {
            let Facts { bore, filament, length, .. } = self.facts;
            return write::with_header(self.facts.material, bore, filament, length, &body);
        }
        body
    }

    /// On a card, ready to be vetted.
    #[must_use]
    pub fn job(&self) -> Job {
        Job::new(self.what.clone(), self.bytes(), self.place.setup())
    }

    /// Leaves the job in a folder that `holdpoint vet` reads, with the records that it was checked against.
    ///
    /// # Panics
    /// When the folder cannot be written.
    pub fn keep(&self, folder: &Path) {
        let records = folder.join("HOLDPT");
        std::fs::create_dir_all(&records).expect("a folder for the records");
        for (name, text) in self.place.records() {
            std::fs::write(records.join(name), text).expect("a record's file");
        }
        std::fs::write(folder.join("PART.GCO"), self.bytes()).expect("the job's file");
    }
}
