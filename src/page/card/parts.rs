//! The parts of a card: what it is of, its materials by phase, and what to take care of.

use super::content::{Card, CardLine, CardPhase};
use super::letters::Face;
use super::pen::{Mark, Pen, Style, colour};

/// The sizes a title may have, the largest first, and how many lines each is worth.
const TITLES: [(f64, usize); 4] = [(84.0, 2), (68.0, 3), (56.0, 4), (46.0, usize::MAX)];

/// How far the names and the figures stand in from the margins.
const INSET: f64 = 20.0;

/// What stands in place of a percentage on the line that is weighed at the bench.
const TO_THE_PH: &str = "to the pH";

/// What it is of, what it is for, and the pH it is brought to.
pub(super) fn head(pen: &mut Pen<'_>, card: &Card) {
    let room = pen.right - pen.left;
    let fits = |(size, most): &&(f64, usize)| {
        pen.lines(&card.title, pen.style(Face::Title, *size, colour::INK), room).len() <= *most
    };
    let size = TITLES.iter().find(fits).map_or(46.0, |(size, _)| *size);
    pen.set(&card.title, pen.style(Face::Title, size, colour::GREEN), pen.left);
    if let Some(function) = &card.function {
        pen.skip(6.0);
        pen.set(function, pen.style(Face::Plain, 42.0, colour::INK), pen.left);
    }
    let version = card.version.as_ref().map(|version| format!("version {version}"));
    let about: Vec<String> = card.product.iter().cloned().chain(version).collect();
    if !about.is_empty() {
        pen.skip(2.0);
        pen.set(&about.join("  ·  "), pen.style(Face::Plain, 32.0, colour::SOFT), pen.left);
    }
    pen.skip(20.0);
    pen.rule(pen.left, pen.unit(5.0), colour::GREEN);
    if let Some(window) = &card.window {
        pen.skip(24.0);
        pill(pen, &format!("Bring to pH {window}"));
    }
}

/// Words in a box as wide as they are.
fn pill(pen: &mut Pen<'_>, words: &str) {
    let style = pen.style(Face::Bold, 38.0, colour::BLUE);
    let (beside, high) = (pen.unit(26.0), pen.unit(66.0));
    let wide = pen.width(words, style) + beside * 2.0;
    let (left, top) = (pen.left, pen.top);
    pen.marks.push(Mark::Box { left, top, wide, high, round: high / 2.0, colour: colour::BLUE_WASH });
    pen.put(words.to_string(), style, left + beside, top + pen.unit(13.0));
    pen.top += high;
}

/// The materials, phase by phase, with how much of each where figures are shown.
pub(super) fn materials(pen: &mut Pen<'_>, card: &Card, figures: bool) {
    let column = Column::of(pen, card, figures);
    for phase in &card.phases {
        pen.skip(30.0);
        phase_head(pen, phase);
        for (at, line) in phase.lines.iter().enumerate() {
            if at > 0 {
                pen.rule(pen.left, pen.unit(1.5), colour::LINE);
            }
            material(pen, line, &column);
        }
    }
    if figures {
        pen.rule(pen.left, pen.unit(3.0), colour::GREEN);
        pen.skip(10.0);
        let style = pen.style(Face::Bold, 40.0, colour::INK);
        let top = pen.top;
        pen.put("In all".to_string(), style, pen.left + pen.unit(INSET), top);
        column.put(pen, in_percent(&card.total_percent), style, top);
        pen.top += style.size * 1.3;
    }
}

/// The letter of a phase, what is done in it, and how warm.
fn phase_head(pen: &mut Pen<'_>, phase: &CardPhase) {
    let style = pen.style(Face::Bold, 36.0, colour::GREEN);
    let heat = phase.heat_c.iter().map(|celsius| format!("heat to {celsius} °C"));
    let cool = phase.cool_c.iter().map(|celsius| format!("cool to {celsius} °C"));
    let words: Vec<String> =
        [phase.name.clone()].into_iter().chain(phase.title.clone()).chain(heat).chain(cool).collect();
    let (words, beside, above) = (words.join("  ·  "), pen.unit(INSET), pen.unit(8.0));
    let (from, left) = (pen.marks.len(), pen.left);
    let top = pen.top;
    pen.top += above;
    pen.set_until(&words, style, left + beside, pen.right - beside);
    pen.top += above;
    let wash = Mark::Box {
        left,
        top,
        wide: pen.right - left,
        high: pen.top - top,
        round: pen.unit(10.0),
        colour: colour::GREEN_WASH,
    };
    pen.marks.insert(from, wash);
    pen.skip(4.0);
}

