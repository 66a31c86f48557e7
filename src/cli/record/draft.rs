//! A file as it is held, or as it would be, among the others on the disk; and the plan of a formula seen from there.

use crate::cli::input::{here, stderr_is_terminal, style};
use smol_str::SmolStr;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use stillroom::batch::codes;
use stillroom::batch::writing::{freeze, size_text};
use stillroom::model::{CodePattern, MakesSize};
use stillroom::render::{Screen, Summary, human};
use stillroom::resolve::NameSet;
use stillroom::session::{Report, Session};
use stillroom::sheet::BatchOrder;
use stillroom::syntax::tree::Item;
use stillroom::workspace::{Disk, Overlay, World};

/// The disk, but for one file that has this text.
pub struct Draft<'p> {
    /// The file, where its links lead.
    pub path: &'p Path,
    /// What is in it.
    pub bytes: Vec<u8>,
}

impl Draft<'_> {
    /// The file and all it uses.
    pub fn session(&self) -> Session<'_> {
        Session::open(self.world(), &[self.path.to_path_buf()], None).seen_from(here())
    }

    /// The disk as it would be.
    pub fn world(&self) -> Overlay<'_> {
        Overlay { inner: &Disk, path: self.path, bytes: &self.bytes }
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

/// Why a formula gives no plan.
pub struct Unfrozen {
    /// In a sentence.
    pub why: String,
    /// Its diagnostics, drawn.
    pub diagnostics: Screen,
}

/// The file that has a formula, seen from the first file of a session.
pub fn home_of(report: &Report<'_>, formula: &str) -> Option<PathBuf> {
    let file = report.resolver.sources.files.first()?.id;
    let id = report.resolver.scopes.find(file, NameSet::Weighable, formula)?;
    let is_formula = matches!(report.resolver.scopes.item(id), Some(Item::Formula(_) | Item::Variant(_)));
    report.resolver.sources.home(id.file).filter(|_| is_formula).map(|source| source.absolute.clone())
}

/// The plan of a formula of a file, as a record keeps it. An error in the formula leaves none, as it leaves no sheet.
pub fn frozen(world: &dyn World, file: &Path, name: &str, makes: Option<MakesSize>) -> Result<Frozen, Unfrozen> {
    let session = Session::open(world, &[file.to_path_buf()], None).seen_from(here());
    let order = BatchOrder { makes, ..BatchOrder::default() };
    let report = session.check(&order);
    let unfrozen = |why: String| Unfrozen { why, diagnostics: Screen::default() };
    let found = report.formulas.iter().find(|one| one.formula.name == name);
    let Some(found) = found else { return Err(unfrozen(format!("There is no formula `{name}`."))) };
    if found.is_blocked() {
        return Err(Unfrozen {
            why: format!("`{name}` cannot be weighed: {}.", Summary::of(&found.diagnostics).words()),
            diagnostics: human(session.sources(), &found.diagnostics, style(stderr_is_terminal())),
        });
    }
    let plan = freeze(&report.resolver, &found.formula);
    let plan = plan.ok_or_else(|| unfrozen(format!("`{name}` has amounts that are not known.")))?;
    let maker = report.resolver.maker(found.formula.id.file);
    Ok(Frozen {
        version: found.formula.version.clone(),
        plan,
        size: found.plan.as_ref().map(size_text),
        pattern: maker.and_then(|maker| maker.code),
        codes: codes(session.sources()),
    })
}
