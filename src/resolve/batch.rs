//! Batch records made from their declarations, and the formula of each as its lots make it.

use super::figure::WINDOW;
use super::plan_names::premix_id;
use super::{Bounds, Resolved, Resolver};
use crate::diagnostic::{Diagnostic, Place, Span};
use crate::model::{
    Batch, ContainerFill, DeclId, Duration, Event, FrozenLine, FrozenPlan, FrozenPremix, FrozenTarget, Happened, Lot,
    Material, Named, PhRange, Phase, Reading, Scale, Step, Struck, Unread,
};
use crate::quantity::{Dimension, Exact, Interval};
use crate::resolve::NameSet;
use crate::syntax::one_blank;
use crate::syntax::tree::{
    self, AmountKind, BatchEntry, BatchStatement, Expression, FrozenPlanLine, HeaderField, Item, Name, Number,
    PlanPhase, Quantity, Text,
};
use crate::workspace::{LineIndex, Source};
use jiff::Span as TimeSpan;
use jiff::civil::Date;
use smol_str::SmolStr;
use std::cell::OnceCell;
use std::sync::Arc;

impl<'s> Resolver<'s> {
    /// The batch record of a declaration.
    #[must_use]
    pub fn batch(&self, id: DeclId) -> Option<Batch> {
        let Some(Item::Batch(declared)) = self.scopes.item(id) else { return None };
        let mut batch = Batch {
            id,
            name: declared.name.text.clone(),
            place: Self::place(id.file, &declared.name),
            formula: None,
            version: None,
            code: None,
            started: None,
            size: None,
            lots: Vec::new(),
            events: Vec::new(),
            plan: None,
            struck: Vec::new(),
            unread: Vec::new(),
        };
        let text = self.sources.text(id.file);
        let lines = OnceCell::new();
        for statement in &declared.entries {
            let place = Place { file: id.file, span: statement.span };
            if let BatchEntry::Struck(struck) = &statement.entry {
                let (line, _) = lines.get_or_init(|| LineIndex::new(text)).line_column(place.span.start);
                batch.struck.push(taken_out(statement, struck, place, line));
                continue;
            }
            if let Some(what) = self.batch_fact(id, &statement.entry, place, &mut batch) {
                batch.events.push(Event {
                    what,
                    said: one_blank(statement.entry_span.of(text)),
                    on: statement.on.clone(),
                    at: statement.at.clone(),
                    by: statement.by.as_ref().map(|by| by.value.clone()),
                    place,
                });
            } else if !is_of_the_head(&statement.entry) {
                let material = statement.entry.material().map(|name| name.text.clone());
                batch.unread.push(Unread { place, material });
            }
        }
        Some(batch)
    }

    /// The batch records of a file, in their order.
    #[must_use]
    pub fn batches_of(&self, source: &Source) -> Vec<Batch> {
        let ids = super::declared(source, |item| matches!(item, Item::Batch(_)));
        ids.filter_map(|id| self.batch(id)).collect()
    }

    /// A fact of the record's head is put in; what happened is given back.
    fn batch_fact(&self, id: DeclId, entry: &BatchEntry, place: Place, batch: &mut Batch) -> Option<Happened> {
        let named = |name: &Name| Named { text: name.text.clone(), place: Self::place(id.file, name) };
        let grams = |quantity: &Quantity| self.evaluator(id.file).quantity(quantity).map(|figure| figure.value);
        match entry {
            BatchEntry::Formula(name, version) => {
                batch.formula = Some(named(name));
                batch.version = version.as_ref().map(|version| said(id, version));
            }
            BatchEntry::Code(code) => batch.code = Some(code.value.clone()),
            BatchEntry::Started(day) => batch.started = Some(day.clone()),
            BatchEntry::Size(size) => batch.size = grams(size).filter(Exact::is_positive),
            BatchEntry::Lot { material, code, assay, opened, expires } => batch.lots.push(Lot {
                material: named(material),
                code: code.value.clone(),
                assay: assay.as_ref().and_then(grams),
                opened: opened.clone(),
                expires: expires.clone(),
                place,
            }),
            BatchEntry::Plan(plan) => batch.plan = Some(self.frozen_plan(id, plan)),
            _ => return happened(entry, named, grams),
        }
        None
    }

