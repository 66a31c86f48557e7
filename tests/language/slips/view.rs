//! A formula as the slips see it: as it is written, and as it was resolved.

use super::edit::{Edit, put, put_at, whole_lines};
use std::sync::Arc;
use stillroom::chemistry::Activity;
use stillroom::diagnostic::Span;
use stillroom::model::{Formula, Line, LineAmount, LineMaterial, Material, Steps};
use stillroom::quantity::Exact;
use stillroom::resolve::{NameSet, Resolver};
use stillroom::session::{FormulaReport, Report};
use stillroom::sheet::Plan;
use stillroom::sheet::ph::outlook;
use stillroom::syntax::tree::{
    self, AmountKind, Expression, FormulaStatement, HeaderField, Item, PhaseStatement, Quantity, VariantStatement,
};
use stillroom::syntax::vocabulary::Role;
use stillroom::workspace::Loaded;

/// A formula or variant of the file that is checked.
pub struct View<'v> {
    /// The text of the file.
    pub text: &'v str,
    /// What stands in the file.
    pub items: &'v [Item],
    /// The formula as it was resolved.
    pub formula: &'v Formula,
    /// Its weights.
    pub plan: Option<&'v Plan>,
    /// The names of the session.
    pub resolver: &'v Resolver<'v>,
    /// Where it stands.
    pub own: Span,
    /// Whether it is told by its differences.
    pub is_variant: bool,
    /// Whether it is the first of its file, so that what belongs to the file is looked at once.
    pub is_first: bool,
    /// Its header lines.
    pub headers: Vec<&'v tree::Header>,
    /// Its allowances.
    pub allows: Vec<&'v tree::Allow>,
    /// Its phases as written.
    pub phases: Vec<&'v tree::Phase>,
    lines: Vec<&'v tree::Line>,
    lets: Vec<&'v tree::Let>,
}

/// A line as it is written and as it was resolved.
#[derive(Clone, Copy)]
pub struct Row<'v> {
    /// The line as resolved.
    pub line: &'v Line,
    /// The line as written.
    pub written: &'v tree::Line,
}

impl<'v> Row<'v> {
    /// Its raw material, where it is one.
    pub fn material(&self) -> Option<&'v Arc<Material>> {
        match &self.line.material {
            Some(LineMaterial::Material(material)) => Some(material),
            _ => None,
        }
    }

    /// Its percentage, where it is neither what fills up nor weighed at the bench.
    pub fn percent(&self) -> Option<&'v Exact> {
        let weighed = !matches!(self.line.amount, LineAmount::QuantumSatis | LineAmount::AtBench);
        self.line.percent.as_ref().filter(|_| weighed)
    }

    /// The span of its amount.
    pub fn amount(&self) -> Span {
        self.written.amount.span
    }
}

/// A formula of a report, seen; none where it stands in another file.
pub fn views<'v>(loaded: &'v Loaded, report: &'v Report<'v>) -> Vec<View<'v>> {
    let seen = report.formulas.iter().filter_map(|one| view(loaded, report, one));
    seen.enumerate().map(|(at, view)| View { is_first: at == 0, ..view }).collect()
}

fn view<'v>(loaded: &'v Loaded, report: &'v Report<'v>, one: &'v FormulaReport) -> Option<View<'v>> {
    let source = loaded.sources.home(one.formula.id.file)?;
    let item = source.tree.items.get(one.formula.id.item as usize)?;
    let mut view = View {
        text: &source.text,
        items: &source.tree.items,
        formula: &one.formula,
        plan: one.plan.as_ref(),
        resolver: &report.resolver,
        own: item.span(),
        is_variant: matches!(item, Item::Variant(_)),
        is_first: false,
        headers: Vec::new(),
        allows: Vec::new(),
        phases: Vec::new(),
        lines: Vec::new(),
        lets: Vec::new(),
    };
    match item {
        Item::Formula(formula) => formula.statements.iter().for_each(|statement| view.take_in(statement)),
        Item::Variant(variant) => variant.statements.iter().for_each(|statement| view.take_in_change(statement)),
        _ => return None,
    }
    Some(view)
}

impl<'v> View<'v> {
    fn take_in(&mut self, statement: &'v FormulaStatement) {
        match statement {
            FormulaStatement::Header(header) => self.headers.push(header),
            FormulaStatement::Allow(allow) => self.allows.push(allow),
            FormulaStatement::Let(named) => self.lets.push(named),
            FormulaStatement::Phase(phase) => self.take_in_phase(phase),
            _ => {}
        }
    }

