//! What a qualified safety assessor is given of a product: all that the files say of it, and what they do not say. It
//! judges nothing.

use super::report::{FormulaReport, Report};
use crate::batch::Setting;
use crate::check::allow::Allowed;
use crate::diagnostic::Diagnostic;
use crate::label::{Jar, Portion};
use crate::model::{Batch, Component, DeclId, Formula, Happened, Lot, Material};
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use crate::sheet::BatchOrder;
use crate::shelf;
use crate::syntax::tree::{Item, MaterialField};
use crate::syntax::vocabulary::{Market, Role};
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;
use smol_str::SmolStr;
use std::sync::Arc;

/// What an assessor is given of a product.
#[derive(Debug)]
pub struct AssessorFile {
    /// The formula, with what a batch has of it.
    pub formula: Arc<Formula>,
    /// The batch; none where it is the file of the formula.
    pub batch: Option<Batch>,
    /// The day that rules were read on, and who says so.
    pub day: (SmolStr, &'static str),
    /// What is in it, the most first: an adjuster that is not weighed yet as anything up to what is held back.
    pub substances: Vec<AssessedSubstance>,
    /// What of it nobody has disclosed, in percent; none where all is disclosed.
    pub undisclosed: Option<Interval>,
    /// The raw materials, in the order of the formula.
    pub materials: Vec<AssessedMaterial>,
    /// The rules that were looked at.
    pub rules: Vec<ReadRule>,
    /// The markets that the shelf has no rules of.
    pub unread_markets: Vec<Market>,
    /// What the market that one grew out of binds, and its own rules on the shelf do not speak of.
    pub left_open: Vec<(Market, Vec<String>)>,
    /// What was complained of in its batches: the batch, and the words.
    pub complaints: Vec<(SmolStr, SmolStr)>,
    /// What bears on it and is not allowed.
    pub told: Vec<Diagnostic>,
    /// What is allowed, with the reason.
    pub allowed: Vec<(String, String)>,
    /// What the files do not say.
    pub missing: Vec<MissingFact>,
}

/// How something is in a product.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Presence {
    /// As an ingredient.
    Ingredient,
    /// By nature, in a whole that is the ingredient.
    Brought,
    /// As an impurity.
    Trace,
}

impl Presence {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Presence::Ingredient => "ingredient",
            Presence::Brought => "by nature",
            Presence::Trace => "trace",
        }
    }
}

/// A substance by the names it has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NamedSubstance {
    /// The key that files call it by.
    pub key: String,
    /// Its INCI name.
    pub inci: Option<String>,
    /// Its CAS number.
    pub cas: Option<String>,
    /// Its colour index.
    pub colour_index: Option<String>,
    /// Who says so.
    pub source: Option<String>,
}

/// A substance in a product.
#[derive(Clone, Debug)]
pub struct AssessedSubstance {
    /// Its names.
    pub named: NamedSubstance,
    /// How it is in it.
    pub presence: Presence,
    /// How much of it, in percent.
    pub share: Interval,
    /// How much of it the formula asks for, without adjuster, beside what a batch has.
    pub target: Option<Interval>,
    /// The materials that it comes in.
    pub from: Vec<SmolStr>,
    /// What those are there for.
    pub functions: Vec<Role>,
}

/// A raw material of a product.
#[derive(Clone, Debug)]
pub struct AssessedMaterial {
    /// The material.
    pub material: Arc<Material>,
    /// How much of it there is, in percent, through premixes too.
    pub share: Interval,
    /// What it is made of: each with its names, how it is there, and how much of it, in percent.
    pub parts: Vec<(NamedSubstance, Presence, Component)>,
    /// Who says so.
    pub sources: Vec<SmolStr>,
    /// The lots of a batch.
    pub lots: Vec<Lot>,
}