    fn frozen_plan(&self, id: DeclId, plan: &tree::FrozenPlan) -> FrozenPlan {
        let phase = |number: usize| plan.phases.partition_point(|phase| phase.first <= number).checked_sub(1);
        let lines = plan.lines.iter().enumerate();
        let premixes = plan.premixes.iter().enumerate();
        let mut frozen = FrozenPlan {
            title: None,
            version: None,
            products: Vec::new(),
            markets: Vec::new(),
            density: None,
            phases: plan.phases.iter().map(|phase| self.frozen_phase(id, phase)).collect(),
            steps: plan.steps.iter().map(|step| frozen_step(id, step)).collect(),
            lines: lines.map(|(at, line)| FrozenLine { phase: phase(at), ..self.frozen_line(id, line) }).collect(),
            premixes: premixes
                .map(|(at, premix)| FrozenPremix {
                    id: premix_id(id.file, plan, at),
                    name: Named { text: premix.name.text.clone(), place: Self::place(id.file, &premix.name) },
                    title: premix.title.as_ref().map(|title| title.value.clone()),
                    lines: premix.parts.iter().map(|part| self.frozen_line(id, part)).collect(),
                })
                .collect(),
            digest: plan.digest.as_ref().map(|digest| digest.value.clone()),
            window: None,
            meter: None,
            scales: Vec::new(),
            is_faulty: plan.is_faulty,
        };
        let evaluator = self.evaluator(id.file);
        let mut unheard = Vec::new();
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
        for header in &plan.header {
            let place = Place { file: id.file, span: header.span };
            match &header.field {
                HeaderField::Title(title) => frozen.title = Some(title.value.clone()),
                HeaderField::Version(version) => frozen.version = Some(version.value.clone()),
                HeaderField::Product(products) => {
                    frozen.products = products.iter().map(|(product, _)| *product).collect();
                }
                HeaderField::Market(markets) => {
                    let placed = |span: &Span| Place { file: id.file, span: *span };
                    frozen.markets = markets.iter().map(|(market, span)| (*market, placed(span))).collect();
                }
                HeaderField::Density(density) => frozen.density = self.density_of_plan(id, density, &mut unheard),
                HeaderField::Window(range) => {
                    let ends = evaluator.range(range, WINDOW, &[Dimension::Plain], &mut names, &mut unheard);
                    frozen.window = ends.map(|range| PhRange { range, place });
                }
                HeaderField::Meter(error) => {
                    frozen.meter = evaluator.want(error, "`meter`", &[Dimension::Plain], &mut names, &mut unheard);
                }
                HeaderField::Scale(scale) => {
                    let mut grams =
                        |of: &Expression| evaluator.want(of, "`scale`", &[Dimension::Mass], &mut names, &mut unheard);
                    let step = grams(&scale.step).filter(Exact::is_positive);
                    let max = scale.max.as_ref().and_then(&mut grams);
                    frozen.scales.extend(step.map(|step| Scale { step, max }));
                }
                _ => {}
            }
        }
        frozen
    }

    /// The density that a plan keeps, where it can be one.
    pub(super) fn density_of_plan(
        &self,
        id: DeclId,
        density: &Expression,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Exact> {
        let evaluator = self.evaluator(id.file);
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
        let figure = evaluator.want(density, "`density`", &[Dimension::Density], &mut names, faults);
        evaluator.within(&Bounds::density(), density.span(), figure, faults).filter(Exact::is_positive)
    }

    fn frozen_phase(&self, id: DeclId, phase: &PlanPhase) -> Phase {
        let temperature = |at: &Quantity| {
            let figure = self.evaluator(id.file).quantity(at)?;
            let is_temperature = figure.dimension == Dimension::Temperature;
            is_temperature.then_some((figure.value, Place { file: id.file, span: at.span }))
        };
        Phase {
            name: phase.name.text.clone(),
            title: None,
            heat: phase.heat.as_ref().and_then(temperature),
            cool: phase.cool.as_ref().and_then(temperature),
            heat_at_fault: false,
        }
    }

    fn frozen_line(&self, id: DeclId, line: &FrozenPlanLine) -> FrozenLine {
        let evaluator = self.evaluator(id.file);
        let named = |name: &Name| Named { text: name.text.clone(), place: Self::place(id.file, name) };
        let percent = |quantity: &Quantity| evaluator.quantity(quantity).map(|figure| figure.value);
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
        let held_back = line.tail.hold_back.as_deref().and_then(|(held, _)| {
            evaluator.want(held, "`hold back`", &[Dimension::Percent], &mut names, &mut Vec::new())
        });
        FrozenLine {
            material: named(&line.material),
            phase: None,
            percent: line.percent.as_ref().and_then(percent),
            at_bench: matches!(line.amount.kind, AmountKind::QuantumSatisToPh),
            fills: matches!(line.amount.kind, AmountKind::QuantumSatis),
            by: match &line.amount.kind {
                AmountKind::Active(_) => Some(FrozenTarget::Active),
                AmountKind::Of(_, substance) => Some(FrozenTarget::Of(named(substance))),
                _ => None,
            },
            held_back,
            from: line.tail.from.as_ref().map(|from| from.text.clone()),
            titrated: line.tail.titrated.as_ref().and_then(|of| self.titration(id.file, of, &mut Vec::new())),
        }
    }

    /// The formula that a batch names, where it can be reached from its file.
    #[must_use]
    pub fn formula_of_batch(&self, batch: &Batch) -> Option<Arc<Resolved>> {
        let name = &batch.formula.as_ref()?.text;
        self.formula(self.scopes.find(batch.id.file, NameSet::Weighable, name)?)
    }

    /// The session once more with the strengths that the lots of a batch were measured at; none where no lot was.
    /// Whatever a formula asks for by its active then follows the bottle.
    #[must_use]
    pub fn with_assays(&self, batch: &Batch) -> Option<Resolver<'s>> {
        let found = self.assays(batch);
        if found.is_empty() {
            return None;
        }
        let resolver = self.with_own_names(None);
        for (id, material) in found {
            resolver.made.materials.put(id, Some(Arc::new(material)));
        }
        let name = &batch.formula.as_ref()?.text;
        let formula = resolver.scopes.find(batch.id.file, NameSet::Weighable, name)?;
        let _: Vec<Arc<Resolved>> = resolver.formulas(&[formula], &mut Vec::<Diagnostic>::new());
        resolver.make_named(batch);
        Some(resolver)
    }

