//! Lines too long to be drawn, cut around the places that are spoken of.

use miette::{LabeledSpan, MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};
use std::collections::BTreeSet;
use unicode_segmentation::UnicodeSegmentation as _;

/// A line longer than this is cut, in bytes: the drawing library cannot point at a column past 65,535.
const LONG: usize = 400;
/// So much of a line stays on either side of a place, in characters as they are read.
const BESIDE: usize = 60;
/// So much of the place itself stays.
const WITHIN: usize = 120;
/// So many bytes stay at most, whatever a character is made of.
const MOST: usize = 4_000;
/// A place that goes over more lines is shown by its beginning.
const LINES: usize = 40;
/// The sign that something was left out.
const SIGN: &str = "…";

/// A file to be drawn: its text as it is shown, the lines of that, and where a place truly is.
pub(super) trait Paper {
    /// Its path.
    fn path(&self) -> &str;
    /// The text that is shown.
    fn text(&self) -> &str;
    /// How many lines there are.
    fn count(&self) -> usize;
    /// Where a line begins, lines from nought; the end of the text past the last.
    fn start(&self, line: usize) -> usize;
    /// The line of an offset, from nought.
    fn line_of(&self, at: usize) -> usize;
    /// The line and column of an offset in the file itself, both from 1.
    fn place(&self, at: usize) -> (usize, usize);
}

/// A stretch of the file that is kept.
struct Piece {
    start: usize,
    end: usize,
    /// Where it stands in the excerpt.
    at: usize,
}

/// The lines around some places, the long ones cut.
pub(super) struct Excerpt {
    path: String,
    text: String,
    /// Where each line begins here, and its number in the file, from nought.
    lines: Vec<(usize, usize)>,
    pieces: Vec<Piece>,
    /// Where each place begins here, and its true line and column, both from nought.
    places: Vec<(usize, (usize, usize))>,
}

impl Excerpt {
    /// An excerpt with the labels as they stand in it; none where all lines are short enough to be drawn as they are.
    pub fn around(paper: &dyn Paper, labels: &[LabeledSpan]) -> Option<(Excerpt, Vec<LabeledSpan>)> {
        let text = paper.text();
        let mut shown: BTreeSet<usize> = BTreeSet::new();
        let mut spans: Vec<(usize, usize)> = Vec::new();
        let mut is_needed = false;
        for label in labels {
            let start = label.offset().min(text.len());
            let end = (start + label.len()).min(text.len());
            let first = paper.line_of(start);
            let last = paper.line_of(end);
            is_needed |= last > first + LINES;
            let last = last.min(first + LINES);
            spans.push((start, end.min(line_end(paper, last))));
            shown.extend(first.saturating_sub(1)..=last + 1);
        }
        shown.retain(|line| *line < paper.count());
        is_needed |= shown.iter().any(|line| line_end(paper, *line) - paper.start(*line) > LONG);
        if !is_needed {
            return None;
        }
        let (text_here, lines, pieces) = (String::new(), Vec::new(), Vec::new());
        let mut made = Excerpt { path: paper.path().to_string(), text: text_here, lines, pieces, places: Vec::new() };
        for line in shown {
            made.take_line(paper, line, &spans);
        }
        let moved = labels.iter().zip(&spans).map(|(label, (start, end))| {
            let (from, to) = (made.place_of(*start), made.end_of(*end));
            let (line, column) = paper.place(*start);
            made.places.push((from, (line - 1, column - 1)));
            let span = SourceSpan::new(from.into(), to.saturating_sub(from));
            let words = label.label().map(str::to_string);
            match label.primary() {
                true => LabeledSpan::new_primary_with_span(words, span),
                false => LabeledSpan::new_with_span(words, span),
            }
        });
        let moved = moved.collect();
        Some((made, moved))
    }

    fn take_line(&mut self, paper: &dyn Paper, line: usize, spans: &[(usize, usize)]) {
        let text = paper.text();
        let (start, end) = (paper.start(line), line_end(paper, line));
        self.lines.push((self.text.len(), line));
        for (from, to) in kept(text, (start, end), spans) {
            if from > start {
                self.text.push_str(SIGN);
            }
            self.pieces.push(Piece { start: from, end: to, at: self.text.len() });
            self.text.push_str(text.get(from..to).unwrap_or(""));
        }
        if self.pieces.last().is_some_and(|piece| piece.end < end) {
            self.text.push_str(SIGN);
        }
        self.text.push('\n');
    }

    /// Where an offset of the file stands here.
    fn place_of(&self, offset: usize) -> usize {
        let before = self.pieces.partition_point(|piece| piece.start <= offset);
        let piece = before.checked_sub(1).and_then(|at| self.pieces.get(at));
        piece.map_or(0, |piece| piece.at + offset.min(piece.end).saturating_sub(piece.start))
    }

