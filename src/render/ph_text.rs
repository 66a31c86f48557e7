//! The pH foreseen for a terminal: the figures, and a titration curve drawn in characters.

use super::line;
use super::ph::why_untold;
use super::screen::shown_data;
use super::{PhAdjuster, PhJson, PhPoint};
use crate::sheet::ph::VAGUE;

/// The size of the drawing, in characters.
const WIDTH: usize = 64;
const HEIGHT: usize = 18;

/// What every forecast ends with.
const METER: &str = "A forecast is for planning: the meter decides. Acids and bases as supplied burn: goggles and \
gloves, base into the batch and never the batch into base.";

/// Writes what is foreseen as plain text.
#[must_use]
pub fn ph_text(of: &PhJson) -> String {
    let of = &shown_data(of);
    let mut out = String::new();
    line(&mut out, format_args!("{}  in {} g of finished batch\n", of.formula, of.batch_g));
    figures(&mut out, of);
    if of.ph.curve.len() > 1 {
        drawing(&mut out, of);
    }
    beaker_test(&mut out, &of.ph.ph.beaker_test);
    for words in of.ph.ph.why_vague.iter().chain(&of.ph.ph.titrated) {
        line(&mut out, format_args!("{words}"));
    }
    for reason in &of.ph.ph.less_sure {
        line(&mut out, format_args!("Less sure: {}.", reason.trim_end_matches('.')));
    }
    for left in &of.ph.ph.left_out {
        line(
            &mut out,
            format_args!("Left out: {} % of the batch in `{}` has no acid-base data.", left.percent, left.material),
        );
    }
    line(&mut out, format_args!("{METER}"));
    out
}

/// What a beaker test is for, and its steps with their numbers.
pub(super) fn beaker_test(out: &mut String, steps: &[String]) {
    let mut steps = steps.iter();
    let Some(what_for) = steps.next() else { return };
    line(out, format_args!("{what_for}"));
    for (number, step) in steps.enumerate() {
        line(out, format_args!("  {}. {step}", number + 1));
    }
}

/// Writes the titration as comma-separated values.
#[must_use]
pub fn ph_csv(of: &PhJson) -> String {
    let mut out = String::from("formula,adjuster,grams,ph\n");
    let adjuster = of.ph.curve_of.as_deref().unwrap_or_default();
    for point in &of.ph.curve {
        line(&mut out, format_args!("{},{adjuster},{},{}", of.formula, point.grams, point.ph));
    }
    out
}

fn figures(out: &mut String, of: &PhJson) {
    let ph = &of.ph.ph;
    if ph.model.is_none() {
        line(out, format_args!("Nothing can be foreseen of the pH."));
        return;
    }
    let fresh = ph.before_fresh.map(|fresh| format!(" ({fresh:.2} as weighed, before the lactone turns)"));
    let give = ph.before_uncertainty.unwrap_or_default();
    match ph.before {
        Some(before) => line(
            out,
            format_args!("  before adjustment  pH {before:.2}, give or take {give:.2}{}", fresh.unwrap_or_default()),
        ),
        None => line(out, format_args!("  before adjustment  not foreseen within {VAGUE} either way")),
    }
    if let Some(window) = window_words(&ph.window) {
        line(out, format_args!("  window             pH {window}"));
    }
    for adjuster in &ph.adjusters {
        doses(out, adjuster, &ph.window);
    }
    if let (Some(capacity), Some(strength)) = (ph.buffer_capacity, ph.ionic_strength) {
        line(out, format_args!("  buffer capacity    {capacity:.4} mol/kg water per pH"));
        let model = ph.model.as_deref().unwrap_or_default();
        line(out, format_args!("  ionic strength     {strength:.3} mol/kg water, model {model}"));
    }
    line(out, format_args!(""));
}

/// The window as it is written.
pub(crate) fn window_words(window: &[Option<String>; 2]) -> Option<String> {
    match window {
        [Some(low), Some(high)] => Some(format!("{low} to {high}")),
        [Some(low), None] => Some(format!("{low} or over")),
        [None, Some(high)] => Some(format!("{high} or under")),
        [None, None] => None,
    }
}

