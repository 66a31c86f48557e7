//! What a drawing of a titration shows: the curve, how far it may be off, and the doses, in grams of the batch.

use crate::model::{Formula, LineMaterial};
use crate::quantity::Exact;
use crate::render::{PhAdjuster, PhJson, ph_json};
use crate::sheet::ph::{Adjuster, AdjusterOutlook, Direction, Outlook, band, curve_for_eyes, curve_read, uncertainty};

/// Points of the curve, before more are put where it is steep.
const POINTS: u32 = 81;

/// A titration as it is drawn.
#[derive(Clone, Debug)]
pub struct PhDrawing {
    /// What `ph` prints: the window, the doses and their ranges.
    pub of: PhJson,
    /// What the formula is called on the sheet.
    pub title: String,
    /// What the adjuster is called on the sheet.
    pub called: String,
    /// Grams of the adjuster, and the pH.
    pub curve: Vec<(f64, f64)>,
    /// Where the curve may really run: between these,
    pub band: [Vec<(f64, f64)>; 2],
    /// and up to so many grams it is drawn.
    pub most: f64,
}

impl PhDrawing {
    /// The drawing of a formula's titration; none where no dose is foreseen. It reaches to `at_least` grams: of a batch,
    /// as far as it was read.
    #[must_use]
    pub fn of(formula: &Formula, outlook: Option<&Outlook>, batch: &Exact, at_least: f64) -> Option<PhDrawing> {
        let of = ph_json(formula, outlook, batch)?;
        let name = of.ph.curve_of.clone()?;
        let outlook = outlook?;
        let before = outlook.before.as_ref()?;
        let own = |of: &&AdjusterOutlook| formula.lines.get(of.line).is_some_and(|line| *line.name == *name);
        let line = outlook.adjusters.iter().find(own)?.line;
        let adjuster = outlook.solution.adjusters.iter().find(|adjuster| adjuster.line == line)?;
        let told = of.ph.ph.adjusters.iter().find(|of| of.material == name)?;
        let per_cent = batch.to_f64() / 100.0;
        let most = reach(told, of.ph.held_back_g, at_least).min(adjuster.blend.most * per_cent);
        if !(most > 0.0 && per_cent > 0.0) {
            return None;
        }
        let direction = Direction::of(adjuster, before, outlook.model);
        let curve = match &adjuster.titrated {
            Some(titrated) => curve_read(adjuster, titrated, before, most / per_cent, POINTS),
            None => curve_for_eyes(adjuster, most / per_cent, POINTS, outlook.model),
        };
        let common = uncertainty::common(formula, &outlook.validity);
        let band = band(&outlook.solution, &direction, &curve, common);
        let in_batch = |points: Vec<(f64, f64)>| points.into_iter().map(|(dose, ph)| (dose * per_cent, ph)).collect();
        let curve: Vec<(f64, f64)> = in_batch(curve.points);
        (curve.len() > 1).then(|| PhDrawing {
            title: formula.title.as_ref().unwrap_or(&formula.name).to_string(),
            called: called(formula, adjuster),
            curve,
            band: [in_batch(band.one), in_batch(band.other)],
            most,
            of,
        })
    }

    /// The line of the doses.
    #[must_use]
    pub fn adjuster(&self) -> Option<&PhAdjuster> {
        let name = self.of.ph.curve_of.as_ref()?;
        self.of.ph.ph.adjusters.iter().find(|of| of.material == *name)
    }

    /// The window, lower edge first; none at an open end.
    #[must_use]
    pub fn window(&self) -> [Option<f64>; 2] {
        self.of.ph.ph.window.clone().map(|edge| edge.and_then(|edge| edge.parse::<f64>().ok()))
    }
}

/// What the adjuster is called on the sheet.
fn called(formula: &Formula, adjuster: &Adjuster) -> String {
    let Some(line) = formula.lines.get(adjuster.line) else { return String::new() };
    let title = match &line.material {
        Some(LineMaterial::Material(material)) => material.title.as_ref(),
        Some(LineMaterial::Premix(premix)) => premix.title.as_ref(),
        None => None,
    };
    title.unwrap_or(&line.name).to_string()
}

/// How far it is drawn: past the range of the last dose, and past what is held back where that is not so far off that
/// nothing of the doses would be seen.
fn reach(told: &PhAdjuster, held: Option<f64>, at_least: f64) -> f64 {
    const ROOM: f64 = 1.15;
    const FAR: f64 = 2.6;
    let doses = [told.grams_near, told.grams_mid, told.grams_far].into_iter().flatten();
    let ranges = [told.grams_near_range, told.grams_mid_range, told.grams_far_range].into_iter().flatten();
    let ends = ranges.flat_map(|[_, high]| high);
    let wanted = doses.chain(ends).fold(at_least, f64::max);
    match held {
        Some(held) if wanted <= 0.0 || held <= wanted * FAR => held.max(wanted) * ROOM,
        _ => wanted * ROOM,
    }
}
