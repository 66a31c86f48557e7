//! The labels of a titration, in the order in which they get their place: the axes, what is held back, the doses, the
//! window, where it begins, and the last readings.

use super::foreseen::PhDrawing;
use super::labels::{Anchor, Area, LETTERS, Labels, Spot, width};
use super::plot::{Plot, for_xml};
use super::titration::{
    CurveReading, Dose, TICK, WIDE, doses, holds, paper, seen, ticks_along, ticks_up, window_words,
};

/// How far a line is from the next, of labels above one another.
const ROW: f64 = LETTERS * 1.2;
/// So many of the last readings have their figure: all of them stand in a table and in words.
const LATEST: usize = 12;

/// The labels of a titration, with what was read on it.
pub(super) fn labels(of: &PhDrawing, readings: &[CurveReading], plot: &Plot) -> Labels {
    let field = Area { left: plot.across.0, top: plot.down.0, right: plot.across.1, bottom: plot.down.1 };
    let mut labels = Labels::new(paper(), field);
    let told = seen(doses(of), plot);
    let read: Vec<(f64, f64)> = readings.iter().map(|read| (read.grams, read.ph)).collect();
    keep_off(&mut labels, of, &told, &read, plot);
    axes(&mut labels, of, plot);
    held(&mut labels, of, plot);
    dose_labels(&mut labels, &told, plot);
    window(&mut labels, of, plot);
    before(&mut labels, of, plot);
    for (grams, ph) in read.iter().rev().take(LATEST).filter(|(grams, ph)| holds(plot, *grams, *ph)) {
        let spots = around(plot.left(*grams), plot.top(*ph));
        labels.put_off_marks("strong", &format!("{ph:.2}"), &spots);
    }
    labels
}

/// The lines and the marks: what is harder to read under letters counts more.
fn keep_off(labels: &mut Labels, of: &PhDrawing, told: &[Dose], read: &[(f64, f64)], plot: &Plot) {
    let field = labels.field;
    let placed = |points: &[(f64, f64)]| points.iter().map(|(x, y)| (plot.left(*x), plot.top(*y))).collect();
    let along = |y: f64| vec![(field.left, y), (field.right, y)];
    let up = |x: f64, y: f64| vec![(x, y), (x, field.bottom)];
    labels.keep_off_line(placed(&of.curve), 9.0);
    labels.keep_off_line(placed(read), 3.0);
    labels.keep_off_line(up(field.left, field.top), 4.0);
    for edge in of.window().into_iter().flatten() {
        labels.keep_off_line(along(plot.top(edge)), 1.5);
    }
    if let Some(held) = of.of.ph.held_back_g.filter(|held| *held <= plot.x.1) {
        labels.keep_off_line(up(plot.left(held), field.top), 6.0);
    }
    for dose in told {
        let (x, y) = (plot.left(dose.grams), plot.top(dose.ph));
        labels.keep_off_line(up(x, y), 6.0);
        labels.keep_off_mark(x, y, 6.0);
        if let Some((low, high)) = dose.range {
            labels.keep_off_line(vec![(plot.left(low), y), (plot.left(high), y)], 3.0);
        }
    }
    for (grams, ph) in read {
        labels.keep_off_mark(plot.left(*grams), plot.top(*ph), 5.5);
    }
}

fn axes(labels: &mut Labels, of: &PhDrawing, plot: &Plot) {
    let (left, right) = plot.across;
    for (_, tick) in ticks_up(plot).into_iter().chain(ticks_along(plot)) {
        labels.put(TICK, &tick.words, &[tick.spot]);
    }
    labels.put(TICK, "pH", &[Spot::new(left, plot.down.0 - 9.0, Anchor::Start, 0.0)]);
    let middle = Spot::new(f64::midpoint(left, right), plot.down.1 + 56.0, Anchor::Middle, 0.0);
    let words = axis_words(of);
    labels.put(TICK, &words, &[middle.within(&words, TICK, &paper())]);
}

/// What the figures at the foot are: the longest way to say so that has room.
fn axis_words(of: &PhDrawing) -> String {
    let name = of.of.ph.curve_of.as_deref().unwrap_or_default();
    let batch = &of.of.batch_g;
    let in_batch = |called: &str| for_xml(&format!("g of {called} in {batch} g of batch"));
    let ways = [in_batch(&of.called), in_batch(name), in_batch("the adjuster"), for_xml(&format!("g of {name}"))];
    let has_room = |words: &String| width(words, TICK) <= WIDE - 8.0;
    ways.into_iter().find(has_room).unwrap_or_else(|| "g of the adjuster".to_string())
}

