//! Which formula of before is which formula of now: by file and name, by name, by content.

use super::change::Change;
use super::meaning::{FormulaMeaning, MaterialMeaning};
use super::whole::{changes, material};
use rustc_hash::FxHashSet;

/// Two formulas that share so many of their materials are one under another name.
const ALIKE: f64 = 0.6;

/// A formula before and now.
#[derive(Clone, Debug)]
pub struct Compared {
    /// What became of it.
    pub status: Status,
    /// As it was; none where it is new.
    pub old: Option<FormulaMeaning>,
    /// As it is; none where it is gone.
    pub new: Option<FormulaMeaning>,
    /// What changed; empty where it is new or gone.
    pub changes: Vec<Change>,
}

/// What became of a formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// It means what it meant.
    Same,
    /// It means something else.
    Changed,
    /// It is new.
    Added,
    /// It is gone.
    Removed,
    /// It has another name.
    Renamed,
}

impl Status {
    /// The status as it is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Status::Same => "same",
            Status::Changed => "changed",
            Status::Added => "added",
            Status::Removed => "removed",
            Status::Renamed => "renamed",
        }
    }
}

impl Compared {
    /// Two versions of one formula.
    #[must_use]
    pub fn of(old: FormulaMeaning, new: FormulaMeaning) -> Compared {
        let changes = changes(&old, &new);
        let status = match (old.name == new.name, changes.is_empty()) {
            (false, _) => Status::Renamed,
            (true, true) => Status::Same,
            (true, false) => Status::Changed,
        };
        Compared { status, old: Some(old), new: Some(new), changes }
    }

    /// The version under which it means something else than before; none where either changed with the other, or it has
    /// none.
    #[must_use]
    pub fn version_kept(&self) -> Option<&str> {
        let version = self.new.as_ref()?.version.as_deref()?;
        let same = self.old.as_ref()?.version.as_deref() == Some(version);
        (same && self.changes.iter().any(Change::is_of_substance)).then_some(version)
    }

    /// The name that it goes by: as it is, else as it was.
    #[must_use]
    pub fn name(&self) -> &str {
        self.new.as_ref().or(self.old.as_ref()).map_or("", |meaning| meaning.name.as_str())
    }
}

/// Every formula of before and now, those of now first in their order, then those that are gone.
#[must_use]
pub fn compared(old: Vec<FormulaMeaning>, new: Vec<FormulaMeaning>) -> Vec<Compared> {
    let partners = partners(&old, &new);
    let taken: FxHashSet<usize> = partners.iter().flatten().copied().collect();
    let mut left: Vec<Option<FormulaMeaning>> = old.into_iter().map(Some).collect();
    let mut all = Vec::new();
    for (is, partner) in new.into_iter().zip(partners) {
        let was = partner.and_then(|at| left.get_mut(at)).and_then(Option::take);
        all.push(match was {
            Some(was) => Compared::of(was, is),
            None => Compared { status: Status::Added, old: None, new: Some(is), changes: Vec::new() },
        });
    }
    let gone = left.into_iter().enumerate().filter(|(at, _)| !taken.contains(at)).filter_map(|(_, was)| was);
    all.extend(gone.map(|was| Compared { status: Status::Removed, old: Some(was), new: None, changes: Vec::new() }));
    all
}

/// For each formula of now the number of the one it was.
fn partners(old: &[FormulaMeaning], new: &[FormulaMeaning]) -> Vec<Option<usize>> {
    let mut found: Vec<Option<usize>> = vec![None; new.len()];
    let mut taken: FxHashSet<usize> = FxHashSet::default();
    let ways: [fn(&FormulaMeaning, &FormulaMeaning) -> bool; 4] = [
        |was, is| was.name == is.name && was.file == is.file,
        |was, is| was.name == is.name,
        |was, is| was.digest == is.digest,
        |was, is| is.bases.contains(&was.name) || was.bases.contains(&is.name),
    ];
    for way in ways {
        for (partner, is) in found.iter_mut().zip(new).filter(|(partner, _)| partner.is_none()) {
            let free = old.iter().enumerate().find(|(at, was)| !taken.contains(at) && way(was, is));
            *partner = free.map(|(at, _)| at);
            taken.extend(*partner);
        }
    }
    for (partner, is) in found.iter_mut().zip(new).filter(|(partner, _)| partner.is_none()) {
        let free = old.iter().enumerate().filter(|(at, _)| !taken.contains(at));
        let near = free.map(|(at, was)| (at, likeness(was, is))).filter(|(_, likeness)| *likeness >= ALIKE);
        *partner = near.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0))).map(|(at, _)| at);
        taken.extend(*partner);
    }
    found
}

/// How many of the materials of either are in both, as a share.
fn likeness(old: &FormulaMeaning, new: &FormulaMeaning) -> f64 {
    let names = |of: &FormulaMeaning| of.lines.iter().map(|line| line.material.clone()).collect::<FxHashSet<String>>();
    let (old, new) = (names(old), names(new));
    let both = old.intersection(&new).count();
    let either = old.union(&new).count();
    if either == 0 { 0.0 } else { both as f64 / either as f64 }
}

/// A material before and now that no formula on either side uses, so that its change would show nowhere.
#[derive(Clone, Debug)]
pub struct MaterialCompared {
    /// Its name.
    pub name: String,
    /// The file it stands in.
    pub file: String,
    /// What changed.
    pub changes: Vec<Change>,
}

/// The materials that changed and that no formula of these uses. Each comes with the file it stands in.
#[must_use]
pub fn materials_apart(
    old: &[(String, MaterialMeaning)],
    new: &[(String, MaterialMeaning)],
    formulas: &[Compared],
) -> Vec<MaterialCompared> {
    let sides = formulas.iter().flat_map(|one| [&one.old, &one.new]).flatten();
    let used: FxHashSet<&str> = sides.flat_map(|side| &side.materials).map(|one| one.name.as_str()).collect();
    let none = MaterialMeaning::default();
    let find = |all: &[(String, MaterialMeaning)], name: &str| {
        all.iter().find(|(_, one)| one.name == name).map_or(none.clone(), |(_, one)| one.clone())
    };
    let gone = old.iter().filter(|(_, was)| !new.iter().any(|(_, is)| is.name == was.name));
    let all = new.iter().chain(gone).filter(|(_, one)| !used.contains(one.name.as_str()));
    let compared = all.map(|(file, one)| {
        let changes =
            material(&find(old, &one.name), &MaterialMeaning { name: one.name.clone(), ..find(new, &one.name) });
        MaterialCompared { name: one.name.clone(), file: file.clone(), changes }
    });
    compared.filter(|one| !one.changes.is_empty()).collect()
}
