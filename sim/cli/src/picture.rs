//! The survey's picture as a file.

use std::io::Write;
use std::path::Path;
use std::sync::Arc;

use anyhow::{Context as _, Result};
use resvg::{render, tiny_skia, usvg};

/// A picture's file format.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PictureForm {
    /// Pixels.
    Png,
    /// Shapes and texts.
    Svg,
}

impl PictureForm {
    /// The form that a file's ending asks for.
    pub(crate) fn of(path: &Path) -> Option<Self> {
        let ending = path.extension()?.to_str()?;
        [("png", Self::Png), ("svg", Self::Svg)]
            .into_iter()
            .find_map(|(known, form)| ending.eq_ignore_ascii_case(known).then_some(form))
    }

    /// Writes an SVG document in this form.
    ///
    /// # Errors
    /// When it cannot be drawn or written.
    pub(crate) fn write(self, document: &str, out: &mut impl Write) -> Result<()> {
        match self {
            Self::Png => out.write_all(&png(document)?)?,
            Self::Svg => out.write_all(document.as_bytes())?,
        }
        Ok(())
    }
}

/// The document as PNG, a pixel a unit, with a face of its own: nothing of the system is asked for.
fn png(document: &str) -> Result<Vec<u8>> {
    let mut options = usvg::Options::default();
    Arc::make_mut(&mut options.fontdb).load_font_data(dejavu::sans_mono::regular().to_vec());
    let tree = usvg::Tree::from_str(document, &options)?;
    let size = tree.size().to_int_size();
    let mut picture =
        tiny_skia::Pixmap::new(size.width(), size.height()).context("a picture without size")?;
    render(&tree, tiny_skia::Transform::identity(), &mut picture.as_mut());
    Ok(picture.encode_png()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_tells_the_form() {
        assert_eq!(PictureForm::of(Path::new("a/b.PNG")), Some(PictureForm::Png));
        assert_eq!(PictureForm::of(Path::new("b.svg")), Some(PictureForm::Svg));
        assert_eq!(PictureForm::of(Path::new("b.jpg")), None);
        assert_eq!(PictureForm::of(Path::new("png")), None);
    }

    #[test]
    fn texts_are_drawn_with_no_font_of_the_system() {
        let document = r##"<svg xmlns="http://www.w3.org/2000/svg" width="90" height="30">
            <rect width="90" height="30" fill="#ffffff"/>
            <text x="1" y="20" font-family="DejaVu Sans Mono" font-size="14">abc</text></svg>"##;
        let picture = image::load_from_memory(&png(document).expect("it draws")).expect("a PNG").to_luma8();
        assert_eq!(picture.dimensions(), (90, 30));
        assert!(picture.pixels().any(|pixel| pixel.0[0] < 90), "the text is drawn");
    }
}