/// A rule that was looked at.
#[derive(Clone, Debug)]
pub struct ReadRule {
    /// Its name.
    pub name: SmolStr,
    /// Where it applies; everywhere where empty.
    pub markets: Vec<Market>,
    /// How grave a breach is.
    pub level: &'static str,
    /// From when on.
    pub from: Option<SmolStr>,
    /// Until when.
    pub until: Option<SmolStr>,
    /// Who says so.
    pub source: Option<SmolStr>,
    /// What came of it: `not kept`, `allowed`, or `nothing found against it`.
    pub outcome: &'static str,
}

/// Something that the files do not say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MissingFact {
    /// What it is missing of.
    pub of: String,
    /// What is missing.
    pub what: String,
}

impl Report<'_> {
    /// The assessor's file of a formula. None where what is in it is not known.
    #[must_use]
    pub fn assessor_file(&self, of: &FormulaReport, order: &BatchOrder) -> Option<AssessorFile> {
        let jar = Jar::of_formula(&of.formula)?;
        let bearing = Bearing { told: of.diagnostics.clone(), allowed: &of.allowed };
        Some(self.gathered(&self.resolver, &jar, None, order, bearing))
    }

    /// The assessor's file of a batch as it was made. None where what is in it is not known.
    #[must_use]
    pub fn assessor_file_of_batch(&self, batch: &Batch, order: &BatchOrder) -> Option<AssessorFile> {
        let (jar, setting): (Jar, Setting<'_>) = Jar::of_batch(&self.resolver, batch)?;
        let names = setting.resolver(&self.resolver);
        let bearing = Bearing { told: self.of_batch(batch).cloned().collect(), allowed: &[] };
        let mut file = self.gathered(names, &jar, Some(batch), order, bearing);
        let asked = setting.formula.composition.as_ref();
        for of in &mut file.substances {
            let ids = asked.into_iter().flat_map(|asked| asked.counted());
            let same = |id: DeclId| names.substance(id).is_some_and(|of_id| of_id.name == of.named.key.as_str());
            of.target = ids.filter(|(id, _)| same(*id)).map(|(_, share)| share.clone()).next();
        }
        Some(file)
    }

    fn gathered(
        &self,
        names: &Resolver<'_>,
        jar: &Jar,
        batch: Option<&Batch>,
        order: &BatchOrder,
        bearing: Bearing<'_>,
    ) -> AssessorFile {
        let formula = Arc::clone(&jar.formula);
        let (day, who) = order.day(&formula);
        let (substances, undisclosed) = substances(names, jar);
        let materials = materials(names, jar, batch);
        let markets: Vec<Market> = formula.markets.iter().map(|(market, _)| *market).collect();
        let open = |market: &Market| {
            let open = names.left_open(&formula, *market, &day);
            let open: Vec<String> = open.into_iter().map(|id| names.substance_name(id)).collect();
            (!open.is_empty()).then_some((*market, open))
        };
        let missing = missing(&formula, batch, &substances, &materials);
        AssessorFile {
            rules: rules(names, jar, &day, &bearing),
            unread_markets: markets.iter().copied().filter(|market| !shelf::has_rules(*market)).collect(),
            left_open: markets.iter().filter_map(open).collect(),
            complaints: self.complaints(&formula, batch),
            allowed: bearing.allowed.iter().map(allowed).collect(),
            told: bearing.told,
            batch: batch.cloned(),
            day: (day, who),
            substances,
            undisclosed,
            materials,
            missing,
            formula,
        }
    }

    /// What was complained of in the batches of a formula, or in one of them.
    fn complaints(&self, formula: &Formula, batch: Option<&Batch>) -> Vec<(SmolStr, SmolStr)> {
        let all = match batch {
            Some(batch) => vec![batch.clone()],
            None => self.resolver.sources.files.iter().flat_map(|source| self.resolver.batches_of(source)).collect(),
        };
        let own = all.into_iter().filter(|batch| batch.formula.as_ref().is_some_and(|of| of.text == formula.name));
        let said = own.flat_map(|batch| {
            let name = batch.name.clone();
            batch.events.into_iter().filter_map(move |event| match event.what {
                Happened::Complaint(words) => Some((name.clone(), words)),
                _ => None,
            })
        });
        said.collect()
    }
}