    /// Makes the premixes of the files that a record names by itself: a correction may be with one that is in no line.
    pub(super) fn make_named(&self, batch: &Batch) {
        let Some(Item::Batch(declared)) = self.scopes.item(batch.id) else { return };
        let names = declared.entries.iter().filter_map(|statement| statement.entry.material());
        let found = names.filter_map(|name| self.scopes.find(batch.id.file, NameSet::Weighable, &name.text));
        let is_premix = |id: &DeclId| matches!(self.scopes.item(*id), Some(Item::Formula(_) | Item::Variant(_)));
        let premixes: Vec<DeclId> = found.filter(is_premix).collect();
        if !premixes.is_empty() {
            let _: Vec<Arc<Resolved>> = self.formulas(&premixes, &mut Vec::<Diagnostic>::new());
        }
    }

    /// The materials of which a lot of the batch was measured, as those lots are.
    pub(super) fn assays(&self, batch: &Batch) -> Vec<(DeclId, Material)> {
        let assayed = batch.lots.iter().filter_map(|lot| {
            let id = self.scopes.find(batch.id.file, NameSet::Weighable, &lot.material.text)?;
            self.assayed(self.material(id)?.as_ref(), lot.assay.as_ref()?).map(|material| (id, material))
        });
        assayed.collect()
    }

    /// A material with its active at another strength. What was a remainder makes up for it; what it says of a range
    /// is settled.
    fn assayed(&self, material: &Material, assay: &Exact) -> Option<Material> {
        let active = self.active_of(material)?.substance;
        let mut made = material.clone();
        let before = made.contains.iter().find(|part| part.substance == active)?.strength.middle();
        for part in &mut made.contains {
            if part.substance == active {
                part.strength = Interval::point(assay.clone());
                part.undisclosed = false;
            }
        }
        // The largest of the others gives way: in a solution that is the water.
        let rest = made.contains.iter_mut().filter(|part| part.substance != active);
        if let Some(rest) = rest.max_by(|a, b| a.strength.high.cmp(&b.strength.high)) {
            let moved = &rest.strength.middle() - &(assay - &before);
            if !moved.is_negative() {
                rest.strength = Interval::point(moved);
            }
        }
        Some(made)
    }
}

/// Whether a statement says what a batch is, and nothing that happened.
fn is_of_the_head(entry: &BatchEntry) -> bool {
    use BatchEntry::{Code, Formula, Lot, Plan, Size, Started};
    matches!(entry, Code(_) | Formula(..) | Started(_) | Size(_) | Lot { .. } | Plan(_))
}

fn taken_out(statement: &BatchStatement, struck: &tree::Struck, place: Place, line: usize) -> Struck {
    Struck {
        statement: struck.statement.clone(),
        because: struck.because.value.clone(),
        on: statement.on.clone(),
        at: statement.at.clone(),
        by: statement.by.as_ref().map(|by| by.value.clone()),
        line,
        place,
    }
}

fn said(id: DeclId, text: &Text) -> Named {
    Named { text: text.value.clone(), place: Place { file: id.file, span: text.span } }
}

