//! One statement written into a record: read, judged and written while the file is held.

use super::code::proposed;
use super::draft::{Draft, Frozen, Unfrozen, frozen, home_of};
use super::off_plan::OffPlan;
use crate::batch::View;
use crate::batch::writing::{
    AddedDefinitions, Insertion, Unlike, added_definitions, append, begin, into_plan, quoted, strike,
};
use crate::diagnostic::{Diagnostic, FileId};
use crate::keeping::keeper::{Keeper, Teller};
use crate::keeping::locked_folder::{FileTarget, LockedFolder, with_locked_folder};
use crate::keeping::not_kept::NotKept;
use crate::keeping::version::FileVersion;
use crate::model::MakesSize;
use crate::render::{left_over_words, shown, shown_path};
use crate::session::{Report, Session, acceptance};
use crate::sheet::BatchOrder;
use crate::syntax::nearest;
use crate::syntax::tree::{Batch, BatchEntry, Item};
use crate::versions::{Recovered, lost_plan};
use crate::workspace::{GitError, Source, Sources, unread};
use smol_str::SmolStr;
use std::path::{Component, Path, PathBuf};

/// What is to be written down.
pub struct NewEntry<'a> {
    /// The file, as it was named.
    pub path: &'a Path,
    /// The batch; the only one where none is named.
    pub batch: Option<&'a str>,
    /// The batch that is begun, where one is.
    pub begin: Option<Begin<'a>>,
    /// What happened, as a statement.
    pub statement: Option<String>,
    /// Whether she has been asked back about a weight that is far off, and is sure.
    pub asked_back: bool,
    /// What was in the file when it was read, where it is to be that file and no other.
    pub version: Option<FileVersion>,
}

/// A batch that is begun.
pub struct Begin<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its formula.
    pub formula: &'a str,
    /// The file that has the formula, where the record does not use it yet.
    pub from: Option<&'a Path>,
    /// Its size, in place of the formula's `makes`.
    pub makes: Option<MakesSize>,
    /// The day it was started.
    pub started: Option<SmolStr>,
    /// The hour and the initials of whoever began it, as stamps; empty where they are of a statement.
    pub stamps: String,
}

/// What came of it.
pub enum Written {
    /// It stands in the record.
    Recorded(Recorded),
    /// It does not; why was told.
    Refused,
}

/// What was written.
pub struct Recorded {
    /// The text that was put into the file.
    pub text: String,
    /// What is in the file now.
    pub version: FileVersion,
}

impl Recorded {
    /// What was written, without blank lines around it, in lines of the terminal.
    #[must_use]
    pub fn lines(&self) -> String {
        let text = self.text.replace("\r\n", "\n").replace('\r', "\n");
        format!("{}\n", text.trim_matches('\n'))
    }
}

/// What is to be put where, and what is to be told of it.
struct RecordEdit {
    batch: String,
    insertion: Insertion,
    notes: String,
    /// Whether it says that containers were filled.
    fills: bool,
}

/// Writes it down, or tells why it may not be. The file is held from its reading to its writing.
///
/// # Errors
/// A record that there is not, and a file that cannot be read or written.
pub fn write_down(keeper: &Keeper<'_>, entry: &NewEntry<'_>, told: &mut dyn Teller) -> Result<Written, NotKept> {
    let target = FileTarget::of(entry.path)?;
    with_locked_folder(target.folder(), keeper.patience, |held| {
        held.clear(&target)?;
        let was = held.read(&target).map_err(|error| unopened(entry.path, &unread(&error)))?;
        if was.is_none() && entry.begin.is_none() {
            return Err(unopened(entry.path, "there is no such file"));
        }
        if entry.version.as_ref().is_some_and(|wanted| was.as_deref().map(FileVersion::of).as_ref() != Some(wanted)) {
            return Err(target.changed());
        }
        let draft = Draft { keeper, path: target.path(), bytes: was.clone().unwrap_or_default() };
        let session = draft.session();
        let report = session.check(&BatchOrder::default());
        let Some(source) = session.sources().files.first() else { return Err(unopened(entry.path, "it is no file")) };
        if !source.readable {
            told.faults(session.sources(), &source.faults);
            return Ok(Written::Refused);
        }
        let edit = match &entry.begin {
            Some(new) => begun(entry, new, &draft, source, &report, told)?,
            None => continued(entry, &draft, source, &session, &report, told)?,
        };
        let place = WriteLocation { keeper, held, target: &target, was: was.as_deref() };
        match edit {
            Some(edit) => finish(&place, source, &report, edit, told),
            None => Ok(Written::Refused),
        }
    })
}

