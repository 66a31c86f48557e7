//! Diagnostics for people, drawn by miette.

use super::alike::{Told, in_printed_order, told_together};
use super::excerpt::{Excerpt, Paper};
use super::screen::{Screen, hidden_in_file, push_escape, shown};
use crate::diagnostic::{Diagnostic, FileId, Label, Level, Place};
use crate::workspace::{LineIndex, Sources};
use miette::{
    GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents, Severity, SourceCode,
    SourceSpan, SpanContents,
};
use std::borrow::Cow;
use std::collections::{BTreeMap, HashMap};
use std::fmt;

/// So many faults of one file are drawn; of the others it is said how many there are.
const DRAWN: usize = 200;

/// How diagnostics are drawn.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    /// Whether colour is used.
    pub colour: bool,
    /// How many columns there are.
    pub width: usize,
}

/// Draws diagnostics, one after the other; whatever is drawn is made fit for a terminal first. Of a file with very many
/// the errors are drawn before warnings and notes.
#[must_use]
pub fn human(sources: &Sources, diagnostics: &[Diagnostic], style: Style) -> Screen {
    let theme = if style.colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
    let handler = GraphicalReportHandler::new_themed(theme)
        .with_width(style.width)
        .with_links(false)
        .with_context_lines(1)
        .without_cause_chain();
    let mut files: HashMap<FileId, ShownFile<'_>> = HashMap::new();
    let (drawn, more) = chosen(diagnostics);
    let drawn = told_together(&in_printed_order(drawn));
    for Told { diagnostic, .. } in &drawn {
        for place in
            std::iter::once(diagnostic.primary.place).chain(diagnostic.secondary.iter().map(|label| label.place))
        {
            files.entry(place.file).or_insert_with(|| ShownFile::new(sources, place.file));
        }
    }
    let mut out = String::new();
    for told in &drawn {
        for shown in Shown::of(told, &files) {
            // A failure to draw loses no fault: the sentence is printed bare.
            if handler.render_report(&mut out, &shown).is_err() {
                out.push_str(&shown.message);
            }
            out.push('\n');
        }
    }
    left_out(sources, &more, &mut out);
    Screen::drawn(out)
}

/// Says how many more there are.
pub(super) fn left_out(sources: &Sources, more: &BTreeMap<FileId, usize>, out: &mut String) {
    for (file, count) in more {
        out.push_str(&format!("and {} more in `{}`\n\n", thousands(*count), shown(&sources.path(*file))));
    }
}

/// The diagnostics to draw, and how many more each file has.
pub(super) fn chosen(diagnostics: &[Diagnostic]) -> (Vec<&Diagnostic>, BTreeMap<FileId, usize>) {
    let mut of_file: BTreeMap<FileId, Vec<usize>> = BTreeMap::new();
    for (at, diagnostic) in diagnostics.iter().enumerate() {
        of_file.entry(diagnostic.primary.place.file).or_default().push(at);
    }
    let rank = |at: usize| match diagnostics.get(at).map(|diagnostic| diagnostic.level) {
        Some(Level::Error) => 0,
        Some(Level::Warning) => 1,
        Some(Level::Note) | None => 2,
    };
    let mut more = BTreeMap::new();
    for (file, all) in &mut of_file {
        if all.len() > DRAWN {
            all.sort_by_key(|at| rank(*at));
            more.insert(*file, all.len() - DRAWN);
            all.truncate(DRAWN);
        }
    }
    let mut drawn: Vec<usize> = of_file.into_values().flatten().collect();
    drawn.sort_unstable();
    (drawn.into_iter().filter_map(|at| diagnostics.get(at)).collect(), more)
}

/// A count with a comma at the thousands.
fn thousands(count: usize) -> String {
    let digits = count.to_string();
    let groups: Vec<&str> =
        digits.as_bytes().rchunks(3).rev().filter_map(|group| std::str::from_utf8(group).ok()).collect();
    groups.join(",")
}

