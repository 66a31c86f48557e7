//! A file as it is held, or as it would be, among the others; and the plan of a formula seen from there.

use crate::batch::codes;
use crate::batch::writing::{freeze, size_text};
use crate::diagnostic::Diagnostic;
use crate::keeping::keeper::Keeper;
use crate::model::{CodePattern, MakesSize};
use crate::render::Summary;
use crate::resolve::NameSet;
use crate::session::{Report, Session};
use crate::sheet::BatchOrder;
use crate::syntax::tree::Item;
use crate::workspace::{Overlay, Sources};
use smol_str::SmolStr;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The files as they are, but for one that has this text.
pub struct Draft<'p> {
    /// Who writes it.
    pub keeper: &'p Keeper<'p>,
    /// The file, where its links lead.
    pub path: &'p Path,
    /// What is in it.
    pub bytes: Vec<u8>,
}

impl Draft<'_> {
    /// The file and all it uses.
    #[must_use]
    pub fn session(&self) -> Session<'_> {
        Session::open(self.world(), &[self.path.to_path_buf()], None).seen_from(self.keeper.seen_from.clone())
    }

    /// The files as they would be.
    #[must_use]
    pub fn world(&self) -> Overlay<'_> {
        Overlay { inner: self.keeper.world, path: self.path, bytes: &self.bytes }
    }
}

/// What a record takes over from its formula.
pub struct Frozen {
    /// The version it has.
    pub version: Option<SmolStr>,
    /// The plan, as a statement.
    pub plan: String,
    /// The size of the batch, where one is known.
    pub size: Option<String>,
    /// How the maker calls batches.
    pub pattern: Option<CodePattern>,
    /// The codes of the batches that the formula's files have.
    pub codes: BTreeSet<SmolStr>,
}

/// Why a formula gives no plan, in a sentence.
pub struct Unfrozen(pub String);

/// The file that has a formula, seen from the first file of a session.
#[must_use]
pub fn home_of(report: &Report<'_>, formula: &str) -> Option<PathBuf> {
    let file = report.resolver.sources.files.first()?.id;
    let id = report.resolver.scopes.find(file, NameSet::Weighable, formula)?;
    let is_formula = matches!(report.resolver.scopes.item(id), Some(Item::Formula(_) | Item::Variant(_)));
    report.resolver.sources.home(id.file).filter(|_| is_formula).map(|source| source.absolute.clone())
}

/// The plan of a formula of a file, as a record keeps it. An error in the formula leaves none, as it leaves no sheet; what
/// is wrong then goes to `told`.
pub fn frozen(
    draft: &Draft<'_>,
    file: &Path,
    name: &str,
    makes: Option<MakesSize>,
    told: &mut dyn FnMut(&Sources, &[Diagnostic]),
) -> Result<Frozen, Unfrozen> {
    let world = draft.world();
    let session = Session::open(world, &[file.to_path_buf()], None).seen_from(draft.keeper.seen_from.clone());
    let order = BatchOrder { makes, ..BatchOrder::default() };
    let report = session.check(&order);
    let found = report.formulas.iter().find(|one| one.formula.name == name);
    let Some(found) = found else { return Err(Unfrozen(format!("There is no formula `{name}`."))) };
    if found.is_blocked() {
        told(session.sources(), &found.diagnostics);
        return Err(Unfrozen(format!("`{name}` cannot be weighed: {}.", Summary::of(&found.diagnostics).words())));
    }
    let plan = freeze(&report.resolver, &found.formula);
    let plan = plan.ok_or_else(|| Unfrozen(format!("`{name}` has amounts that are not known.")))?;
    let maker = report.resolver.maker(found.formula.id.file);
    Ok(Frozen {
        version: found.formula.version.clone(),
        plan,
        size: found.plan.as_ref().map(size_text),
        pattern: maker.and_then(|maker| maker.code),
        codes: codes(session.sources()),
    })
}
