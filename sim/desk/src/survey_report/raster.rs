//! A drawing as PNG, by the simulator's display.

use std::io::{Seek, Write};

use anyhow::Result;
use embedded_graphics::mono_font::MonoTextStyle;
use embedded_graphics::mono_font::iso_8859_1::FONT_9X15;
use embedded_graphics::pixelcolor::Rgb888;
use embedded_graphics::prelude::{DrawTarget, Drawable, Point, Primitive, Size, WebColors};
use embedded_graphics::primitives::{Circle, Line, PrimitiveStyle, Rectangle};
use embedded_graphics::text::{Alignment, Text};
use embedded_graphics_simulator::{OutputSettingsBuilder, SimulatorDisplay};
use image::ImageFormat;

use super::scene::{Anchor, Colour, Scene, Shape};

/// Writes the drawing, one pixel a unit.
///
/// # Errors
/// When it cannot be written.
pub(super) fn write(file: &mut (impl Write + Seek), scene: &Scene) -> Result<()> {
    let size = Size::new(scene.width, scene.height);
    let mut display = SimulatorDisplay::<Rgb888>::with_default_color(size, Rgb888::CSS_WHITE);
    for shape in &scene.shapes {
        let Ok(()) = draw(&mut display, shape);
    }
    let settings = OutputSettingsBuilder::new().scale(1).pixel_spacing(0).build();
    Ok(display.to_rgb_output_image(&settings).as_image_buffer().write_to(file, ImageFormat::Png)?)
}

fn draw<D: DrawTarget<Color = Rgb888>>(target: &mut D, shape: &Shape) -> std::result::Result<(), D::Error> {
    match shape {
        Shape::Area { x, y, width, height, fill } => {
            let area = Rectangle::new(Point::new(*x, *y), Size::new(*width, *height));
            area.into_styled(PrimitiveStyle::with_fill(rgb(*fill))).draw(target)
        }
        Shape::Frame { x, y, width, height, stroke } => {
            let area = Rectangle::new(Point::new(*x, *y), Size::new(*width + 1, *height + 1));
            area.into_styled(PrimitiveStyle::with_stroke(rgb(*stroke), 1)).draw(target)
        }
        Shape::Circle { x, y, diameter, stroke } => {
            let circle = Circle::new(Point::new(*x, *y), *diameter);
            circle.into_styled(PrimitiveStyle::with_stroke(rgb(*stroke), 1)).draw(target)
        }
        Shape::Line { from: [x1, y1], to: [x2, y2], stroke } => {
            let line = Line::new(Point::new(*x1, *y1), Point::new(*x2, *y2));
            line.into_styled(PrimitiveStyle::with_stroke(rgb(*stroke), 1)).draw(target)
        }
        Shape::Text { x, y, anchor, text, fill } => {
            let alignment = match anchor {
                Anchor::Start => Alignment::Left,
                Anchor::Middle => Alignment::Center,
                Anchor::End => Alignment::Right,
            };
            let style = MonoTextStyle::new(&FONT_9X15, rgb(*fill));
            Text::with_alignment(text, Point::new(*x, *y), style, alignment).draw(target).map(|_| ())
        }
    }
}

const fn rgb([red, green, blue]: Colour) -> Rgb888 {
    Rgb888::new(red, green, blue)
}
