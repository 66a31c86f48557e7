//! The titration curve as a picture.

use super::PhJson;
use plotters::prelude::*;

/// The size of the picture, in pixels.
const SIZE: (u32, u32) = (860, 520);
const INK: RGBColor = RGBColor(32, 48, 64);
const CURVE: RGBColor = RGBColor(0, 92, 138);
const WINDOW: RGBColor = RGBColor(186, 222, 200);
const RESERVE: RGBColor = RGBColor(150, 60, 20);

/// Draws the titration as SVG; none where there is nothing to titrate with, or the drawing fails.
#[must_use]
pub fn ph_svg(of: &PhJson) -> Option<String> {
    let curve: Vec<(f64, f64)> = of.ph.curve.iter().map(|point| (point.grams, point.ph)).collect();
    let most = curve.iter().map(|(grams, _)| *grams).fold(0.0, f64::max);
    if curve.len() < 2 || most <= 0.0 {
        return None;
    }
    let mut out = String::new();
    drawn(&mut out, of, &curve, most).ok()?;
    Some(out)
}

fn drawn(out: &mut String, of: &PhJson, curve: &[(f64, f64)], most: f64) -> Result<(), Box<dyn std::error::Error>> {
    let window = of.ph.ph.window.clone().map(|edge| edge.and_then(|edge| edge.parse::<f64>().ok()));
    let all = || curve.iter().map(|(_, ph)| *ph).chain(window.into_iter().flatten());
    let (low, high) = (all().fold(f64::MAX, f64::min).floor(), all().fold(f64::MIN, f64::max).ceil());
    let area = SVGBackend::with_string(out, SIZE).into_drawing_area();
    area.fill(&WHITE)?;
    let title = format!("{}: pH over {}", of.formula, of.ph.curve_of.as_deref().unwrap_or_default());
    let mut chart = ChartBuilder::on(&area)
        .caption(title, ("sans-serif", 22).into_font().color(&INK))
        .margin(16)
        .x_label_area_size(46)
        .y_label_area_size(52)
        .build_cartesian_2d(0.0..most, low..high)?;
    if window.iter().any(Option::is_some) {
        let [bottom, top] = window;
        let corners = [(0.0, bottom.unwrap_or(low)), (most, top.unwrap_or(high))];
        chart.draw_series([Rectangle::new(corners, WINDOW.filled())])?;
    }
    chart
        .configure_mesh()
        .light_line_style(TRANSPARENT)
        .bold_line_style(INK.mix(0.12))
        .axis_style(INK)
        .label_style(("sans-serif", 15).into_font().color(&INK))
        .x_desc(format!("g in {} g of batch", of.batch_g))
        .y_desc("pH")
        .draw()?;
    chart.draw_series(LineSeries::new(curve.iter().copied(), CURVE.stroke_width(3)))?;
    if let Some(held) = of.ph.held_back_g.filter(|held| *held <= most) {
        chart.draw_series(LineSeries::new([(held, low), (held, high)], RESERVE.stroke_width(2)))?;
        let words = format!("{held:.2} g held back");
        let style = ("sans-serif", 15).into_font().color(&RESERVE);
        chart.draw_series([Text::new(words, (held - most * 0.17, low + (high - low) * 0.06), style)])?;
    }
    area.present()?;
    Ok(())
}
