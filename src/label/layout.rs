//! A label laid out on its millimetres: as large as it fits, and never smaller than its letters may be.
//!
//! Everything is in whole micrometres, so that the same label comes out alike everywhere.

use super::letters::{FIGURE, SMALL_O, width};

/// The blank edge of a label, in micrometres.
const EDGE: i64 = 1_500;

/// From one line to the next, in thousandths of the size of the type.
const LEADING: i64 = 1_180;

/// Between two paragraphs, in thousandths of the size of the type.
const GAP: i64 = 350;

/// The title, in thousandths of the size of the rest.
const TITLE: i64 = 1_400;

/// The largest letters that are tried, by their small o, in micrometres.
const LARGEST: i64 = 3_000;

/// From one size that is tried to the next, in micrometres.
const STEP: i64 = 50;

/// The smallest letters that are tried to say how small they would have to be.
const SMALLEST: i64 = 200;

/// What a paragraph is on a label, and so where else it may stay.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stay {
    /// What the product is called.
    Title,
    /// The net quantity: at the foot, in figures of a height of its own.
    Net,
    /// What has to stand on the container.
    Fixed,
    /// The code of the batch, which goes to the pack alone where the container is too small.
    Batch,
    /// What may go to a leaflet.
    Leaflet,
    /// What may go to the outer pack.
    Pack,
}

/// A paragraph to be laid out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Paragraph {
    /// What it is on the label.
    pub stay: Stay,
    /// What it is called.
    pub item: String,
    /// Its text.
    pub text: String,
}

/// How high the letters of a label have to be, in micrometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Heights {
    /// The small o of all letters, at the least.
    pub least: i64,
    /// The figures of the net quantity; none where no market asks.
    pub net_figures: Option<i64>,
    /// The small o of the net quantity; none where no market asks.
    pub net_letters: Option<i64>,
}

/// A line of a label, where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlacedLine {
    /// From the left, in micrometres.
    pub x: i64,
    /// Its base line from the top, in micrometres.
    pub y: i64,
    /// The size of its type, in micrometres.
    pub size: i64,
    /// How wide it is, in micrometres.
    pub width: i64,
    /// Whether it is bold.
    pub bold: bool,
    /// Its text.
    pub text: String,
}

/// A label laid out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    /// Its lines, from the top down; none where not even what has to stand on it fits.
    pub lines: Option<Vec<PlacedLine>>,
    /// The small o of its letters, in micrometres.
    pub letters: i64,
    /// What does not fit, in the order in which it was left out.
    pub left_out: Vec<Paragraph>,
    /// How small the small o would have to be for everything to fit; none where it all does, or never would.
    pub would_need: Option<i64>,
}

/// Lays paragraphs out on a label of so many micrometres: as large as all of them fit; where they do not, what may stand
/// elsewhere is left out, the ingredients first.
#[must_use]
pub fn lay_out(width: i64, height: i64, paragraphs: &[Paragraph], heights: &Heights) -> Layout {
    let room = Room { width: width - 2 * EDGE, height: height - 2 * EDGE };
    let mut kept: Vec<Paragraph> = paragraphs.to_vec();
    let mut left_out = Vec::new();
    loop {
        if let Some((letters, lines)) = largest(&room, &kept, heights, heights.least) {
            let smallest = || largest(&room, paragraphs, heights, SMALLEST).map(|(letters, _)| letters);
            let would_need = if left_out.is_empty() { None } else { smallest() };
            return Layout { lines: Some(lines), letters, left_out, would_need };
        }
        // Of equals the last stands furthest from what the product is.
        let next = kept.iter().enumerate().filter(|(_, one)| one.stay >= Stay::Batch).max_by_key(|(at, one)| (one.stay, *at));
        let Some((at, _)) = next else {
            let would_need = largest(&room, paragraphs, heights, SMALLEST).map(|(letters, _)| letters);
            return Layout { lines: None, letters: heights.least, left_out: paragraphs.to_vec(), would_need };
        };
        left_out.push(kept.remove(at));
    }
}

