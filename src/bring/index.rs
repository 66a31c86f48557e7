//! Materials by all that leads to them: what they are called, what they declare, what is nearly spelled so.

use super::abroad::called_abroad;
use super::number::{DecimalMarks, figure_at_start};
use super::words::is_grade;
use crate::diagnostic::FileId;
use crate::model::{DeclId, Material};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::shelf::{ENTRIES, ShelfKind, everyday_key, substance_by_key};
use crate::syntax::vocabulary::Role;
use crate::workspace::Sources;
use rapidfuzz::distance::osa::{Args, distance_with_args};
use smol_str::SmolStr;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

/// What a name leads to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Meant {
    /// One material of hers or of the shelf.
    Surely(SmolStr),
    /// One material, but not beyond doubt: why.
    Likely(SmolStr, String),
    /// None: those that it may be, and the substance that it is made of, with its strength where the name tells it.
    Unknown {
        /// What it may be.
        near: Vec<SmolStr>,
        /// What it holds, as the language writes it.
        contains: Option<String>,
    },
}

type Set = BTreeSet<SmolStr>;

/// Materials by all that leads to them.
#[derive(Debug, Default)]
pub struct Index {
    called: BTreeMap<String, Set>,
    by_words: BTreeMap<String, Set>,
    declared: BTreeMap<String, Set>,
    by_cas: BTreeMap<String, Set>,
    /// What is asked of each.
    pub facts: BTreeMap<SmolStr, Facts>,
    /// Whether it is that of the shelf, which has the commonest names of other languages, and of every material each
    /// strength that is sold.
    is_the_shelf: bool,
}

/// What is asked of a material.
#[derive(Debug)]
pub struct Facts {
    /// What it is there for.
    pub roles: Vec<Role>,
    /// Whether all of it is declared, and no water is beside what gives it its name.
    pub is_whole: bool,
    /// Its density in g/mL.
    pub density: Option<Exact>,
    /// Its only substance that is not water.
    only: Option<String>,
    /// How much of it that is, in percent, where one figure says so.
    strength: Option<Exact>,
}

impl Facts {
    /// Whether a substance is the only one in it, water beside it left out.
    pub fn is_of(&self, substance: &str) -> bool {
        self.only.as_deref() == Some(substance)
    }
}

