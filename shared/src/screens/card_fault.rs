//! The card can not be used: what is wrong, what helps.

use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::prelude::DrawTarget;

use super::layout::Sheet;
use super::model::CardFault;

pub(super) fn draw<D: DrawTarget<Color = BinaryColor>>(
    screen: &CardFault,
    sheet: &mut Sheet<'_, D>,
) -> Result<(), D::Error> {
    let words = sheet.words;
    let trouble = words.card_trouble(screen.fault);
    sheet.title(trouble.title, words.notice)?;
    sheet.paragraph(20, 2, trouble.what)?;
    sheet.paragraph(41, 2, trouble.remedy)?;
    sheet.action(screen.action)
}