    /// The same for the end of a place: one that is cut goes on under the sign.
    fn end_of(&self, offset: usize) -> usize {
        let at = self.place_of(offset);
        let before = self.pieces.partition_point(|piece| piece.start <= offset);
        let is_cut = before.checked_sub(1).and_then(|at| self.pieces.get(at)).is_some_and(|piece| piece.end < offset);
        let has_sign = self.text.get(at..).is_some_and(|rest| rest.starts_with(SIGN));
        if is_cut && has_sign { at + SIGN.len() } else { at }
    }

    fn line_at(&self, offset: usize) -> usize {
        self.lines.partition_point(|(start, _)| *start <= offset).saturating_sub(1)
    }
}

impl SourceCode for Excerpt {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let offset = span.offset().min(self.text.len());
        let end = (offset + span.len()).min(self.text.len());
        let number = |at: usize| self.lines.get(at).map_or(0, |(_, number)| *number);
        let start_of = |at: usize| self.lines.get(at).map_or(self.text.len(), |(start, _)| *start);
        let here = self.line_at(offset);
        let (mut first, mut last) = (here, self.line_at(end));
        // Only what follows on one another in the file is shown as if it did.
        for _ in 0..before {
            first -= usize::from(first > 0 && number(first - 1) + 1 == number(first));
        }
        for _ in 0..after {
            last += usize::from(last + 1 < self.lines.len() && number(last) + 1 == number(last + 1));
        }
        let (mut line, mut column, mut start) = (number(first), 0, start_of(first));
        if before == 0 {
            let told = self.places.iter().find(|(at, _)| *at == offset).map(|(_, place)| *place);
            (line, column) = told.unwrap_or((number(here), 0));
            start = offset;
        }
        let stop = if after == 0 { end } else { start_of(last + 1) };
        let data = self.text.as_bytes().get(start..stop.max(start)).unwrap_or_default();
        let count = number(last) + 1 - number(first).min(number(last));
        let span = SourceSpan::new(start.into(), data.len());
        Ok(Box::new(MietteSpanContents::new_named(self.path.clone(), data, span, line, column, count)))
    }
}

/// Where a line ends, its line break left out.
fn line_end(paper: &dyn Paper, line: usize) -> usize {
    let (start, next) = (paper.start(line), paper.start(line + 1));
    let whole = paper.text().get(start..next).unwrap_or("");
    start + whole.strip_suffix('\n').unwrap_or(whole).len()
}

/// What is kept of a line, in its order: all of a short one.
fn kept(text: &str, (start, end): (usize, usize), spans: &[(usize, usize)]) -> Vec<(usize, usize)> {
    if end - start <= LONG {
        return vec![(start, end)];
    }
    let line = text.get(start..end).unwrap_or("");
    let on_line = spans.iter().filter(|(from, to)| *from <= end && *to >= start);
    let mut wanted: Vec<(usize, usize)> = on_line
        .map(|(from, to)| {
            let (from, to) = (from.saturating_sub(start), to.min(&end) - start);
            let to = to.min(forward(line, from, WITHIN));
            (back(line, from, BESIDE), forward(line, to.max(from), BESIDE))
        })
        .collect();
    if wanted.is_empty() {
        wanted.push((0, forward(line, 0, WITHIN)));
    }
    wanted.sort_unstable();
    let mut merged: Vec<(usize, usize)> = Vec::new();
    for (from, to) in wanted {
        match merged.last_mut() {
            Some(last) if from <= last.1 + SIGN.len() => last.1 = last.1.max(to),
            _ => merged.push((from, to)),
        }
    }
    merged.into_iter().map(|(from, to)| (start + from, start + to)).collect()
}

/// An offset some characters before another: a letter with its accents is one, and is never parted.
fn back(line: &str, at: usize, count: usize) -> usize {
    let mut from = at.saturating_sub(MOST);
    while !line.is_char_boundary(from) {
        from += 1;
    }
    let lead = line.get(from..at).unwrap_or("");
    lead.grapheme_indices(true).rev().take(count).last().map_or(at, |(index, _)| from + index)
}

/// An offset some characters after another.
fn forward(line: &str, at: usize, count: usize) -> usize {
    let mut to = (at + MOST).min(line.len());
    while !line.is_char_boundary(to) {
        to -= 1;
    }
    let rest = line.get(at..to).unwrap_or("");
    rest.grapheme_indices(true).take(count).last().map_or(at, |(index, whole)| at + index + whole.len())
}
