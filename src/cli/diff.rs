//! `stillroom diff`.

use super::arguments::{DiffArguments, DiffFormat};
use super::input::{did_you_mean, here, input_with_past, pretty};
use super::sides::{Side, git, since};
use super::stream::{print, tell_line};
use super::{Failure, Outcome};
use std::path::{Path, PathBuf};
use stillroom::render::{DiffJson, diff_markdown, diff_text, shown, shown_path};
use stillroom::session::Session;
use stillroom::sheet::BatchOrder;
use stillroom::versions::{Compared, FormulaMeaning, MaterialCompared, Status, compared, materials_apart};
use stillroom::workspace::{Disk, Overlay, Repository, Revision, World};

/// Says what changed between two versions, in the maker's terms.
///
/// # Errors
/// Wrong arguments, or a side that cannot be read.
pub fn run(arguments: &DiffArguments) -> Result<Outcome, Failure> {
    let makes = arguments.batch.as_deref().map(|text| super::sheet::size("--batch", text)).transpose()?;
    let order = BatchOrder { makes, ..BatchOrder::default() };
    let called_by_git = matches!(arguments.paths.len(), 7 | 9) && arguments.since.is_none();
    if let ([only], None, None, true) =
        (arguments.paths.as_slice(), &arguments.since, &arguments.to, is_called_by_git())
    {
        // A file that is in conflict is named alone.
        print(&format!("`{}` is not merged yet: settle what is in conflict first.\n", shown_path(only)));
        return Ok(Outcome::Clean);
    }
    let (mut old, mut new) = sides(arguments, &order, called_by_git)?;
    let asked = DiffSelection { formula: arguments.formula.as_deref(), to: arguments.to.as_deref() };
    let formulas = asked.pick(&mut old, &mut new)?;
    let materials = match asked.is_for_all() {
        true => materials_apart(&old.materials, &new.materials, &formulas),
        false => Vec::new(),
    };
    let differs = formulas.iter().any(|one| one.status != Status::Same) || !materials.is_empty();
    show(&formulas, &materials, arguments.format)?;
    if !called_by_git {
        remark(differs, &formulas, &old, &new);
    }
    Ok(if differs && arguments.exit_code { Outcome::Errors } else { Outcome::Clean })
}

/// The older side and the newer.
fn sides(arguments: &DiffArguments, order: &BatchOrder, called_by_git: bool) -> Result<(Side, Side), Failure> {
    match (arguments.paths.as_slice(), &arguments.since) {
        ([], Some(revision)) => from_git(&[PathBuf::from(".")], revision, order),
        (paths, Some(revision)) => from_git(paths, revision, order),
        (paths, None) if called_by_git => handed_over(paths, order),
        ([only], None) if arguments.to.is_some() => {
            let side = with_used(only, order)?;
            Ok((side.clone(), side))
        }
        ([before, now], None) => Ok((on_disk(before, order)?, on_disk(now, order)?)),
        _ => Err(Failure(
            "Name two versions, `diff OLD NEW`; or one path and the revision before it, `diff PATH --since HEAD`; or \
             what in it to hold a formula against, `diff PATH --to NAME`."
                .to_string(),
        )),
    }
}

/// Whether git is the caller: it counts the paths of its diff for the program it calls (gitattributes, git).
#[allow(clippy::disallowed_methods, reason = "how the program was called is the command's business")]
fn is_called_by_git() -> bool {
    std::env::var_os("GIT_DIFF_PATH_COUNTER").is_some()
}

fn show(formulas: &[Compared], materials: &[MaterialCompared], format: DiffFormat) -> Result<(), Failure> {
    print(&match format {
        DiffFormat::Text => diff_text(formulas, materials),
        DiffFormat::Markdown => diff_markdown(formulas, materials),
        DiffFormat::Json => pretty(&DiffJson::new(formulas, materials))?,
    });
    Ok(())
}

/// What is worth knowing beside the differences.
fn remark(differs: bool, formulas: &[Compared], old: &Side, new: &Side) {
    let is = |side: &Option<FormulaMeaning>, name: &str| side.as_ref().is_some_and(|meaning| meaning.name == name);
    let was = old.faulty.iter().filter(|name| formulas.iter().any(|one| is(&one.old, name)));
    let are = new.faulty.iter().filter(|name| formulas.iter().any(|one| is(&one.new, name)));
    for (name, when) in was.map(|name| (name, "as it was")).chain(are.map(|name| (name, "as it is"))) {
        tell_line(&format!(
            "`{name}` {when} has errors, so what it means is known in part only: `stillroom check` says why."
        ));
    }
    if !differs {
        tell_line("Nothing changed in meaning.");
    }
}

/// A side that stands on the disk.
fn on_disk(path: &PathBuf, order: &BatchOrder) -> Result<Side, Failure> {
    Ok(Side::of(&input_with_past(std::slice::from_ref(path))?, order, true))
}

/// The same with all that its files use: a variant may stand in another file than its base.
fn with_used(path: &PathBuf, order: &BatchOrder) -> Result<Side, Failure> {
    let session = input_with_past(std::slice::from_ref(path))?;
    let all: Vec<PathBuf> = session.sources().files.iter().map(|source| source.absolute.clone()).collect();
    let mut side = Side::of(&Session::open(Disk, &all, None).seen_from(here()), order, false);
    side.batches = Side::of(&session, order, true).batches;
    Ok(side)
}