/// Where it is written.
struct WriteLocation<'p> {
    keeper: &'p Keeper<'p>,
    held: &'p LockedFolder<'p>,
    target: &'p FileTarget,
    /// What is in it; none where it is not there yet.
    was: Option<&'p [u8]>,
}

impl WriteLocation<'_> {
    /// The file as it would be with a text, its byte-order mark kept.
    fn draft_of(&self, text: &str) -> Draft<'_> {
        let mark = self.was.filter(|bytes| bytes.starts_with(b"\xef\xbb\xbf")).map_or(0, |_| 3);
        let mark = self.was.and_then(|bytes| bytes.get(..mark)).unwrap_or_default();
        Draft { keeper: self.keeper, path: self.target.path(), bytes: [mark, text.as_bytes()].concat() }
    }

    fn write(&self, draft: &Draft<'_>, text: String) -> Result<Written, NotKept> {
        self.held.write(self.target, self.was, &draft.bytes)?;
        Ok(Written::Recorded(Recorded { text, version: FileVersion::of(&draft.bytes) }))
    }
}

/// Looks at the file as it would be, and writes it where nothing speaks against it.
fn finish(
    place: &WriteLocation<'_>,
    source: &Source,
    before: &Report<'_>,
    edit: RecordEdit,
    told: &mut dyn Teller,
) -> Result<Written, NotKept> {
    let text = edit.insertion.put_into(&source.text);
    let draft = place.draft_of(&text);
    let session = draft.session();
    let after = session.check(&BatchOrder::default());
    let judged = acceptance(before, &after, source.id, &edit.batch, std::slice::from_ref(&edit.insertion));
    if !judged.refused.is_empty() {
        told.faults(session.sources(), &judged.refused);
        return Ok(Written::Refused);
    }
    let mut notes = edit.notes;
    if edit.fills {
        notes.push_str(&left_over(&after, &edit.batch));
    }
    if let Some((found, more)) = beside_plan(&after, &edit.batch) {
        let mut unknown = found.unknown;
        if let Some(more) = more {
            let draft = place.draft_of(&more.put_into(&text));
            let session = draft.session();
            let after = session.check(&BatchOrder::default());
            let put_in = [edit.insertion.clone(), more];
            let judged = acceptance(before, &after, source.id, &edit.batch, &put_in);
            if judged.refused.is_empty() {
                let [statement, more] = &put_in;
                let written = place.write(&draft, both(statement, more))?;
                told.faults(session.sources(), &judged.told);
                told.words(&notes);
                told.words(&format!("The plan says now what {} made of.\n", are(&found.names)));
                told.words(&not_said(&unknown));
                return Ok(written);
            }
            // What is declared wrongly is not carried into the record: what happened goes in without it.
            unknown.extend(found.names);
        }
        notes.push_str(&not_said(&unknown));
    }
    let written = place.write(&draft, edit.insertion.text)?;
    told.faults(session.sources(), &judged.told);
    told.words(&notes);
    Ok(written)
}

/// What a record names and its plan does not know, and what is to be put into the plan, where there is something.
fn beside_plan(report: &Report<'_>, batch: &str) -> Option<(AddedDefinitions, Option<Insertion>)> {
    let source = report.resolver.sources.files.first()?;
    let record = report.resolver.batches_of(source).into_iter().find(|record| record.name == batch)?;
    let found = added_definitions(&report.resolver, record.id)?;
    let declared = batches(source).find(|declared| declared.name.text == batch)?;
    let more = into_plan(&source.text, declared, &found.statements).filter(|_| !found.statements.is_empty());
    Some((found, more))
}

