//! A tree kept beside a text that is being written: a change cuts and parses anew what it has touched, and no more.

use super::cutter::{Cutter, Unpaired};
use super::{Cut, Cuts, Entry, EntryKind};
use crate::syntax::context::Context;
use crate::syntax::statement::Memo;
use std::ops::Range;
use std::sync::Arc;

/// A text and its tree.
#[derive(Clone, Debug)]
pub struct SyntaxTree {
    text: String,
    cut: Cut,
    memo: Arc<Memo>,
    /// What the last edit left as it was, where it is the only one since that was last asked for.
    left: Option<Left>,
    /// Whether the text was edited since.
    edited: bool,
}

/// How many entries at file level an edit has left as they were, at the start and at the end, of how many bytes.
#[derive(Clone, Copy, Debug, Default)]
pub struct Left {
    /// Entries at the start.
    pub first: usize,
    /// Entries at the end.
    pub last: usize,
    /// How long the text was before.
    pub old_length: usize,
}

/// The entries of one block, or of the file, in which a change lies.
struct EditedBlock {
    /// On the way there, the number of the statement at each level.
    path: Vec<usize>,
    context: Option<Context>,
    /// Where its first entry starts.
    start: usize,
}

/// The entries that a change replaces.
struct Stretch {
    /// Their numbers.
    entries: Range<usize>,
    /// What stands there now.
    new: Vec<Entry>,
}

impl SyntaxTree {
    /// The tree of a text. What was parsed before with the same memo is not parsed again.
    #[must_use]
    pub fn new(text: String, memo: Arc<Memo>) -> SyntaxTree {
        let cut = Cut::new(&text, &memo);
        SyntaxTree { text, cut, memo, left: None, edited: false }
    }

    /// The text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The tree.
    #[must_use]
    pub fn cut(&self) -> &Cut {
        &self.cut
    }

    /// What the last edit left as it was; none where there was none, or several, since this was last asked.
    pub fn take_left(&mut self) -> Option<Left> {
        self.edited = false;
        self.left.take()
    }

    /// How the text is cut.
    #[must_use]
    pub fn cuts(&self) -> Cuts {
        Cuts::of(&self.cut.entries)
    }

    /// Puts other text in the place of a range of bytes; what does not lie between characters of the text is left
    /// undone, and is false.
    pub fn edit(&mut self, range: Range<usize>, with: &str) -> bool {
        if self.text.get(range.clone()).is_none() {
            return false;
        }
        let old_length = self.text.len();
        self.text.replace_range(range.clone(), with);
        let within = if self.cut.settled { self.edit_within(&range, with.len()) } else { None };
        let (first, last) = within.unwrap_or_else(|| {
            let new = Cut::new(&self.text, &self.memo);
            let old = std::mem::replace(&mut self.cut, new);
            left_as_they_were(&old.entries, &self.cut.entries, &range, old_length)
        });
        self.left = (!self.edited).then_some(Left { first, last, old_length });
        self.edited = true;
        true
    }

    /// Cuts anew from the entry before a change to the first one after it that stays as it is; none where there is
    /// none, since the change bears on braces. Gives how many entries at file level stay as they were, at both ends.
    fn edit_within(&mut self, range: &Range<usize>, inserted: usize) -> Option<(usize, usize)> {
        let level = self.level_of(range);
        let stretch = self.stretch(&level, range, inserted)?;
        let removed = range.end - range.start;
        let all = self.cut.entries.len();
        let (first, after) = match level.path.first() {
            Some(number) => (*number, number + 1),
            None => (stretch.entries.start, stretch.entries.end),
        };
        let left = (first, all.saturating_sub(after));
        let mut entries = &mut self.cut.entries;
        for number in level.path {
            let Some(Entry { what: EntryKind::Statement(statement), length }) = entries.get_mut(number) else {
                return None;
            };
            let block = statement.block.as_mut()?;
            *length = u32::try_from(*length as usize + inserted - removed).unwrap_or(u32::MAX);
            entries = &mut block.entries;
        }
        entries.splice(stretch.entries, stretch.new);
        Some(left)
    }

