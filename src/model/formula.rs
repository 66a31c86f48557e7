//! A formula with every name looked up and every amount worked out, as far as it can be.

use super::{Composition, DeclId, Duration, HeaderLine, Material, PhRange, Selling, Steps};
use crate::diagnostic::Place;
use crate::quantity::{Exact, Interval, Range};
use crate::syntax::vocabulary::{Market, Product, Role};
use rustc_hash::FxHashSet;
use smol_str::SmolStr;
use std::sync::Arc;

/// A formula, or a variant with all it changes carried out.
#[derive(Clone, Debug)]
pub struct Formula {
    /// Which declaration.
    pub id: DeclId,
    /// Its name.
    pub name: SmolStr,
    /// Where the name stands.
    pub place: Place,
    /// The whole declaration.
    pub own_span: Option<Place>,
    /// What it is called on a sheet.
    pub title: Option<SmolStr>,
    /// Its version.
    pub version: Option<SmolStr>,
    /// What it makes, and where on the body that goes.
    pub products: Vec<Product>,
    /// Where it is sold.
    pub markets: Vec<(Market, Place)>,
    /// The batch it makes.
    pub makes: Option<MakesSize>,
    /// Its density in g/mL.
    pub density: Option<Exact>,
    /// The scales it is weighed on, as they stand; empty where none is declared.
    pub scales: Vec<Scale>,
    /// The error of the pH meter.
    pub meter: Option<Exact>,
    /// The pH window.
    pub window: Option<PhRange>,
    /// The date its rules are read on.
    pub date: Option<SmolStr>,
    /// Its water activity.
    pub water_activity: Option<Exact>,
    /// Warnings for the label, as the formula has them.
    pub warnings: Vec<SmolStr>,
    /// What the label is to say, each text where it stands.
    pub texts: Vec<LabelText>,
    /// What else the header says of the label.
    pub label: LabelFacts,
    /// What it says of its selling.
    pub selling: Selling,
    /// Its phases, in the order of the bench.
    pub phases: Vec<Phase>,
    /// Its lines, in the order they stand.
    pub lines: Vec<Line>,
    /// How the amounts are written, where all agree.
    pub basis: Basis,
    /// Whether every line's percentage is known and the total may be spoken of.
    pub total_known: bool,
    /// What the lines but `q.s.` add to, in percent, where all are known.
    pub sum: Option<Exact>,
    /// Its composition without adjuster, where the total is known.
    pub composition: Option<Composition>,
    /// Its steps; none where it has no `steps` at all.
    pub steps: Option<Steps>,
    /// The materials that it, as a variant, takes out of its base, with where it says so.
    pub removed: Vec<(SmolStr, Place)>,
    /// What it asks of itself.
    pub ensures: Vec<Ensured>,
    /// The codes it allows.
    pub allows: Vec<Allowance>,
    /// How many premixes stand one in the other in it.
    pub depth: usize,
    /// The declarations it rests on: materials, substances, premixes, bases, figures.
    pub rests_on: Vec<DeclId>,
    /// The formulas among them that it, or a premix of it, is a variant of: what is wrong in those by themselves need
    /// not be wrong in what was changed.
    pub bases: Vec<DeclId>,
    /// Whether lines of it did not parse, so that its total cannot be spoken of.
    pub incomplete: bool,
    /// Whether it is a variant whose base cannot be reached, so that most of it is unknown.
    pub unbased: bool,
    /// The header lines that did not parse, or whose figure is at fault: not to be told of as missing.
    pub header_at_fault: Vec<HeaderLine>,
    /// The words of statements that did not parse: a name among them is not told of as unknown.
    pub broken_words: Vec<SmolStr>,
}

impl Formula {
    /// A formula of which nothing is said yet, so that all there is of it is known.
    #[must_use]
    pub fn bare(id: DeclId, name: SmolStr, place: Place) -> Formula {
        Formula {
            id,
            name,
            place,
            own_span: None,
            title: None,
            version: None,
            products: Vec::new(),
            markets: Vec::new(),
            makes: None,
            density: None,
            scales: Vec::new(),
            meter: None,
            window: None,
            date: None,
            water_activity: None,
            warnings: Vec::new(),
            texts: Vec::new(),
            label: LabelFacts::default(),
            selling: Selling::default(),
            phases: Vec::new(),
            lines: Vec::new(),
            basis: Basis::Percent,
            total_known: true,
            sum: None,
            composition: None,
            steps: None,
            removed: Vec::new(),
            ensures: Vec::new(),
            allows: Vec::new(),
            depth: 0,
            rests_on: Vec::new(),
            bases: Vec::new(),
            incomplete: false,
            unbased: false,
            header_at_fault: Vec::new(),
            broken_words: Vec::new(),
        }
    }