/// That the plan does not say what some things are made of; nothing where there are none.
fn not_said(names: &[SmolStr]) -> String {
    match names {
        [] => String::new(),
        names => format!("What {} made of is not known in full, so the plan does not say it.\n", are(names)),
    }
}

/// Names with their verb.
fn are(names: &[SmolStr]) -> String {
    let all = names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(" and ");
    format!("{all} {}", if names.len() == 1 { "is" } else { "are" })
}

/// What was put in, in its order in the file: into the plan, which may have been put in with the statement itself.
fn both(statement: &Insertion, more: &Insertion) -> String {
    match more.at.checked_sub(statement.at) {
        Some(at) => Insertion { at, text: more.text.clone(), replaces: more.replaces }.put_into(&statement.text),
        None => format!("{}{}", more.text, statement.text),
    }
}

/// That a file cannot be opened, and why.
#[must_use]
pub fn unopened(path: &Path, why: &str) -> NotKept {
    NotKept::disk(format!("`{}` cannot be opened: {why}.", shown_path(path)))
}

/// A statement for a batch that is there; with the first one the plan, where the record has none.
fn continued(
    entry: &NewEntry<'_>,
    draft: &Draft<'_>,
    source: &Source,
    session: &Session<'_>,
    report: &Report<'_>,
    told: &mut dyn Teller,
) -> Result<Option<RecordEdit>, NotKept> {
    let Some(statement) = entry.statement.clone() else { return Err(NotKept::asked("Say what happened.".to_string())) };
    let batch = match pick(entry.path, entry.batch, source) {
        Ok(batch) => batch,
        // What does not parse may be the batch that is looked for.
        Err(_) if !source.faults.is_empty() => {
            told.faults(session.sources(), &source.faults);
            return Ok(None);
        }
        Err(failure) => return Err(failure),
    };
    match strike(&source.text, batch, &statement) {
        Some(Ok(insertion)) => {
            return Ok(Some(RecordEdit {
                batch: batch.name.text.to_string(),
                insertion,
                notes: String::new(),
                fills: false,
            }));
        }
        Some(Err(unlike)) => {
            told.words(&none_like(&batch.name.text, &unlike));
            return Ok(None);
        }
        None => {}
    }
    let mut statements = Vec::new();
    let mut notes = String::new();
    match plan_for(batch, draft, report).filter(|_| !opens(&statement)) {
        Some(Ok((formula, frozen))) => {
            notes = format!("The plan of `{formula}` is frozen into the record.\n");
            let sized = batch.entries.iter().any(|entry| matches!(entry.entry, BatchEntry::Size(_)));
            statements.extend(frozen.size.filter(|_| !sized).map(|size| format!("size {size}")));
            statements.push(frozen.plan);
        }
        Some(Err(why)) => match of_the_past(batch, source, session, report) {
            Err(error) => notes = format!("{why} {error} So the record has no plan of its own yet.\n"),
            Ok(Some((plan, found))) => {
                notes = format!("The plan of {}, is frozen into the record.\n", found.words());
                statements.push(plan);
            }
            Ok(None) => notes = format!("{why} So the record has no plan of its own yet.\n"),
        },
        None if !opens(&statement) && batch.plan().is_none() => {
            notes = "The record does not say which formula it is of, so it has no plan of its own yet.\n".to_string();
        }
        None => {}
    }
    if let Some(off) = OffPlan::of(report, batch, &statement).filter(|off| off.is_untold && !entry.asked_back) {
        notes.push_str(&off.told());
    }
    let fills = fills(&statement);
    statements.push(statement);
    let Some(insertion) = append(&source.text, batch, &statements) else {
        told.faults(session.sources(), &source.faults);
        return Ok(None);
    };
    Ok(Some(RecordEdit { batch: batch.name.text.to_string(), insertion, notes, fills }))
}

/// That no statement of a batch is like the one that is to be struck out, and which are nearest.
fn none_like(batch: &str, unlike: &Unlike) -> String {
    let mut text = format!("No statement of `{batch}` says `{}`.", shown(&unlike.wanted));
    if unlike.nearest.is_empty() {
        text.push_str(" There is none that could be struck out.");
    }
    for (number, (line, said)) in unlike.nearest.iter().enumerate() {
        let opening = if number == 0 { "\nThe nearest:" } else { "" };
        text.push_str(&format!("{opening}\n  line {line}: {}", shown(said)));
    }
    text.push('\n');
    text
}