/// What happened, where all its figures are known.
fn happened(
    entry: &BatchEntry,
    named: impl Fn(&Name) -> Named,
    grams: impl Fn(&Quantity) -> Option<Exact>,
) -> Option<Happened> {
    let text = |text: &Text| text.value.clone();
    let opt = |said: &Option<Text>| said.as_ref().map(|said| said.value.clone());
    Some(match entry {
        BatchEntry::Calibrated(buffer, reads) => {
            Happened::Calibrated { buffer: buffer.value.clone()?, reads: reads.value.clone()? }
        }
        BatchEntry::Weighed(material, weight) => Happened::Weighed(named(material), grams(weight)?),
        BatchEntry::Added(material, weight, because) => Happened::Added(named(material), grams(weight)?, opt(because)),
        BatchEntry::Removed(weight, because) => Happened::Removed(grams(weight)?, text(because)),
        BatchEntry::Reading { low, high, by_strip, diluted, .. } => {
            Happened::Read(reading(low, high.as_ref(), *by_strip, diluted.is_some())?)
        }
        BatchEntry::ToppedUp { material, weight, to: true, .. } => {
            Happened::ToppedUp { material: named(material), grams: None, to: Some(grams(weight)?) }
        }
        BatchEntry::ToppedUp { material, weight, to: false, whole } => Happened::ToppedUp {
            material: named(material),
            grams: Some(grams(weight)?),
            to: match whole {
                Some(whole) => Some(grams(whole)?),
                None => None,
            },
        },
        BatchEntry::Waited(time) => Happened::Waited(grams(time)?),
        BatchEntry::Heated(at) => Happened::Heated(grams(at)?),
        BatchEntry::Cooled(at) => Happened::Cooled(grams(at)?),
        BatchEntry::Yield(weight) => Happened::Yield(grams(weight)?),
        BatchEntry::Filled(count, each, code) => {
            let holds = grams(each).filter(Exact::is_positive);
            let each = holds.and_then(|holds| match each.unit.dimension() {
                Dimension::Mass => Some(ContainerFill::Grams(holds)),
                Dimension::Volume => Some(ContainerFill::Millilitres(holds)),
                _ => None,
            });
            Happened::Filled { count: count.value.clone()?, each, code: opt(code) }
        }
        BatchEntry::Retained(count) => Happened::Retained(count.value.clone()?),
        BatchEntry::Sold(count, to) => Happened::Sold(count.value.clone()?, opt(to)),
        BatchEntry::Released => Happened::Released,
        BatchEntry::Rejected(because) => Happened::Rejected(text(because)),
        BatchEntry::Observed(seen) => Happened::Observed(text(seen)),
        BatchEntry::Complaint(said) => Happened::Complaint(text(said)),
        BatchEntry::Note(note) => Happened::Note(text(note)),
        _ => return None,
    })
}

fn frozen_step(id: DeclId, step: &Text) -> Step {
    Step { text: step.value.clone(), place: Place { file: id.file, span: step.span } }
}

fn reading(low: &Number, high: Option<&Number>, by_strip: bool, diluted: bool) -> Option<Reading> {
    let low = low.value.clone()?;
    let high = match high {
        Some(high) => high.value.clone()?,
        None => low.clone(),
    };
    Some(Reading { low, high, by_strip, diluted })
}

/// The last day that may lie so long after another, both written `2026-11-20`: a day that the month does not have is its
/// last, and part of a day counts as one, as the hour is not known. None where the text is no such day, or months are
/// not whole.
#[must_use]
pub fn day_after(day: &str, time: &Duration) -> Option<SmolStr> {
    let span = match time {
        Duration::Months(months) => TimeSpan::new().try_months(months.to_u32()?),
        Duration::Seconds(seconds) => {
            let days = seconds.over(&Exact::whole(86_400))?.up_to_step(&Exact::whole(1));
            TimeSpan::new().try_days(days.to_u32()?)
        }
    };
    let until = day.parse::<Date>().ok()?.checked_add(span.ok()?).ok()?;
    Some(SmolStr::new(until.to_string()))
}

#[cfg(test)]
mod tests {
    use super::day_after;
    use crate::model::Duration;
    use crate::quantity::Exact;

    fn months(day: &str, count: i64) -> Option<String> {
        day_after(day, &Duration::Months(Exact::whole(count))).map(String::from)
    }

    fn hours(day: &str, count: i64) -> Option<String> {
        day_after(day, &Duration::Seconds(Exact::whole(count * 3_600))).map(String::from)
    }

    #[test]
    fn months_are_counted_by_the_calendar() {
        assert_eq!(months("2026-11-20", 3).as_deref(), Some("2027-02-20"));
        assert_eq!(months("2027-11-30", 3).as_deref(), Some("2028-02-29"));
        assert_eq!(months("2026-08-31", 6).as_deref(), Some("2027-02-28"));
        assert_eq!(months("2026-12-01", 0).as_deref(), Some("2026-12-01"));
        assert_eq!(months("soon", 1), None);
        assert_eq!(months("2026-12-01", i64::from(u32::MAX)), None);
    }

    #[test]
    fn part_of_a_day_counts_as_one() {
        assert_eq!(hours("2028-02-28", 48).as_deref(), Some("2028-03-01"));
        assert_eq!(hours("2026-06-01", 36).as_deref(), Some("2026-06-03"));
        assert_eq!(hours("2026-06-01", 90 * 24).as_deref(), Some("2026-08-30"));
    }
}
