//! What stands in a file: its formulas and batches by name, and how many there are of everything.

use crate::syntax::tree::Item;
use crate::workspace::Source;

/// What a file has.
#[derive(Clone, Debug, Default)]
pub struct Holds {
    /// Its formulas and variants, in their order.
    pub formulas: Vec<String>,
    /// Its batches, in their order.
    pub batches: Vec<String>,
    /// How many there are of each kind that it has.
    counts: Vec<(usize, &'static str, &'static str)>,
    /// Whether something in it cannot be read.
    has_broken: bool,
}

/// Each kind of thing in a file, one of it and several.
const KINDS: [(&str, &str); 9] = [
    ("formula", "formulas"),
    ("batch", "batches"),
    ("material", "materials"),
    ("substance", "substances"),
    ("container", "containers"),
    ("rule", "rules"),
    ("group of substances", "groups of substances"),
    ("planned batch", "planned batches"),
    ("account of stock", "accounts of stock"),
];

/// Which of the kinds something is; none of what goes without saying.
fn kind(item: &Item) -> Option<usize> {
    match item {
        Item::Formula(_) | Item::Variant(_) => Some(0),
        Item::Batch(_) => Some(1),
        Item::Material(_) => Some(2),
        Item::Substance(_) => Some(3),
        Item::Container(_) => Some(4),
        Item::Rule(_) => Some(5),
        Item::Group(_) => Some(6),
        Item::Planned(_) => Some(7),
        Item::Stock(_) => Some(8),
        Item::Use(_) | Item::Let(_) | Item::Maker(_) | Item::Rate(_) | Item::Broken(_) => None,
    }
}

impl Holds {
    /// What a file has, as it is read.
    pub fn of(source: &Source) -> Holds {
        let items = &source.tree.items;
        let names = |of: usize| {
            let found = items.iter().filter(|item| kind(item) == Some(of));
            found.filter_map(|item| item.name().map(|name| name.text.to_string())).collect()
        };
        let count = |of: usize| items.iter().filter(|item| kind(item) == Some(of)).count();
        let counts = KINDS.iter().enumerate().map(|(at, (one, several))| (count(at), *one, *several));
        Holds {
            formulas: names(0),
            batches: names(1),
            counts: counts.filter(|(count, ..)| *count > 0).collect(),
            has_broken: items.iter().any(|item| matches!(item, Item::Broken(_))),
        }
    }

    /// `2 formulas, 1 batch`.
    pub fn words(&self) -> String {
        let counted = self.counts.iter().map(|(count, one, several)| match count {
            1 => format!("1 {one}"),
            count => format!("{count} {several}"),
        });
        let broken = self.has_broken.then(|| "something that cannot be read".to_string());
        let all: Vec<String> = counted.chain(broken).collect();
        if all.is_empty() { "No formula, batch, material or stock yet".to_string() } else { all.join(", ") }
    }
}

#[cfg(test)]
mod tests {
    use super::Holds;
    use crate::workspace::{Disk, load};
    use std::fs;

    #[test]
    fn a_file_says_what_stands_in_it() {
        let folder = tempfile::tempdir().unwrap();
        let words = |text: &str| {
            let file = folder.path().join("a.still");
            fs::write(&file, text).unwrap();
            let loaded = load(&Disk, &[file], None);
            Holds::of(loaded.sources.files.iter().find(|source| source.named).unwrap())
        };
        let two = "use shelf/all\nmaterial a like water { }\nmaterial b like water { }\nstock {\n  counted a 5 g on 2026-11-01\n}\n\
                   formula gel {\n  makes 100 g\n}\nvariant thin of gel {\n  version \"2\"\n}\n";
        let holds = words(two);
        assert_eq!(holds.words(), "2 formulas, 2 materials, 1 account of stock");
        assert_eq!(holds.formulas, ["gel", "thin"]);
        assert_eq!(words("# Nothing.\n").words(), "No formula, batch, material or stock yet");
        assert_eq!(words("material A b {\n}\n").words(), "something that cannot be read");
    }
}
