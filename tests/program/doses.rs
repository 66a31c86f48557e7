//! The table of doses in the page of a sheet, looked up as its script does, beside the bench: for the same readings the
//! page never says more.

use crate::common::examples;
use serde_json::Value;
use std::path::Path;
use stillroom::batch::{AtPh, Do, View, adjuster_per_gram, contents};
use stillroom::chemistry::{Activity, equilibrium};
use stillroom::diagnostic::Place;
use stillroom::model::{Batch, Event, Formula, Happened, Named, Reading};
use stillroom::page::SheetPage;
use stillroom::quantity::Exact;
use stillroom::render::sheet;
use stillroom::resolve::Resolver;
use stillroom::session::{FormulaReport, check};
use stillroom::sheet::{BatchOrder, Plan};
use stillroom::workspace::{Disk, load};

/// What the page of a formula goes by, and a batch of it that stands at its pH.
struct Sheet<'r, 's> {
    resolver: &'r Resolver<'s>,
    batch: Batch,
    adjust: Value,
}

/// Gives the sheet of a formula of the examples to `look`.
fn with_sheet(file: &str, formula: &str, look: impl FnOnce(&Sheet<'_, '_>)) {
    let path = examples().into_iter().find(|path| path.ends_with(Path::new(file))).unwrap();
    let loaded = load(&Disk, &[path], None);
    let report = check(&loaded.sources, &BatchOrder::default(), true);
    let own: &FormulaReport = report.formulas.iter().find(|own| own.formula.name == formula).unwrap();
    let printed = sheet(&loaded.sources, &report, own, &BatchOrder::default()).unwrap();
    let page = SheetPage::of(&report.resolver, own, printed);
    let adjust = serde_json::to_value(page.bench.unwrap().adjust.unwrap()).unwrap();
    let batch = at_ph(&report.resolver, &own.formula, own.plan.as_ref().unwrap());
    look(&Sheet { resolver: &report.resolver, batch, adjust });
}

fn event(what: Happened, place: Place) -> Event {
    Event { what, on: None, at: None, by: None, said: Default::default(), place }
}

/// A batch of which all that comes before the pH went in as planned.
fn at_ph(resolver: &Resolver<'_>, formula: &Formula, plan: &Plan) -> Batch {
    let place = formula.place;
    let named = |name: &str| Named { text: name.into(), place };
    let mut batch = Batch {
        id: formula.id,
        name: formula.name.clone(),
        place,
        formula: Some(named(&formula.name)),
        version: None,
        code: None,
        started: None,
        size: Some(plan.batch.clone()),
        lots: Vec::new(),
        events: Vec::new(),
        plan: None,
        struck: Vec::new(),
        unread: Vec::new(),
    };
    loop {
        let next = View::of(resolver, &batch).unwrap().next;
        let what = match next.what {
            Do::Weigh => Happened::Weighed(named(&next.material.unwrap()), next.grams.unwrap()),
            Do::Heat => Happened::Heated(next.celsius.unwrap()),
            Do::Cool => Happened::Cooled(next.celsius.unwrap()),
            Do::Wait => Happened::Waited(next.seconds.unwrap_or(Exact::ONE)),
            Do::Read => return batch,
            other => panic!("{other:?}"),
        };
        batch.events.push(event(what, place));
    }
}

/// To two decimals, as a meter and a scale show them.
fn exact(figure: f64) -> Exact {
    Exact::parse(&format!("{figure:.2}")).unwrap()
}

