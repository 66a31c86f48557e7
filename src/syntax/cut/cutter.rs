//! A text cut into entries, from its start to its end, in one pass and without recursion.
//!
//! Where all brackets pair, nothing has to be guessed. Where they do not, the text is cut once more with a
//! [`Mender`], which says where a block that was never closed most likely ends.

use super::MAX_NESTING;
use super::entry::{Block, Entry, EntryKind, ParseState, Statement};
use super::mend::{BracketFault, Mender};
use super::scan::{self, Extent};
use crate::syntax::context::Context;
use crate::syntax::invisible::clear;
use crate::syntax::near::{is_one_slip, nearest};
use crate::syntax::statement::Memo;
use std::borrow::Cow;

/// How often statements that seem to run over the same lines are tried before each line is taken for itself, so that
/// a long list that was never ended is not read again from each of its lines.
const TRIES: u32 = 8;

/// Brackets that do not pair, found where nothing was to be guessed.
#[derive(Debug)]
pub struct Unpaired;

/// A block that is not closed yet, with the statement that opened it; the first is the whole file.
pub struct OpenBlock {
    pub context: Option<Context>,
    pub entries: Vec<Entry>,
    /// Where the statement starts.
    start: usize,
    head: u32,
    reading: ParseState,
    crowded: bool,
    /// The last byte of what opened it.
    pub opened_at: usize,
    /// How far in the line stands that opened it.
    pub indent: usize,
    /// Whether `phase` and `steps` open blocks in it.
    pub formula: bool,
}

/// Cuts a text.
pub struct Cutter<'t> {
    text: &'t str,
    memo: &'t Memo,
    /// How far the text is cut.
    pub at: usize,
    pub levels: Vec<OpenBlock>,
    /// How many blocks stand around the first level.
    depth: usize,
    /// The block that ended on this line, where nothing has come after it: whether the statement that opened it parses.
    after_block: Option<bool>,
    /// Whether any statement stood there.
    any_crowded: bool,
    mender: Option<Mender<'t>>,
    /// Statements over several lines that did not parse: how far they reached, and how often that happened up to there.
    run_on: (usize, u32),
}

