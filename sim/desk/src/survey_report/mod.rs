//! A survey for people and for programs: as text, as a JSON document, as a picture.

mod document;
mod fed;
mod layer;
mod matter;
mod picture;
mod run;
mod scene;
mod svg;
mod text;

pub use document::{SCHEMA, document};
pub use layer::{Bead, LayerBeads};
pub use picture::svg_picture;
pub use text::write_text;

use holdpoint_shared::records::Machine;
use holdpoint_shared::survey::Survey;

use crate::job_file::JobFile;
use crate::stated::Row;

/// A surveyed file and what it was surveyed for.
#[derive(Debug)]
pub struct Surveyed<'a> {
    /// Path as it was named.
    pub path: &'a str,
    /// The machine that speeds, heaters, plate and filament are those of.
    pub machine: &'a Machine,
    /// Where its sheet was read; `None` = no sheet, a common machine's values.
    pub machine_path: Option<&'a str>,
    /// The same in words.
    pub machine_words: &'a str,
    /// The file.
    pub job: &'a JobFile,
    /// What the sources state.
    pub rows: &'a [Row],
}

/// The time that some layers took, one after the other in the order of printing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct LayerTime {
    /// First of them, from 1.
    first: u32,
    /// Last of them.
    last: u32,
    /// Height of the last one's plane, µm.
    z_um: i32,
    /// All their time, s.
    seconds: u32,
}

impl LayerTime {
    /// Mean time of one of them, ms.
    fn mean_ms(&self) -> u32 {
        let layers = self.last.saturating_sub(self.first).saturating_add(1);
        let ms = u64::from(self.seconds) * 1000 / u64::from(layers);
        u32::try_from(ms).unwrap_or(u32::MAX)
    }
}

/// The times between the ends of layers that the survey keeps.
fn layer_times(survey: &Survey) -> Vec<LayerTime> {
    let layers = &survey.layers;
    let mut before = (0, survey.first_layer.start_s);
    let mut times = Vec::with_capacity(layers.ends.len());
    for (index, end) in (1_u32..).zip(&layers.ends) {
        let last = index.saturating_mul(layers.stride).min(layers.passes);
        let first = before.0 + 1;
        if last >= first {
            let seconds = end.end_s.saturating_sub(before.1);
            times.push(LayerTime { first, last, z_um: end.z_um, seconds });
            before = (last, end.end_s);
        }
    }
    times
}

#[cfg(test)]
mod tests {
    use holdpoint_shared::survey::LayerPoint;

    use super::*;

    #[test]
    fn strides_are_shared_out_and_the_last_stretch_may_be_shorter() {
        let mut survey = Survey::default();
        survey.first_layer.start_s = 100;
        survey.layers.passes = 5;
        survey.layers.stride = 2;
        for (z_um, end_s) in [(400, 140), (800, 170), (1_000, 180)] {
            survey.layers.ends.push(LayerPoint { z_um, end_s, laid_um: 0 }).unwrap();
        }
        let times = layer_times(&survey);
        let plain: Vec<_> = times.iter().map(|t| (t.first, t.last, t.seconds, t.mean_ms())).collect();
        assert_eq!(plain, [(1, 2, 40, 20_000), (3, 4, 30, 15_000), (5, 5, 10, 10_000)]);
    }
}
