//! A drawing as a list of shapes: what the SVG and the PNG are both made from.

/// A colour, 8 bits each of red, green and blue.
pub(super) type Colour = [u8; 3];

/// Width of a character of the drawing's one face, in its units.
pub(super) const CHAR_WIDTH: i32 = 9;
/// Size of that face.
pub(super) const FONT_SIZE: i32 = 15;

/// Which point of a text its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// A shape; x to the right, y downwards.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Shape {
    /// A filled rectangle.
    Area { x: i32, y: i32, width: u32, height: u32, fill: Colour },
    /// A rectangle's edge, one unit wide.
    Frame { x: i32, y: i32, width: u32, height: u32, stroke: Colour },
    /// A circle's edge, one unit wide, in the square at `x`, `y`.
    Circle { x: i32, y: i32, diameter: u32, stroke: Colour },
    /// A straight line, one unit wide.
    Line { from: [i32; 2], to: [i32; 2], stroke: Colour },
    /// A line through points with round ends.
    Stroke { points: Vec<[f64; 2]>, width: f64, stroke: Colour },
    /// A text on its base line.
    Text { x: i32, y: i32, anchor: Anchor, text: String, fill: Colour },
}

/// A drawing.
#[derive(Clone, Debug, Default)]
pub(super) struct Scene {
    /// Width of all of it.
    pub(super) width: u32,
    /// Height of all of it.
    pub(super) height: u32,
    /// What is drawn, the lowest first.
    pub(super) shapes: Vec<Shape>,
}
