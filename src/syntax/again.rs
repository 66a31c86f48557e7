//! A tree made from that of the text before an edit: declarations that the edit has not touched are moved, not made again.

use super::build::Builder;
use super::cut::{Cut, Entry, Left, Walk};
use super::tree::{self, Distance, Item};
use super::{Parsed, told_at_once};
use crate::diagnostic::{Diagnostic, FileId, Span};

/// Where something is at fault, in order.
struct Faulty(Vec<Span>);

impl Faulty {
    fn new<'f>(faults: impl Iterator<Item = &'f Diagnostic>) -> Faulty {
        let mut spans: Vec<Span> = faults.map(|fault| fault.primary.place.span).collect();
        spans.sort_unstable();
        Faulty(spans)
    }

    /// Whether a fault begins in a span or at either end of it, or reaches into it.
    fn touch(&self, span: Span) -> bool {
        self.0.iter().take_while(|fault| fault.start <= span.end).any(|fault| fault.end >= span.start)
    }
}

/// The tree of a text and its faults, from those of the same file before its last edit.
pub(super) fn parsed_from(cut: &Cut, left: Left, file: FileId, text: &str, before: Parsed) -> Parsed {
    let told = told_at_once(cut, file, text, 0);
    let mut builder = Builder::new(file, text, &told);
    let Left { first, last, old_length } = left;
    let statements = |entries: Option<&[Entry]>| {
        entries.unwrap_or_default().iter().filter(|entry| entry.statement().is_some()).count()
    };
    let all = cut.entries.len();
    let (at_start, at_end) =
        (statements(cut.entries.get(..first)), statements(cut.entries.get(all.saturating_sub(last)..)));
    let count = statements(Some(&cut.entries));
    let old_count = before.tree.items.len();
    // Where the two may overlap, or a word is long enough to be told of wherever it stands, all is made anew.
    let can_be_kept = at_start + at_end <= count.min(old_count) && !builder.has_long_words();
    let (was, is) = (Faulty::new(before.faults.iter()), Faulty::new(told.iter()));
    let offset = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    let by = Distance::between(offset(old_length), offset(text.len()));
    let mut old: Vec<Option<Item>> = before.tree.items.into_iter().map(Some).collect();
    let mut keep = |number: usize, span: Span| -> Option<Item> {
        let moves = number >= at_start;
        if !can_be_kept || is.touch(span) || moves && number < count - at_end {
            return None;
        }
        let at = if moves { number + old_count - count } else { number };
        let mut item = old.get_mut(at)?.take().filter(|item| !was.touch(item.span()))?;
        let stands = !moves || item.shift(by);
        (stands && item.span() == span).then_some(item)
    };
    let mut items = Vec::with_capacity(count);
    for (number, placed) in Walk::new(&cut.entries, text, 0).enumerate() {
        match keep(number, placed.span()) {
            Some(item) => items.push(item),
            None => items.extend(builder.item(&placed)),
        }
    }
    let mut faults = builder.faults;
    faults.extend(told);
    faults.sort_by_key(|fault| fault.primary.place.span);
    Parsed { tree: tree::File { items }, faults }
}

#[cfg(test)]
mod tests {
    use crate::diagnostic::FileId;
    use crate::syntax::{Memo, Parsed, SyntaxTree, parse};
    use std::sync::Arc;

    const TEXTS: [&str; 3] = [
        include_str!("../../examples/lactic-serum.still"),
        include_str!("../../examples/lactic-serum-batches.still"),
        include_str!("../../examples/materials.still"),
    ];
    const PIECES: [&str; 14] = [
        "}",
        "{",
        "\"",
        "#",
        "\n",
        "9",
        "q.s.",
        "é",
        "formula f { makes 10 g }\n",
        "use shelf/all\n",
        "let x = 3 %\n",
        "\t",
        "\u{200b}",
        "variant v of f { remove water }\n",
    ];

    /// Numbers at random, the same in every run: xorshift64, as Marsaglia gives it in "Xorshift RNGs", Journal of
    /// Statistical Software 8 (2003).
    fn random(state: &mut u64, limit: usize) -> usize {
        *state ^= *state << 13;
        *state ^= *state >> 7;
        *state ^= *state << 17;
        usize::try_from(*state >> 33).unwrap_or(0) % limit.max(1)
    }

    #[test]
    fn a_tree_made_from_the_one_before_is_that_of_a_fresh_parse() {
        let file = FileId(7);
        let (mut state, mut long) = (0x5711_2001, false);
        for original in TEXTS {
            let mut tree = SyntaxTree::new(original.to_string(), Arc::new(Memo::default()));
            let mut before = parse(file, original);
            for round in 0..150 {
                let text = tree.text().to_string();
                let mut range = random(&mut state, text.len() + 1)..0;
                range.end = text.len().min(range.start + if round % 3 == 0 { random(&mut state, 30) } else { 0 });
                let piece = PIECES[random(&mut state, PIECES.len())];
                // A name too long, once in a while, and the whole as it was at first.
                let word = "a".repeat(120);
                let piece = if round % 50 == 7 { word.as_str() } else { piece };
                let done = match round % 20 {
                    19 => tree.edit(0..text.len(), original),
                    _ => tree.edit(range.clone(), piece),
                };
                long |= done && piece.len() > 100;
                let length = text.len();
                before = tree.parsed_from(file, before, length);
                let fresh = parse(file, tree.text());
                let shown = |parsed: &Parsed| format!("{parsed:?}");
                assert_eq!(shown(&before), shown(&fresh), "{range:?} {piece:?} in {text}");
            }
        }
        assert!(long, "a name too long was tried");
    }
}