/// A file with its lines, and its text as it is shown.
struct ShownFile<'s> {
    path: String,
    text: &'s str,
    lines: LineIndex<'s>,
    shown: Cow<'s, str>,
    /// Where what is hidden ends in the text, and where what stands for it ends in the text that is shown.
    moved: Vec<(usize, usize)>,
}

impl<'s> ShownFile<'s> {
    fn new(sources: &'s Sources, file: FileId) -> ShownFile<'s> {
        let text = sources.text(file);
        let (mut shown, mut moved, mut done) = (String::new(), Vec::new(), 0);
        for (at, letter) in hidden_in_file(text) {
            shown.push_str(text.get(done..at).unwrap_or_default());
            push_escape(&mut shown, letter);
            done = at + letter.len_utf8();
            moved.push((done, shown.len()));
        }
        let shown = match moved.is_empty() {
            true => Cow::Borrowed(text),
            false => Cow::Owned(shown + text.get(done..).unwrap_or_default()),
        };
        let path = super::screen::shown(&sources.path(file)).into_owned();
        ShownFile { path, text, lines: LineIndex::new(text), shown, moved }
    }

    /// An offset in the text as one in the text that is shown.
    fn to_shown(&self, at: usize) -> usize {
        let passed = self.moved.partition_point(|(end, _)| *end <= at);
        let last = passed.checked_sub(1).and_then(|last| self.moved.get(last));
        last.map_or(at, |(end, shown)| shown + (at - end))
    }

    /// An offset in the text that is shown as one in the text.
    fn to_text(&self, at: usize) -> usize {
        let passed = self.moved.partition_point(|(_, shown)| *shown <= at);
        let last = passed.checked_sub(1).and_then(|last| self.moved.get(last));
        last.map_or(at, |(end, shown)| end + (at - shown))
    }

    /// The line and column of the file, counted from 1, at an offset in the text that is shown.
    fn line_column(&self, at: usize) -> (usize, usize) {
        self.lines.line_column(u32::try_from(self.to_text(at)).unwrap_or(u32::MAX))
    }

    /// The offset at which a line begins in the text that is shown; its end past the last.
    fn line_start(&self, line: usize) -> usize {
        self.to_shown(self.lines.start(line))
    }
}

impl Paper for ShownFile<'_> {
    fn path(&self) -> &str {
        &self.path
    }

    fn text(&self) -> &str {
        &self.shown
    }

    fn count(&self) -> usize {
        self.lines.count()
    }

    fn start(&self, line: usize) -> usize {
        self.line_start(line)
    }

    fn line_of(&self, at: usize) -> usize {
        self.lines.line_of(self.to_text(at))
    }

    fn place(&self, at: usize) -> (usize, usize) {
        self.line_column(at)
    }
}

/// Columns are characters of the file, counted from 1, as everywhere in Stillroom; spans are of the text that is shown.
impl SourceCode for ShownFile<'_> {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let offset = span.offset().min(self.shown.len());
        let end = (offset + span.len()).min(self.shown.len());
        let (line, column) = self.line_column(offset);
        let (last_line, _) = self.line_column(end);
        let first = line.saturating_sub(1).saturating_sub(before);
        let (start, column) = if before == 0 { (offset, column - 1) } else { (self.line_start(first), 0) };
        let stop = if after == 0 { end } else { self.line_start(last_line - 1 + after + 1) };
        let data = self.shown.as_bytes().get(start..stop.max(start)).unwrap_or_default();
        let count = last_line + after - first;
        let span = SourceSpan::new(start.into(), data.len());
        Ok(Box::new(MietteSpanContents::new_named(
            self.path.clone(),
            data,
            span,
            first.max(line.saturating_sub(1 + before)),
            column,
            count,
        )))
    }
}

/// A diagnostic, or the part of it that stands in another file: miette draws one file at a time.
struct Shown<'d> {
    code: Option<String>,
    message: Cow<'d, str>,
    severity: Severity,
    help: Option<String>,
    text: Option<Drawn<'d>>,
    labels: Vec<LabeledSpan>,
}

/// The text that a diagnostic is drawn on: the file, or lines of it that had to be cut.
enum Drawn<'d> {
    Whole(&'d ShownFile<'d>),
    Cut(Excerpt),
}