fn doses(out: &mut String, of: &PhAdjuster, window: &[Option<String>; 2]) {
    line(out, format_args!("  {}", of.material));
    let all = [
        ("near edge", of.grams_near, of.grams_near_range),
        ("middle", of.grams_mid, of.grams_mid_range),
        ("far edge", of.grams_far, of.grams_far_range),
    ];
    if window_words(window).is_some() && all.iter().all(|(_, dose, _)| dose.is_none()) {
        let why = match of.leads_away {
            true => "does not lead to the window",
            false => "no dose is foreseen closely enough to weigh by",
        };
        line(out, format_args!("    {why}"));
    }
    for (to, dose, range) in all {
        let Some(dose) = dose else { continue };
        let range = match range {
            Some([Some(low), Some(high)]) => format!("   {low:.2} to {high:.2} g"),
            Some([Some(low), None]) => format!("   {low:.2} g to more than there is water for"),
            _ => String::new(),
        };
        line(out, format_args!("    {to:<15}{dose:>9.2} g{range}"));
    }
    if let Some(why) = why_untold(of).filter(|_| all.iter().any(|(_, dose, _)| dose.is_some())) {
        line(out, format_args!("    {why}"));
    }
}

/// The field a curve is drawn in.
struct Field {
    most_grams: f64,
    low: f64,
    high: f64,
}

impl Field {
    fn of(points: &[PhPoint], window: [Option<f64>; 2]) -> Field {
        let all = points.iter().map(|point| point.ph).chain(window.into_iter().flatten());
        let (low, high) = all.fold((f64::MAX, f64::MIN), |(low, high), ph| (low.min(ph), high.max(ph)));
        let most_grams = points.iter().map(|point| point.grams).fold(0.0, f64::max);
        Field { most_grams, low: low.floor(), high: high.ceil().max(low.floor() + 1.0) }
    }

    fn row(&self, ph: f64) -> usize {
        let share = (self.high - ph) / (self.high - self.low);
        ((share * (HEIGHT - 1) as f64).round().max(0.0) as usize).min(HEIGHT - 1)
    }

    fn column(&self, grams: f64) -> usize {
        let share = if self.most_grams > 0.0 { grams / self.most_grams } else { 0.0 };
        ((share * (WIDTH - 1) as f64).round().max(0.0) as usize).min(WIDTH - 1)
    }
}

fn drawing(out: &mut String, of: &PhJson) {
    let window = of.ph.ph.window.clone().map(|edge| edge.and_then(|edge| edge.parse::<f64>().ok()));
    let field = Field::of(&of.ph.curve, window);
    let mut rows = vec![vec![' '; WIDTH]; HEIGHT];
    if window.iter().any(Option::is_some) {
        let [low, high] = window;
        let (top, bottom) = (high.map_or(0, |high| field.row(high)), low.map_or(HEIGHT - 1, |low| field.row(low)));
        rows.iter_mut().take(bottom + 1).skip(top).for_each(|row| row.fill('░'));
    }
    let held = of.ph.held_back_g.filter(|held| *held <= field.most_grams);
    if let Some(held) = held {
        let column = field.column(held);
        rows.iter_mut().filter_map(|row| row.get_mut(column)).for_each(|cell| *cell = '┊');
    }
    let mut before = None;
    for point in &of.ph.curve {
        let (row, column) = (field.row(point.ph), field.column(point.grams));
        // Between two points a steep curve leaves rows out: they are filled, so that it stays one line.
        let from = before.unwrap_or(row);
        let between = if from < row { from + 1..=row } else { row..=from.saturating_sub(1).max(row) };
        for at in between {
            if let Some(cell) = rows.get_mut(at).and_then(|cells| cells.get_mut(column)) {
                *cell = '•';
            }
        }
        before = Some(row);
    }
    for (number, row) in rows.iter().enumerate() {
        let ph = field.high - (field.high - field.low) * number as f64 / (HEIGHT - 1) as f64;
        let label = if number % 3 == 0 || number == HEIGHT - 1 { format!("{ph:5.1}") } else { " ".repeat(5) };
        let text: String = row.iter().collect();
        line(out, format_args!("{label} │{}", text.trim_end()));
    }
    axis(out, of, &field, held);
}

fn axis(out: &mut String, of: &PhJson, field: &Field, held: Option<f64>) {
    line(out, format_args!("   pH └{}", "─".repeat(WIDTH)));
    let far = format!("{:.2}", field.most_grams);
    line(out, format_args!("       0{far:>width$}", width = WIDTH - 1));
    let of_what = of.ph.curve_of.as_deref().unwrap_or_default();
    let shaded = if window_words(&of.ph.ph.window).is_some() { "; ░ the window" } else { "" };
    let end = held.map(|held| format!("; ┊ {held:.2} g held back")).unwrap_or_default();
    line(out, format_args!("       grams of {of_what}{shaded}{end}\n"));
}
