//! Where the labels of a drawing stand: each within it, none over another, and off lines and marks where there is room.

use super::plot::at;
use maud::{Markup, html};

/// How high letters are where they are highest, in units of the drawing: the stylesheet sets them so on a narrow screen.
/// What has room there has room with smaller letters too, which take a part of the same place.
pub(super) const LETTERS: f64 = 22.0;
/// How far the light edge around letters reaches.
const EDGE: f64 = 2.0;
/// How far letters reach above their line and below it, of their height: the widest of the typefaces that the stylesheet
/// asks for, measured in a browser.
const ABOVE: f64 = 0.78;
const BELOW: f64 = 0.24;
/// What a mark that is covered counts beside a line that is crossed.
const MARK: f64 = 40.0;

/// A place on the paper, from left to right and from the top down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Area {
    /// Whether two share some of the paper.
    pub fn meets(&self, other: &Area) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    /// Whether this lies in another.
    pub fn lies_in(&self, other: &Area) -> bool {
        self.left >= other.left && self.right <= other.right && self.top >= other.top && self.bottom <= other.bottom
    }

    /// Whether a straight line runs through it, by cutting the line at each side (Liang and Barsky, ACM Transactions on
    /// Graphics 3 (1984), 1).
    fn is_crossed(&self, from: (f64, f64), to: (f64, f64)) -> bool {
        let (mut first, mut last) = (0.0_f64, 1.0_f64);
        let sides = [
            (to.0 - from.0, self.left - from.0, self.right - from.0),
            (to.1 - from.1, self.top - from.1, self.bottom - from.1),
        ];
        for (way, near, far) in sides {
            if way == 0.0 {
                if near > 0.0 || far < 0.0 {
                    return false;
                }
                continue;
            }
            let (one, other) = (near / way, far / way);
            first = first.max(one.min(other));
            last = last.min(one.max(other));
        }
        first <= last
    }

    /// Whether a round mark reaches into it.
    fn is_touched(&self, mark: &Mark) -> bool {
        let nearest = (mark.x.clamp(self.left, self.right), mark.y.clamp(self.top, self.bottom));
        (nearest.0 - mark.x).hypot(nearest.1 - mark.y) < mark.radius
    }
}

/// Which end of a label its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    fn word(self) -> &'static str {
        match self {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        }
    }
}

/// Where a label may stand: a point of its line, which end of it that is, and how much another spot is to be preferred.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Spot {
    pub x: f64,
    pub y: f64,
    pub anchor: Anchor,
    pub reluctance: f64,
}

impl Spot {
    pub fn new(x: f64, y: f64, anchor: Anchor, reluctance: f64) -> Spot {
        Spot { x, y, anchor, reluctance }
    }

    /// What a label takes of the paper there.
    pub fn area(&self, words: &str, class: &str) -> Area {
        let wide = width(words, class);
        let left = match self.anchor {
            Anchor::Start => self.x,
            Anchor::Middle => self.x - wide / 2.0,
            Anchor::End => self.x - wide,
        };
        Area {
            left: left - EDGE,
            top: self.y - LETTERS * ABOVE - EDGE,
            right: left + wide + EDGE,
            bottom: self.y + LETTERS * BELOW + EDGE,
        }
    }

    /// The same, moved aside as far as it takes to lie between the sides of the paper.
    pub fn within(self, words: &str, class: &str, paper: &Area) -> Spot {
        let area = self.area(words, class);
        let aside = (paper.left - area.left).max(0.0) - (area.right - paper.right).max(0.0);
        Spot { x: self.x + aside, ..self }
    }
}

/// A label that has its place.
#[derive(Clone, Debug)]
pub(super) struct Label {
    pub class: &'static str,
    pub words: String,
    pub spot: Spot,
    pub area: Area,
}

/// A round mark.
struct Mark {
    x: f64,
    y: f64,
    radius: f64,
}

/// A line, and how much is against a label upon it.
struct Line {
    points: Vec<(f64, f64)>,
    weight: f64,
}

/// The labels of a drawing, and what they keep off.
pub(super) struct Labels {
    /// The whole drawing.
    pub paper: Area,
    /// That part of it in which lines are drawn.
    pub field: Area,
    lines: Vec<Line>,
    marks: Vec<Mark>,
    /// Those that have their place, in the order in which they came.
    pub placed: Vec<Label>,
}

