//! A formula that a change has not touched, as it stands now: all its places where they are now, and nothing worked out
//! again. Every field is named here, so that one that is added later cannot be forgotten.

use super::carried::Shift;
use crate::diagnostic::{FileId, Place};
use crate::model::{
    Allowance, Composition, DeclId, Ensured, Fee, Formula, HeldBack, LabelText, Labour, Line, LineMaterial, MakesSize,
    Packing, PhRange, Phase, Selling, Shade, StatedLine, Step, Steps, Target, Titration, Used,
};
use std::sync::Arc;

/// What it takes to say where a formula stands now.
pub(super) struct Mover<'m> {
    pub shift: &'m Shift,
    /// A premix as it stands now, by its number as it was.
    pub premix: &'m dyn Fn(DeclId) -> Option<Arc<Formula>>,
    /// Whether nothing has changed that the declarations of a file see.
    pub stays: &'m dyn Fn(FileId) -> bool,
}

impl Mover<'_> {
    /// A formula as it stands now; none where that cannot be said.
    pub fn formula(&self, formula: &Formula) -> Option<Formula> {
        let Formula {
            id,
            name,
            place,
            own_span,
            title,
            version,
            products,
            markets,
            makes,
            density,
            scales,
            meter,
            window,
            date,
            water_activity,
            warnings,
            texts,
            label,
            selling,
            phases,
            lines,
            basis,
            total_known,
            sum,
            composition,
            steps,
            removed,
            ensures,
            allows,
            depth,
            rests_on,
            bases,
            incomplete,
            unbased,
            header_at_fault,
            broken_words,
        } = formula;
        Some(Formula {
            id: self.id(*id)?,
            name: name.clone(),
            place: self.place(*place)?,
            own_span: self.maybe(*own_span)?,
            title: title.clone(),
            version: version.clone(),
            products: products.clone(),
            markets: all(markets, |(market, place)| Some((*market, self.place(*place)?)))?,
            makes: some(makes.as_ref(), |makes| self.makes(makes))?,
            density: density.clone(),
            scales: scales.clone(),
            meter: meter.clone(),
            window: some(window.as_ref(), |window| self.window(window))?,
            date: date.clone(),
            water_activity: water_activity.clone(),
            warnings: warnings.clone(),
            texts: all(texts, |text| self.text(text))?,
            label: label.clone(),
            selling: self.selling(selling)?,
            phases: all(phases, |phase| self.phase(phase))?,
            lines: all(lines, |line| self.line(line))?,
            basis: *basis,
            total_known: *total_known,
            sum: sum.clone(),
            composition: some(composition.as_ref(), |composition| self.composition(composition))?,
            steps: some(steps.as_ref(), |steps| self.steps(steps))?,
            removed: all(removed, |(name, place)| Some((name.clone(), self.place(*place)?)))?,
            ensures: all(ensures, |ensured| self.ensured(ensured))?,
            allows: all(allows, |allow| self.allowance(allow))?,
            depth: *depth,
            rests_on: self.shift.ids(rests_on)?,
            bases: self.shift.ids(bases)?,
            incomplete: *incomplete,
            unbased: *unbased,
            header_at_fault: header_at_fault.clone(),
            broken_words: broken_words.clone(),
        })
    }

    /// Whether every premix of a formula is the very one that it was.
    pub fn keeps_premixes(&self, formula: &Formula) -> bool {
        formula.lines.iter().all(|line| match &line.material {
            Some(LineMaterial::Premix(premix)) => (self.premix)(premix.id).is_some_and(|now| Arc::ptr_eq(&now, premix)),
            _ => true,
        })
    }

    fn id(&self, id: DeclId) -> Option<DeclId> {
        self.shift.id(id)
    }

    fn place(&self, place: Place) -> Option<Place> {
        self.shift.moved(place)
    }

    fn maybe(&self, place: Option<Place>) -> Option<Option<Place>> {
        some(place, |place| self.place(place))
    }

    fn makes(&self, makes: &MakesSize) -> Option<MakesSize> {
        let MakesSize { count, grams, millilitres, plus, place } = makes;
        Some(MakesSize {
            count: count.clone(),
            grams: grams.clone(),
            millilitres: millilitres.clone(),
            plus: plus.clone(),
            place: self.maybe(*place)?,
        })
    }

    fn window(&self, window: &PhRange) -> Option<PhRange> {
        let PhRange { range, place } = window;
        Some(PhRange { range: range.clone(), place: self.place(*place)? })
    }

    fn text(&self, text: &LabelText) -> Option<LabelText> {
        let LabelText { line, text, place } = text;
        Some(LabelText { line: *line, text: text.clone(), place: self.place(*place)? })
    }

    fn selling(&self, selling: &Selling) -> Option<Selling> {
        let Selling { may_contain, packed_in, loss, labour, fees, price, vat } = selling;
        Some(Selling {
            may_contain: all(may_contain, |shade| self.shade(shade))?,
            packed_in: all(packed_in, |packing| self.packing(packing))?,
            loss: some(loss.as_ref(), |loss| self.stated(loss))?,
            labour: all(labour, |labour| self.labour(labour))?,
            fees: all(fees, |fee| self.fee(fee))?,
            price: some(price.as_ref(), |price| self.stated(price))?,
            vat: some(vat.as_ref(), |vat| self.stated(vat))?,
        })
    }

    fn shade(&self, shade: &Shade) -> Option<Shade> {
        let Shade { name, place, material, substances } = shade;
        Some(Shade {
            name: name.clone(),
            place: self.place(*place)?,
            material: some(*material, |id| self.id(id))?,
            substances: self.shift.ids(substances)?,
        })
    }

    fn packing(&self, packing: &Packing) -> Option<Packing> {
        let Packing { id, name, place } = packing;
        Some(Packing { id: self.id(*id)?, name: name.clone(), place: self.place(*place)? })
    }

    fn stated<T: Clone>(&self, stated: &StatedLine<T>) -> Option<StatedLine<T>> {
        let StatedLine { value, place } = stated;
        Some(StatedLine { value: value.clone(), place: self.place(*place)? })
    }

    fn labour(&self, labour: &Labour) -> Option<Labour> {
        let Labour { seconds, pay, per, place } = labour;
        Some(Labour { seconds: seconds.clone(), pay: pay.clone(), per: per.clone(), place: self.place(*place)? })
    }

    fn fee(&self, fee: &Fee) -> Option<Fee> {
        let Fee { what, because, place } = fee;
        Some(Fee { what: what.clone(), because: because.clone(), place: self.place(*place)? })
    }

    fn phase(&self, phase: &Phase) -> Option<Phase> {
        let Phase { name, title, heat, cool, heat_at_fault } = phase;
        let at = |(degrees, place): &(_, Place)| Some((Clone::clone(degrees), self.place(*place)?));
        Some(Phase {
            name: name.clone(),
            title: title.clone(),
            heat: some(heat.as_ref(), at)?,
            cool: some(cool.as_ref(), at)?,
            heat_at_fault: *heat_at_fault,
        })
    }

    fn line(&self, line: &Line) -> Option<Line> {
        let Line {
            name,
            place,
            whole,
            amount_place,
            mark,
            phase,
            material,
            written,
            asked,
            uses,
            amount,
            target,
            percent,
            hold_back,
            from,
            titrated,
            because,
            faulty,
            near,
        } = line;
        Some(Line {
            name: name.clone(),
            place: self.place(*place)?,
            whole: self.place(*whole)?,
            amount_place: self.place(*amount_place)?,
            mark: self.place(*mark)?,
            phase: *phase,
            material: some(material.as_ref(), |material| self.material(material))?,
            written: written.clone(),
            asked: asked.clone(),
            uses: all(uses, |used| self.used(used))?,
            amount: amount.clone(),
            target: some(target.as_deref(), |target| self.target(target).map(Box::new))?,
            percent: percent.clone(),
            hold_back: some(hold_back.as_deref(), |held| self.held_back(held).map(Box::new))?,
            from: some(from.as_deref(), |(name, place)| Some(Box::new((name.clone(), self.place(*place)?))))?,
            titrated: some(titrated.as_deref(), |titrated| self.titration(titrated).map(Box::new))?,
            because: because.clone(),
            faulty: *faulty,
            near: near.clone(),
        })
    }

    /// A material stays what it is where nothing has changed that its file sees.
    fn material(&self, material: &LineMaterial) -> Option<LineMaterial> {
        match material {
            LineMaterial::Material(material) => {
                (self.stays)(material.id.file).then(|| LineMaterial::Material(Arc::clone(material)))
            }
            LineMaterial::Premix(premix) => (self.premix)(premix.id).map(LineMaterial::Premix),
        }
    }

    fn used(&self, used: &Used) -> Option<Used> {
        let Used { name, value, mark, place } = used;
        Some(Used { name: name.clone(), value: value.clone(), mark, place: self.place(*place)? })
    }

    fn target(&self, target: &Target) -> Option<Target> {
        let Target { substance, is, strength } = target;
        Some(Target { substance: self.id(*substance)?, is: *is, strength: strength.clone() })
    }

    fn held_back(&self, held: &HeldBack) -> Option<HeldBack> {
        let HeldBack { percent, grams, written, place } = held;
        let (percent, grams, written) = (percent.clone(), grams.clone(), written.clone());
        Some(HeldBack { percent, grams, written, place: self.place(*place)? })
    }

    fn titration(&self, titration: &Titration) -> Option<Titration> {
        let Titration { sample, points, place } = titration;
        Some(Titration { sample: sample.clone(), points: points.clone(), place: self.place(*place)? })
    }

    /// Substances of the file itself may have other numbers now: that is worked out again.
    fn composition(&self, composition: &Composition) -> Option<Composition> {
        let Composition { parts, brought, traces, undisclosed: _ } = composition;
        let mut substances = parts.keys().chain(brought.keys()).chain(traces.keys());
        substances.all(|id| self.id(*id) == Some(*id)).then(|| composition.clone())
    }

    fn steps(&self, steps: &Steps) -> Option<Steps> {
        let Steps { steps, renames } = steps;
        let step = |Step { text, place }: &Step| Some(Step { text: text.clone(), place: self.place(*place)? });
        Some(Steps { steps: all(steps, step)?, renames: renames.clone() })
    }

    fn ensured(&self, ensured: &Ensured) -> Option<Ensured> {
        let Ensured { place, demand } = ensured;
        Some(Ensured { place: self.place(*place)?, demand: demand.clone() })
    }

    fn allowance(&self, allow: &Allowance) -> Option<Allowance> {
        let Allowance { code, place, because, line, stray } = allow;
        let (code, because) = (code.clone(), because.clone());
        Some(Allowance { code, place: self.place(*place)?, because, line: *line, stray: *stray })
    }
}

/// Each of some; none where one of them is none.
fn all<T, M>(these: &[T], to: impl Fn(&T) -> Option<M>) -> Option<Vec<M>> {
    these.iter().map(to).collect()
}

/// What may not be there; none at all where it is there and cannot be said.
fn some<T, M>(this: Option<T>, to: impl Fn(T) -> Option<M>) -> Option<Option<M>> {
    match this {
        Some(this) => to(this).map(Some),
        None => Some(None),
    }
}
