//! A card as SVG, and as PNG by the renderer of that.

use super::content::Card;
use super::layout::{CardSize, Placed, place};
use super::letters::Letters;
use super::pen::{Mark, colour};
use crate::page::plot::at;
use crate::render::in_markup;
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};
use std::fmt::Write as _;
use std::sync::Arc;

/// Pixels to the inch, and millimetres.
const PIXELS: f64 = 300.0;
const INCH: f64 = 25.4;

/// The highest picture that is made, in pixels.
const HIGHEST: u32 = 20_000;

/// A card that is drawn.
pub struct DrawnCard {
    /// How large it is.
    pub size: CardSize,
    svg: String,
}

/// Why there is no PNG: it would be too high to be looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooHigh(pub CardSize);

impl DrawnCard {
    /// Draws a card, with or without its figures.
    #[must_use]
    pub fn of(card: &Card, figures: bool) -> DrawnCard {
        let placed = place(&Letters::new(), card, figures);
        DrawnCard { size: placed.size, svg: svg(card, &placed) }
    }

    /// As SVG: its text is text, and each line as wide as it was measured, whatever letters the reader has.
    #[must_use]
    pub fn svg(&self) -> &str {
        &self.svg
    }

    /// As PNG.
    ///
    /// # Errors
    /// A card that is too high.
    pub fn png(&self) -> Result<Vec<u8>, TooHigh> {
        if self.size.height > HIGHEST {
            return Err(TooHigh(self.size));
        }
        self.pixels().ok_or(TooHigh(self.size))
    }

    fn pixels(&self) -> Option<Vec<u8>> {
        let options = Options { fontdb: Arc::new(Letters::database()), ..Options::default() };
        let tree = Tree::from_str(&self.svg, &options).ok()?;
        let mut pixels = Pixmap::new(self.size.width, self.size.height)?;
        let size = tree.size();
        let scale = |to: u32, from: f32| to as f32 / from;
        let to_pixels =
            Transform::from_scale(scale(self.size.width, size.width()), scale(self.size.height, size.height()));
        resvg::render(&tree, to_pixels, &mut pixels.as_mut());
        pixels.encode_png().ok()
    }
}

fn svg(card: &Card, placed: &Placed) -> String {
    let CardSize { width, height } = placed.size;
    let mm = |pixels: u32| at(f64::from(pixels) * INCH / PIXELS);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}mm\" height=\"{}mm\" viewBox=\"0 0 {width} {height}\" role=\"img\">\n\
         <title>{}</title>\n<rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>\n",
        mm(width),
        mm(height),
        in_markup(&card.title),
        colour::PAPER
    );
    placed.marks.iter().for_each(|mark| put(&mut out, mark));
    out.push_str("</svg>\n");
    out
}

fn put(out: &mut String, mark: &Mark) {
    // Writing to a string cannot fail.
    let _ = match mark {
        Mark::Box { left, top, wide, high, round, colour } => writeln!(
            out,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{}\" fill=\"{colour}\"/>",
            at(*left),
            at(*top),
            at(*wide),
            at(*high),
            at(*round)
        ),
        Mark::Text { left, base, wide, style, text } => writeln!(
            out,
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\" {} fill=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\">{}</text>",
            at(*left),
            at(*base),
            at(style.size),
            style.face.in_svg(),
            style.colour,
            at(*wide),
            in_markup(text)
        ),
    };
}
