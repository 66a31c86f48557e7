//! Which material of the shelf a name means: by what it is called every day, by INCI names, by CAS number, and by what
//! is nearly spelled so.

use super::abroad::called_abroad;
use super::number::{DecimalMarks, figure_at_start};
use super::words::is_grade;
use crate::diagnostic::FileId;
use crate::lookup::search;
use crate::model::{DeclId, Material};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::shelf::{ENTRIES, ShelfKind, everyday_key, find_anywhere, substance_by_key};
use crate::syntax::vocabulary::Role;
use crate::workspace::Sources;
use rapidfuzz::distance::osa::{Args, distance_with_args};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

/// What a name leads to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Meant {
    /// One material of the shelf.
    Surely(&'static str),
    /// One material of the shelf, but not beyond doubt: why.
    Likely(&'static str, String),
    /// None: those that it may be, and the substance that it is made of, with its strength where the name tells it.
    Unknown {
        /// What it may be.
        near: Vec<&'static str>,
        /// What it holds, as the language writes it.
        contains: Option<String>,
    },
}

type Set = BTreeSet<&'static str>;

/// The materials of the shelf by all that leads to them.
#[derive(Default)]
struct Index {
    called: BTreeMap<String, Set>,
    by_words: BTreeMap<String, Set>,
    declared: BTreeMap<String, Set>,
    facts: BTreeMap<&'static str, Facts>,
}

/// What the names of one table mean.
pub struct Names {
    index: &'static Index,
    /// What was asked already. A table may repeat a name as often as it likes.
    asked: BTreeMap<(String, String, String), Meant>,
    searches: usize,
}

/// What is asked of a material of the shelf.
struct Facts {
    roles: Vec<Role>,
    /// Its only substance that is not water.
    only: Option<String>,
    /// How much of it that is, in percent, where one figure says so.
    strength: Option<Exact>,
    /// Its density in g/mL.
    density: Option<Exact>,
}

/// The most searches through all that the shelf knows, for one table.
const SEARCHES: usize = 40;

impl Index {
    /// The shelf, read the first time it is asked for.
    fn of_the_shelf() -> &'static Index {
        static INDEX: OnceLock<Index> = OnceLock::new();
        INDEX.get_or_init(|| {
            let sources = Sources::default();
            let resolver = Resolver::new(&sources, &mut Vec::new());
            let mut index = Index::default();
            for (entry, item) in ENTRIES.iter().zip(0u32..).filter(|(entry, _)| entry.kind == ShelfKind::Material) {
                if let Some(material) = resolver.material(DeclId { file: FileId(entry.file), item }) {
                    index.learn(entry.name, &material, &resolver);
                }
            }
            index
        })
    }

    fn learn(&mut self, name: &'static str, material: &Material, resolver: &Resolver<'_>) {
        let also = material.also.iter().map(|also| also.as_str());
        for called in also.chain([name]).chain(material.title.as_deref()) {
            self.called.entry(everyday_key(called)).or_default().insert(name);
            self.by_words.entry(sorted_words(called)).or_default().insert(name);
        }
        let mut parts: Vec<(String, String)> = Vec::new();
        let mut only = Vec::new();
        let mut strength = None;
        for component in &material.contains {
            let Some(substance) = resolver.substance(component.substance) else { continue };
            if substance.name == "water" && material.contains.len() > 1 {
                continue;
            }
            only.push(substance.name.to_string());
            strength =
                Some(&component.strength).filter(|strength| strength.is_point()).map(|strength| strength.middle());
            let inci = substance.inci.as_deref().unwrap_or(&substance.name);
            parts.push((everyday_key(inci), everyday_key(substance.us_name.as_deref().unwrap_or(inci))));
        }
        let joined = |pick: fn(&(String, String)) -> &String| {
            let mut keys: Vec<&str> = parts.iter().map(|part| pick(part).as_str()).collect();
            keys.sort_unstable();
            keys.concat()
        };
        for key in [joined(|part| &part.0), joined(|part| &part.1)] {
            if !key.is_empty() {
                self.declared.entry(key).or_default().insert(name);
            }
        }
        let only = if only.len() == 1 { only.pop() } else { None };
        let density = material.density.clone();
        self.facts.insert(name, Facts { roles: material.roles.clone(), only, strength, density });
    }
}