/// What bears on a product.
struct Bearing<'b> {
    told: Vec<Diagnostic>,
    allowed: &'b [Allowed],
}

fn allowed(of: &Allowed) -> (String, String) {
    (format!("{}: {}", of.diagnostic.code, of.diagnostic.message), of.because.clone())
}

type Shares<K, V> = IndexMap<K, (Interval, V), FxBuildHasher>;

/// The share of everything that portions are told apart by: what surely is in, and the least and the most of what is
/// decided at the bench.
fn shares<K: std::hash::Hash + Eq + Clone, V: Default>(
    jar: &Jar,
    of: &dyn Fn(&Portion) -> Vec<(K, Interval)>,
    mut meet: impl FnMut(&mut V, &Portion),
) -> Shares<K, V> {
    let mut all: Shares<K, V> = IndexMap::default();
    let sums = |portions: &[Portion]| {
        let mut sums: IndexMap<K, Interval, FxBuildHasher> = IndexMap::default();
        for (key, share) in portions.iter().flat_map(of) {
            let sum = sums.entry(key).or_insert_with(Interval::zero);
            *sum = &*sum + &share;
        }
        sums
    };
    for portion in jar.mixtures().flatten() {
        for (key, _) in of(portion) {
            meet(&mut all.entry(key).or_insert_with(|| (Interval::zero(), V::default())).1, portion);
        }
    }
    for (key, share) in sums(&jar.base) {
        if let Some((sum, _)) = all.get_mut(&key) {
            *sum = &*sum + &share;
        }
    }
    for reserve in &jar.reserves {
        let ends: Vec<IndexMap<K, Interval, FxBuildHasher>> = reserve.ends.iter().map(|end| sums(end)).collect();
        for (key, (sum, _)) in &mut all {
            let each: Vec<Interval> =
                ends.iter().map(|end| end.get(key).cloned().unwrap_or_else(Interval::zero)).collect();
            let low = each.iter().map(|share| &share.low).min().cloned().unwrap_or(Exact::ZERO);
            let high = each.iter().map(|share| &share.high).max().cloned().unwrap_or(Exact::ZERO);
            *sum = &*sum + &Interval::new(low, high);
        }
    }
    all
}

/// What a material has in it, each with how it is there.
fn contents(material: &Material) -> impl Iterator<Item = (Presence, &Component)> {
    let parts = material.contains.iter().map(|part| (Presence::Ingredient, part));
    let brought = material.brings.iter().map(|part| (Presence::Brought, part));
    parts.chain(brought).chain(material.traces.iter().map(|part| (Presence::Trace, part)))
}

fn substances(names: &Resolver<'_>, jar: &Jar) -> (Vec<AssessedSubstance>, Option<Interval>) {
    let of = |portion: &Portion| -> Vec<((DeclId, Presence), Interval)> {
        let share = portion.share.hundredth();
        contents(&portion.material)
            .map(|(presence, part)| ((part.substance, presence), part.strength.times(&share)))
            .collect()
    };
    let meet = |met: &mut Vec<Arc<Material>>, portion: &Portion| {
        if !met.iter().any(|known| known.id == portion.material.id) {
            met.push(Arc::clone(&portion.material));
        }
    };
    let all = shares::<(DeclId, Presence), Vec<Arc<Material>>>(jar, &of, meet);
    let mut found: Vec<AssessedSubstance> = all
        .into_iter()
        .map(|((id, presence), (share, from))| AssessedSubstance {
            named: named(names, id),
            presence,
            share,
            target: None,
            from: from.iter().map(|material| material.name.clone()).collect(),
            functions: functions(id, &from),
        })
        .collect();
    found.sort_by(|one, other| {
        let key =
            |of: &AssessedSubstance| (of.presence, std::cmp::Reverse(of.share.high.clone()), of.named.key.clone());
        key(one).cmp(&key(other))
    });
    let open = |portion: &Portion| vec![((), portion.material.undisclosed.times(&portion.share.hundredth()))];
    let open = shares::<(), ()>(jar, &open, |(), _| ()).into_values().map(|(share, ())| share).next();
    (found, open.filter(|share| !share.high.is_zero()))
}

