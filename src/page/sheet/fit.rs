//! How much of a sheet there is, so that each of its sides is set as close as one side of paper asks for.

use crate::render::{Sheet, gathered};

/// How high a side of Letter is between its edges and below the name, in the units of a browser: the lower of the two
/// papers.
const ROOM: f64 = 935.0;
/// How high a line of text is, as it is set on paper.
const LINE: f64 = 16.3;
/// Nothing is set closer than this: smaller letters nobody reads at a bench.
const CLOSEST: f64 = 0.62;

/// The scale of the working side, and of the other.
pub(super) fn fit(sheet: &Sheet) -> (f64, f64) {
    let scale = |high: f64, at_most: f64| ((ROOM / high).min(at_most).max(CLOSEST) * 100.0).floor() / 100.0;
    (scale(working(sheet), 1.08), scale(second(sheet), 0.92))
}

/// So many lines of so many letters.
fn lines(text: &str, letters: usize) -> f64 {
    text.split('\n').map(|line| line.chars().count().div_ceil(letters).max(1)).sum::<usize>() as f64
}

fn working(sheet: &Sheet) -> f64 {
    let weighed = || sheet.phases.iter().flat_map(|phase| &phase.lines);
    let care: f64 = sheet.warnings().map(|of| lines(&of.message, 58) + 0.3).sum::<f64>()
        + gathered(&sheet.cautions).iter().map(|(of, texts)| lines(&[*of, &texts.join(" ")].concat(), 56)).sum::<f64>();
    let care = if care > 0.0 { 32.0 + LINE * ((care / 2.0).ceil() + 1.0) } else { 0.0 };
    let row = |line: &crate::render::SheetLine| {
        let name = line.title.as_deref().unwrap_or(&line.material).chars().count();
        let because = line.because.as_ref().map_or(0, |because| because.chars().count() + 4);
        8.5 + LINE * (name + because).div_ceil(46).max(1) as f64
    };
    let table = 64.0
        + 27.0 * sheet.phases.iter().filter(|phase| !phase.lines.is_empty()).count() as f64
        + weighed().map(row).sum::<f64>()
        + 19.0 * weighed().filter(|line| line.held_back_g.is_some()).count() as f64;
    let steps = 24.0 + sheet.steps.iter().map(|step| LINE * lines(step, 45) + 1.5).sum::<f64>();
    let foreseen = sheet.ph.iter().flat_map(|ph| ph.words.iter().chain(&ph.beaker_test)).map(|of| LINE * lines(of, 48));
    let foreseen: f64 = foreseen.sum();
    let adjusts = weighed().any(|line| line.at_bench);
    let ph = if adjusts { 275.0 + foreseen } else { 24.0 + foreseen };
    let said = sheet.fill.as_ref().map(|fill| lines(&fill.words(), 105)).unwrap_or_default()
        + sheet.keeps.as_ref().map(|keeps| lines(&keeps.words(), 105)).unwrap_or_default()
        + sheet.unpreserved.as_ref().map(|of| lines(of, 105)).unwrap_or_default();
    46.0 + care + 90.0 + table + ph.max(steps) + 135.0 + LINE * said
}

fn second(sheet: &Sheet) -> f64 {
    let rows = sheet.substances.len() as f64;
    let remarks = sheet.diagnostics.iter().filter(|of| of.level != "warning").map(|of| lines(&of.message, 100));
    let allowed = sheet.allowed.iter().map(|of| lines(&[of.message.as_str(), &of.because].concat(), 100) + 1.0);
    let remarks = remarks.sum::<f64>() + allowed.sum::<f64>() + sheet.remark.as_ref().map_or(0.0, |of| lines(of, 110));
    let weighed = sheet.phases.iter().map(|phase| phase.lines.len()).sum::<usize>() as f64;
    let composition = 110.0 + rows.min(24.0) * 13.5 + rows * 20.0 + sheet.actives.len() as f64 * 60.0;
    composition.max(360.0) + 60.0 + weighed * 20.0 + 120.0 + remarks * LINE
}