impl Labels {
    pub fn new(paper: Area, field: Area) -> Labels {
        Labels { paper, field, lines: Vec::new(), marks: Vec::new(), placed: Vec::new() }
    }

    /// A line that labels keep off where they can.
    pub fn keep_off_line(&mut self, points: Vec<(f64, f64)>, weight: f64) {
        self.lines.push(Line { points, weight });
    }

    /// A mark that labels keep off where they can.
    pub fn keep_off_mark(&mut self, x: f64, y: f64, radius: f64) {
        self.marks.push(Mark { x, y, radius });
    }

    /// Puts a label on the best of several spots. It is left out where each of them is taken or out of the drawing:
    /// what the drawing shows stands in words beside it.
    pub fn put(&mut self, class: &'static str, words: &str, spots: &[Spot]) -> bool {
        self.put_up_to(f64::MAX, class, words, spots)
    }

    /// The same for a label that is rather left out than put over a mark.
    pub fn put_off_marks(&mut self, class: &'static str, words: &str, spots: &[Spot]) -> bool {
        self.put_up_to(MARK, class, words, spots)
    }

    fn put_up_to(&mut self, most: f64, class: &'static str, words: &str, spots: &[Spot]) -> bool {
        let mut best: Option<(f64, Label)> = None;
        for spot in spots {
            let area = spot.area(words, class);
            if !self.is_free(&area) {
                continue;
            }
            let against = spot.reluctance + self.against(&area);
            if against < most && best.as_ref().is_none_or(|(least, _)| against < *least) {
                best = Some((against, Label { class, words: words.to_string(), spot: *spot, area }));
            }
        }
        let found = best.is_some();
        self.placed.extend(best.map(|(_, label)| label));
        found
    }

    /// Whether a place lies in the drawing and no label is there.
    pub fn is_free(&self, area: &Area) -> bool {
        area.lies_in(&self.paper) && !self.placed.iter().any(|other| other.area.meets(area))
    }

    /// How much is against a place: what a label there would cover.
    fn against(&self, area: &Area) -> f64 {
        let seen = Area {
            left: area.left.max(self.field.left),
            top: area.top.max(self.field.top),
            right: area.right.min(self.field.right),
            bottom: area.bottom.min(self.field.bottom),
        };
        // Lines are cut off at the sides of their field.
        let is_in_field = seen.left < seen.right && seen.top < seen.bottom;
        let crosses =
            |line: &&Line| line.points.windows(2).any(|pair| matches!(pair, [from, to] if seen.is_crossed(*from, *to)));
        let lines: f64 = match is_in_field {
            true => self.lines.iter().filter(crosses).map(|line| line.weight).sum(),
            false => 0.0,
        };
        lines + self.marks.iter().filter(|mark| area.is_touched(mark)).count() as f64 * MARK
    }

    /// Spots all over the field, for a label that has to have one.
    pub fn anywhere(&self, reluctance: f64) -> Vec<Spot> {
        const ACROSS: u32 = 12;
        let high = LETTERS * (ABOVE + BELOW) + 2.0 * EDGE;
        let rows = ((self.field.bottom - self.field.top) / high).floor().max(0.0) as u32;
        let rows = (1..=rows).map(|row| self.field.bottom - f64::from(row) * high + LETTERS * ABOVE + EDGE);
        let wide = (self.field.right - self.field.left) / f64::from(ACROSS);
        let column = |number: u32| self.field.left + 4.0 + f64::from(number) * wide;
        rows.flat_map(|y| (0..ACROSS).map(move |number| Spot::new(column(number), y, Anchor::Start, reluctance)))
            .collect()
    }

    /// All of them, as they are drawn: after all else, so that no line runs over one.
    pub fn drawn(&self) -> Markup {
        html! {
            @for Label { class, words, spot, .. } in &self.placed {
                text class=[(!class.is_empty()).then_some(class)] x=(at(spot.x)) y=(at(spot.y)) text-anchor=(spot.anchor.word()) { (words) }
            }
        }
    }
}

