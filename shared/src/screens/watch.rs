//! The watch over the first layer: how long to stay, what comes, and the layer to scale on its plate.

use core::fmt::Write;

use embedded_graphics::Pixel;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::{DrawTarget, Point};

use super::format;
use super::layout::{Cell, Sheet, WIDTH, row};
use super::letters::ABOUT;
use super::run::countdown;
use super::run_model::WatchScreen;
use super::text::{Face, Line};
use crate::survey::{FOOTPRINT_CELLS, Laid};

/// Most pixels of the plate's inside along a side: one for each cell.
const MOST: i32 = FOOTPRINT_CELLS as i32;
/// Last row of the picture.
const FOOT: i32 = 63;
/// Where the picture begins at the earliest; what is written ends before it.
const TEXT_END: i32 = WIDTH - MOST - 4;
/// Order in which a tile of four by four is filled, evenly (Bayer 1973); its lower half is a chessboard.
const ORDER: [[u8; 4]; 4] = [[0, 8, 2, 10], [12, 4, 14, 6], [3, 11, 1, 9], [15, 7, 13, 5]];
/// Of sixteen: what is still to come, what is being laid, what is laid.
const TO_COME: u16 = 8;
const UNDER_WAY: u16 = 12;
const DONE: u16 = 16;

pub(super) fn draw<D: DrawTarget<Color = BinaryColor>>(
    screen: &WatchScreen<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = &sheet.words.run;
    sheet.title(words.first_layer, screen.name)?;
    let stay = format::figure(screen.stay, countdown);
    let mut done = Line::new();
    // A sign and three figures fit any line.
    let _ = write!(done, "{ABOUT}{} %", screen.done_permille.min(1000) / 10);
    let next = screen.next.map_or("", |next| words.term(next));
    let rows = [
        (24, Cell::left(Face::Small, words.stay), Cell::right(Face::Large, &stay)),
        (34, Cell::left(Face::Small, words.now), Cell::right(Face::Text, words.term(screen.now))),
        (
            43,
            Cell::left(Face::Small, if next.is_empty() { "" } else { words.next }),
            Cell::right(Face::Text, next),
        ),
        (52, Cell::left(Face::Small, words.by_time), Cell::right(Face::Text, &done)),
    ];
    for (baseline, label, value) in rows {
        sheet.row_in(baseline, (0, TEXT_END), BinaryColor::On, row([label, value]))?;
    }
    sheet.action_text(TEXT_END, words.watch)?;
    picture(screen, sheet)
}

/// The plate's outline and the beads in it.
fn picture<D: DrawTarget<Color = BinaryColor>>(
    screen: &WatchScreen<'_>,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let side = |um: i64| {
        let cells = um.max(0) / i64::from(screen.picture.cell_um.max(1)) + 1;
        i32::try_from(cells).unwrap_or(MOST).clamp(4, MOST)
    };
    let [across, deep] = screen.plate_um.map(side);
    let left = WIDTH - across - 2;
    let top = FOOT - deep - 1;
    let plate = DrawnPlate { across: across + 2, deep: deep + 2, round: screen.round };
    let pixels = (0..plate.deep).flat_map(|y| (0..plate.across).map(move |x| (x, y)));
    let lit = pixels.filter(|&(x, y)| plate.is_edge(x, y) || bead(screen, x - 1, deep - y));
    sheet.target.draw_iter(lit.map(|(x, y)| Pixel(Point::new(left + x, top + y), BinaryColor::On)))
}

/// The plate in pixels, its outline included.
struct DrawnPlate {
    across: i32,
    deep: i32,
    round: bool,
}

impl DrawnPlate {
    fn holds(&self, x: i32, y: i32) -> bool {
        let within = x >= 0 && y >= 0 && x < self.across && y < self.deep;
        if !self.round {
            return within;
        }
        let (x, y) = (2 * x - self.across + 1, 2 * y - self.deep + 1);
        within && x * x + y * y <= self.across * self.deep
    }

    fn is_edge(&self, x: i32, y: i32) -> bool {
        self.holds(x, y)
            && !(self.holds(x - 1, y) && self.holds(x + 1, y) && self.holds(x, y - 1) && self.holds(x, y + 1))
    }
}