/// What is held back, above its line.
fn held(labels: &mut Labels, of: &PhDrawing, plot: &Plot) {
    const CLASS: &str = "held-words";
    let Some(grams) = of.of.ph.held_back_g else { return };
    let y = plot.down.0 - 9.0;
    let (words, x) = match grams <= plot.x.1 {
        true => (format!("{grams:.2} g held back"), plot.left(grams)),
        false => (format!("{grams:.2} g held back, further on →"), plot.across.1),
    };
    let spots = [
        Spot::new(x + 4.0, y, Anchor::End, 0.0),
        Spot::new(x - 4.0, y, Anchor::Start, 1.0),
        Spot::new(x, y, Anchor::Middle, 2.0),
        Spot::new(plot.across.1, y, Anchor::End, 3.0),
        Spot::new(plot.across.0 + 2.0 * LETTERS, y, Anchor::Start, 4.0),
    ];
    labels.put(CLASS, &words, &spots);
}

/// The grams of each dose, beside its line: each on a height of its own where they are near one another.
fn dose_labels(labels: &mut Labels, told: &[Dose], plot: &Plot) {
    let last = told.len().saturating_sub(1);
    let all = told.iter().enumerate().map(|(number, dose)| (number == last && last > 0, dose));
    // The edges first: the middle then stands between them or above one.
    let (middles, edges): (Vec<_>, Vec<_>) = all.partition(|(_, dose)| dose.is_middle);
    for (is_last, dose) in edges.into_iter().chain(middles) {
        let (x, y) = (plot.left(dose.grams), plot.top(dose.ph));
        let rows = ((plot.down.1 - plot.down.0) / ROW).floor().max(0.0) as u32;
        let mut spots = labels.anywhere(60.0);
        for row in 0..rows {
            let line = plot.down.1 - 8.0 - f64::from(row) * ROW;
            // Above its mark a label no longer stands at its line.
            let above = if line - LETTERS < y && row > 0 { 20.0 } else { 0.0 };
            let up = f64::from(row) * 0.4 + above;
            let [before, behind] = if is_last { [0.8, 0.0] } else { [0.0, 0.8] };
            spots.push(Spot::new(x - 6.0, line, Anchor::End, up + before));
            spots.push(Spot::new(x + 6.0, line, Anchor::Start, up + behind));
        }
        labels.put("strong", &format!("{:.2} g", dose.grams), &spots);
    }
}

/// The window in words: in it, where it is high enough, else beside it.
fn window(labels: &mut Labels, of: &PhDrawing, plot: &Plot) {
    const CLASS: &str = "window-words";
    let Some(words) = window_words(of) else { return };
    let [low, high] = of.window();
    let (top, bottom) = (plot.top(high.unwrap_or(plot.y.1)), plot.top(low.unwrap_or(plot.y.0)));
    let within = if bottom - top >= LETTERS { 0.0 } else { 10.0 };
    let heights = [
        (f64::midpoint(top, bottom) + LETTERS * 0.36, within),
        (top - 8.0, 2.0),
        (bottom + LETTERS, 2.5),
        (top + ROW, 3.0),
        (bottom - 8.0, 3.0),
    ];
    let (left, right) = plot.across;
    let mut spots = labels.anywhere(60.0);
    for (y, reluctance) in heights {
        let line = y.clamp(plot.down.0 + LETTERS, (plot.down.1 - 8.0).max(plot.down.0 + LETTERS));
        let moved = if line == y { 0.0 } else { 4.0 };
        for (x, anchor, more) in [
            (left + 8.0, Anchor::Start, 0.0),
            (right - 8.0, Anchor::End, 0.2),
            (f64::midpoint(left, right), Anchor::Middle, 1.0),
            (left + (right - left) * 0.25, Anchor::Middle, 1.2),
            (left + (right - left) * 0.75, Anchor::Middle, 1.2),
        ] {
            spots.push(Spot::new(x, line, anchor, reluctance + moved + more));
        }
    }
    labels.put(CLASS, &words, &spots);
}