/// Both sides of files that git knows.
fn from_git(paths: &[PathBuf], revision: &str, order: &BatchOrder) -> Result<(Side, Side), Failure> {
    let (mut old, mut new) = (Side::default(), Side::default());
    for both in since(paths, revision)? {
        old.join(Side::of(&both.old, order, false));
        new.join(Side::of(&both.new, order, false));
    }
    Ok((old, new))
}

/// Both sides as git hands them to a program of the user's: the path, then for each side a file, a number and a mode.
/// What the file uses is taken from where the side stands: from the last commit, or from the disk.
fn handed_over(arguments: &[PathBuf], order: &BatchOrder) -> Result<(Side, Side), Failure> {
    let at = |number: usize| arguments.get(number).cloned().unwrap_or_default();
    let (path, old, old_number, new, new_number) = (at(0), at(1), at(2), at(4), at(5));
    // Of a file that has another name now, the new name comes eighth.
    let now = if arguments.len() == 9 { at(7) } else { path.clone() };
    let here = Disk.canonical(Path::new("."))?;
    let head = match Repository::of(&here).map_err(git)? {
        Some(repository) => repository.head().map_err(git)?.map(|commit| repository.state(&commit)),
        None => None,
    };
    let side = |path: &Path, file: &Path, number: &Path| -> Result<Side, Failure> {
        if file == Path::new("/dev/null") {
            return Ok(Side::default());
        }
        let path = here.join(path);
        let bytes = Disk.read(file)?;
        let committed = match &head {
            Some(head) => is_of(head, &path, number)?.then_some(head),
            None => None,
        };
        let inner: &dyn World = committed.map_or(&Disk, |head| head);
        let world = Overlay { inner, path: &path, bytes: &bytes };
        let session = Session::open(world, std::slice::from_ref(&path), None).seen_from(Some(here.clone()));
        Ok(Side::of(&session, order, false))
    };
    Ok((side(&path, &old, &old_number)?, side(&now, &new, &new_number)?))
}

/// Whether a side is what the last commit has at a path.
fn is_of(head: &Revision, path: &Path, number: &Path) -> Result<bool, Failure> {
    let number = number.to_string_lossy();
    let blob = head.blob(path).map_err(git)?;
    Ok(blob.is_some_and(|blob| !number.is_empty() && blob.id().starts_with(number.as_ref())))
}

/// Which formulas were asked for.
struct DiffSelection<'a> {
    formula: Option<&'a str>,
    to: Option<&'a str>,
}

impl DiffSelection<'_> {
    fn is_for_all(&self) -> bool {
        self.formula.is_none() && self.to.is_none()
    }

    /// The formulas held side by side: all, one of a name, or one with another; or batches, each with its plan.
    fn pick(&self, old: &mut Side, new: &mut Side) -> Result<Vec<Compared>, Failure> {
        let (mut was, mut is) = (std::mem::take(&mut old.formulas), std::mem::take(&mut new.formulas));
        let batches = std::mem::take(&mut new.batches);
        if let Some(to) = self.to {
            if let Some((plan, made)) = batches.into_iter().find(|(_, made)| made.batch.as_deref() == Some(to)) {
                return Ok(vec![Compared::of(plan, made)]);
            }
            let now = taken(&mut is, to)?;
            let name = self.formula.map(str::to_string).or_else(|| now.bases.first().cloned());
            let name = name.ok_or_else(|| {
                Failure(format!("`{to}` is no variant of anything: name what to hold it against with `--formula`."))
            })?;
            return Ok(vec![Compared::of(taken(&mut was, &name)?, now)]);
        }
        // A formula beside a file of batches: each batch of it beside its plan.
        let all = match is.is_empty() && !batches.is_empty() {
            true => {
                let is_of = |made: &FormulaMeaning| was.iter().any(|formula| formula.name == made.name);
                let of_these = batches.into_iter().filter(|(_, made)| is_of(made));
                of_these.map(|(plan, made)| Compared::of(plan, made)).collect()
            }
            false => compared(was, is),
        };
        let Some(name) = self.formula else { return Ok(all) };
        let known: Vec<String> = all.iter().map(|one| one.name().to_string()).collect();
        let named = |one: &Compared| one.name() == name || one.old.as_ref().is_some_and(|old| old.name == name);
        let picked: Vec<Compared> = all.into_iter().filter(named).collect();
        if picked.is_empty() { Err(no_formula(name, &known)) } else { Ok(picked) }
    }
}

fn taken(all: &mut Vec<FormulaMeaning>, name: &str) -> Result<FormulaMeaning, Failure> {
    match all.iter().position(|meaning| meaning.name == name) {
        Some(at) => Ok(all.swap_remove(at)),
        None => Err(no_formula(name, &all.iter().map(|meaning| meaning.name.clone()).collect::<Vec<_>>())),
    }
}

/// That no formula has a name, and which may have been meant.
pub(super) fn no_formula(name: &str, known: &[String]) -> Failure {
    let hint = did_you_mean(name, known.iter().map(String::as_str));
    Failure(format!("There is no formula `{}`.{hint}", shown(name)))
}