    /// Whether it is a premix or solution for the bench, not for skin.
    #[must_use]
    pub fn is_stock(&self) -> bool {
        self.products.contains(&Product::Stock)
    }

    /// Whether a header line is missing indeed, and not only at fault.
    #[must_use]
    pub fn lacks(&self, header: HeaderLine) -> bool {
        !self.header_at_fault.contains(&header)
    }

    /// Its window, where the edges stand the right way round.
    #[must_use]
    pub fn sound_window(&self) -> Option<&PhRange> {
        self.window.as_ref().filter(|window| !window.is_reversed())
    }

    /// Whether a material of the role is in it, by itself or through premixes.
    #[must_use]
    pub fn has_role(&self, role: Role) -> bool {
        let mut waiting: Vec<&Formula> = vec![self];
        let mut seen = FxHashSet::default();
        while let Some(formula) = waiting.pop() {
            if !seen.insert(formula.id) {
                continue;
            }
            for line in &formula.lines {
                match &line.material {
                    Some(LineMaterial::Material(material)) if material.roles.contains(&role) => return true,
                    Some(LineMaterial::Premix(premix)) => waiting.push(premix),
                    _ => {}
                }
            }
        }
        false
    }

    /// The lines that are weighed at the bench until the window is met.
    pub fn adjusters(&self) -> impl Iterator<Item = &Line> {
        self.lines.iter().filter(|line| matches!(line.amount, LineAmount::AtBench))
    }

    /// The number of the line an adjuster takes its weight from.
    #[must_use]
    pub fn reserve_of(&self, adjuster: &Line) -> Option<usize> {
        let mut holding = self.lines.iter().enumerate().filter(|(_, line)| line.hold_back.is_some());
        match adjuster.from.as_deref() {
            Some((name, _)) => holding.find(|(_, line)| line.name == *name).map(|(at, _)| at),
            None => {
                let first = holding.next()?;
                holding.next().is_none().then_some(first.0)
            }
        }
    }
}

/// A text of the label, and where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LabelText {
    /// Which line of the head it is.
    pub line: HeaderLine,
    /// What it says.
    pub text: SmolStr,
    /// Where it stands.
    pub place: Place,
}

impl LabelText {
    /// Whether it says what the product is: its name, or what it is for.
    #[must_use]
    pub fn is_name(&self) -> bool {
        matches!(self.line, HeaderLine::Title | HeaderLine::Function)
    }
}

/// What a header says of the label alone.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LabelFacts {
    /// How long it keeps unopened.
    pub lasts: Option<Duration>,
    /// Why that is known.
    pub lasts_because: Option<SmolStr>,
    /// How long it keeps once opened.
    pub opened: Option<Duration>,
    /// What it is for.
    pub function: Option<SmolStr>,
    /// How it is used.
    pub directions: Option<SmolStr>,
    /// Whether salts are declared as they form in it.
    pub as_formed: bool,
}

/// `makes …`, in base units.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MakesSize {
    /// How many containers; one where none is written.
    pub count: Option<Exact>,
    /// Grams, where it is a weight.
    pub grams: Option<Exact>,
    /// Millilitres, where it is a volume.
    pub millilitres: Option<Exact>,
    /// What is made over it, in percent.
    pub plus: Option<Exact>,
    /// Where it stands; none where it came with the command.
    pub place: Option<Place>,
}

/// A scale: its step and the most it carries, in grams.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scale {
    /// The step it reads.
    pub step: Exact,
    /// The most it carries.
    pub max: Option<Exact>,
}

/// How the amounts of a formula are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// In percent of the batch.
    Percent,
    /// In grams, which set proportions.
    Weight,
    /// In parts.
    Parts,
    /// Not all alike.
    Mixed,
}