/// How wide a line is at the most, in units of the drawing.
pub(super) fn width(words: &str, class: &str) -> f64 {
    let bold = if matches!(class, "strong" | "window-words") { 1.1 } else { 1.0 };
    words.chars().map(letter).sum::<f64>() * bold * LETTERS
}

/// How wide a letter is, of its height: at least as wide as DejaVu Sans has it, which is wider than the others.
fn letter(letter: char) -> f64 {
    match letter {
        '0'..='9' | '+' | '-' => 0.64,
        ' ' | '.' | ',' | ':' | ';' | 'i' | 'j' | 'l' | '\'' | '|' | 'I' => 0.34,
        '(' | ')' | '[' | ']' | 'f' | 't' | 'r' | '/' => 0.42,
        'm' | 'w' | 'M' | 'W' | '%' | '@' => 1.0,
        'A'..='Z' => 0.8,
        letter if letter.is_ascii() => 0.65,
        // What is wide in the scripts of the East is as wide as high; pictures are wider.
        letter if (letter as u32) < 0x1_0000 => 1.02,
        _ => 1.4,
    }
}

#[cfg(test)]
mod tests {
    use super::{Anchor, Area, Labels, Spot};

    const PAPER: Area = Area { left: 0.0, top: 0.0, right: 200.0, bottom: 100.0 };

    #[test]
    fn a_taken_place_is_not_taken_again() {
        let mut labels = Labels::new(PAPER, PAPER);
        let spot = Spot::new(20.0, 40.0, Anchor::Start, 0.0);
        let below = Spot::new(20.0, 80.0, Anchor::Start, 5.0);
        assert!(labels.put("", "3.80", &[spot, below]) && labels.put("", "3.83", &[spot, below]));
        assert!(!labels.put("", "3.85", &[spot, below]), "both are taken");
        assert_eq!(labels.placed.iter().map(|label| label.spot.y).collect::<Vec<_>>(), [40.0, 80.0]);
    }

    #[test]
    fn nothing_stands_out_of_the_drawing() {
        let mut labels = Labels::new(PAPER, PAPER);
        for spot in [(190.0, 50.0), (20.0, 5.0), (20.0, 99.0), (-3.0, 50.0), (f64::NAN, 50.0)] {
            assert!(!labels.put("", "36.56 g", &[Spot::new(spot.0, spot.1, Anchor::Start, 0.0)]), "{spot:?}");
        }
        let moved = Spot::new(190.0, 50.0, Anchor::Start, 0.0).within("36.56 g", "", &PAPER);
        assert!(labels.put("", "36.56 g", &[moved]), "{moved:?}");
    }

    #[test]
    fn lines_and_marks_are_kept_off_where_there_is_room() {
        let mut labels = Labels::new(PAPER, PAPER);
        labels.keep_off_line(vec![(0.0, 35.0), (200.0, 35.0)], 3.0);
        labels.keep_off_mark(30.0, 75.0, 5.0);
        let on_the_line = Spot::new(20.0, 40.0, Anchor::Start, 0.0);
        let on_the_mark = Spot::new(20.0, 80.0, Anchor::Start, 0.0);
        assert!(!labels.put_off_marks("", "3.8", &[on_the_mark]));
        assert!(labels.put("", "3.8", &[on_the_mark, on_the_line]));
        assert_eq!(labels.placed.last().map(|label| label.spot.y), Some(40.0));
        assert!(labels.put("", "3.8", &[on_the_mark]), "where nothing else is free, the figure counts more");
    }

    #[test]
    fn a_line_that_passes_by_does_not_cross() {
        let area = Area { left: 10.0, top: 10.0, right: 20.0, bottom: 20.0 };
        assert!(area.is_crossed((0.0, 15.0), (30.0, 15.0)) && area.is_crossed((12.0, 0.0), (18.0, 40.0)));
        assert!(!area.is_crossed((0.0, 5.0), (30.0, 5.0)) && !area.is_crossed((0.0, 0.0), (9.0, 40.0)));
        assert!(!area.is_crossed((0.0, 12.0), (5.0, 14.0)) && !area.is_crossed((0.0, 21.0), (40.0, 21.0)));
    }
}