/// A material: its name, how much of it, and what active it brings.
fn material(pen: &mut Pen<'_>, line: &CardLine, column: &Column) {
    let name = pen.style(Face::Plain, 40.0, colour::INK);
    let small = pen.style(Face::Plain, 31.0, colour::SOFT);
    let inset = pen.left + pen.unit(INSET);
    pen.skip(9.0);
    let top = pen.top;
    pen.set_until(&line.called, name, inset, column.left);
    match (&line.percent, column.figures) {
        (Some(percent), true) => column.put(pen, in_percent(percent), Style { face: Face::Bold, ..name }, top),
        (Some(_), false) => {}
        (None, _) => column.put(pen, TO_THE_PH.to_string(), Style { colour: colour::BLUE, ..name }, top),
    }
    if !line.brings.is_empty() {
        let brought = line
            .brings
            .iter()
            .map(|(share, what)| if column.figures { format!("{share} % {what}") } else { what.clone() });
        let words = format!("brings {}", brought.collect::<Vec<String>>().join(", "));
        pen.set_until(&words, small, inset, column.left);
    }
    pen.skip(11.0);
}

/// The column of percentages, at the right margin.
struct Column {
    figures: bool,
    /// Where the names end.
    left: f64,
    /// Where each figure ends.
    right: f64,
}

impl Column {
    fn of(pen: &Pen<'_>, card: &Card, figures: bool) -> Column {
        let bold = pen.style(Face::Bold, 40.0, colour::INK);
        let lines = || card.phases.iter().flat_map(|phase| &phase.lines);
        let percents = lines().filter_map(|line| line.percent.as_ref()).chain([&card.total_percent]);
        let figures_wide = percents.filter(|_| figures).map(|percent| pen.width(&in_percent(percent), bold));
        let words_wide = lines().filter(|line| line.percent.is_none()).map(|_| pen.width(TO_THE_PH, bold));
        let wide = figures_wide.chain(words_wide).fold(0.0, f64::max);
        let gap = if wide > 0.0 { pen.unit(30.0) } else { 0.0 };
        let right = pen.right - pen.unit(INSET);
        Column { figures, left: right - wide - gap, right }
    }

    fn put(&self, pen: &mut Pen<'_>, words: String, style: Style, top: f64) {
        let left = self.right - pen.width(&words, style);
        pen.put(words, style, left, top);
    }
}

fn in_percent(percent: &str) -> String {
    format!("{percent} %")
}

/// What to take care of, and what the card is not.
pub(super) fn care(pen: &mut Pen<'_>, card: &Card) {
    if !card.warnings.is_empty() || !card.cautions.is_empty() {
        let (from, top, left, right) = (pen.marks.len(), pen.top, pen.left, pen.right);
        let beside = pen.unit(28.0);
        (pen.left, pen.right) = (left + beside, right - beside);
        pen.skip(20.0);
        cautions(pen, card);
        pen.skip(20.0);
        (pen.left, pen.right) = (left, right);
        let high = pen.top - top;
        let wash = Mark::Box { left, top, wide: right - left, high, round: pen.unit(16.0), colour: colour::AMBER_WASH };
        pen.marks.insert(from, wash);
        pen.skip(20.0);
    }
    pen.set(&card.deference, pen.style(Face::Plain, 27.0, colour::SOFT), pen.left);
}

fn cautions(pen: &mut Pen<'_>, card: &Card) {
    let plain = pen.style(Face::Plain, 30.0, colour::INK);
    let bold = Style { face: Face::Bold, ..plain };
    pen.set("Take care", pen.style(Face::Bold, 36.0, colour::AMBER), pen.left);
    for warning in &card.warnings {
        pen.skip(4.0);
        pen.set(warning, bold, pen.left);
    }
    for (of, texts) in &card.cautions {
        pen.skip(6.0);
        pen.set(of, bold, pen.left);
        pen.set(&run_on(texts), plain, pen.left);
    }
}

/// Sentences one after the other.
fn run_on(texts: &[String]) -> String {
    let ended = |text: &String| match text.trim_end() {
        text if text.ends_with(['.', '!', '?', ':', ';']) => text.to_string(),
        text => format!("{text}."),
    };
    texts.iter().map(ended).collect::<Vec<String>>().join(" ")
}
