//! One job as a plan, and its bytes.

use super::dialect::{Dialect, Writer};
use super::remarks::{picture, settings};
use super::shape::Shape;

/// How the start text heats.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heat {
    /// Bed, wait, nozzle, wait.
    BedFirst,
    /// Both set, then both waited for.
    Together,
    /// Nozzle only: the bed stays cold.
    NoBed,
    /// A word of the machine's own that heats and homes.
    Macro(&'static str),
}

/// What else the start text does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Start {
    Plain,
    /// Probes the plate.
    Probe,
    /// Lifts by relative words first.
    RelativeLift,
    /// Sets speeds and accelerations.
    Limits,
    /// The head stands 5 mm up when its Z is said to be a little more: beads come to lie that much lower.
    ZOffset,
}

/// The purge strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Purge {
    None,
    /// Along the front: from X, length, Y and height, mm.
    Line {
        x: f64,
        length: f64,
        y: f64,
        z: f64,
    },
    /// A push on the spot before the first layer.
    Blob,
}

/// How the job ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Heat off, lift, park at the back, motors off.
    Park,
    /// Lift by relative words, home X and Y, heat off, motors off, end word.
    HomeXy,
    /// All axes home: a machine whose head goes up for it.
    HomeAll,
    /// A word of the machine's own.
    Macro(&'static str),
}

/// What the job says about itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Note {
    /// A job header with the body's length and check.
    Header,
    /// Free comments at the start.
    Head,
    /// Free comments after the end, behind and before tens of kilobytes of settings.
    Tail,
    /// Only the material, in a comment.
    MaterialOnly,
    Nothing,
}

/// A job to be written.
#[derive(Clone, Debug)]
pub struct Plan {
    pub shape: Shape,
    /// Centres of the parts, mm.
    pub centres: Vec<[f64; 2]>,
    pub one_by_one: bool,
    pub layers: u32,
    /// Heights of the first and of all other layers, mm.
    pub first: f64,
    pub layer: f64,
    /// Layer heights that change from layer to layer, in turn; empty = all alike.
    pub heights: Vec<f64>,
    /// Line width, mm.
    pub width: f64,
    /// Filament diameter, mm.
    pub filament: f64,
    /// Nozzle on the first layer and above; bed on the first layer and above, °C.
    pub nozzle: [i32; 2],
    pub bed: [i32; 2],
    /// Speeds, mm/s: first layer, walls, infill, travel.
    pub speed: [u32; 4],
    /// Fan from the second layer on, of 255, in turn.
    pub fan: Vec<u32>,
    pub material: String,
    pub bore: f64,
    pub start: Start,
    pub heat: Heat,
    pub purge: Purge,
    pub end: End,
    /// Where it parks, mm.
    pub park: [f64; 2],
    pub note: Note,
    /// More keys for the header, each beginning with a comma.
    pub header: String,
    /// Whether the stated length leaves the start text's purge out, as programs do that do not read it.
    pub length_without_purge: bool,
    pub picture: bool,
    pub dialect: Dialect,
    /// Two loops round all parts on the first layer, at this distance, mm.
    pub skirt: Option<f64>,
    /// Lines put in before the first layer, before a layer by its number, and after the last bead.
    pub insert: Vec<(u32, String)>,
}

impl Plan {
    /// A small block of PLA in the middle of a plate of 220 mm.
    #[must_use]
    pub fn new() -> Self {
        Self {
            shape: Shape::Block(30.0, 20.0),
            centres: vec![[110.0, 110.0]],
            one_by_one: false,
            layers: 12,
            first: 0.2,
            layer: 0.2,
            heights: Vec::new(),
            width: 0.45,
            filament: 1.75,
            nozzle: [210, 205],
            bed: [60, 60],
            speed: [20, 45, 60, 150],
            fan: vec![85, 170, 255],
            material: "PLA".to_owned(),
            bore: 0.4,
            start: Start::Plain,
            heat: Heat::BedFirst,
            purge: Purge::Line { x: 15.0, length: 90.0, y: 4.0, z: 0.2 },
            end: End::Park,
            park: [10.0, 200.0],
            note: Note::Header,
            header: String::new(),
            length_without_purge: false,
            picture: false,
            dialect: Dialect::default(),
            skirt: None,
            insert: Vec::new(),
        }
    }

    /// Its bytes.
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        let mut w = Writer::new(self.dialect);
        self.begin(&mut w);
        let purged = w.most;
        self.print(&mut w);
        self.finish(&mut w);
        let stated = if self.length_without_purge { w.most - purged } else { w.most };
        let length_mm = (stated as f64 / 1e5).ceil() as i64;
        let mut bytes = match self.note {
            Note::Header => self.header_text(&w.out, length_mm).into_bytes(),
            Note::Head => self.comments(length_mm).into_bytes(),
            Note::MaterialOnly => format!("; material: {}\n", self.material).into_bytes(),
            Note::Tail | Note::Nothing => Vec::new(),
        };
        if self.picture {
            bytes.extend_from_slice(picture().as_bytes());
        }
        bytes.extend_from_slice(&w.out);
        if self.note == Note::Tail {
            bytes.extend_from_slice(settings(30_000).as_bytes());
            bytes.extend_from_slice(self.comments(length_mm).as_bytes());
        }
        bytes
    }
}

impl Default for Plan {
    fn default() -> Self {
        Self::new()
    }
}