impl<'d> Drawn<'d> {
    /// The text for some labels, and the labels as they stand in it.
    fn of(page: Option<&'d ShownFile<'d>>, labels: Vec<LabeledSpan>) -> (Option<Drawn<'d>>, Vec<LabeledSpan>) {
        let Some(page) = page else { return (None, labels) };
        match Excerpt::around(page, &labels) {
            Some((excerpt, moved)) => (Some(Drawn::Cut(excerpt)), moved),
            None => (Some(Drawn::Whole(page)), labels),
        }
    }
}

impl<'d> Shown<'d> {
    fn of(told: &'d Told, files: &'d HashMap<FileId, ShownFile<'d>>) -> Vec<Shown<'d>> {
        let diagnostic = &told.diagnostic;
        let file = diagnostic.primary.place.file;
        let severity = match diagnostic.level {
            Level::Error => Severity::Error,
            Level::Warning => Severity::Warning,
            Level::Note => Severity::Advice,
        };
        let page = files.get(&file).filter(|page| !page.text.is_empty());
        let mut labels = vec![label(page, &diagnostic.primary, true)];
        let (here, elsewhere): (Vec<&Label>, Vec<&Label>) =
            diagnostic.secondary.iter().partition(|label| label.place.file == file);
        labels.extend(here.into_iter().map(|secondary| label(page, secondary, false)));
        let elsewhere = elsewhere.into_iter().map(|secondary| {
            let page = files.get(&secondary.place.file);
            let (text, labels) = Drawn::of(page, vec![label(page, secondary, true)]);
            Shown { code: None, message: shown(&secondary.text), severity: Severity::Advice, help: None, text, labels }
        });
        let source = diagnostic.source.as_ref().map(|source| format!("source: {}", shown(source)));
        let table = told.table.iter().map(|row| shown(row).into_owned());
        let help = diagnostic.help.iter().map(|help| shown(help).into_owned());
        let help: Vec<String> = help.chain(table).chain(source).collect();
        let (text, labels) = Drawn::of(page, labels);
        let head = Shown {
            code: Some(format!("{} [{}]", diagnostic.level.word(), diagnostic.code)),
            message: shown(&diagnostic.message),
            severity,
            help: Some(help.join("\n")).filter(|help| !help.is_empty()),
            text,
            labels,
        };
        std::iter::once(head).chain(elsewhere).collect()
    }
}

/// A label; one of width nought is widened, since miette would lose it at the end of a file.
fn label(page: Option<&ShownFile<'_>>, label: &Label, primary: bool) -> LabeledSpan {
    let Place { span, .. } = label.place;
    let (mut start, mut end) = (span.start as usize, span.end as usize);
    if start == end {
        let text = page.map_or("", |page| page.text);
        match text.get(start..).and_then(|rest| rest.chars().next()) {
            Some(next) if next != '\n' => end += next.len_utf8(),
            _ => start = text.get(..start).and_then(|lead| lead.char_indices().next_back()).map_or(start, |(at, _)| at),
        }
    }
    let text = Some(shown(&label.text).into_owned()).filter(|text| !text.is_empty());
    if let Some(page) = page {
        (start, end) = (page.to_shown(start), page.to_shown(end));
    }
    let span = SourceSpan::new(start.into(), end - start);
    if primary { LabeledSpan::new_primary_with_span(text, span) } else { LabeledSpan::new_with_span(text, span) }
}

impl fmt::Debug for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Shown<'_> {}

impl miette::Diagnostic for Shown<'_> {
    fn code<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.code.as_ref().map(|code| Box::new(code) as Box<dyn fmt::Display>)
    }

    fn severity(&self) -> Option<Severity> {
        Some(self.severity)
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.help.as_ref().map(|help| Box::new(help) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        match self.text.as_ref()? {
            Drawn::Whole(page) => Some(*page as &dyn SourceCode),
            Drawn::Cut(excerpt) => Some(excerpt),
        }
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        self.text.as_ref()?;
        Some(Box::new(self.labels.iter().cloned()))
    }
}
