//! A drawing as SVG 1.1 (W3C Recommendation, 2011): a few elements, written as the text they are.

use std::io::{self, Write};

use super::scene::{Anchor, Colour, FONT_SIZE, Scene, Shape};

/// Writes the drawing.
///
/// # Errors
/// When `out` cannot be written.
pub(super) fn write(out: &mut impl Write, scene: &Scene) -> io::Result<()> {
    let Scene { width, height, .. } = scene;
    writeln!(out, r#"<?xml version="1.0" encoding="UTF-8"?>"#)?;
    writeln!(
        out,
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}" font-family="monospace" font-size="{FONT_SIZE}">"#
    )?;
    writeln!(out, r##"<rect width="{width}" height="{height}" fill="#ffffff"/>"##)?;
    for shape in &scene.shapes {
        write_shape(out, shape)?;
    }
    writeln!(out, "</svg>")
}

fn write_shape(out: &mut impl Write, shape: &Shape) -> io::Result<()> {
    match shape {
        Shape::Area { x, y, width, height, fill } => {
            let fill = hex(*fill);
            writeln!(out, r#"<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{fill}"/>"#)
        }
        Shape::Frame { x, y, width, height, stroke } => {
            let stroke = hex(*stroke);
            writeln!(
                out,
                r#"<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="none" stroke="{stroke}"/>"#
            )
        }
        Shape::Circle { x, y, diameter, stroke } => {
            let (r, stroke) = (f64::from(*diameter) / 2.0, hex(*stroke));
            let (cx, cy) = (f64::from(*x) + r, f64::from(*y) + r);
            writeln!(out, r#"<circle cx="{cx}" cy="{cy}" r="{r}" fill="none" stroke="{stroke}"/>"#)
        }
        Shape::Line { from: [x1, y1], to: [x2, y2], stroke } => {
            let stroke = hex(*stroke);
            writeln!(out, r#"<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" stroke="{stroke}"/>"#)
        }
        Shape::Text { x, y, anchor, text, fill } => {
            let anchor = match anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            };
            let (fill, text) = (hex(*fill), escaped(text));
            writeln!(out, r#"<text x="{x}" y="{y}" text-anchor="{anchor}" fill="{fill}">{text}</text>"#)
        }
    }
}

fn hex([red, green, blue]: Colour) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}

/// A text as XML character data; control characters have no place in it.
fn escaped(text: &str) -> String {
    let plain: String = text.chars().filter(|character| !character.is_control()).collect();
    plain.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_break_out_of_their_text() {
        assert_eq!(escaped("a<b>&\u{1b}c"), "a&lt;b&gt;&amp;c");
    }
}