fn figure(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// A reading, or so many grams added.
#[derive(Clone, Copy)]
enum Act {
    Read(f64),
    Add(f64),
}

impl Sheet<'_, '_> {
    fn doses(&self) -> &Value {
        &self.adjust["doses"]
    }

    /// The batch with some acts more.
    fn after(&self, acts: &[Act]) -> AtPh<'_, '_> {
        let mut batch = self.batch.clone();
        for act in acts {
            let what = match act {
                Act::Read(ph) => {
                    Happened::Read(Reading { low: exact(*ph), high: exact(*ph), by_strip: false, diluted: false })
                }
                Act::Add(grams) => {
                    let material = self.adjust["material"].as_str().unwrap().into();
                    Happened::Added(Named { text: material, place: batch.place }, exact(*grams), None)
                }
            };
            batch.events.push(event(what, batch.place));
        }
        AtPh::of(self.resolver, batch).unwrap()
    }

    /// What is foreseen once so much was added.
    fn foreseen(&self, grams: f64) -> f64 {
        let setting = View::of(self.resolver, &self.batch).unwrap().setting;
        let beaker = contents(self.resolver, &setting, &self.batch, self.batch.events.len());
        let adjuster = adjuster_per_gram(self.resolver, &setting, &self.batch).unwrap();
        equilibrium(&beaker.without_adjuster.plus(&adjuster, grams), Activity::Davies).unwrap().ph
    }

    /// What the bench says to add, in grams; nought for all else that it says.
    fn bench(&self, at: &AtPh<'_, '_>, read: &[f64]) -> f64 {
        let read: Vec<Exact> = read.iter().map(|ph| exact(*ph)).collect();
        let (next, _) = at.next(&read);
        let own = next.what == Do::Add && next.material.as_deref() == self.adjust["material"].as_str();
        next.grams.filter(|_| own).map_or(0.0, |grams| grams.to_f64())
    }

    /// What the page says to add, in grams, by its table; nought for all else that it says.
    fn page(&self, added: f64, first: f64, ph: f64, readings: usize) -> f64 {
        let rows = self.doses()["added"].as_array().unwrap();
        let later: Vec<&Value> = rows.iter().filter(|row| !row["first"].is_null()).collect();
        let all = |name: &str| later.iter().map(|row| figure(&row[name])).collect::<Vec<f64>>();
        let mut found: Vec<&Value> = Vec::new();
        for grams in around(&all("grams"), added) {
            for of in around(&all("first"), first) {
                let row = later.iter().find(|row| figure(&row["grams"]) == grams && figure(&row["first"]) == of);
                let Some(read) = row.and_then(|row| row["read"].as_array()) else { return 0.0 };
                let places = around(&read.iter().map(|dose| figure(&dose["ph"])).collect::<Vec<f64>>(), ph);
                if places.is_empty() {
                    return 0.0;
                }
                found.extend(places.iter().map(|at| read.iter().find(|dose| figure(&dose["ph"]) == *at).unwrap()));
            }
        }
        if found.is_empty() || found.iter().any(|dose| dose["says"] != "add") {
            return 0.0;
        }
        let least = found.iter().map(|dose| figure(&dose["grams"])).fold(f64::MAX, f64::min);
        let kept: Vec<f64> = self.doses()["kept"].as_array().unwrap().iter().map(figure).collect();
        let share = if found.len() == 1 && readings <= 2 { 1.0 } else { kept[readings.min(kept.len()) - 1] };
        let step = self.adjust["step"].as_str().unwrap().parse::<f64>().unwrap();
        let smallest = step.max((0.03 / step - 1e-6).ceil() * step);
        let amount = (least * share / step + 1e-6).floor() * step;
        if amount < smallest - 1e-9 { 0.0 } else { amount }
    }
}

/// The figure that a place is, or the two that it lies between.
fn around(figures: &[f64], place: f64) -> Vec<f64> {
    let below = figures.iter().copied().filter(|one| *one <= place + 1e-9).fold(f64::NEG_INFINITY, f64::max);
    let above = figures.iter().copied().filter(|one| *one >= place - 1e-9).fold(f64::INFINITY, f64::min);
    match (below.is_finite(), above.is_finite()) {
        (true, true) if below == above => vec![below],
        (true, true) => vec![below, above],
        _ => Vec::new(),
    }
}

/// Even chances, the same each time.
struct Chance(u64);

impl Chance {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }
}

const FORMULAS: [(&str, &str); 4] = [
    ("acid-gel.still", "acid-gel"),
    ("lactic-serum.still", "lactic-serum"),
    ("toner.still", "toner"),
    ("cream.still", "day-cream"),
];

/// Pairs of readings with any weight between them, near to one another in what they say of the batch and not so near.
#[test]
fn for_any_two_readings_the_page_says_no_more_than_the_bench() {
    let (weights, pairs) = (10, 12);
    let mut chance = Chance(20);
    for (file, formula) in FORMULAS {
        with_sheet(file, formula, |sheet| {
            let rows = sheet.doses()["added"].as_array().unwrap();
            let figures = |name: &str| rows.iter().filter_map(|row| row[name].as_f64()).collect::<Vec<f64>>();
            let ends =
                |of: &[f64]| (of.iter().copied().fold(f64::MAX, f64::min), of.iter().copied().fold(0.0, f64::max));
            let ((low, high), (_, most)) = (ends(&figures("first")), ends(&figures("grams")));
            let before = sheet.foreseen(0.0);
            let (mut told, mut asked) = (0, 0);
            for _ in 0..weights {
                let grams = (chance.between(0.3 * most, most) * 100.0).round() / 100.0;
                let foreseen = sheet.foreseen(grams);
                let at = sheet.after(&[Act::Read(before), Act::Add(grams), Act::Read(foreseen)]);
                for _ in 0..pairs {
                    let first = (chance.between(low, high) * 100.0).round() / 100.0;
                    let off = chance.between(0.0, 1.0) * (first - before) + chance.between(-0.25, 0.25);
                    let ph = ((foreseen + off) * 100.0).round() / 100.0;
                    let (page, bench) = (sheet.page(grams, first, ph, 2), sheet.bench(&at, &[first, ph]));
                    let said =
                        format!("{formula}: pH {first}, {grams} g, pH {ph}: the page {page} g, the bench {bench} g");
                    assert!(page <= bench + 1e-9, "{said}");
                    told += usize::from(page > 0.0);
                    asked += usize::from(bench > 0.0);
                }
            }
            assert!(
                told * 4 >= asked && asked > 10,
                "{formula}: the bench says {asked} times what to add, the page {told}"
            );
        });
    }
}