    /// The innermost block that a range lies in with something to spare on both sides.
    fn level_of(&self, range: &Range<usize>) -> EditedBlock {
        let mut level = EditedBlock { path: Vec::new(), context: Some(Context::File), start: 0 };
        let mut entries = &self.cut.entries;
        'down: loop {
            let mut at = level.start;
            for (number, entry) in entries.iter().enumerate() {
                let end = at + entry.length as usize;
                if let Some(statement) = entry.statement()
                    && let Some(block) = &statement.block
                    && at + (statement.head as usize) < range.start
                    && range.end + 1 < end
                {
                    level.path.push(number);
                    level.context = block.context;
                    level.start = at + statement.head as usize;
                    entries = &block.entries;
                    continue 'down;
                }
                if end > range.end {
                    return level;
                }
                at = end;
            }
            return level;
        }
    }

    fn entries_at(&self, path: &[usize]) -> &[Entry] {
        let mut entries = &self.cut.entries;
        for number in path {
            match entries.get(*number).and_then(Entry::statement).and_then(|statement| statement.block.as_ref()) {
                Some(block) => entries = &block.entries,
                None => return &[],
            }
        }
        entries
    }

    fn stretch(&self, level: &EditedBlock, range: &Range<usize>, inserted: usize) -> Option<Stretch> {
        let entries = self.entries_at(&level.path);
        let (first, start) = first_touched(entries, level.start, range.start);
        let mut cutter = Cutter::new(&self.text, &self.memo, start, level.context, level.path.len());
        let changed_up_to = range.start + inserted;
        // Where the entry stands that comes next as it was, as the text is now.
        let (mut next, mut old) = (first, start);
        loop {
            if cutter.at >= changed_up_to && cutter.levels.len() == 1 {
                let target = cutter.at + range.end - range.start - inserted;
                while old < target
                    && let Some(entry) = entries.get(next)
                {
                    old += entry.length as usize;
                    next += 1;
                }
                // Blanks are one entry, however many there are, so none may follow others; and what stands on the line of
                // a block is cut with it.
                if old == target && old > range.end && (next == entries.len() || !cutter.is_after_block()) {
                    break;
                }
            }
            if cutter.at >= self.text.len() {
                // The file may end otherwise than it did; a block may not.
                next = entries.len();
                if level.path.is_empty() && cutter.levels.len() == 1 {
                    break;
                }
                return None;
            }
            cutter.step().map_err(|Unpaired| ()).ok()?;
        }
        cutter.settled().then(|| Stretch { entries: first..next, new: cutter.finish().0 })
    }
}

/// How many entries at both ends of a text are cut and read as they were before a range of it was changed, and lie outside
/// that range.
fn left_as_they_were(old: &[Entry], new: &[Entry], range: &Range<usize>, old_length: usize) -> (usize, usize) {
    let first = left_before(old.iter().zip(new), range.start);
    let last = left_before(old.iter().rev().zip(new.iter().rev()), old_length - range.end);
    (first, last.min(old.len() - first).min(new.len() - first))
}

/// How many pairs of entries are the same, of those that end before a stretch of so many bytes does.
fn left_before<'e>(pairs: impl Iterator<Item = (&'e Entry, &'e Entry)>, most: usize) -> usize {
    let mut at = 0;
    let is_left = |(one, other): &(&Entry, &Entry)| {
        at += one.length as usize;
        at < most && one.is_same(other)
    };
    pairs.take_while(is_left).count()
}

/// The statement before the first entry that an offset touches, and where it starts; or the first entry of all.
fn first_touched(entries: &[Entry], start: usize, offset: usize) -> (usize, usize) {
    let mut found = (0, start);
    let mut at = start;
    for (number, entry) in entries.iter().enumerate() {
        if at + entry.length as usize >= offset {
            break;
        }
        if entry.statement().is_some() {
            found = (number, at);
        }
        at += entry.length as usize;
    }
    found
}
