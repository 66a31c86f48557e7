//! What a material is to be kept apart from.

use super::name_set::NameSet;
use super::{Bounds, Resolver};
use crate::diagnostic::{Diagnostic, FileId, Place};
use crate::model::{Avoid, Avoided, PhRange};
use crate::quantity::Dimension;
use crate::syntax::tree::{self, Item, Name};
use crate::syntax::vocabulary::{Charge, Role};

impl Resolver<'_> {
    /// `avoid with NAME …`. None where a condition could not be read, which is told of: without it nothing can be said
    /// of the pair.
    pub(super) fn avoid(
        &self,
        file: FileId,
        avoid: &tree::Avoid,
        place: Place,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Avoid> {
        let evaluator = self.evaluator(file);
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(file, name, faults);
        let above = avoid.above.as_ref().map(|above| {
            let figure = evaluator.want(above, "`above`", &[Dimension::Percent], &mut names, faults);
            evaluator.within(&Bounds::share(), above.span(), figure, faults)
        });
        let outside = avoid.outside.as_ref().map(|outside| {
            let ends = evaluator.range(outside, "`outside pH`", &[Dimension::Plain], &mut names, faults);
            let ends = evaluator.ends_within(&Bounds::ph(), outside, ends, faults);
            ends.map(|range| PhRange { range, place: Place { file, span: outside.span } })
        });
        let with = self.avoided(file, &avoid.with);
        Some(Avoid {
            name: avoid.with.text.clone(),
            with,
            above: match above {
                Some(read) => Some(read?),
                None => None,
            },
            outside: match outside {
                Some(read) => Some(read?),
                None => None,
            },
            because: avoid.because.value.clone(),
            place,
        })
    }

    /// What a name after `avoid with` speaks of. One that nothing declares speaks of nothing.
    fn avoided(&self, file: FileId, name: &Name) -> Vec<Avoided> {
        let mut found = Vec::new();
        found.extend(Role::from_word(&name.text).map(Avoided::Role));
        found.extend(Charge::from_word(&name.text).map(Avoided::Charge));
        for set in [NameSet::Weighable, NameSet::Substance, NameSet::Group] {
            let Some(id) = self.scopes.find(file, set, &name.text) else { continue };
            self.mark_used(id);
            match self.scopes.item(id) {
                Some(Item::Material(_)) => found.push(Avoided::Material(id)),
                Some(Item::Substance(_)) => found.push(Avoided::Substance(id)),
                Some(Item::Group(group)) => {
                    let members = group.members.iter();
                    let members = members.filter_map(|name| self.scopes.find(id.file, NameSet::Substance, &name.text));
                    found.extend(members.map(Avoided::Substance));
                }
                _ => {}
            }
        }
        found
    }
}