impl Names {
    /// Nothing asked yet.
    pub fn new() -> Names {
        Names { index: Index::of_the_shelf(), asked: BTreeMap::new(), searches: 0 }
    }

    /// What is meant by a name, the INCI name beside it and the CAS number, where the table has them.
    pub fn meant(&mut self, name: &str, inci: &str, cas: &str) -> Meant {
        let asked = (name.to_string(), inci.to_string(), cas.to_string());
        if let Some(known) = self.asked.get(&asked) {
            return known.clone();
        }
        let meant = self.weigh(name, inci, cas);
        self.asked.insert(asked, meant.clone());
        meant
    }

    /// Whether one name alone leads to a material beyond doubt.
    pub fn knows(&mut self, name: &str) -> bool {
        matches!(self.meant(name, "", ""), Meant::Surely(_))
    }

    /// Whether a material has one of some roles.
    pub fn has_role(&self, material: &str, roles: &[Role]) -> bool {
        self.index.facts.get(material).is_some_and(|facts| facts.roles.iter().any(|role| roles.contains(role)))
    }

    /// The density of a material in g/mL, where the shelf has one.
    pub fn density(&self, material: &str) -> Option<Exact> {
        self.index.facts.get(material)?.density.clone()
    }

    /// Holds the name against the INCI name and the CAS number.
    fn weigh(&mut self, name: &str, inci: &str, cas: &str) -> Meant {
        let by_name = if name.is_empty() { unknown() } else { self.by_name(name) };
        let declared = self.by_declared(inci, cas);
        match (by_name, declared) {
            (Meant::Unknown { near, contains }, Some(set)) => match self.one_of(&everyday_key(inci), &set) {
                Meant::Surely(only) if name.is_empty() => Meant::Surely(only),
                Meant::Surely(only) => Meant::Likely(only, "by its INCI name or CAS number".into()),
                Meant::Likely(only, why) => Meant::Likely(only, format!("by its INCI name; {why}")),
                Meant::Unknown { near: others, contains: of_others } => Meant::Unknown {
                    near: if near.is_empty() { others } else { near },
                    contains: contains.or(of_others),
                },
            },
            (Meant::Surely(found), Some(set)) if !set.contains(found) => {
                let others = or_list(set.iter().take(3));
                Meant::Likely(found, format!("by its name; its INCI name or CAS number leads to {others}"))
            }
            (found, _) => found,
        }
    }

    /// What an INCI name or a CAS number leads to; none where there is neither, or nothing is known by them.
    fn by_declared(&self, inci: &str, cas: &str) -> Option<Set> {
        let blend = blend_key(inci);
        let key = everyday_key(inci);
        let found = self
            .index
            .declared
            .get(&key)
            .or_else(|| self.index.declared.get(&blend))
            .or_else(|| self.index.called.get(&key));
        found.cloned().or_else(|| {
            let substance = ENTRIES.get(substance_by_key(cas.trim())? as usize)?.name;
            let made_of = |facts: &Facts| facts.only.as_deref() == Some(substance);
            let set: Set = self.index.facts.iter().filter(|(_, facts)| made_of(facts)).map(|(name, _)| *name).collect();
            (!set.is_empty()).then_some(set)
        })
    }

    fn share_a_substance(&self, set: &Set) -> bool {
        let mut only = set.iter().map(|name| self.index.facts.get(name).and_then(|facts| facts.only.as_ref()));
        let first = only.next().flatten();
        first.is_some() && only.all(|other| other == first)
    }