impl Index {
    /// The shelf, read the first time it is asked for.
    pub fn of_the_shelf() -> &'static Index {
        static INDEX: OnceLock<Index> = OnceLock::new();
        INDEX.get_or_init(|| {
            let sources = Sources::default();
            let resolver = Resolver::new(&sources, &mut Vec::new());
            let mut index = Index { is_the_shelf: true, ..Index::default() };
            for (entry, item) in ENTRIES.iter().zip(0u32..).filter(|(entry, _)| entry.kind == ShelfKind::Material) {
                if let Some(material) = resolver.material(DeclId { file: FileId(entry.file), item }) {
                    index.learn(&SmolStr::new_static(entry.name), &material, &resolver);
                }
            }
            index
        })
    }

    /// Takes a material in.
    pub fn learn(&mut self, name: &SmolStr, material: &Material, resolver: &Resolver<'_>) {
        let also = material.also.iter().map(|also| also.as_str());
        for called in also.chain([name.as_str()]).chain(material.title.as_deref()) {
            self.called.entry(everyday_key(called)).or_default().insert(name.clone());
            self.by_words.entry(sorted_words(called)).or_default().insert(name.clone());
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
            if let Some(cas) = substance.cas.as_deref().filter(|_| material.contains.len() == 1) {
                self.by_cas.entry(cas.to_string()).or_default().insert(name.clone());
            }
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
                self.declared.entry(key).or_default().insert(name.clone());
            }
        }
        let only = if only.len() == 1 { only.pop() } else { None };
        let is_whole = material.contains.len() == parts.len() && !material.undisclosed.high.is_positive();
        self.facts.insert(
            name.clone(),
            Facts { roles: material.roles.clone(), is_whole, density: material.density.clone(), only, strength },
        );
    }

    /// Holds the name against the INCI name and the CAS number; what no name leads to, `otherwise` may find.
    pub fn weigh(&self, name: &str, inci: &str, cas: &str, otherwise: &mut dyn FnMut(&str) -> Option<Meant>) -> Meant {
        let by_name = if name.is_empty() { unknown() } else { self.by_name(name, otherwise) };
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
            (Meant::Surely(found), Some(set)) if !set.contains(&found) => {
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
        let found = self.declared.get(&key).or_else(|| self.declared.get(&blend)).or_else(|| self.called.get(&key));
        found.or_else(|| self.by_cas.get(cas.trim())).cloned().or_else(|| {
            let substance = ENTRIES.get(substance_by_key(cas.trim())? as usize)?.name;
            let made_of = |facts: &Facts| facts.only.as_deref() == Some(substance);
            let set: Set =
                self.facts.iter().filter(|(_, facts)| made_of(facts)).map(|(name, _)| name.clone()).collect();
            (!set.is_empty()).then_some(set)
        })
    }

    fn share_a_substance(&self, set: &Set) -> bool {
        let mut only = set.iter().map(|name| self.facts.get(name).and_then(|facts| facts.only.as_ref()));
        let first = only.next().flatten();
        first.is_some() && only.all(|other| other == first)
    }

    fn by_name(&self, name: &str, otherwise: &mut dyn FnMut(&str) -> Option<Meant>) -> Meant {
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
        self.nearly(&graded).or_else(|| otherwise(&graded)).unwrap_or_else(unknown)
    }

    /// What a name written just so leads to.
    fn exactly(&self, form: &str) -> Option<Meant> {
        let key = everyday_key(form);
        if key.is_empty() {
            return None;
        }
        let called = self.called.get(&key).or_else(|| self.called.get(key.strip_suffix('s')?));
        if let Some(set) = called {
            return Some(self.one_of(&key, set));
        }
        if let Some(found) = called_abroad(&form.to_lowercase()).filter(|_| self.is_the_shelf) {
            return Some(Meant::Surely(SmolStr::new_static(found)));
        }
        let declared = self.declared.get(&key).or_else(|| self.declared.get(&blend_key(form)));
        if let Some(set) = declared {
            return Some(self.if_whole(self.one_of(&key, set)));
        }
        let set = self.by_words.get(&sorted_words(form))?;
        Some(self.one_of(&key, set))
    }

    /// Of hers the one strength that she has is not surely the one that is meant.
    fn if_whole(&self, meant: Meant) -> Meant {
        match meant {
            Meant::Surely(found) if !self.is_the_shelf && !self.is_whole(&found) => {
                Meant::Likely(found, "by its INCI name; it is not that alone".into())
            }
            meant => meant,
        }
    }

    fn is_whole(&self, name: &str) -> bool {
        self.facts.get(name).is_some_and(|facts| facts.is_whole)
    }

    /// Which of several is meant: the one of that very name, the others told; else none.
    fn one_of(&self, key: &str, set: &Set) -> Meant {
        let mut names = set.iter();
        if let (Some(only), None) = (names.next(), names.next()) {
            return Meant::Surely(only.clone());
        }
        let own = set.iter().find(|name| everyday_key(name) == key);
        match own {
            Some(own) => {
                let others = or_list(set.iter().filter(|name| *name != own).take(3));
                Meant::Likely(own.clone(), format!("{others} may be called so too"))
            }
            None => {
                let only = set.first().and_then(|first| self.facts.get(first)?.only.clone());
                Meant::Unknown {
                    near: set.iter().take(6).cloned().collect(),
                    contains: only.filter(|_| self.share_a_substance(set)),
                }
            }
        }
    }

    /// `Panthenol 50 %`: a name that is known, at a strength: the material of that strength where there is one.
    fn with_strength(&self, plain: &str) -> Option<Meant> {
        let (base, strength) = name_and_strength(plain)?;
        let near = match self.exactly(&base).or_else(|| self.exactly(&without_grades(&base)))? {
            Meant::Surely(found) | Meant::Likely(found, _) => vec![found],
            Meant::Unknown { near, .. } => near,
        };
        let set: Set = near.iter().cloned().collect();
        let only = set.first().and_then(|first| self.facts.get(first)?.only.clone());
        let substance = only.filter(|_| self.share_a_substance(&set))?;
        let holds = |facts: &Facts| {
            facts.only.as_deref() == Some(substance.as_str()) && facts.strength.as_ref() == Some(&strength)
        };
        let of_that_strength: Vec<SmolStr> = match strength == Exact::HUNDRED {
            // Nearly every material is all of its own substance: there the name decides.
            true => Vec::new(),
            false => self.facts.iter().filter(|(_, facts)| holds(facts)).map(|(name, _)| name.clone()).collect(),
        };
        match of_that_strength.as_slice() {
            [only] => return Some(Meant::Surely(only.clone())),
            [] => {}
            several => return Some(Meant::Unknown { near: several.to_vec(), contains: None }),
        }
        match near.as_slice() {
            [found] if strength == Exact::HUNDRED && (self.is_the_shelf || self.is_whole(found)) => {
                Some(Meant::Surely(found.clone()))
            }
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
        for (known, set) in self.called.iter().chain(&self.declared) {
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
}

fn unknown() -> Meant {
    Meant::Unknown { near: Vec::new(), contains: None }
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

/// Names in code quotes, with `or` before the last.
pub fn or_list<'n>(names: impl Iterator<Item = &'n SmolStr>) -> String {
    let quoted: Vec<String> = names.map(|name| format!("`{name}`")).collect();
    match quoted.as_slice() {
        [] => String::new(),
        [only] => only.clone(),
        [head @ .., last] => format!("{} or {last}", head.join(", ")),
    }
}
