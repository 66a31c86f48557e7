//! A titration laid out on its plane: how large it is drawn, its axes with their figures, the window, the doses.

use super::foreseen::PhDrawing;
use super::labels::{Anchor, Area, LETTERS, Spot};
use super::plot::{Plot, ticks};

/// The size of the drawing, in its own units.
pub(super) const WIDE: f64 = 680.0;
pub(super) const HIGH: f64 = 430.0;
/// Where the plane begins below the head of the drawing: above it stands what is said of the whole height.
const HEAD: f64 = 34.0;
/// How much stands below the plane: its figures, and what they are.
const FOOT: f64 = 64.0;
/// Where the plane begins to the right of its figures.
pub(super) const LEFT: f64 = 64.0;

/// A reading at the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveReading {
    /// The adjuster that was in, in grams.
    pub grams: f64,
    /// The pH that was read.
    pub ph: f64,
}

pub(super) fn window_words(of: &PhDrawing) -> Option<String> {
    match &of.of.ph.ph.window {
        [Some(low), Some(high)] => Some(format!("pH {low} to {high}")),
        [Some(low), None] => Some(format!("pH {low} or over")),
        [None, Some(high)] => Some(format!("pH {high} or under")),
        [None, None] => None,
    }
}

/// A dose as it is drawn.
pub(super) struct Dose {
    /// `near edge`.
    pub place: &'static str,
    pub grams: f64,
    pub ph: f64,
    pub range: Option<(f64, f64)>,
    /// `3.22 g (2.63 to 3.75)`.
    pub words: String,
    pub is_middle: bool,
}

pub(super) fn doses(of: &PhDrawing) -> Vec<Dose> {
    let Some(told) = of.adjuster() else { return Vec::new() };
    let [low, high] = of.window();
    let rises = of.curve.first().zip(of.curve.last()).is_none_or(|(first, last)| last.1 >= first.1);
    let (near, far) = if rises { (low, high) } else { (high, low) };
    let middle = low.zip(high).map(|(low, high)| f64::midpoint(low, high));
    let all = [
        ("near edge", told.grams_near, told.grams_near_range, near),
        ("middle", told.grams_mid, told.grams_mid_range, middle),
        ("far edge", told.grams_far, told.grams_far_range, far),
    ];
    let one = |(place, grams, range, ph): (_, Option<f64>, Option<[Option<f64>; 2]>, _)| {
        let (grams, ph) = grams.zip(ph)?;
        let range = range.and_then(|[low, high]| low.zip(high));
        let words = match range {
            Some((low, high)) => format!("{grams:.2} g ({low:.2} to {high:.2})"),
            None => format!("{grams:.2} g"),
        };
        Some(Dose { place, grams, ph, range, words, is_middle: place == "middle" })
    };
    all.into_iter().filter_map(one).collect()
}

pub(super) fn plot(of: &PhDrawing, readings: &[CurveReading]) -> Plot {
    let window = of.window();
    let all = || {
        let curve = of.curve.iter().map(|(_, ph)| *ph);
        curve.chain(window.into_iter().flatten()).chain(readings.iter().map(|read| read.ph)).filter(|ph| ph.is_finite())
    };
    let (mut low, mut high) = (all().fold(f64::MAX, f64::min), all().fold(f64::MIN, f64::max));
    // Far past the window there is nothing that anyone aims at: the window and the way to it are to be seen.
    const PAST: f64 = 2.2;
    let others = || {
        window.into_iter().flatten().chain(readings.iter().map(|read| read.ph)).chain(of.curve.first().map(|of| of.1))
    };
    if window.iter().any(Option::is_some) {
        high = high.min(others().fold(f64::MIN, f64::max) + PAST);
        low = low.max(others().fold(f64::MAX, f64::min) - PAST);
    }
    if low > high {
        // Nothing of it is a figure.
        (low, high) = (0.0, 14.0);
    }
    // Some room, and to the half.
    let low = ((low - 0.45) * 2.0).floor() / 2.0;
    let high = ((high + 0.25) * 2.0).ceil() / 2.0;
    let most = readings.iter().map(|read| read.grams * 1.05).fold(of.most, f64::max);
    Plot { across: (LEFT, WIDE - 20.0), down: (HEAD, HIGH - FOOT), x: (0.0, most), y: (low, high.max(low + 1.0)) }
}

/// The whole paper of the drawing, and that part of it in which lines are drawn.
pub(super) fn paper() -> Area {
    Area { left: 0.0, top: 0.0, right: WIDE, bottom: HIGH }
}

/// What of the doses has a place on the plane.
pub(super) fn seen(told: Vec<Dose>, plot: &Plot) -> Vec<Dose> {
    told.into_iter().filter(|dose| holds(plot, dose.grams, dose.ph)).collect()
}

/// Whether figures have a place on the plane.
pub(super) fn holds(plot: &Plot, grams: f64, ph: f64) -> bool {
    let is_in = |value: f64, (from, till): (f64, f64)| from <= value && value <= till;
    is_in(grams, plot.x) && is_in(ph, plot.y)
}

/// The figures at the side, each with where it stands: as many as have room beside one another.
pub(super) fn ticks_up(plot: &Plot) -> Vec<(f64, Tick)> {
    const MOST: u32 = 6;
    let place = |ph: f64, words: String| {
        // The lowest keeps clear of the figures at the foot.
        let y = (plot.top(ph) + LETTERS * 0.34).min(plot.down.1 + 1.0);
        Tick { spot: Spot::new(plot.across.0 - 9.0, y, Anchor::End, 0.0), words }
    };
    with_room(MOST, plot.y, 0.0, place)
}

/// The figures at the foot, likewise.
pub(super) fn ticks_along(plot: &Plot) -> Vec<(f64, Tick)> {
    const MOST: u32 = 7;
    /// So much blank keeps two figures in a row apart.
    const GAP: f64 = 0.5 * LETTERS;
    let place = |grams: f64, words: String| {
        let spot = Spot::new(plot.left(grams), plot.down.1 + 28.0, Anchor::Middle, 0.0);
        Tick { spot: spot.within(&words, TICK, &paper()), words }
    };
    with_room(MOST, plot.x, GAP, place)
}

/// The class of a figure on an axis.
pub(super) const TICK: &str = "soft";

/// A figure on an axis, and where it stands.
#[derive(Clone, Debug)]
pub(super) struct Tick {
    pub spot: Spot,
    pub words: String,
}

/// Even figures between two, at the most so many of them, and as few as it takes that they keep apart.
fn with_room(most: u32, (from, till): (f64, f64), gap: f64, place: impl Fn(f64, String) -> Tick) -> Vec<(f64, Tick)> {
    let fits = |all: &Vec<(f64, Tick)>| {
        let areas: Vec<Area> = all.iter().map(|(_, tick)| tick.spot.area(&tick.words, TICK)).collect();
        let apart = areas.windows(2).all(|pair| match pair {
            [one, next] => !Area { left: one.left - gap, right: one.right + gap, ..*one }.meets(next),
            _ => true,
        });
        apart && areas.iter().all(|area| area.lies_in(&paper()))
    };
    let tried = (1..=most).rev().map(|about| {
        let (figures, decimals) = ticks(from, till, f64::from(about));
        figures.into_iter().map(|figure| (figure, place(figure, format!("{figure:.decimals$}")))).collect()
    });
    tried.into_iter().find(fits).unwrap_or_default()
}