/// Whether the pixel, from the plate's near left corner, is drawn as a bead.
///
/// Beads to come are dotted, those of the step that is under way denser, laid ones solid. Where the picture does not know
/// the order of the beads, the layer gets denser all over as it grows, rather than say of a place that it is done.
fn bead(screen: &WatchScreen<'_>, x: i32, y: i32) -> bool {
    let (Ok(x), Ok(y)) = (usize::try_from(x), usize::try_from(y)) else { return false };
    let (picture, done) = (screen.picture, screen.done_permille.min(1000));
    let purge = picture.purge_at(x, y);
    let filled = if purge && screen.purged {
        DONE
    } else if picture.layer_at(x, y) {
        match picture.laid_at(x, y, done) {
            Some(Laid::Done) => DONE,
            Some(Laid::Now) => UNDER_WAY,
            Some(Laid::ToCome) => TO_COME,
            None => TO_COME + (DONE - TO_COME) * done / 1000,
        }
    } else if purge {
        TO_COME
    } else {
        0
    };
    let order = ORDER.get(y % 4).and_then(|row| row.get(x % 4)).copied().unwrap_or_default();
    u16::from(order) < filled
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::Footprint;
    use crate::words::run::Term;

    fn watch(picture: &Footprint, purged: bool, done_permille: u16) -> WatchScreen<'_> {
        WatchScreen {
            name: "",
            picture,
            plate_um: [48_000, 48_000],
            round: false,
            purged,
            done_permille,
            stay: None,
            now: Term::Walls,
            next: None,
        }
    }

    fn lit(picture: &Footprint, purged: bool, done: u16) -> usize {
        let screen = watch(picture, purged, done);
        (0..MOST * MOST).filter(|at| bead(&screen, at % MOST, at / MOST)).count()
    }

    #[test]
    fn a_layer_to_come_is_half_dotted_and_a_laid_one_solid() {
        let full = Footprint { layer: [[0x11; 24]; 48], cell_um: 1000, ..Footprint::default() };
        let all = 48 * 48;
        assert_eq!(lit(&full, true, 0), all / 2);
        assert_eq!(lit(&full, true, 500), all * 3 / 4);
        assert_eq!(lit(&full, true, 1000), all);
        assert_eq!(lit(&full, true, u16::MAX), all);
        assert_eq!(lit(&Footprint::default(), true, 1000), 0);
    }

    #[test]
    fn a_purge_strip_is_solid_once_it_is_laid() {
        let mut strip = Footprint { cell_um: 1000, ..Footprint::default() };
        strip.purge[3] = [0xFF; 6];
        assert_eq!(lit(&strip, true, 0), 48);
        assert_eq!(lit(&strip, false, 1000), 24);
    }

    /// Four columns a step, each step as long as any other.
    #[test]
    fn cells_are_filled_in_the_order_of_their_steps() {
        let mut picture = Footprint { cell_um: 1000, known: 4, ..Footprint::default() };
        picture.begins[..4].copy_from_slice(&[0, 250, 500, 750]);
        let steps = [0x11, 0x11, 0x22, 0x22, 0x33, 0x33, 0x44, 0x44];
        picture.layer.iter_mut().for_each(|row| row[..8].copy_from_slice(&steps));
        let row = 4 * 48;
        for (done, wanted) in [
            // Of each step: a half to come, three quarters under way, all of it done.
            (0, 4 * row / 2),
            (1, row * 3 / 4 + 3 * row / 2),
            (249, row * 3 / 4 + 3 * row / 2),
            (250, row + row * 3 / 4 + 2 * row / 2),
            (999, 3 * row + row * 3 / 4),
            (1000, 4 * row),
            (u16::MAX, 4 * row),
        ] {
            assert_eq!(lit(&picture, true, done), wanted, "{done}");
        }
        assert!(bead(&watch(&picture, true, 250), 0, 1) && bead(&watch(&picture, true, 250), 0, 2));
    }

    #[test]
    fn every_cell_is_a_pixel() {
        for cell in 0..48 {
            let mut one = Footprint { cell_um: 1000, ..Footprint::default() };
            one.layer[cell][cell / 2] = 1 << (cell % 2 * 4);
            assert_eq!(lit(&one, true, 1000), 1, "cell {cell}");
        }
    }
}