/// The plan of a batch whose formula is gone, or of another version now, as git has it.
fn of_the_past(
    batch: &Batch,
    source: &Source,
    session: &Session<'_>,
    report: &Report<'_>,
) -> Result<Option<(String, Recovered)>, GitError> {
    let all = report.resolver.batches_of(source);
    match all.iter().find(|record| record.name == batch.name.text) {
        Some(record) => lost_plan(session.loaded(), record),
        None => Ok(None),
    }
}

/// The batch that is meant.
///
/// # Errors
/// None of that name, or none named where there are several.
pub fn pick<'s>(path: &Path, batch: Option<&str>, source: &'s Source) -> Result<&'s Batch, NotKept> {
    let batches: Vec<&Batch> = batches(source).collect();
    let path = shown_path(path);
    let names = || batches.iter().map(|batch| batch.name.text.as_str());
    match (batch, batches.as_slice()) {
        (_, []) => Err(NotKept::asked(format!("`{path}` has no batch."))
            .at_terminal(format!("Begin one with `stillroom record {path} --new NAME --formula FORMULA`."))),
        (None, [only]) => Ok(only),
        (None, _) => {
            let all = names().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
            Err(NotKept::asked(format!("`{path}` has several batches: {all}."))
                .at_terminal("Say which one with `--batch NAME`.".to_string()))
        }
        (Some(wanted), _) => batches.iter().find(|batch| batch.name.text == wanted).copied().ok_or_else(|| {
            let hint = nearest(wanted, names()).first().map(|near| format!(" Did you mean `{}`?", shown(near)));
            NotKept::asked(format!("`{path}` has no batch `{}`.{}", shown(wanted), hint.unwrap_or_default()))
        }),
    }
}

/// The batches of a file.
pub fn batches(source: &Source) -> impl Iterator<Item = &Batch> {
    source.tree.items.iter().filter_map(|item| if let Item::Batch(batch) = item { Some(batch) } else { None })
}

/// Whether a statement says what the batch is to be, and nothing has happened yet: the plan waits for that.
fn opens(statement: &str) -> bool {
    matches!(statement.split_whitespace().next(), Some("formula" | "code" | "started" | "size" | "plan"))
}

/// Whether a statement says that containers were filled.
fn fills(statement: &str) -> bool {
    statement.split_whitespace().next() == Some("filled")
}

/// What is left over of a batch that was filled; nothing where it cannot be held against a plan.
fn left_over(report: &Report<'_>, batch: &str) -> String {
    let source = report.resolver.sources.files.first();
    let record = source.and_then(|source| report.resolver.batches_of(source).into_iter().find(|of| of.name == batch));
    let words = record.and_then(|record| left_over_words(&View::of(&report.resolver, &record)?));
    words.map(|words| format!("{words}\n")).unwrap_or_default()
}

/// The plan to be frozen into a record that has none, with the name of its formula; or why there is none.
#[must_use]
pub fn plan_for<'b>(
    batch: &'b Batch,
    draft: &Draft<'_>,
    report: &Report<'_>,
) -> Option<Result<(&'b str, Frozen), String>> {
    if batch.entries.iter().any(|entry| matches!(entry.entry, BatchEntry::Plan(_))) {
        return None;
    }
    let (name, version) = batch.entries.iter().find_map(|entry| match &entry.entry {
        BatchEntry::Formula(name, version) => Some((name.text.as_str(), version.as_ref())),
        _ => None,
    })?;
    let Some(home) = home_of(report, name) else { return Some(Err(format!("There is no formula `{name}` here."))) };
    Some(match frozen(draft, &home, name, None, &mut |_, _| {}) {
        Err(Unfrozen(why)) => Err(why),
        Ok(frozen) => match (version.map(|version| &version.value), &frozen.version) {
            (Some(wanted), Some(is)) if wanted != is => {
                Err(format!("`{name}` is at version \"{is}\" now, and this is a batch of \"{wanted}\"."))
            }
            _ => Ok((name, frozen)),
        },
    })
}