/// A phase.
#[derive(Clone, Debug)]
pub struct Phase {
    /// Its name.
    pub name: SmolStr,
    /// Its title.
    pub title: Option<SmolStr>,
    /// The temperature it opens with, in degrees Celsius.
    pub heat: Option<(Exact, Place)>,
    /// The temperature it is cooled to.
    pub cool: Option<(Exact, Place)>,
    /// Whether a temperature is written that could not be worked out; its fault has been told.
    pub heat_at_fault: bool,
}

/// What a line weighs out.
#[derive(Clone, Debug)]
pub enum LineMaterial {
    /// A raw material.
    Material(Arc<Material>),
    /// A premix: another formula.
    Premix(Arc<Formula>),
}

impl LineMaterial {
    /// What it is called on a sheet.
    #[must_use]
    pub fn title(&self) -> Option<&str> {
        match self {
            LineMaterial::Material(material) => material.title.as_deref(),
            LineMaterial::Premix(premix) => premix.title.as_deref(),
        }
    }

    /// Puts `percent` of it into a composition. False where it is a premix of which nobody knows what it is made of.
    pub fn put_into(&self, composition: &mut Composition, percent: &Exact) -> bool {
        match self {
            LineMaterial::Material(material) => {
                let parts = material.contains.iter().map(|part| (part.substance, &part.strength));
                let brought = material.brings.iter().map(|part| (part.substance, &part.strength));
                let traces = material.traces.iter().map(|part| (part.substance, &part.strength));
                composition.put(percent, parts, brought, traces, Some(&material.undisclosed));
            }
            LineMaterial::Premix(premix) => {
                let Some(inner) = &premix.composition else { return false };
                let parts = inner.parts.iter().map(|(id, share)| (*id, share));
                let brought = inner.brought.iter().map(|(id, share)| (*id, share));
                let traces = inner.traces.iter().map(|(id, share)| (*id, share));
                composition.put(percent, parts, brought, traces, inner.undisclosed.as_ref());
            }
        }
        true
    }
}

/// A line.
#[derive(Clone, Debug)]
pub struct Line {
    /// The name it is written under.
    pub name: SmolStr,
    /// Where the name stands.
    pub place: Place,
    /// The whole line.
    pub whole: Place,
    /// Where the amount stands.
    pub amount_place: Place,
    /// Where a fault of the amount is marked: the amount, or the name that a `swap` put before one it left as it was.
    pub mark: Place,
    /// The number of its phase.
    pub phase: usize,
    /// What it weighs out; none where the name is unknown.
    pub material: Option<LineMaterial>,
    /// The amount as the formatter writes it.
    pub written: SmolStr,
    /// The figure as written, before any strength: in percent, grams or parts.
    pub asked: Option<Exact>,
    /// What the figure is worked out from: each name in its expression.
    pub uses: Vec<Used>,
    /// What the amount came to.
    pub amount: LineAmount,
    /// What the amount is of.
    pub target: Option<Box<Target>>,
    /// Its percentage as supplied, in the finished batch.
    pub percent: Option<Exact>,
    /// What is held back of it.
    pub hold_back: Option<Box<HeldBack>>,
    /// The line its weight comes out of, for an adjuster.
    pub from: Option<Box<(SmolStr, Place)>>,
    /// What a beaker test with it showed, for an adjuster.
    pub titrated: Option<Box<Titration>>,
    /// Why it is as it is.
    pub because: Option<SmolStr>,
    /// Whether it did not parse, or its name is unknown or a fault of its amount has been told.
    pub faulty: bool,
    /// The known names nearest to one that is unknown, for steps.
    pub near: Vec<SmolStr>,
}

impl Line {
    /// What stands at [`mark`](Line::mark) once the line has this amount: a `swap` is given one of its own, since
    /// the line it began from belongs to another formula.
    #[must_use]
    pub fn with_amount(&self, written: &str) -> String {
        if self.mark == self.amount_place { written.to_string() } else { format!("{} {written}", self.name) }
    }
}

/// `titrated 50 g: 0.40 g to pH 5.2`: what a sample of the batch took of an adjuster, and the pH that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Titration {
    /// How many grams of the batch were in the beaker.
    pub sample: Exact,
    /// The grams that had gone in, from the first on, and the pH; the grams only grow. Never empty.
    pub points: Vec<(Exact, Exact)>,
    /// Where it stands.
    pub place: Place,
}

