//! A drawing as SVG.

use svg::Document;
use svg::node::element::{Circle, Line, Polyline, Rectangle, Text};

use super::scene::{Anchor, Colour, FONT_SIZE, Scene, Shape};

/// The face of all texts; its widths are those that the scene reckons with.
const FACE: &str = "DejaVu Sans Mono";

/// The drawing as an SVG document.
pub(super) fn document(scene: &Scene) -> String {
    let Scene { width, height, .. } = scene;
    let mut document = Document::new()
        .set("width", *width)
        .set("height", *height)
        .set("viewBox", (0, 0, *width, *height))
        .set("font-family", format!("{FACE}, monospace"))
        .set("font-size", FONT_SIZE)
        .add(Rectangle::new().set("width", *width).set("height", *height).set("fill", "#ffffff"));
    for shape in &scene.shapes {
        document = match shape {
            Shape::Area { x, y, width, height, fill } => {
                document.add(rectangle([*x, *y], [*width, *height]).set("fill", hex(*fill)))
            }
            Shape::Frame { x, y, width, height, stroke } => {
                let frame = rectangle([*x, *y], [*width, *height]);
                document.add(frame.set("fill", "none").set("stroke", hex(*stroke)))
            }
            Shape::Circle { x, y, diameter, stroke } => {
                let r = f64::from(*diameter) / 2.0;
                let circle =
                    Circle::new().set("cx", f64::from(*x) + r).set("cy", f64::from(*y) + r).set("r", r);
                document.add(circle.set("fill", "none").set("stroke", hex(*stroke)))
            }
            Shape::Line { from: [x1, y1], to: [x2, y2], stroke } => {
                let line = Line::new().set("x1", *x1).set("y1", *y1).set("x2", *x2).set("y2", *y2);
                document.add(line.set("stroke", hex(*stroke)))
            }
            Shape::Stroke { points, width, stroke } => {
                let points: Vec<_> = points.iter().map(|[x, y]| format!("{x:.2},{y:.2}")).collect();
                let line = Polyline::new().set("points", points.join(" ")).set("fill", "none");
                let line = line.set("stroke", hex(*stroke)).set("stroke-width", format!("{width:.2}"));
                document.add(line.set("stroke-linecap", "round").set("stroke-linejoin", "round"))
            }
            Shape::Text { x, y, anchor, text, fill } => {
                let anchor = match anchor {
                    Anchor::Start => "start",
                    Anchor::Middle => "middle",
                    Anchor::End => "end",
                };
                // Control characters have no place in XML; the library escapes the rest.
                let plain: String = text.chars().filter(|character| !character.is_control()).collect();
                let text = Text::new(plain).set("x", *x).set("y", *y).set("text-anchor", anchor);
                document.add(text.set("fill", hex(*fill)))
            }
        };
    }
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{document}\n")
}

fn rectangle([x, y]: [i32; 2], [width, height]: [u32; 2]) -> Rectangle {
    Rectangle::new().set("x", x).set("y", y).set("width", width).set("height", height)
}

fn hex([red, green, blue]: Colour) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_break_out_of_their_text() {
        let text = "a<b>&\u{1b}c".to_owned();
        let shapes = vec![Shape::Text { x: 1, y: 20, anchor: Anchor::Start, text, fill: [0; 3] }];
        let document = document(&Scene { width: 90, height: 30, shapes });
        assert!(document.contains("a&lt;b&gt;&amp;c"), "{document}");
    }
}
