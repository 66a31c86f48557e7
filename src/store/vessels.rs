//! Which containers are filled: those that a formula is `packed in`, else the one that holds just what goes into each.

use crate::diagnostic::FileId;
use crate::model::{Batch, Container, Content};
use crate::resolve::Resolver;
use smol_str::SmolStr;

/// The containers that one filling of a batch took, one each. Where it was filled into another size than that of its
/// `packed in`, what holds just that takes the place of what holds something else.
///
/// # Errors
/// Why none is known, in a sentence.
pub(super) fn filled_into(
    resolver: &Resolver<'_>,
    containers: &[Container],
    batch: &Batch,
    content: &Content,
) -> Result<Vec<SmolStr>, String> {
    let declared = resolver.formula_of_batch(batch);
    let packing = declared.iter().flat_map(|declared| &declared.formula.selling.packed_in);
    let packed: Vec<Container> = packing.filter_map(|packing| resolver.container(packing.id)).collect();
    let fitting = || that_hold(resolver, containers, batch.id.file, content);
    if packed.is_empty() {
        return fitting();
    }
    let names = |of: &dyn Fn(&Container) -> bool| -> Vec<SmolStr> {
        packed.iter().filter(|container| of(container)).map(|container| container.name.clone()).collect()
    };
    let is_any_size = packed.iter().all(|container| container.holds.is_none());
    if is_any_size || packed.iter().any(|container| container.holds.as_ref() == Some(content)) {
        return Ok(names(&|container| container.holds.as_ref().is_none_or(|holds| holds == content)));
    }
    match fitting() {
        Ok(other) if !other.is_empty() => {
            Ok(other.into_iter().chain(names(&|container| container.holds.is_none())).collect())
        }
        _ => Ok(names(&|_| true)),
    }
}

/// The one container that holds just so much; none where there is none. Those that a file reaches go before others.
///
/// # Errors
/// That several do.
pub(super) fn that_hold(
    resolver: &Resolver<'_>,
    containers: &[Container],
    file: FileId,
    content: &Content,
) -> Result<Vec<SmolStr>, String> {
    let reached: Vec<_> = resolver.scopes.reached(file).collect();
    let holding = containers.iter().filter(|container| container.holds.as_ref() == Some(content));
    let (near, far): (Vec<&Container>, Vec<&Container>) =
        holding.partition(|container| reached.contains(&container.id.file));
    let holding = if near.is_empty() { far } else { near };
    let mut fitting: Vec<SmolStr> = holding.into_iter().map(|container| container.name.clone()).collect();
    fitting.sort();
    fitting.dedup();
    match fitting.as_slice() {
        [] | [_] => Ok(fitting),
        several => Err(format!(
            "{} hold just what each is filled with, and none is counted. Write `packed in` for the one that is meant.",
            quoted(several)
        )),
    }
}

pub(super) fn quoted(names: &[SmolStr]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}
