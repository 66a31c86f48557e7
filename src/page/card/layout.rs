//! The paper of a card: the smallest that holds it, with the largest type that fits on that.

use super::content::Card;
use super::letters::Letters;
use super::parts::{care, head, materials};
use super::pen::{Mark, Pen, moved};

/// The size of a card in pixels, at 300 to the inch: A6 where it fits, else A5, else A4, else as high as it takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CardSize {
    /// How wide it is.
    pub width: u32,
    /// How high it is.
    pub height: u32,
}

impl CardSize {
    /// A6, 105 x 148 mm (ISO 216).
    pub const A6: CardSize = CardSize { width: 1240, height: 1748 };
    /// A5, 148 x 210 mm.
    pub const A5: CardSize = CardSize { width: 1748, height: 2480 };
    /// A4, 210 x 297 mm.
    pub const A4: CardSize = CardSize { width: 2480, height: 3508 };
}

/// How large the type may be on each paper, the largest first: a short formula is read from further off.
const SCALES: [f64; 7] = [1.3, 1.22, 1.15, 1.08, 1.0, 0.92, 0.84];

/// The margin, of the width.
const MARGIN: f64 = 0.068;

/// What lies between the materials and the foot at the least.
const BETWEEN: f64 = 44.0;

/// A card with everything in its place.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Placed {
    pub size: CardSize,
    pub marks: Vec<Mark>,
}

/// Places a card, with or without its figures.
pub(super) fn place(letters: &Letters, card: &Card, figures: bool) -> Placed {
    let mut last = None;
    for size in [CardSize::A6, CardSize::A5, CardSize::A4] {
        for scale in SCALES {
            let halves = Halves::of(letters, card, figures, size.width, scale);
            if halves.height() <= f64::from(size.height) {
                return halves.on(size);
            }
            last = Some(halves);
        }
    }
    let Some(halves) = last else { return Placed { size: CardSize::A4, marks: Vec::new() } };
    // The cast keeps within the bounds of the type.
    let height = halves.height().ceil() as u32;
    halves.on(CardSize { width: CardSize::A4.width, height })
}

/// What stands from the top on, and what stands at the foot.
struct Halves<'l> {
    body: Pen<'l>,
    foot: Pen<'l>,
    margin: f64,
}

impl<'l> Halves<'l> {
    fn of(letters: &'l Letters, card: &Card, figures: bool, width: u32, scale: f64) -> Halves<'l> {
        let margin = f64::from(width) * MARGIN;
        let right = f64::from(width) - margin;
        let pen = || Pen { letters, marks: Vec::new(), top: 0.0, left: margin, right, scale };
        let (mut body, mut foot) = (pen(), pen());
        head(&mut body, card);
        materials(&mut body, card, figures);
        care(&mut foot, card);
        Halves { body, foot, margin }
    }

    fn height(&self) -> f64 {
        self.margin * 1.75 + self.body.top + self.body.unit(BETWEEN) + self.foot.top
    }

    fn on(self, size: CardSize) -> Placed {
        let foot = f64::from(size.height) - self.margin * 0.75 - self.foot.top;
        let mut marks = moved(self.body.marks, self.margin);
        marks.extend(moved(self.foot.marks, foot));
        Placed { size, marks }
    }
}

#[cfg(test)]
mod tests {
    use super::super::content::{Card, CardLine, CardPhase};
    use super::super::letters::Letters;
    use super::super::pen::Mark;
    use super::{CardSize, place};

    fn card(name: &str, lines: usize) -> Card {
        let line = CardLine {
            called: name.to_string(),
            percent: Some("3.125".to_string()),
            brings: vec![("0.5".to_string(), name.to_string())],
        };
        let phase = CardPhase {
            name: "A".to_string(),
            title: Some(name.to_string()),
            heat_c: Some("75".to_string()),
            cool_c: None,
            lines: vec![line; lines],
        };
        Card {
            title: name.to_string(),
            version: Some(name.to_string()),
            function: Some(name.to_string()),
            product: vec!["leave-on".to_string()],
            window: Some("3.6 to 4.0".to_string()),
            phases: vec![phase],
            total_percent: "100".to_string(),
            warnings: vec![name.to_string()],
            cautions: vec![(name.to_string(), vec![name.to_string()])],
            deference: name.to_string(),
        }
    }

    /// Every text lies between the margins by the widths of its letters, and every mark on the paper.
    #[test]
    fn nothing_stands_outside_its_frame() {
        let letters = Letters::new();
        let long = "Sodium ".repeat(30);
        for name in ["Oil", &long, &"W".repeat(200), "שלום \u{202e}<&\"> 漢字 😀"] {
            for (lines, figures) in [(1, true), (12, false), (30, true)] {
                let placed = place(&letters, &card(name, lines), figures);
                let (wide, high) = (f64::from(placed.size.width), f64::from(placed.size.height));
                for mark in &placed.marks {
                    let (left, top, right, foot) = match mark {
                        Mark::Box { left, top, wide, high, .. } => (*left, *top, left + wide, top + high),
                        Mark::Text { left, base, wide, style, text } => {
                            let measured = letters.width(text, style.face, style.size);
                            assert!((measured - wide).abs() < 0.001, "{text}");
                            (*left, base - style.size, left + measured, base + style.size * 0.3)
                        }
                    };
                    let is_within = left >= wide * 0.05 && right <= wide * 0.95 && top >= 0.0 && foot <= high;
                    assert!(is_within, "{mark:?} on {:?}", placed.size);
                }
            }
        }
    }

    #[test]
    fn a_short_card_is_small_and_a_long_one_larger() {
        let size = |lines| place(&Letters::new(), &card("Shea butter", lines), true).size;
        assert_eq!((size(1), size(10), size(20)), (CardSize::A6, CardSize::A5, CardSize::A4));
        let high = size(60);
        assert!(high.width == CardSize::A4.width && high.height > CardSize::A4.height);
    }
}
