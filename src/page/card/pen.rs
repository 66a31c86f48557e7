//! What is drawn, and a pen that sets text from the top to the foot between two margins.

use super::letters::{Face, Letters};
use super::lines::{lines, visible};

/// From one base line to the next, in sizes.
const LEADING: f64 = 1.3;
/// From the head of a line to its base, in sizes.
const ASCENT: f64 = 1.0;

/// The colours: paper and ink as on the pages.
pub(super) mod colour {
    pub const PAPER: &str = "#fcfaf5";
    pub const INK: &str = "#26241f";
    pub const SOFT: &str = "#5c574c";
    pub const LINE: &str = "#d8d1c1";
    pub const GREEN: &str = "#2b5f4f";
    pub const GREEN_WASH: &str = "#e4eee6";
    pub const BLUE: &str = "#1d5a84";
    pub const BLUE_WASH: &str = "#dfeaf1";
    pub const AMBER: &str = "#7f5200";
    pub const AMBER_WASH: &str = "#faf0d8";
}

/// Something that is drawn, in pixels.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Mark {
    /// A box, with round corners where `round` is not nought.
    Box { left: f64, top: f64, wide: f64, high: f64, round: f64, colour: &'static str },
    /// A line of text: where it begins, on its base line, and how wide it is.
    Text { left: f64, base: f64, wide: f64, style: Style, text: String },
}

/// How a text is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Style {
    pub face: Face,
    pub size: f64,
    pub colour: &'static str,
}

/// Sets text from the top to the foot.
pub(super) struct Pen<'l> {
    pub letters: &'l Letters,
    pub marks: Vec<Mark>,
    /// How far down it is.
    pub top: f64,
    /// The margins.
    pub left: f64,
    pub right: f64,
    /// How large the type is, beside its usual size.
    pub scale: f64,
}

impl Pen<'_> {
    /// A length in the type's usual size.
    pub fn unit(&self, length: f64) -> f64 {
        length * self.scale
    }

    /// A style, its size in the type's usual size.
    pub fn style(&self, face: Face, size: f64, colour: &'static str) -> Style {
        Style { face, size: self.unit(size), colour }
    }

    /// Goes down.
    pub fn skip(&mut self, length: f64) {
        self.top += self.unit(length);
    }

    /// How wide a text is.
    pub fn width(&self, text: &str, style: Style) -> f64 {
        self.letters.width(&visible(text), style.face, style.size)
    }

    /// The lines a text takes in so much room.
    pub fn lines(&self, text: &str, style: Style, room: f64) -> Vec<String> {
        lines(self.letters, text, style.face, style.size, room)
    }

    /// Sets a text in lines from a place to the right margin, and goes down by them.
    pub fn set(&mut self, text: &str, style: Style, left: f64) {
        self.set_until(text, style, left, self.right);
    }

    /// The same, up to a place.
    pub fn set_until(&mut self, text: &str, style: Style, left: f64, right: f64) {
        for line in self.lines(text, style, right - left) {
            self.put(line, style, left, self.top);
            self.top += style.size * LEADING;
        }
    }

    /// Puts one line at a place.
    pub fn put(&mut self, text: String, style: Style, left: f64, top: f64) {
        let wide = self.letters.width(&text, style.face, style.size);
        self.marks.push(Mark::Text { left, base: top + style.size * ASCENT, wide, style, text });
    }

    /// A line from margin to margin.
    pub fn rule(&mut self, left: f64, thick: f64, colour: &'static str) {
        let mark = Mark::Box { left, top: self.top, wide: self.right - left, high: thick, round: 0.0, colour };
        self.marks.push(mark);
        self.top += thick;
    }
}

/// Marks, further down.
pub(super) fn moved(marks: Vec<Mark>, down: f64) -> Vec<Mark> {
    let lower = |mark| match mark {
        Mark::Box { left, top, wide, high, round, colour } => {
            Mark::Box { left, top: top + down, wide, high, round, colour }
        }
        Mark::Text { left, base, wide, style, text } => Mark::Text { left, base: base + down, wide, style, text },
    };
    marks.into_iter().map(lower).collect()
}
