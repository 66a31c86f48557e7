//! What may be written at the cursor of a page: the names that the file sees and the words of a header, of them what has
//! the letters that are typed already.

use super::{LiveText, Units, shown_file};
use crate::diagnostic::FileId;
use crate::resolve::{NameSet, Resolver};
use crate::sheet::BatchOrder;
use crate::syntax::HEADER;
use serde::Serialize;

/// So many are proposed.
const MOST: usize = 40;

/// What may be written, and where. Places count in units of UTF-16.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct LiveProposals {
    /// Where what is typed already begins.
    pub start: usize,
    /// Where it ends.
    pub end: usize,
    /// What may stand there, what is nearest first.
    pub items: Vec<LiveProposal>,
}

/// Something that may be written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LiveProposal {
    /// What it is called.
    pub label: String,
    /// What is written.
    pub insert: String,
    /// What it is, and what is said beside it.
    pub detail: String,
}

/// The line before a cursor.
struct Before<'t> {
    /// The letters of a word that is typed.
    typed: &'t str,
    /// The word before it; empty at the beginning of a line.
    after: &'t str,
}

impl LiveText {
    /// What may be written at a place of a text.
    pub fn propose(&mut self, text: &str, offset: usize) -> LiveProposals {
        let session = self.with(text);
        let report = session.check_to_foresee(&BatchOrder::default());
        let Some(file) = shown_file(session) else { return LiveProposals::default() };
        let text = session.sources().text(file);
        let units = Units::of(text);
        let at = units.at_unit(offset);
        let Some(before) = text.get(..at).and_then(Before::of) else { return LiveProposals::default() };
        let mut near: Vec<(usize, String, LiveProposal)> = offered(&report.resolver, file, &before)
            .into_iter()
            .filter_map(|of| Some((nearness(&of, before.typed)?, of.label.clone(), of)))
            .collect();
        near.sort_by(|one, other| (one.0, &one.1).cmp(&(other.0, &other.1)));
        LiveProposals {
            start: units.at_byte(at - before.typed.len()),
            end: offset,
            items: near.into_iter().take(MOST).map(|(_, _, of)| of).collect(),
        }
    }
}

impl<'t> Before<'t> {
    /// None within a comment or a text in quotes.
    fn of(text: &'t str) -> Option<Before<'t>> {
        let line = text.rsplit('\n').next()?;
        let mut quoted = false;
        let mut escaped = false;
        for letter in line.chars() {
            match letter {
                '#' if !quoted => return None,
                '"' if !escaped => quoted = !quoted,
                _ => {}
            }
            escaped = letter == '\\' && !escaped;
        }
        if quoted {
            return None;
        }
        let is_part = |letter: char| letter.is_alphanumeric() || letter == '-';
        let rest = line.trim_end_matches(is_part);
        let after = rest.trim_end().rsplit([' ', '\t', '{', ';']).next().unwrap_or_default();
        Some(Before { typed: line.get(rest.len()..)?, after })
    }
}

/// What a file sees that may stand there.
fn offered(resolver: &Resolver<'_>, file: FileId, before: &Before<'_>) -> Vec<LiveProposal> {
    let set = if before.after == "of" { NameSet::Substance } else { NameSet::Weighable };
    let kind = if set == NameSet::Substance { "substance" } else { "material" };
    let mut all: Vec<LiveProposal> = Vec::new();
    for name in resolver.scopes.visible(file, set) {
        let found = resolver.scopes.find(file, set, name);
        let title = match set {
            NameSet::Weighable => found.and_then(|id| resolver.material(id)).and_then(|of| of.title.clone()),
            _ => None,
        };
        let detail = title.map_or(kind.to_string(), |title| title.to_string());
        all.push(LiveProposal { label: name.to_string(), insert: name.to_string(), detail });
    }
    if before.after.is_empty() {
        let words = HEADER.iter().map(|word| word.to_string());
        all.extend(words.map(|word| LiveProposal { insert: word.clone(), label: word, detail: String::new() }));
    }
    all
}

/// How near a proposal is to what is typed; none where it has nothing of it.
fn nearness(of: &LiveProposal, typed: &str) -> Option<usize> {
    let typed = typed.to_lowercase();
    let (label, detail) = (of.label.to_lowercase(), of.detail.to_lowercase());
    let begins = |text: &str| text.split(|letter: char| !letter.is_alphanumeric()).any(|word| word.starts_with(&typed));
    match () {
        () if label.starts_with(&typed) => Some(0),
        () if begins(&label) => Some(1),
        () if begins(&detail) => Some(2),
        () if label.contains(&typed) => Some(3),
        () => None,
    }
}

#[cfg(test)]
mod tests {
    use super::Before;

    #[test]
    fn nothing_is_proposed_in_a_comment_or_a_text() {
        for text in ["# sun", "title \"sun", "a 3 % because \"sun", "  water # sun", "\"a\\\"sun"] {
            assert!(Before::of(text).is_none(), "{text}");
        }
        for (text, typed, after) in [
            ("    sunf", "sunf", ""),
            ("x\n  gum-stock 0.5 % of hydroxy", "hydroxy", "of"),
            ("swap squalane for ", "", "for"),
            ("\"#\" ö", "ö", "\"#\""),
        ] {
            let before = Before::of(text).unwrap();
            assert_eq!((before.typed, before.after), (typed, after), "{text}");
        }
    }
}