/// What is left of a label within its edge.
struct Room {
    width: i64,
    height: i64,
}

/// The largest letters, not under the least, at which all paragraphs fit, with their lines.
fn largest(room: &Room, paragraphs: &[Paragraph], heights: &Heights, least: i64) -> Option<(i64, Vec<PlacedLine>)> {
    // What is smaller takes less room, so that the sizes can be halved until the edge is found.
    let at = |step: i64| least + step * STEP;
    let fits = |step: i64| placed(room, paragraphs, heights, at(step));
    let (mut low, mut high) = (0, ((LARGEST - least) / STEP).max(0));
    let mut best = fits(low)?;
    while low < high {
        let middle = (low + high + 1) / 2;
        match fits(middle) {
            Some(lines) => (low, best) = (middle, lines),
            None => high = middle - 1,
        }
    }
    Some((at(low), best))
}

/// The lines of all paragraphs at a height of their small o; none where they do not fit.
fn placed(room: &Room, paragraphs: &[Paragraph], heights: &Heights, letters: i64) -> Option<Vec<PlacedLine>> {
    let body = type_size(letters, SMALL_O);
    let mut lines = Vec::new();
    let mut y = EDGE;
    let foot = paragraphs.iter().filter(|one| one.stay == Stay::Net);
    let others = paragraphs.iter().filter(|one| one.stay != Stay::Net);
    for one in others {
        let size = if one.stay == Stay::Title { body * TITLE / 1_000 } else { body };
        y = put(room, one, size, y, &mut lines)?;
    }
    let size = net_size(body, heights);
    let mut at_foot = Vec::new();
    let mut end = 0;
    for one in foot {
        end = put(room, one, size, end, &mut at_foot)?;
    }
    // The gap after the last line is no part of what stands at the foot.
    let down = EDGE + room.height - (end - gap(size) * i64::from(end > 0));
    let above = if end > 0 { y } else { y - gap(body).min(y - EDGE) };
    if above > down || room.width <= 0 {
        return None;
    }
    lines.extend(at_foot.into_iter().map(|line| PlacedLine { y: line.y + down, ..line }));
    Some(lines)
}

/// Puts a paragraph below `y`, and says where the next begins. None where a line of it is higher than there is room.
fn put(room: &Room, one: &Paragraph, size: i64, y: i64, lines: &mut Vec<PlacedLine>) -> Option<i64> {
    let bold = matches!(one.stay, Stay::Title | Stay::Net);
    let mut below = y;
    for text in wrapped(&one.text, room.width, size, bold) {
        let width = in_micrometres(width(&text, bold), size);
        lines.push(PlacedLine { x: EDGE, y: below + size * 900 / 1_000, size, width, bold, text });
        below += size * LEADING / 1_000;
        if below > y.max(EDGE) + room.height + size {
            return None;
        }
    }
    Some(below + gap(size))
}

fn gap(size: i64) -> i64 {
    size * GAP / 1_000
}

/// The size of type at which a part of a letter is so high: brought up, never down.
fn type_size(height: i64, part: i64) -> i64 {
    (height * 1_000 + part - 1) / part
}

/// The size of the net quantity: that of the rest, or as high as it has to be.
fn net_size(body: i64, heights: &Heights) -> i64 {
    let figures = heights.net_figures.map_or(0, |height| type_size(height, FIGURE));
    let letters = heights.net_letters.map_or(0, |height| type_size(height, SMALL_O));
    body.max(figures).max(letters)
}

fn in_micrometres(thousandths: i64, size: i64) -> i64 {
    (thousandths * size + 999) / 1_000
}