/// Where it begins, where that is foreseen closely.
fn before(labels: &mut Labels, of: &PhDrawing, plot: &Plot) {
    let Some((before, (_, first))) = of.of.ph.ph.before.zip(of.curve.first()) else { return };
    let falls = of.curve.last().is_some_and(|(_, last)| last < first);
    let [over, under] = if falls { [0.0, 0.5] } else { [0.5, 0.0] };
    let (x, y) = (plot.across.0 + 8.0, plot.top(*first));
    let mut spots =
        vec![Spot::new(x, y - 12.0, Anchor::Start, over), Spot::new(x, y + ROW + 4.0, Anchor::Start, under)];
    for row in 1_u32..5 {
        let away = f64::from(row) * ROW;
        spots.push(Spot::new(x, y - 12.0 - away, Anchor::Start, f64::from(row) + over));
        spots.push(Spot::new(x, y + ROW + 4.0 + away, Anchor::Start, f64::from(row) + under));
    }
    let is_seen = |spot: &Spot| spot.y - LETTERS >= plot.down.0 && spot.y <= plot.down.1 - 6.0;
    spots.retain(is_seen);
    labels.put_off_marks("", &format!("pH {before:.2} before any"), &spots);
}

/// The spots around a mark, the nearest first.
fn around(x: f64, y: f64) -> Vec<Spot> {
    let ring = |away: f64, reluctance: f64| {
        let (up, down) = (y - away, y + away + LETTERS * 0.74);
        [
            Spot::new(x - away, up, Anchor::End, reluctance),
            Spot::new(x + away, up, Anchor::Start, reluctance + 0.2),
            Spot::new(x + away, down, Anchor::Start, reluctance + 0.4),
            Spot::new(x - away, down, Anchor::End, reluctance + 0.4),
            Spot::new(x, up - 4.0, Anchor::Middle, reluctance + 0.5),
            Spot::new(x, down + 4.0, Anchor::Middle, reluctance + 0.5),
            Spot::new(x - away - 4.0, y + LETTERS * 0.36, Anchor::End, reluctance + 0.6),
            Spot::new(x + away + 4.0, y + LETTERS * 0.36, Anchor::Start, reluctance + 0.6),
        ]
    };
    [ring(9.0, 0.0), ring(20.0, 5.0)].concat()
}

#[cfg(test)]
mod tests {
    use super::labels;
    use crate::page::labels::LETTERS;
    use crate::page::titration::{CurveReading, doses, paper, plot, seen};
    use crate::page::{PhDrawing, STYLES, curve};
    use crate::render::{Ph, PhAdjuster, PhJson, PhWithCurve};
    use proptest::prelude::*;

    /// A titration from one pH to another, with its doses where they would be on it.
    fn drawing(most: f64, ends: (f64, f64), window: [Option<f64>; 2], held: Option<f64>, called: &str) -> PhDrawing {
        let (from, till) = ends;
        let ph = |share: f64| from + (till - from) * share.powf(2.0);
        let curve: Vec<(f64, f64)> = (0..=60).map(|at| f64::from(at) / 60.0).map(|at| (at * most, ph(at))).collect();
        let dose = |wanted: Option<f64>| {
            let share = ((wanted? - from) / (till - from)).max(0.0).sqrt();
            Some(share * most).filter(|grams| grams.is_finite())
        };
        let [low, high] = window;
        let (near, far) = if till >= from { (low, high) } else { (high, low) };
        let middle = low.zip(high).map(|(low, high)| f64::midpoint(low, high));
        let range = |dose: Option<f64>| dose.map(|grams| [Some(grams * 0.8), Some(grams * 1.2)]);
        let of = PhAdjuster {
            material: "soda".to_string(),
            leads_away: false,
            untold: Vec::new(),
            grams_near: dose(near),
            grams_mid: dose(middle),
            grams_far: dose(far),
            grams_near_range: range(dose(near)),
            grams_mid_range: range(dose(middle)),
            grams_far_range: None,
        };
        let ph = Ph {
            model: None,
            window: window.map(|edge| edge.map(|edge| format!("{edge:.1}"))),
            before: Some(from),
            before_uncertainty: None,
            before_fresh: None,
            adjusters: vec![of],
            buffer_capacity: None,
            ionic_strength: None,
            uncertainty: None,
            less_sure: Vec::new(),
            left_out: Vec::new(),
            why_vague: None,
            titrated: Vec::new(),
            beaker_test: Vec::new(),
            words: Vec::new(),
        };
        let with_curve = PhWithCurve { ph, held_back_g: held, curve_of: Some("soda".to_string()), curve: Vec::new() };
        PhDrawing {
            of: PhJson {
                schema: String::new(),
                formula: "gel".to_string(),
                batch_g: format!("{:.2}", most * 7.0),
                ph: with_curve,
            },
            title: called.to_string(),
            called: called.to_string(),
            band: [curve.clone(), curve.clone()],
            curve,
            most,
        }
    }