    fn take_in_change(&mut self, statement: &'v VariantStatement) {
        match statement {
            VariantStatement::Header(header) => self.headers.push(header),
            VariantStatement::Allow(allow) => self.allows.push(allow),
            VariantStatement::Let(named) => self.lets.push(named),
            VariantStatement::Set(line) => self.take_in_line(line),
            VariantStatement::Phase(phase) => self.take_in_phase(phase),
            _ => {}
        }
    }

    fn take_in_phase(&mut self, phase: &'v tree::Phase) {
        self.phases.push(phase);
        for statement in &phase.statements {
            match statement {
                PhaseStatement::Line(line) => self.take_in_line(line),
                PhaseStatement::Allow(allow) => self.allows.push(allow),
                _ => {}
            }
        }
    }

    fn take_in_line(&mut self, line: &'v tree::Line) {
        self.lines.push(line);
        self.allows.extend(line.tail.allow.as_deref());
    }

    /// Its lines, as far as they are written here.
    pub fn rows(&self) -> Vec<Row<'v>> {
        let row = |written: &&'v tree::Line| {
            let is_it = |line: &&'v Line| {
                line.place.file == self.formula.id.file && line.amount_place.span == written.amount.span
            };
            self.formula.lines.iter().find(is_it).map(|line| Row { line, written })
        };
        self.lines.iter().filter_map(row).collect()
    }

    /// The lines of a formula that is no variant: only those can be doubled, left out or put in another's place.
    pub fn own_rows(&self) -> Vec<Row<'v>> {
        if self.is_variant { Vec::new() } else { self.rows() }
    }

    /// Every figure that stands as an amount, and every one that a `let` names.
    pub fn amounts(&self) -> Vec<&'v Quantity> {
        let of_lines = self.lines.iter().filter_map(|line| match &line.amount.kind {
            AmountKind::AsSupplied(figure) | AmountKind::Active(figure) | AmountKind::Of(figure, _) => Some(figure),
            AmountKind::QuantumSatis | AmountKind::QuantumSatisToPh => None,
        });
        let of_file = self.items.iter().filter_map(|item| match item {
            Item::Let(named) if self.is_first => Some(named),
            _ => None,
        });
        let named = of_file.chain(self.lets.iter().copied()).map(|named| &named.value);
        of_lines.chain(named).filter_map(quantity).collect()
    }

    /// The value of the header line that `pick` finds, with the whole line.
    pub fn header<T>(&self, pick: impl Fn(&'v HeaderField) -> Option<T>) -> Option<(T, Span)> {
        self.headers.iter().find_map(|header| pick(&header.field).map(|found| (found, header.span)))
    }

    /// The text at a span.
    pub fn at(&self, span: Span) -> &'v str {
        span.of(self.text)
    }

    /// The lines of text that a span stands on, taken out.
    pub fn without(&self, span: Span) -> Edit {
        put_at(whole_lines(self.text, span), "")
    }

    /// The braces around a name taken off in every step, so that no step tells of what is gone.
    pub fn unmarked(&self, name: &str) -> Vec<Edit> {
        let file = self.formula.place.file;
        let marks = self.formula.steps.iter().flat_map(Steps::names);
        let marks = marks.filter(|marked| marked.name == name && marked.step.place.file == file);
        let of_name = marks.map(|marked| marked.place(self.resolver.sources.text(marked.step.place.file)));
        of_name.filter(|place| self.is_own(place.span)).map(|place| put(place.span, name)).collect()
    }

    /// Whether a step speaks of a name.
    pub fn is_in_steps(&self, name: &str) -> bool {
        !self.unmarked(name).is_empty()
    }

    /// Whether the name of a line stands in the formula beside the line and the steps: in an expression or an `ensure`.
    pub fn is_named_elsewhere(&self, name: &str) -> bool {
        self.words(name).len() > 1 + self.unmarked(name).len()
    }

    fn is_own(&self, span: Span) -> bool {
        self.own.holds(span)
    }

    /// Where a name stands as a whole word within the formula.
    fn words(&self, name: &str) -> Vec<usize> {
        let part = |c: Option<char>| c.is_some_and(|c| c.is_ascii_alphanumeric() || c == '-');
        let from = self.own.range().start;
        let found = self.at(self.own).match_indices(name).map(|(at, _)| from + at);
        found
            .filter(|at| {
                !part(self.text[..*at].chars().next_back()) && !part(self.text[at + name.len()..].chars().next())
            })
            .collect()
    }

    /// A name put in the place of another wherever it stands in the formula.
    pub fn renamed(&self, old: &str, new: &str) -> Vec<Edit> {
        self.words(old).into_iter().map(|at| put_at(at..at + old.len(), new)).collect()
    }

    /// Another material in the place of a line's, at the same percentage as supplied.
    pub fn swapped(&self, row: &Row<'v>, new: &str) -> Vec<Edit> {
        let mut edits = self.renamed(&row.line.name, new);
        if let Some(percent) = row.percent().filter(|_| row.line.target.is_some()) {
            // The amount may name other lines, and the old name itself: it is written as a figure.
            edits.retain(|edit| *edit != put(row.amount(), new));
            edits.push(put(row.amount(), figure(percent)));
        }
        edits
    }

    /// Every raw material that the file sees, in the order of the alphabet.
    pub fn visible(&self) -> Vec<Arc<Material>> {
        let file = self.formula.id.file;
        let names = self.resolver.scopes.visible(file, NameSet::Weighable);
        let found = names.into_iter().filter_map(|name| self.resolver.scopes.find(file, NameSet::Weighable, name));
        found.filter(|id| self.is_material(*id)).filter_map(|id| self.resolver.material(id)).collect()
    }

    fn is_material(&self, id: stillroom::model::DeclId) -> bool {
        matches!(self.resolver.scopes.item(id), Some(Item::Material(_)))
    }

    /// Whether a name is seen from the file.
    pub fn sees(&self, name: &str) -> bool {
        self.resolver.scopes.find(self.formula.id.file, NameSet::Weighable, name).is_some()
    }

    /// Whether a line of the formula has the name.
    pub fn has(&self, name: &str) -> bool {
        self.formula.lines.iter().any(|line| line.name == name)
    }

    /// How much the line that fills up has, in percent; none where no line does.
    pub fn room(&self) -> Option<&'v Exact> {
        let filling = self.formula.lines.iter().find(|line| line.amount == LineAmount::QuantumSatis)?;
        filling.percent.as_ref()
    }

    /// Whether water in it needs something that preserves: it is for skin, it is wet, and nothing keeps growth off.
    pub fn is_wet_product(&self) -> bool {
        let formula = self.formula;
        let parts = formula.composition.iter().flat_map(|composition| &composition.parts);
        let substances: Vec<_> =
            parts.filter_map(|(id, share)| Some((self.resolver.substance(*id)?, &share.low))).collect();
        let wet =
            substances.iter().any(|(substance, low)| substance.physical_water().is_positive() && low.is_positive());
        let spirit = substances.iter().any(|(substance, low)| substance.is_ethanol() && **low > Exact::whole(15));
        let extreme = formula.window.as_ref().is_some_and(|window| {
            window.high.as_ref().is_some_and(|high| *high <= Exact::whole(3))
                || window.low.as_ref().is_some_and(|low| *low >= Exact::whole(10))
        });
        let exempt = spirit || extreme || self.is_too_acid_to_spoil();
        wet && !exempt && !formula.is_stock() && formula.water_activity.is_none()
    }

    /// Whether, without a window, the pH is foreseen so low that nothing grows, or would be without the salt of a
    /// preservative that keeps it a little higher.
    fn is_too_acid_to_spoil(&self) -> bool {
        let foreseen = outlook(self.resolver, self.formula, Activity::Davies).filter(|of| of.window.is_none());
        foreseen.is_some_and(|of| of.before.is_some_and(|before| before.ph <= 3.3))
    }

    /// Its lines of a raw material that preserves.
    pub fn preservatives(&self) -> Vec<Row<'v>> {
        let preserves = |row: &Row<'v>| row.material().is_some_and(|it| it.roles.contains(&Role::Preservative));
        self.own_rows().into_iter().filter(preserves).collect()
    }

    /// Whether one of its premixes preserves.
    pub fn is_preserved_by_premix(&self) -> bool {
        self.formula.lines.iter().any(|line| match &line.material {
            Some(LineMaterial::Premix(premix)) => premix.has_role(Role::Preservative),
            _ => false,
        })
    }
}

/// An expression that is a figure and nothing else.
pub fn quantity(expression: &Expression) -> Option<&Quantity> {
    match expression {
        Expression::Quantity(quantity) => Some(quantity),
        _ => None,
    }
}

/// A percentage as it is written, exactly: as a decimal where one will do, else as a fraction.
pub fn figure(percent: &Exact) -> String {
    match percent.decimals() {
        Some(decimals) => format!("{} %", percent.to_fixed(decimals)),
        None => match percent.to_fraction().split_once('/') {
            Some((over, under)) => format!("({over} % / {under})"),
            None => format!("{percent} %"),
        },
    }
}