impl Titration {
    /// What a batch of so many grams takes as the sample did.
    #[must_use]
    pub fn scaled(&self, grams: &Exact, batch: &Exact) -> Exact {
        (grams * batch).over(&self.sample).unwrap_or_default()
    }

    /// As it is written.
    #[must_use]
    pub fn written(&self) -> String {
        let points: Vec<String> = self.points.iter().map(|(grams, ph)| format!("{grams} g to pH {ph}")).collect();
        format!("titrated {} g: {}", self.sample, points.join(", "))
    }
}

/// A name in the expression of an amount, and what it stood for.
#[derive(Clone, Debug)]
pub struct Used {
    /// The name.
    pub name: SmolStr,
    /// Its figure.
    pub value: Exact,
    /// The mark of its unit: ` %`, ` g`, ` parts`, or nothing.
    pub mark: &'static str,
    /// Where it is declared, or the amount of the line it names.
    pub place: Place,
}

/// What an amount came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LineAmount {
    /// A percentage as supplied.
    Percent(Exact),
    /// Grams that set a proportion.
    Weight(Exact),
    /// Parts.
    Parts(Exact),
    /// Fills to 100 %.
    QuantumSatis,
    /// Weighed at the bench.
    AtBench,
    /// Not known; the fault has been told.
    Unknown,
}

impl LineAmount {
    /// The grams, where it is a weight.
    #[must_use]
    pub fn weight(&self) -> Option<&Exact> {
        match self {
            LineAmount::Weight(grams) => Some(grams),
            _ => None,
        }
    }
}

/// What a line's figure speaks of, when not of the material as supplied.
#[derive(Clone, Debug)]
pub struct Target {
    /// The substance.
    pub substance: DeclId,
    /// `active` or `of`.
    pub is: AmountIs,
    /// The strength it was worked out with, in percent, salts counted.
    pub strength: Interval,
}

/// `active` or `of`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AmountIs {
    /// The material's active.
    Active,
    /// A named substance, with its salts.
    Of,
}

/// What is held back of a line.
#[derive(Clone, Debug)]
pub struct HeldBack {
    /// In percent of the batch; none where a weight has no batch to stand against.
    pub percent: Option<Exact>,
    /// In grams against the formula's own batch, where it was written as a weight.
    pub grams: Option<Exact>,
    /// As it is written.
    pub written: String,
    /// Where it stands.
    pub place: Place,
}

/// An `ensure`, worked out.
#[derive(Clone, Debug)]
pub struct Ensured {
    /// Where it stands.
    pub place: Place,
    /// What it asks.
    pub demand: Demand,
}

/// What an `ensure` asks.
#[derive(Clone, Debug)]
pub enum Demand {
    /// A figure within a range.
    Within {
        /// What is spoken of, as it is written.
        written: String,
        /// What it comes to; none where it cannot be known yet.
        value: Option<Interval>,
        /// The range it is to lie in.
        bound: Bound,
    },
    /// The pH window within a range.
    Ph(Bound),
    /// Nothing that can be broken.
    Nothing,
}

/// A range of figures, and how it is written.
#[derive(Clone, Debug)]
pub struct Bound {
    /// The range.
    pub range: Range<Exact>,
    /// As written.
    pub written: String,
    /// The unit's mark after a figure: ` %`, or nothing.
    pub mark: &'static str,
}

/// An `allow`.
#[derive(Clone, Debug)]
pub struct Allowance {
    /// The code as written.
    pub code: SmolStr,
    /// Where the code stands.
    pub place: Place,
    /// The reason.
    pub because: Option<SmolStr>,
    /// The number of the line it speaks of; none where it speaks of the whole formula.
    pub line: Option<usize>,
    /// Whether it stands in a phase with no line before it.
    pub stray: bool,
}

impl Allowance {
    /// The reason, where one is written: dots and blanks keep a place for one and are none.
    #[must_use]
    pub fn reason(&self) -> Option<&SmolStr> {
        self.because.as_ref().filter(|because| !because.trim_matches(['.', '…', ' ', '\t']).is_empty())
    }
}
