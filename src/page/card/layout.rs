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
const SCALES: [f64; 6] = [1.3, 1.22, 1.15, 1.08, 1.0, 0.92];

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