    fn by_name(&mut self, name: &str) -> Meant {
        let plain = plain(name);
        let graded = without_grades(&plain);
        if let Some(found) = [plain.as_str(), &graded].into_iter().find_map(|form| self.exactly(form)) {
            return found;
        }
        if let Some(meant) = self.with_strength(&plain) {
            return meant;
        }
        for (form, why) in parts(&plain) {
            match self.exactly(&form).or_else(|| self.exactly(&without_grades(&form))) {
                Some(Meant::Surely(found)) if why.is_empty() => return Meant::Surely(found),
                Some(Meant::Surely(found) | Meant::Likely(found, _)) => {
                    return Meant::Likely(found, format!("by `{form}`, {why}"));
                }
                _ => {}
            }
        }
        self.nearly(&graded).unwrap_or_else(|| self.by_search(&graded))
    }

    /// What a name written just so leads to.
    fn exactly(&self, form: &str) -> Option<Meant> {
        let key = everyday_key(form);
        if key.is_empty() {
            return None;
        }
        let called = self.index.called.get(&key).or_else(|| self.index.called.get(key.strip_suffix('s')?));
        if let Some(set) = called {
            return Some(self.one_of(&key, set));
        }
        if let Some(found) = called_abroad(&form.to_lowercase()) {
            return Some(Meant::Surely(found));
        }
        let declared = self.index.declared.get(&key).or_else(|| self.index.declared.get(&blend_key(form)));
        if let Some(set) = declared {
            return Some(self.one_of(&key, set));
        }
        let set = self.index.by_words.get(&sorted_words(form))?;
        Some(self.one_of(&key, set))
    }

    /// Which of several is meant: the one of that very name, the others told; else none.
    fn one_of(&self, key: &str, set: &Set) -> Meant {
        let mut names = set.iter();
        if let (Some(only), None) = (names.next(), names.next()) {
            return Meant::Surely(only);
        }
        let own = set.iter().find(|name| everyday_key(name) == key);
        match own {
            Some(own) => {
                let others = or_list(set.iter().filter(|name| *name != own).take(3));
                Meant::Likely(own, format!("{others} may be called so too"))
            }
            None => {
                let only = set.first().and_then(|first| self.index.facts.get(first)?.only.clone());
                Meant::Unknown {
                    near: set.iter().copied().take(6).collect(),
                    contains: only.filter(|_| self.share_a_substance(set)),
                }
            }
        }
    }