/// A text cut into lines no wider than there is room; a word that is wider by itself is cut.
fn wrapped(text: &str, room: i64, size: i64, bold: bool) -> Vec<String> {
    let is_too_wide = |text: &str| in_micrometres(width(text, bold), size) > room;
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let longer = if line.is_empty() { word.to_string() } else { format!("{line} {word}") };
        if !is_too_wide(&longer) {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for letter in word.chars() {
            line.push(letter);
            if is_too_wide(&line) && line.chars().count() > 1 {
                line.pop();
                lines.push(std::mem::replace(&mut line, letter.to_string()));
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    const US: Heights = Heights { least: 1_590, net_figures: None, net_letters: Some(1_590) };
    const EU: Heights = Heights { least: 1_200, net_figures: Some(2_000), net_letters: None };

    fn paragraph(stay: Stay, item: &str, text: &str) -> Paragraph {
        Paragraph { stay, item: item.to_string(), text: text.to_string() }
    }

    fn balm(ingredients: usize) -> Vec<Paragraph> {
        vec![
            paragraph(Stay::Title, "title", "Balm"),
            paragraph(Stay::Pack, "ingredients", &format!("Ingredients: {}", "Cera Alba, ".repeat(ingredients))),
            paragraph(Stay::Fixed, "responsible person", "Mill Lane Soaps, 1 Mill Lane, Hillham"),
            paragraph(Stay::Net, "nominal content", "30 mL"),
        ]
    }

    /// Every line lies within the edge, and none on another.
    fn holds(layout: &Layout, width: i64, height: i64, heights: &Heights) {
        let lines = layout.lines.as_ref().unwrap();
        for line in lines {
            assert!(line.x + line.width <= width - EDGE, "{line:?}");
            assert!(line.y <= height - EDGE && line.y - line.size * 9 / 10 >= EDGE - 1, "{line:?}");
            assert!(line.size * SMALL_O >= heights.least * 1_000, "{line:?}");
        }
        for pair in lines.windows(2) {
            assert!(pair[0].y < pair[1].y, "{pair:?}");
        }
    }

    #[test]
    fn what_fits_is_as_large_as_it_can_be() {
        let layout = lay_out(60_000, 40_000, &balm(4), &EU);
        holds(&layout, 60_000, 40_000, &EU);
        assert!(layout.left_out.is_empty() && layout.letters > 1_800, "{}", layout.letters);
        assert!(lay_out(120_000, 80_000, &balm(4), &EU).letters > layout.letters);
    }

    #[test]
    fn nothing_is_smaller_than_it_may_be_and_what_does_not_fit_is_named() {
        let layout = lay_out(40_000, 25_000, &balm(60), &US);
        holds(&layout, 40_000, 25_000, &US);
        let names: Vec<&str> = layout.left_out.iter().map(|one| one.item.as_str()).collect();
        assert_eq!(names, ["ingredients"]);
        assert!(layout.would_need.unwrap() < 1_590);
    }

    #[test]
    fn what_has_to_stand_on_it_is_never_left_out() {
        let layout = lay_out(12_000, 8_000, &balm(10), &US);
        assert_eq!(layout.lines, None);
    }

    #[test]
    fn figures_are_as_high_as_they_have_to_be() {
        let layout = lay_out(60_000, 40_000, &balm(30), &EU);
        let net = layout.lines.unwrap().pop().unwrap();
        assert_eq!(net.text, "30 mL");
        assert!(net.size * FIGURE >= 2_000 * 1_000);
    }

    #[test]
    fn a_word_that_is_too_wide_is_cut_and_no_size_makes_it_panic() {
        for (width, height) in [(0, 0), (-5, 10_000), (10_000, 3_000), (3_001, 100_000), (i64::from(u32::MAX), 10)] {
            let _ = lay_out(width, height, &balm(1), &EU);
        }
        let long = [paragraph(Stay::Fixed, "name", &"Glycyrrhizate".repeat(6))];
        let layout = lay_out(30_000, 60_000, &long, &EU);
        holds(&layout, 30_000, 60_000, &EU);
    }
}