/// A batch that is begun, with the plan of its formula.
fn begun(
    entry: &NewEntry<'_>,
    new: &Begin<'_>,
    draft: &Draft<'_>,
    source: &Source,
    report: &Report<'_>,
    told: &mut dyn Teller,
) -> Result<Option<RecordEdit>, NotKept> {
    if batches(source).any(|batch| batch.name.text == new.name) {
        let sentence = format!("`{}` has a batch `{}` already.", shown_path(entry.path), shown(new.name));
        return Err(NotKept::asked(sentence));
    }
    let (home, uses) = match new.from {
        Some(from) => using(draft, from, source, report)?,
        None => match home_of(report, new.formula) {
            Some(home) => (home, None),
            None => return Err(no_formula(entry.path, new.formula, report)),
        },
    };
    let mut faults = |sources: &Sources, faults: &[Diagnostic]| told.faults(sources, faults);
    let frozen = match frozen(draft, &home, new.formula, new.makes.clone(), &mut faults) {
        Ok(frozen) => frozen,
        Err(Unfrozen(why)) => {
            told.words(&format!("{why}\n"));
            return Ok(None);
        }
    };
    let code = proposed(draft, report, &frozen, new.started.as_deref(), entry.statement.as_deref());
    let Some(size) = frozen.size else {
        return Err(NotKept::asked(format!("`{}` does not say how much it makes.", shown(new.formula)))
            .at_terminal("Say it with `--size 372g`.".to_string()));
    };
    let version = frozen.version.map(|version| format!(" version {}", quoted(&version))).unwrap_or_default();
    let mut statements = vec![format!("formula {}{version}", new.formula)];
    statements.extend(code.statement);
    statements.extend(new.started.as_ref().map(|day| format!("started {day}")));
    if let Some(last) = statements.last_mut() {
        last.push_str(&new.stamps);
    }
    statements.extend([format!("size {size}"), frozen.plan]);
    statements.extend(entry.statement.clone());
    let insertion = begin(&source.text, uses.as_deref(), new.name, &statements);
    let fills = entry.statement.as_deref().is_some_and(fills);
    Ok(Some(RecordEdit { batch: new.name.to_string(), insertion, notes: code.note, fills }))
}

fn no_formula(path: &Path, name: &str, report: &Report<'_>) -> NotKept {
    let declared = report.resolver.sources.files.iter().flat_map(|file| &file.tree.items);
    let declared = declared.filter(|item| matches!(item, Item::Formula(_) | Item::Variant(_)));
    let near = nearest(name, declared.filter_map(Item::name).map(|name| name.text.as_str()));
    let sentence = format!("`{}` knows no formula `{}`.", shown_path(path), shown(name));
    match near.first() {
        Some(near) => NotKept::asked(format!("{sentence} Did you mean `{near}`?")),
        None => NotKept::asked(sentence).at_terminal("Name the file that has it with `--from FILE`.".to_string()),
    }
}

/// The file of a formula, and how the record is to name it where it does not use it yet.
fn using(
    draft: &Draft<'_>,
    from: &Path,
    source: &Source,
    report: &Report<'_>,
) -> Result<(PathBuf, Option<String>), NotKept> {
    let home = draft.keeper.world.canonical(from).map_err(|error| unopened(from, &unread(&error)))?;
    let reached: Vec<FileId> = report.resolver.scopes.reached(source.id).collect();
    let known = report.resolver.sources.files.iter().any(|file| file.absolute == home && reached.contains(&file.id));
    let folder = source.absolute.parent().unwrap_or(Path::new(""));
    let path = quoted(&between(folder, &home));
    Ok((home, (!known).then_some(path)))
}

/// How a file is named from a folder, both without links.
fn between(folder: &Path, file: &Path) -> String {
    let (folder, file): (Vec<Component<'_>>, Vec<Component<'_>>) =
        (folder.components().collect(), file.components().collect());
    let shared = folder.iter().zip(&file).take_while(|(a, b)| a == b).count();
    let up = folder.iter().skip(shared).map(|_| "..".to_string());
    let down = file.iter().skip(shared).map(|part| part.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<_>>().join("/")
}