    /// `Panthenol 50 %`: a name that is known, at a strength: the material of that strength where the shelf has one.
    fn with_strength(&self, plain: &str) -> Option<Meant> {
        let (base, strength) = name_and_strength(plain)?;
        let near = match self.exactly(&base).or_else(|| self.exactly(&without_grades(&base)))? {
            Meant::Surely(found) | Meant::Likely(found, _) => vec![found],
            Meant::Unknown { near, .. } => near,
        };
        let set: Set = near.iter().copied().collect();
        let only = set.first().and_then(|first| self.index.facts.get(first)?.only.clone());
        let substance = only.filter(|_| self.share_a_substance(&set))?;
        let holds = |facts: &Facts| {
            facts.only.as_deref() == Some(substance.as_str()) && facts.strength.as_ref() == Some(&strength)
        };
        let of_that_strength: Vec<&'static str> = match strength == Exact::HUNDRED {
            // Nearly every material is all of its own substance: there the name decides.
            true => Vec::new(),
            false => self.index.facts.iter().filter(|(_, facts)| holds(facts)).map(|(name, _)| *name).collect(),
        };
        match of_that_strength.as_slice() {
            [only] => return Some(Meant::Surely(only)),
            [] => {}
            several => return Some(Meant::Unknown { near: several.to_vec(), contains: None }),
        }
        match near.as_slice() {
            [found] if strength == Exact::HUNDRED => Some(Meant::Surely(found)),
            _ => {
                let decimals = strength.decimals().unwrap_or(0);
                let contains = Some(format!("{substance} {} %", strength.to_fixed(decimals)));
                Some(Meant::Unknown { near: Vec::new(), contains })
            }
        }
    }

    /// What is spelled nearly so. The first letter and the figures of a name hardly ever go wrong by a slip, and another
    /// figure is another material.
    fn nearly(&self, name: &str) -> Option<Meant> {
        let key = everyday_key(name);
        let length = key.chars().count();
        let most = match length {
            0..=4 => return None,
            5..=7 => 1,
            8..=12 => 2,
            13..=100 => 3,
            _ => return None,
        };
        let digits = |key: &str| key.chars().filter(char::is_ascii_digit).collect::<String>();
        let own_digits = digits(&key);
        let mut best: Option<(usize, &str, &Set)> = None;
        for (known, set) in self.index.called.iter().chain(&self.index.declared) {
            let fits = known.chars().next() == key.chars().next() && known.chars().count().abs_diff(length) <= most;
            if !fits || digits(known) != own_digits {
                continue;
            }
            let cutoff = best.map_or(most, |(distance, _, _)| distance.saturating_sub(1));
            let distance = distance_with_args(key.chars(), known.chars(), &Args::default().score_cutoff(cutoff));
            if let Some(distance) = distance {
                best = Some((distance, known, set));
            }
        }
        let (_, known, set) = best?;
        match self.one_of(known, set) {
            Meant::Surely(found) | Meant::Likely(found, _) => Some(Meant::Likely(found, "spelled nearly so".into())),
            unsure @ Meant::Unknown { .. } => Some(unsure),
        }
    }

    /// What all the words speak of, where that is one material; else no more than a hint.
    fn by_search(&mut self, name: &str) -> Meant {
        let words: Vec<&str> = name.split(|c: char| !c.is_alphanumeric()).filter(|word| word.len() > 2).collect();
        if words.is_empty() || words.len() > 6 || self.searches >= SEARCHES {
            return unknown();
        }
        self.searches += 1;
        let hits: Vec<&'static str> =
            search(&words).into_iter().filter(|hit| hit.kind == ShelfKind::Material).map(|hit| hit.name).collect();
        match hits.as_slice() {
            [only] if words.len() > 1 => Meant::Likely(only, "all its words speak of that".into()),
            _ => Meant::Unknown { near: hits.into_iter().take(4).collect(), contains: None },
        }
    }
}

fn unknown() -> Meant {
    Meant::Unknown { near: Vec::new(), contains: None }
}

/// Whether a name is taken by a material or a substance of the shelf.
pub fn is_of_the_shelf(name: &str) -> bool {
    [ShelfKind::Material, ShelfKind::Substance].into_iter().any(|kind| find_anywhere(kind, name).is_some())
}

/// Names in code quotes, with `or` before the last.
pub fn or_list<'n>(names: impl Iterator<Item = &'n &'static str>) -> String {
    let quoted: Vec<String> = names.map(|name| format!("`{name}`")).collect();
    match quoted.as_slice() {
        [] => String::new(),
        [only] => only.clone(),
        [head @ .., last] => format!("{} or {last}", head.join(", ")),
    }
}

