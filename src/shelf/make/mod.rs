//! The index of the shelf, made from its files: the one description of what stands in it. `build.rs` runs it; in the
//! program itself only its tests do.

mod keys;
mod read;

use super::entry::{ShelfEntry, ShelfKind, ShelfRule};
use keys::Keys;
use read::{Declaration, read};

pub use read::File;

/// What the index of the shelf says.
#[derive(Debug)]
pub struct Index {
    /// The files by name, with the numbers of those that each reaches.
    pub files: Vec<(&'static str, Vec<usize>)>,
    /// Every declaration, by kind, then by name.
    pub entries: Vec<ShelfEntry>,
    /// The rules, by name.
    pub rules: Vec<ShelfRule>,
    /// Which rules and substances are found by what.
    pub keys: Keys,
}

impl Index {
    /// Makes the index of files that stand in the order of their names; else what is wrong, with the file.
    pub fn of(files: &[File]) -> Result<Index, String> {
        let mut found: Vec<(ShelfEntry, Declaration<'static>)> = Vec::new();
        let mut uses: Vec<Vec<usize>> = Vec::new();
        for (number, file) in files.iter().enumerate() {
            let told = |what: String| format!("{}.still: {what}", file.name);
            let mut used = Vec::new();
            for declaration in read(file.text).map_err(told)? {
                match kind_of(&declaration).map_err(told)? {
                    Some(kind) => found.push((entry(kind, number, &declaration).map_err(told)?, declaration)),
                    None => used.push(used_by(&declaration, files).map_err(told)?),
                }
            }
            uses.push(used);
        }
        found.sort_by_key(|(entry, _)| (entry.kind, entry.name));
        for ((one, _), (next, _)) in found.iter().zip(found.iter().skip(1)) {
            if (one.kind, one.name) == (next.kind, next.name) {
                return Err(format!("the shelf has two of {}", one.name));
            }
        }
        let (rules, keys) = keys::of(&found, files)?;
        let files = files.iter().enumerate().map(|(number, file)| (file.name, reach(number, &uses))).collect();
        Ok(Index { files, entries: found.into_iter().map(|(entry, _)| entry).collect(), rules, keys })
    }

    /// The index in Rust: what `{:?}` prints of a value is how it is written, but for a list that is lent.
    pub fn to_rust(&self) -> String {
        let files = self.files.iter().map(|(name, reach)| {
            let text = format!("include_str!(concat!(env!(\"CARGO_MANIFEST_DIR\"), \"/src/shelf/{name}.still\"))");
            format!("ShelfFile {{ name: {name:?}, text: {text}, reach: &{reach:?} }}")
        });
        let keys = self.keys.rules.iter().map(|(key, of)| format!("({key:?}, &{:?})", of.iter().collect::<Vec<_>>()));
        [
            list("FILES: &[ShelfFile]", "The files of the shelf, by name.", files),
            list(
                "ENTRIES: &[ShelfEntry]",
                "Every declaration of the shelf, by kind, then by name.",
                self.entries.iter().map(|entry| format!("{entry:?}")),
            ),
            list(
                "RULES: &[ShelfRule]",
                "The rules of the shelf, by name.",
                self.rules.iter().map(|rule| {
                    let ShelfRule { entry, markets, from, until } = rule;
                    format!("ShelfRule {{ entry: {entry}, markets: &{markets:?}, from: {from:?}, until: {until:?} }}")
                }),
            ),
            list(
                "RULES_FOR_ALL: &[usize]",
                "The numbers of the rules that speak to every formula of their market.",
                self.keys.for_all.iter().map(usize::to_string),
            ),
            list(
                "RULE_KEYS: &[(&str, &[usize])]",
                "The numbers of the rules that speak of a CAS number or an INCI name in small letters, by that.",
                keys,
            ),
            list(
                "SUBSTANCE_KEYS: &[(&str, u32)]",
                "The substance with a CAS number, or an INCI name in small letters, by that.",
                self.keys.substances.iter().map(|(key, entry)| format!("({key:?}, {entry})")),
            ),
            list(
                "EVERYDAY_NAMES: &[(&str, &[u32])]",
                "The materials that are called so every day, by the letters and digits of that name.",
                self.keys.everyday.iter().map(|(key, of)| format!("({key:?}, &{:?})", of.iter().collect::<Vec<_>>())),
            ),
        ]
        .concat()
    }
}

/// A list of the index in Rust: its name and type, what it is, and its rows.
fn list(item: &str, what: &str, rows: impl Iterator<Item = String>) -> String {
    let rows: String = rows.map(|row| format!("    {row},\n")).collect();
    format!("/// {what}\npub const {item} = &[\n{rows}];\n")
}

/// What a declaration is; none where it is a `use`.
fn kind_of(declaration: &Declaration<'_>) -> Result<Option<ShelfKind>, String> {
    match declaration.head.word(0) {
        Some("substance") => Ok(Some(ShelfKind::Substance)),
        Some("material") => Ok(Some(ShelfKind::Material)),
        Some("group") => Ok(Some(ShelfKind::Group)),
        Some("rule") => Ok(Some(ShelfKind::Rule)),
        Some("use") => Ok(None),
        other => Err(format!("the shelf holds no `{}`", other.unwrap_or("text"))),
    }
}

fn entry(kind: ShelfKind, file: usize, declaration: &Declaration<'static>) -> Result<ShelfEntry, String> {
    let name = declaration.head.word(1).ok_or("a declaration without a name")?;
    let number = |number: usize| u32::try_from(number).map_err(|_| format!("{name} stands too far in"));
    Ok(ShelfEntry { kind, name, file: number(file)?, start: number(declaration.start)?, end: number(declaration.end)? })
}

/// The number of the file that a `use` names.
fn used_by(declaration: &Declaration<'_>, files: &[File]) -> Result<usize, String> {
    let path = declaration.head.word(1).unwrap_or("a path");
    let at = path.strip_prefix("shelf/").and_then(|name| files.iter().position(|file| file.name == name));
    at.ok_or_else(|| format!("it uses {path}, which is no file of the shelf"))
}

/// The numbers of the files that one reaches, itself too, from the least to the greatest.
fn reach(from: usize, uses: &[Vec<usize>]) -> Vec<usize> {
    let mut reached = vec![from];
    let mut next = 0;
    while let Some(file) = reached.get(next) {
        for used in uses.get(*file).into_iter().flatten() {
            if !reached.contains(used) {
                reached.push(*used);
            }
        }
        next += 1;
    }
    reached.sort_unstable();
    reached
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(name: String, text: String) -> File {
        File { name: name.leak(), text: text.leak() }
    }

    #[test]
    fn the_shelf_may_have_any_number_of_files() {
        // Each uses the next, and the first of all the others comes at the end of the chain.
        let chain = |at: usize| match at {
            99 => "substance last {\n  cas \"1-1\"\n}\n".to_string(),
            _ => format!("use shelf/file-{:02}\n\nsubstance of-{at:02} {{\n  neutral\n}}\n", at + 1),
        };
        let files: Vec<File> = (0..100).map(|at| file(format!("file-{at:02}"), chain(at))).collect();
        let index = Index::of(&files).unwrap();
        assert_eq!(index.entries.len(), 100);
        for (number, (name, reach)) in index.files.iter().enumerate() {
            assert_eq!(*reach, (number..100).collect::<Vec<_>>(), "{name}");
        }
        let last = index.entries.iter().position(|entry| entry.name == "last").unwrap();
        assert_eq!(index.entries[last].file, 99);
        assert_eq!(index.keys.substances.get("1-1").copied(), u32::try_from(last).ok());
        assert!(index.to_rust().contains("name: \"file-64\", text: include_str!("));
        assert!(index.to_rust().contains("reach: &[98, 99] }"));
    }

    #[test]
    fn what_is_wrong_is_told_with_its_file() {
        let wrong = |text: &str| Index::of(&[file("a".into(), text.into())]).unwrap_err();
        assert_eq!(wrong("substance x {\n  neutral\n"), "a.still: its last block is never closed");
        assert_eq!(wrong("\nsubstance x {\n  inci \"A\n}\n"), "a.still: line 3: a text that is not closed");
        assert_eq!(wrong("}\n"), "a.still: line 1: a brace that closes nothing");
        assert_eq!(wrong("use shelf/b\n"), "a.still: it uses shelf/b, which is no file of the shelf");
        assert_eq!(wrong("let x = 1\n"), "a.still: the shelf holds no `let`");
        assert_eq!(wrong("group x = y\ngroup x = z\n"), "the shelf has two of x");
        assert_eq!(wrong("rule r {\n  market xx\n  forbid x\n}\n"), "a.still: r names a market that is none");
        assert_eq!(wrong("rule r {\n  market eu\n  forbid x\n}\n"), "a.still: r speaks of x, which the shelf has not");
        assert_eq!(
            wrong("rule r {\n  market eu\n  weigh x\n}\n"),
            "a.still: r says `weigh`, which the index does not know"
        );
    }
}
