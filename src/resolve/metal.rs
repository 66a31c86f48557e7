//! What a substance says of metals, of solid bases and of a solvent beside the other substances that it names: whether they
//! are what it takes them for.

use super::Resolver;
use super::name_set::NameSet;
use super::substance::twice;
use crate::diagnostic::{Code, Diagnostic, Place, Span};
use crate::model::{AcidBase, DeclId, Substance};
use crate::quantity::Exact;
use crate::syntax::tree::{Fact, Item, Name, Number, SubstanceField};
use std::sync::Arc;

impl Resolver<'_> {
    /// Tells what names a substance of the wrong kind, says more than there can be, or says it twice.
    pub(super) fn check_metals(&self, id: DeclId, faults: &mut Vec<Diagnostic>) {
        let Some(Item::Substance(declared)) = self.scopes.item(id) else { return };
        let mut said: Vec<(Said, Place)> = Vec::new();
        for fact in &declared.facts {
            let Some(says) = self.says_of(id, fact, faults) else { continue };
            let place = Place { file: id.file, span: fact.span };
            match said.iter().find(|(known, _)| *known == says) {
                Some((_, first)) => faults.push(twice(place, *first, says.what())),
                None => said.push((says, place)),
            }
        }
    }

    /// What a field says of which other substance, where it is one of these fields; and what is wrong with that.
    fn says_of(&self, id: DeclId, fact: &Fact<SubstanceField>, faults: &mut Vec<Diagnostic>) -> Option<Said> {
        match &fact.field {
            SubstanceField::Binds(metal, log_k) => {
                let metal = self.partner(id, metal, is_cation, "a metal ion", faults)?;
                self.more_than_protons(id, log_k, faults);
                Some(Said::Binds(metal))
            }
            SubstanceField::Precipitates(Some(acid), ..) => {
                let acid = self.partner(id, acid, |of| protons(of).is_some(), "an acid by its pKa", faults)?;
                Some(Said::Precipitates(acid))
            }
            SubstanceField::BaseOf(metal, _) => {
                self.partner(id, metal, is_cation, "a metal ion", faults);
                None
            }
            SubstanceField::AcidGroups(groups) => {
                let (_, ion) = groups.with.as_ref()?;
                self.partner(id, ion, |of| is_cation(of) || matches!(of, AcidBase::Base(_)), "a counter-ion", faults);
                None
            }
            SubstanceField::Moves(of) => {
                let mut names =
                    |name: &Name, _: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, &mut Vec::new());
                let share = self.evaluator(id.file).evaluate(&of.share, &mut names, &mut Vec::new())?;
                Some(Said::Moves(share.value))
            }
            _ => None,
        }
    }

    /// The substance of a name, which is of a kind; none where it is not found, which has been told, or is the one that
    /// speaks.
    fn partner(
        &self,
        id: DeclId,
        name: &Name,
        is: impl Fn(&AcidBase) -> bool,
        kind: &str,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<DeclId> {
        let found = self.look_up(id.file, NameSet::Substance, name, &mut Vec::new()).filter(|found| *found != id)?;
        let known: Arc<Substance> = self.with_twin(found)?;
        if !known.acid_base.as_ref().is_some_and(is) {
            let message = format!("`{}` is not known as {kind}, and only such a one can stand here.", name.text);
            let help = match kind.starts_with("an acid") {
                true => "Name an acid such as `carbonic-acid`, or give it its `acid pKa …`.",
                false => "Name an ion such as `zinc` or `calcium`, or give it its charge: `ion +2`.",
            };
            faults.push(Diagnostic::new(Code::NameUnknown, Self::place(id.file, name), message).help(help));
        }
        Some(found)
    }

    /// Each constant is of the acid with one proton more, and one that has all of them holds no metal.
    fn more_than_protons(&self, id: DeclId, log_k: &[Number], faults: &mut Vec<Diagnostic>) {
        let own = self.with_twin(id);
        let Some(protons) = own.and_then(|own| own.acid_base.as_ref().and_then(protons)) else { return };
        let Some((first, last)) = log_k.get(protons).zip(log_k.last()) else { return };
        let span: Span = first.span.to(last.span);
        let message =
            format!("{} constants stand here, and an acid of {protons} pKa has {protons} at most.", log_k.len());
        let help = format!("Write {protons}: of the acid without its protons, then with one more each.");
        faults.push(Diagnostic::new(Code::FigureImpossible, Place { file: id.file, span }, message).help(help));
    }
}

/// What may be said once of each thing.
#[derive(PartialEq)]
enum Said {
    Binds(DeclId),
    Precipitates(DeclId),
    Moves(Exact),
}

impl Said {
    fn what(&self) -> &'static str {
        match self {
            Said::Binds(_) => "`binds` of this metal",
            Said::Precipitates(_) => "`precipitates` with this acid",
            Said::Moves(_) => "`moves` at this share",
        }
    }
}

fn is_cation(of: &AcidBase) -> bool {
    matches!(of, AcidBase::Ion(charge) if charge.is_positive())
}

/// How many protons an acid gives off; none where it is none with pKa.
fn protons(of: &AcidBase) -> Option<usize> {
    match of {
        AcidBase::Acid(pka) | AcidBase::Ampholyte(pka, _) => Some(pka.len()),
        _ => None,
    }
}
