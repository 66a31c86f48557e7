//! Declarations that nothing uses.

use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::DeclId;
use crate::resolve::{NameSet, Resolver, unused_let};
use crate::syntax::tree::{Item, Name};
use crate::workspace::Source;

/// Figures and materials of a file that nothing met in the session uses. Asked of files that have a formula: a file
/// of materials alone is there for others.
pub fn unused(resolver: &Resolver<'_>, source: &Source, faults: &mut Vec<Diagnostic>) {
    let has_formula = source.tree.items.iter().any(|item| matches!(item, Item::Formula(_) | Item::Variant(_)));
    let broken = source.tree.items.iter().any(|item| matches!(item, Item::Broken(_)));
    if !has_formula || broken {
        return;
    }
    let declared = |(_, item): &(usize, &Item)| matches!(item, Item::Let(_) | Item::Material(_));
    for (at, item) in source.tree.items.iter().enumerate().filter(declared) {
        let id = DeclId { file: source.id, item: u32::try_from(at).unwrap_or(u32::MAX) };
        // The later of two of a name is told of as that, and nothing can use it.
        let is_shadowed = |name: &Name| resolver.scopes.find(id.file, NameSet::Weighable, &name.text) != Some(id);
        if resolver.is_used(id) || item.name().is_some_and(is_shadowed) {
            continue;
        }
        match item {
            Item::Let(declared) => {
                faults.push(unused_let(Place { file: source.id, span: declared.name.span }, &declared.name.text));
            }
            Item::Material(declared) => {
                let place = Place { file: source.id, span: declared.name.span };
                let message = format!("No formula uses the material `{}`.", declared.name.text);
                let help = "Use it, move it to the file of materials, or take it out.";
                faults.push(Diagnostic::new(Code::MaterialUnused, place, message).help(help));
            }
            _ => {}
        }
    }
}