/// What a substance is there for: what those materials are for that it is the active or the most of; where it is that of
/// none, what all of them are for.
fn functions(id: DeclId, from: &[Arc<Material>]) -> Vec<Role> {
    let is_main = |material: &&Arc<Material>| {
        let active = material.contains.iter().find(|part| part.active);
        let main = active.or_else(|| material.contains.iter().max_by(|a, b| a.strength.high.cmp(&b.strength.high)));
        main.is_some_and(|part| part.substance == id)
    };
    let roles =
        |of: Vec<&Arc<Material>>| -> Vec<Role> { of.iter().flat_map(|material| material.roles.clone()).collect() };
    let mut found = roles(from.iter().filter(is_main).collect());
    if found.is_empty() {
        found = roles(from.iter().collect());
    }
    found.sort_by_key(|role| role.word());
    found.dedup();
    found
}

fn named(names: &Resolver<'_>, id: DeclId) -> NamedSubstance {
    let found = names.substance(id);
    let text = |of: &dyn Fn(&crate::model::Substance) -> Option<SmolStr>| {
        found.as_ref().and_then(|found| of(found)).map(|text| text.to_string())
    };
    NamedSubstance {
        key: found.as_ref().map_or_else(|| names.substance_name(id), |found| found.name.to_string()),
        inci: text(&|of| of.inci.clone()),
        cas: text(&|of| of.cas.clone()),
        colour_index: text(&|of| of.colour_index.clone()),
        source: text(&|of| of.source.clone()),
    }
}

fn materials(names: &Resolver<'_>, jar: &Jar, batch: Option<&Batch>) -> Vec<AssessedMaterial> {
    let of = |portion: &Portion| vec![(portion.material.id, Interval::point(portion.share.clone()))];
    let meet = |met: &mut Option<Arc<Material>>, portion: &Portion| *met = Some(Arc::clone(&portion.material));
    let all = shares::<DeclId, Option<Arc<Material>>>(jar, &of, meet);
    let made = all.into_values().filter_map(|(share, material)| {
        let material = material?;
        let parts = contents(&material).map(|(presence, part)| (named(names, part.substance), presence, part.clone()));
        let lots = batch.into_iter().flat_map(|batch| &batch.lots);
        Some(AssessedMaterial {
            parts: parts.collect(),
            sources: sources(names, material.id),
            lots: lots.filter(|lot| lot.material.text == material.name).cloned().collect(),
            share,
            material,
        })
    });
    made.collect()
}

/// So many materials are looked at that are like one another.
const MAX_LIKE: usize = 100;

/// Who says what a material is: the source of what it contains, and that of its block; else those of the one it is like.
fn sources(names: &Resolver<'_>, material: DeclId) -> Vec<SmolStr> {
    let mut found: Vec<SmolStr> = Vec::new();
    let mut next = Some(material);
    for _ in 0..MAX_LIKE {
        let Some(id) = next else { break };
        let Some(Item::Material(declared)) = names.scopes.item(id) else { break };
        let mut states_contents = false;
        for fact in &declared.facts {
            let said = match &fact.field {
                MaterialField::Source(source) => Some(source),
                MaterialField::Contains(..) => {
                    states_contents = true;
                    fact.source.as_ref()
                }
                _ => None,
            };
            found.extend(said.map(|said| said.value.clone()));
        }
        if states_contents {
            break;
        }
        next = names.material(id).and_then(|material| material.like);
    }
    let mut met: Vec<SmolStr> = Vec::new();
    found.retain(|source| {
        let is_new = !met.contains(source);
        met.push(source.clone());
        is_new
    });
    found
}