/// A name without trade marks and the marks of Markdown, its blanks made one.
fn plain(name: &str) -> String {
    let marks = ["(TM)", "(R)", "(tm)", "(r)", "™", "®", "©", "**", "__", "`"];
    let mut name = name.to_string();
    for mark in marks {
        name = name.replace(mark, " ");
    }
    let name = vitamins(&name);
    let name = name.trim_matches(|c: char| c == '*' || c == '_' || c == '-' || c == '–' || c.is_whitespace());
    name.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// `Vit E` and `Vit. E` as `Vitamin E`.
fn vitamins(name: &str) -> String {
    let spelled = |word: &str| {
        let lower = word.to_lowercase();
        match (lower.as_str(), lower.strip_prefix("vit.").or_else(|| lower.strip_prefix("vit-"))) {
            ("vit", _) => "Vitamin".to_string(),
            (_, Some(letter)) => format!("Vitamin {letter}"),
            (_, None) => word.to_string(),
        }
    };
    name.split_whitespace().map(spelled).collect::<Vec<_>>().join(" ")
}

fn without_grades(name: &str) -> String {
    let lower = name.to_lowercase();
    lower.split([' ', ',']).filter(|word| !word.is_empty() && !is_grade(word)).collect::<Vec<_>>().join(" ")
}

/// The words of a name in the order of the alphabet, so that `oil of lavender` is `lavender oil`.
fn sorted_words(name: &str) -> String {
    let lower = name.to_lowercase();
    let mut words: Vec<&str> =
        lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty() && !is_grade(word)).collect();
    words.sort_unstable();
    words.join(" ")
}

/// The key of several INCI names in one cell, in whatever order.
fn blend_key(inci: &str) -> String {
    let lower = inci.to_lowercase().replace("(and)", ",").replace(" and ", ",");
    let mut keys: Vec<String> = lower
        .split([',', '&', '+', ';', '/'])
        .map(everyday_key)
        .filter(|key| !key.is_empty() && key != "aqua")
        .collect();
    keys.sort_unstable();
    keys.concat()
}

/// The parts of a name that may mean it: what stands out of brackets and in them, and what commas and strokes part.
/// With each, why it is not beyond doubt; nothing where it is.
fn parts(name: &str) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = Vec::new();
    let (mut outside, mut inside, mut depth) = (String::new(), String::new(), 0usize);
    for letter in name.chars() {
        match letter {
            '(' | '[' => depth += 1,
            ')' | ']' => depth = depth.saturating_sub(1),
            _ if depth > 0 => inside.push(letter),
            _ => outside.push(letter),
        }
    }
    if !inside.is_empty() {
        let only_grades = without_grades(&inside).is_empty();
        let why = if only_grades { String::new() } else { "what is in brackets left out".into() };
        found.push((outside.trim().to_string(), why));
        found.push((inside.trim().to_string(), "which stands in brackets".into()));
    }
    for piece in outside.split([',', ';', '/', ':']).chain(outside.split(" - ")).chain(outside.split(" – ")) {
        let piece = piece.trim();
        if !piece.is_empty() && piece.len() < outside.trim().len() {
            found.push((piece.to_string(), "a part of the name".into()));
        }
    }
    found
}

/// A name that tells a strength in percent, as `Panthenol 75 %` or `80 % lactic acid`: the name and the strength.
fn name_and_strength(name: &str) -> Option<(String, Exact)> {
    let (open, after) = name.split_once('%').filter(|(_, after)| !after.contains('%'))?;
    let open = open.trim_end();
    let start = open
        .rfind(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))
        .map_or(0, |at| at + open.get(at..).and_then(|rest| rest.chars().next()).map_or(1, char::len_utf8));
    let (base, figure) = open.split_at_checked(start)?;
    if figure.is_empty() || figure_at_start(figure, false) != figure.len() {
        return None;
    }
    let strength =
        DecimalMarks { comma: true, point: false }.read(figure).or_else(|| DecimalMarks::default().read(figure))?.value;
    let fits = strength.is_positive() && !(&strength - &Exact::HUNDRED).is_positive();
    let around = [' ', '(', '[', ')', ']', ',', '-'];
    let dissolved = ["in water", "aqueous solution", "solution", "aq.", "aq", "active"];
    let after = after.trim_matches(around);
    let after = dissolved.iter().find_map(|word| after.strip_suffix(word)).unwrap_or(after).trim_matches(around);
    let base = format!("{} {after}", base.trim_end_matches(around)).trim().to_string();
    (fits && !base.is_empty()).then_some((base, strength))
}