    /// Fails where a label stands on another or out of the drawing, or a dose has no figure.
    fn holds_for(of: &PhDrawing, readings: &[CurveReading]) -> Result<(), TestCaseError> {
        let plot = plot(of, readings);
        let placed = labels(of, readings, &plot).placed;
        for (number, label) in placed.iter().enumerate() {
            prop_assert!(label.area.lies_in(&paper()), "{label:?} is not in the drawing");
            for other in placed.iter().skip(number + 1) {
                prop_assert!(!label.area.meets(&other.area), "{label:?} is met by {other:?}");
            }
        }
        let figure = |class: &str, words: &str| placed.iter().any(|label| label.class == class && label.words == words);
        for dose in seen(doses(of), &plot) {
            prop_assert!(figure("strong", &format!("{:.2} g", dose.grams)), "{} has no figure", dose.words);
        }
        prop_assert!(placed.iter().filter(|label| label.class == "soft").count() >= 4, "the axes have no figures");
        Ok(())
    }

    fn window() -> impl Strategy<Value = [Option<f64>; 2]> {
        (0.5_f64..12.0, 0.05_f64..3.0, 0_u8..8).prop_map(|(low, high, which)| match which {
            0 => [None, None],
            1 => [Some(low), None],
            2 => [None, Some(low)],
            _ => [Some(low), Some(low + high)],
        })
    }

    proptest! {
        /// For any titration, window, reserve and readings: no label over another, and none out of the drawing.
        #[test]
        fn no_label_is_over_another(
            power in -3.0_f64..6.5,
            ends in (0.5_f64..13.0, 0.5_f64..13.0),
            window in window(),
            held in proptest::option::of(0.0_f64..3.0),
            read in proptest::collection::vec((0.0_f64..1.2, 0.0_f64..14.0), 0..20),
            called in "[ -~äöü漢]{0,70}",
        ) {
            let most = 10_f64.powf(power);
            let of = drawing(most, ends, window, held.map(|held| held * most), &called);
            let readings: Vec<CurveReading> =
                read.iter().map(|(share, ph)| CurveReading { grams: share * most, ph: *ph }).collect();
            holds_for(&of, &readings)?;
        }

        /// The same where all lies close together: doses a step of the scale apart, and readings of one batch.
        #[test]
        fn nor_where_all_lies_close_together(
            most in 2.0_f64..90.0,
            from in 2.0_f64..4.0,
            low in 3.5_f64..4.5,
            high in 0.05_f64..0.4,
            read in proptest::collection::vec(0.0_f64..1.0, 0..9),
        ) {
            let of = drawing(most, (from, 9.0), [Some(low), Some(low + high)], Some(most * 0.8), "Soda, 10 %");
            let readings: Vec<CurveReading> = read
                .iter()
                .map(|share| CurveReading { grams: share * most, ph: from + (9.0 - from) * share * share })
                .collect();
            holds_for(&of, &readings)?;
        }
    }

    #[test]
    fn the_last_reading_has_its_figure_among_many() {
        let of = drawing(26.0, (2.0, 6.5), [Some(3.6), Some(4.0)], Some(16.0), "Sodium hydroxide, 10 % solution");
        let read = [(0.0, 1.96), (9.0, 3.02), (16.0, 3.47), (20.1, 3.80), (21.2, 3.83), (21.3, 3.84)];
        let readings: Vec<CurveReading> = read.map(|(grams, ph)| CurveReading { grams, ph }).to_vec();
        let placed = labels(&of, &readings, &plot(&of, &readings)).placed;
        let words: Vec<&str> = placed.iter().map(|label| label.words.as_str()).collect();
        for figure in ["3.84", "1.96", "3.02", "pH 3.6 to 4.0", "16.00 g held back", "pH 2.00 before any"] {
            assert!(words.contains(&figure), "{figure} is not in {words:?}");
        }
    }

    #[test]
    fn every_label_is_drawn_after_every_line() {
        let of = drawing(26.0, (2.0, 6.5), [Some(3.6), Some(4.0)], Some(16.0), "Soda");
        let text = curve(&of, &[CurveReading { grams: 9.0, ph: 3.0 }]).into_string();
        let (first, last) = (text.find("<text").unwrap(), text.rfind("<path").unwrap());
        assert!(last < first && text.rfind("<circle").unwrap() < first, "{text}");
    }

    #[test]
    fn the_letters_are_no_higher_than_they_are_reckoned() {
        let sizes = STYLES.lines().filter(|line| line.contains(".titration text") || line.starts_with(".drawing text"));
        let highest = sizes
            .filter_map(|line| line.split_once("font-size: "))
            .flat_map(|(_, rest)| {
                rest.split("font-size: ").filter_map(|size| size.split_once("px")?.0.parse::<f64>().ok())
            })
            .fold(0.0, f64::max);
        assert_eq!(highest, LETTERS);
    }
}