impl<'t> Cutter<'t> {
    /// For a text from an offset, in a block that stands so deep.
    pub fn new(text: &'t str, memo: &'t Memo, at: usize, context: Option<Context>, depth: usize) -> Cutter<'t> {
        let first = OpenBlock {
            context,
            entries: Vec::new(),
            start: at,
            head: 0,
            reading: ParseState::Unread,
            crowded: false,
            opened_at: at,
            indent: 0,
            formula: false,
        };
        Cutter {
            text,
            memo,
            at,
            levels: vec![first],
            depth,
            after_block: None,
            any_crowded: false,
            mender: None,
            run_on: (0, 0),
        }
    }

    /// The same, where brackets do not pair.
    pub fn mending(text: &'t str, memo: &'t Memo) -> Cutter<'t> {
        Cutter { mender: Some(Mender::new(text)), ..Cutter::new(text, memo, 0, Some(Context::File), 0) }
    }

    /// Cuts all of the text.
    pub fn run(&mut self) -> Result<(), Unpaired> {
        while self.at < self.text.len() {
            self.step()?;
        }
        if self.levels.len() > 1 {
            let Some(mender) = &mut self.mender else { return Err(Unpaired) };
            // A file that stops in the middle of a block is one fault, on the block it stops in.
            mender.tell_unclosed(self.levels.last());
            self.close_all();
        }
        Ok(())
    }

    /// The entries of the first level, and what was wrong with brackets.
    pub fn finish(mut self) -> (Vec<Entry>, Vec<BracketFault>) {
        let entries = self.levels.pop().map(|first| first.entries).unwrap_or_default();
        (entries, self.mender.map(|mender| mender.faults).unwrap_or_default())
    }

    /// Whether where each entry ends can be seen from itself and what is inside it: no statement over several lines
    /// failed to parse, and none stands on the line of a block.
    pub fn settled(&self) -> bool {
        self.run_on.1 == 0 && !self.any_crowded
    }

    /// Whether a block has ended on this line.
    pub fn is_after_block(&self) -> bool {
        self.after_block.is_some()
    }

    /// Cuts the next entry.
    pub fn step(&mut self) -> Result<(), Unpaired> {
        let bytes = self.text.as_bytes();
        if let Some(mender) = &mut self.mender {
            mender.reached(self.at);
            if mender.opens_at_margin(self.at) && self.levels.len() > 1 {
                // However many blocks are open, it is one fault, on the innermost.
                mender.tell_unclosed(self.levels.last());
                self.close_all();
            }
        }
        let end = scan::after_blanks(self.text, self.at);
        match bytes.get(self.at) {
            None => {}
            _ if end > self.at => {
                let same_line = self.text.get(self.at..end).is_some_and(|blank| !blank.contains(['\n', '\r']));
                self.after_block = self.after_block.filter(|_| same_line);
                self.push(EntryKind::Blank, end);
            }
            Some(b'#') => self.push(EntryKind::Comment, scan::line_end(bytes, self.at)),
            Some(b'}') => self.close()?,
            Some(_) => self.statement()?,
        }
        Ok(())
    }

    fn push(&mut self, what: EntryKind, end: usize) {
        let length = length(self.at, end);
        self.at = end;
        if let Some(level) = self.levels.last_mut() {
            level.entries.push(Entry { what, length });
        }
    }

    /// A brace that closes.
    fn close(&mut self) -> Result<(), Unpaired> {
        if let Some(mender) = &mut self.mender {
            // A brace that begins its line, further left than the block it would close: that block was not closed.
            while let [_, _, .., innermost] = self.levels.as_slice()
                && mender.is_left_of(self.at, innermost)
            {
                mender.tell_unclosed(Some(innermost));
                Self::close_level(&mut self.levels, self.at, false);
            }
            if self.levels.len() < 2 {
                mender.faults.push(BracketFault::ClosesNothing(self.at));
                if let Some(level) = self.levels.last_mut() {
                    excuse_this_line(self.text.get(..self.at).unwrap_or(""), &mut level.entries);
                }
                self.push(EntryKind::Stray, self.at + 1);
                self.after_block = Some(false);
                return Ok(());
            }
        } else if self.levels.len() < 2 {
            return Err(Unpaired);
        }
        self.at += 1;
        self.after_block = self.levels.last().map(|level| matches!(level.reading, ParseState::Sound(_)));
        Self::close_level(&mut self.levels, self.at, true);
        Ok(())
    }

    /// What stands in the block that ended last, on the line of its brace, is no fault of its own.
    fn excuse_before_brace(&mut self) {
        let before = self.text.get(..self.at).and_then(|before| before.rfind('}')).and_then(|at| self.text.get(..at));
        let entries = self.levels.last_mut().map(|level| level.entries.as_mut_slice()).unwrap_or_default();
        let block = match entries {
            [.., Entry { what: EntryKind::Statement(statement), .. }, Entry { what: EntryKind::Blank, .. }]
            | [.., Entry { what: EntryKind::Statement(statement), .. }] => statement.block.as_mut(),
            _ => None,
        };
        if let (Some(before), Some(block)) = (before, block) {
            excuse_this_line(before, &mut block.entries);
        }
    }

    /// Where the statements stand that are being cut.
    fn context(&self) -> Option<Context> {
        self.levels.last().and_then(|level| level.context)
    }

    /// The word that opens the statement that comes next.
    fn word(&self) -> Cow<'t, str> {
        let rest = self.text.get(self.at..).unwrap_or("");
        let length = rest.bytes().take_while(|byte| !matches!(byte, b' ' | b'\t' | b'\n' | b'\r' | b'{')).count();
        let word = rest.get(..length).unwrap_or("");
        match clear(word) {
            None => Cow::Borrowed(word),
            Some(cleared) => Cow::Owned(cleared.text.split(' ').next().unwrap_or("").to_string()),
        }
    }

    fn close_all(&mut self) {
        while self.levels.len() > 1 {
            Self::close_level(&mut self.levels, self.at, false);
        }
    }

    /// Puts the innermost block, which ends here, into the one around it.
    fn close_level(levels: &mut Vec<OpenBlock>, end: usize, closed: bool) {
        let Some(level) = levels.pop() else { return };
        let block = Block { context: level.context, entries: level.entries, closed };
        let statement = Statement {
            head: level.head,
            reading: level.reading,
            block: Some(Box::new(block)),
            crowded: level.crowded,
        };
        if let Some(around) = levels.last_mut() {
            around.entries.push(Entry { what: EntryKind::Statement(statement), length: length(level.start, end) });
        }
    }

    fn statement(&mut self) -> Result<(), Unpaired> {
        if let Some(mender) = &mut self.mender
            && let Some(code) = mender.opening_without_brace(self.at, self.levels.last())
        {
            let context = self.context();
            let sound = context.and_then(|context| self.memo.parse(context, &format!("{code} {{")));
            self.open(self.at + code.len(), sound.map_or(ParseState::Reported, ParseState::Sound));
            return Ok(());
        }
        let bytes = self.text.as_bytes();
        let deep = self.depth + self.levels.len() - 1;
        let one_line = self.at < self.run_on.0 && self.run_on.1 >= TRIES;
        let opens_block = || self.context().is_some_and(|context| context.of_block(&self.word()).is_some());
        let extent = scan::extent(bytes, self.at, deep, one_line, opens_block);
        let opens_too_deep = extent.opens && deep >= MAX_NESTING;
        match &mut self.mender {
            None if !extent.pairs || extent.too_deep.is_some() || opens_too_deep => return Err(Unpaired),
            Some(mender) if opens_too_deep => {
                mender.tell_too_deep(extent.end - 1);
                self.skip_too_deep(extent.end);
                return Ok(());
            }
            Some(mender) => extent.too_deep.into_iter().for_each(|at| mender.tell_too_deep(at)),
            None => {}
        }
        let (mut reading, end) = self.read(&extent);
        match extent.opens {
            true => self.open(end, reading),
            false => {
                let head = length(self.at, end);
                let crowded = self.is_crowded(&mut reading);
                self.push(EntryKind::Statement(Statement { head, reading, block: None, crowded }), end);
            }
        }
        Ok(())
    }

    /// Parses a statement, and says where it ends.
    fn read(&mut self, extent: &Extent) -> (ParseState, usize) {
        let text = self.text.get(self.at..extent.end).unwrap_or("");
        let Some(context) = self.context() else { return (ParseState::Unread, self.own_end(extent, &[])) };
        if extent.too_deep.is_some() {
            return (ParseState::Reported, extent.end);
        }
        let sound = if extent.unfinished { None } else { self.memo.parse(context, text) };
        match (sound, extent.first_line) {
            (Some(parse), _) => (ParseState::Sound(parse), extent.end),
            (None, None) => (ParseState::Broken, extent.end),
            (None, Some(_)) => {
                let (until, tries) = self.run_on;
                self.run_on = if self.at < until { (until, tries + 1) } else { (extent.end, 1) };
                (ParseState::Broken, self.own_end(extent, &context.openers()))
            }
        }
    }

    /// Where a statement over several lines ends that does not parse: before the first line that opens another. Where
    /// any name may open one, it is its first line, unless what goes on is a bracket that closes.
    fn own_end(&self, extent: &Extent, openers: &[&str]) -> usize {
        let Some(first_line) = extent.first_line else { return extent.end };
        if openers.is_empty() {
            return if extent.pairs && !extent.unfinished { extent.end } else { first_line };
        }
        let mut line_start = first_line;
        for line in self.text.get(first_line..extent.end).unwrap_or("").split_inclusive(['\n', '\r']) {
            let opens = line.split_whitespace().next().is_some_and(|word| openers.contains(&word));
            if opens && line_start > first_line {
                let before = self.text.as_bytes().get(..line_start).unwrap_or_default();
                return scan::extent(before, self.at, 0, false, || false).end;
            }
            line_start += line.len();
        }
        extent.end
    }

    /// Whether the statement that comes next stands on the line of a block, after it. After a block that is itself at
    /// fault it is no fault of its own.
    fn is_crowded(&mut self, reading: &mut ParseState) -> bool {
        let after = self.after_block.take();
        self.any_crowded |= after.is_some();
        match after {
            Some(false) if matches!(reading, ParseState::Broken) => *reading = ParseState::Reported,
            // Where braces do not pair, this one is more likely too many than the statement before it one too short.
            Some(true) if self.mender.is_some() => self.excuse_before_brace(),
            _ => {}
        }
        after == Some(true)
    }

    /// Opens the block of a statement that ends, with its brace, at an offset.
    fn open(&mut self, end: usize, mut reading: ParseState) {
        let inside = self.context().and_then(|context| match &reading {
            ParseState::Sound(parse) => context.of_opening(parse.rule()?),
            _ => self.meant_block(context, end),
        });
        let (indent, formula) = self.mender.as_ref().map_or((0, false), Mender::line);
        let crowded = self.is_crowded(&mut reading);
        self.levels.push(OpenBlock {
            context: inside,
            entries: Vec::new(),
            start: self.at,
            head: length(self.at, end),
            reading,
            crowded,
            opened_at: end.saturating_sub(1),
            indent,
            formula,
        });
        self.at = end;
    }

    /// What stands in the block of a statement that does not parse, and ends with its brace at an offset: by its first
    /// word, if need be by the one that was meant, if the statement parses with that.
    fn meant_block(&self, context: Context, end: usize) -> Option<Context> {
        let word = self.word();
        context.of_block(&word).or_else(|| {
            let openers = context.openers();
            let near = nearest(&word, openers.iter().copied());
            let [meant] = near.as_slice() else { return None };
            if !is_one_slip(&word, meant) {
                return None;
            }
            let rest = self.text.get(self.at + word.len()..end)?;
            self.memo.parse(context, &format!("{meant}{rest}"))?;
            context.of_block(meant)
        })
    }

    /// Takes a block that is one too deep whole, as it stands: up to the brace that closes it.
    fn skip_too_deep(&mut self, from: usize) {
        let bytes = self.text.as_bytes();
        let (mut at, mut open) = (from, 1usize);
        let mut runs_out = true;
        while let Some(&byte) = bytes.get(at) {
            at = match byte {
                b'"' => scan::after_text(bytes, at),
                b'#' => scan::line_end(bytes, at),
                _ => at + 1,
            };
            open = match byte {
                b'{' => open + 1,
                b'}' => open - 1,
                _ => open,
            };
            let new_block = byte == b'\n' && self.mender.as_mut().is_some_and(|mender| mender.opens_at_margin(at));
            if open == 0 || new_block {
                runs_out = new_block;
                break;
            }
        }
        let head = length(self.at, at);
        self.push(
            EntryKind::Statement(Statement { head, reading: ParseState::Reported, block: None, crowded: false }),
            at,
        );
        // The depth has been told of; that the blocks around it are not closed goes with it.
        if runs_out {
            self.close_all();
        }
    }
}

/// What ends a text, and is the last of some entries, is no fault of its own.
fn excuse_this_line(text: &str, entries: &mut [Entry]) {
    let (blank, before) = match entries {
        [.., before, Entry { what: EntryKind::Blank, length }] => (*length as usize, before),
        [.., before] => (0, before),
        [] => return,
    };
    let blank = text.len().checked_sub(blank).and_then(|start| text.get(start..));
    if let EntryKind::Statement(statement) = &mut before.what
        && blank.is_some_and(|blank| !blank.contains(['\n', '\r']))
        && matches!(statement.reading, ParseState::Broken)
    {
        statement.reading = ParseState::Reported;
    }
}

fn length(from: usize, to: usize) -> u32 {
    u32::try_from(to.saturating_sub(from)).unwrap_or(u32::MAX)
}