/// The rules that speak of anything in it, adjuster and corrections among that.
fn rules(names: &Resolver<'_>, jar: &Jar, day: &str, bearing: &Bearing<'_>) -> Vec<ReadRule> {
    let points_at = |fault: &Diagnostic, rule: DeclId| {
        let span = names.scopes.item(rule).map(Item::span);
        let mut places = std::iter::once(&fault.primary).chain(&fault.secondary).map(|label| label.place);
        span.is_some_and(|span| places.any(|place| place.file == rule.file && span.holds(place.span)))
    };
    let parts =
        jar.mixtures().flatten().flat_map(|portion| contents(&portion.material)).map(|(_, part)| part.substance);
    let mut read: Vec<ReadRule> = names
        .rules_about(&jar.formula, parts, day)
        .iter()
        .map(|rule| ReadRule {
            name: rule.name.clone(),
            markets: rule.markets.clone(),
            level: rule.level.word(),
            from: rule.from.clone(),
            until: rule.until.clone(),
            source: rule.source.clone(),
            outcome: if bearing.told.iter().any(|fault| points_at(fault, rule.id)) {
                "not kept"
            } else if bearing.allowed.iter().any(|allowed| points_at(&allowed.diagnostic, rule.id)) {
                "allowed"
            } else {
                "nothing found against it"
            },
        })
        .collect();
    read.sort_by(|one, other| one.name.cmp(&other.name));
    read
}

/// What the files do not say of what they could.
fn missing(
    formula: &Formula,
    batch: Option<&Batch>,
    substances: &[AssessedSubstance],
    materials: &[AssessedMaterial],
) -> Vec<MissingFact> {
    let mut found: Vec<MissingFact> = Vec::new();
    let mut miss = |of: &str, what: &str| {
        let fact = MissingFact { of: of.to_string(), what: what.to_string() };
        if !found.contains(&fact) {
            found.push(fact);
        }
    };
    for of in substances {
        if of.named.inci.is_none() {
            miss(&of.named.key, "its INCI name");
        }
        if of.named.cas.is_none() {
            miss(&of.named.key, "its CAS number");
        }
    }
    for of in materials {
        let name = &of.material.name;
        if of.material.supplier.is_none() {
            miss(name, "who supplies it");
        }
        if of.sources.is_empty() {
            miss(name, "where its composition is from");
        }
        if !of.material.undisclosed.high.is_zero() || of.parts.iter().any(|(.., part)| part.undisclosed) {
            miss(name, "all of its composition: some of it is not disclosed");
        }
        if of.material.roles.is_empty() {
            miss(name, "what it is there for");
        }
        if batch.is_some() && of.lots.is_empty() {
            miss(name, "its lot in this batch");
        }
    }
    if formula.markets.is_empty() {
        miss(&formula.name, "where it is sold, so that no market's rules were looked at and no label was made");
    }
    for material in formula.adjusters().map(|line| &line.name).filter(|_| batch.is_none()) {
        miss(material, "how much of it goes in: it is weighed to the pH, and the file of a batch says it");
    }
    if formula.label.lasts.is_none() {
        miss(&formula.name, "how long it keeps unopened");
    } else if formula.label.lasts_because.is_none() {
        miss(&formula.name, "what its shelf life rests on, such as a stability trial");
    }
    if formula.label.opened.is_none() {
        miss(&formula.name, "how long it keeps once opened");
    }
    if formula.selling.packed_in.is_empty() {
        miss(&formula.name, "what it is packed in");
    }
    if formula.label.function.is_none() {
        miss(&formula.name, "what it is for");
    }
    if formula.label.directions.is_none() {
        miss(&formula.name, "how it is used");
    }
    if let Some(batch) = batch
        && batch.readings().next().is_none()
    {
        miss(&batch.name, "a reading of its pH");
    }
    found
}
