//! Where in a file a new statement goes, and how it is laid out there.

use crate::diagnostic::FileId;
use crate::syntax::tree::{Batch, Item};
use crate::syntax::{format, parse};

/// A text to be put into another, which otherwise stays as it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Insertion {
    /// Before which byte.
    pub at: usize,
    /// How many bytes from there on it takes the place of: none, but where a statement is struck out.
    pub replaces: usize,
    /// What is put in.
    pub text: String,
}

impl Insertion {
    /// The text with this put in.
    #[must_use]
    pub fn put_into(&self, text: &str) -> String {
        let (before, after) = text.split_at_checked(self.at).unwrap_or((text, ""));
        [before, &self.text, after.get(self.replaces..).unwrap_or("")].concat()
    }
}

/// Statements at the end of a batch, before its closing brace, each laid out as the formatter lays it among those that
/// are there; none where the batch is not closed.
#[must_use]
pub fn append(text: &str, batch: &Batch, statements: &[String]) -> Option<Insertion> {
    let closing = (batch.span.end as usize).checked_sub(1)?;
    let before = text.get(..closing)?;
    if !text.get(closing..)?.starts_with('}') {
        return None;
    }
    let opened = text.get(batch.span.start as usize..closing)?;
    Some(before_brace(before, &laid_out(opened, statements)))
}

/// Statements in the plan of a batch, before its digest or else before its closing brace, each laid out as the formatter
/// lays it there; none where the batch has no plan.
#[must_use]
pub fn into_plan(text: &str, batch: &Batch, statements: &[String]) -> Option<Insertion> {
    let plan = batch.plan()?;
    let closing = (plan.span.end as usize).checked_sub(1)?;
    if !text.get(closing..)?.starts_with('}') {
        return None;
    }
    let start = batch.span.start as usize;
    let digest = plan.digest.as_ref().and_then(|digest| {
        let before = text.get(..digest.span.start as usize)?;
        let line = line_start(before);
        (line > start && before.get(line..)?.trim() == "digest").then_some(line)
    });
    let before = text.get(..digest.unwrap_or(closing))?;
    let lines = laid_out_in_plan(before.get(start..)?, statements);
    Some(match digest {
        Some(at) => Insertion { at, replaces: 0, text: lines.replace('\n', line_end(before)) },
        None => before_brace(before, &lines),
    })
}

/// Lines before the brace that closes a text: above it where it stands on a line of its own, else after what stands
/// before it there.
fn before_brace(before: &str, lines: &str) -> Insertion {
    let end = line_end(before);
    let lines = lines.replace('\n', end);
    let line = line_start(before);
    let alone = line > 0 && before.get(line..).is_some_and(|own| own.trim_matches([' ', '\t']).is_empty());
    match alone {
        true => Insertion { at: line, replaces: 0, text: lines },
        false => Insertion { at: before.len(), replaces: 0, text: format!("{end}{lines}") },
    }
}

/// Where the last line of a text starts.
fn line_start(text: &str) -> usize {
    text.rfind(['\n', '\r']).map_or(0, |at| at + 1)
}

/// A new batch at the end of a file, parted from what stands there by a blank line.
#[must_use]
pub fn begin(text: &str, uses: Option<&str>, name: &str, statements: &[String]) -> Insertion {
    let end = line_end(text);
    let block = format(&format!("batch {name} {{\n{}\n}}\n", statements.join("\n")));
    let uses = uses.map(|path| format!("use {path}\n\n")).unwrap_or_default();
    let parting = match text {
        "" => "",
        text if text.ends_with("\n\n") || text.ends_with("\r\n\r\n") => "",
        text if text.ends_with(['\n', '\r']) => "\n",
        _ => "\n\n",
    };
    Insertion { at: text.len(), replaces: 0, text: format!("{parting}{uses}{block}").replace('\n', end) }
}

/// The end of the last line of a text; that of the file where it has but one.
fn line_end(text: &str) -> &'static str {
    match text.rfind(['\n', '\r']) {
        Some(at) if text.get(at..).is_some_and(|rest| rest.starts_with('\r')) => "\r",
        Some(at) if text.get(..at).is_some_and(|before| before.ends_with('\r')) => "\r\n",
        _ => "\n",
    }
}

/// Statements as lines of a block that was opened so, with their indents and columns.
fn laid_out(opened: &str, statements: &[String]) -> String {
    let among = format!("{opened}\n{}\n}}\n", statements.join("\n"));
    let alone = format!("batch b {{\n{}\n}}\n", statements.join("\n"));
    // What else stands in the batch may be at fault: then the statements are laid out by themselves.
    last_lines(&among, opened.len(), statements.len())
        .or_else(|| last_lines(&alone, 0, statements.len()))
        .unwrap_or_else(|| statements.iter().map(|statement| format!("  {statement}\n")).collect())
}

/// Statements as lines of the plan of a batch that was opened so.
fn laid_out_in_plan(opened: &str, statements: &[String]) -> String {
    let among = format!("{opened}\n{}\n}}\n}}\n", statements.join("\n"));
    let alone = format!("batch b {{\nplan {{\n{}\n}}\n}}\n", statements.join("\n"));
    last_lines_of_plan(&among, statements.len())
        .or_else(|| last_lines_of_plan(&alone, statements.len()))
        .unwrap_or_else(|| statements.iter().map(|statement| format!("    {statement}\n")).collect())
}

/// The last lines of the plan that ends a batch, as they are laid out in it: a statement of a plan is one line.
fn last_lines_of_plan(block: &str, count: usize) -> Option<String> {
    if !parse(FileId(u32::MAX), block).faults.is_empty() {
        return None;
    }
    let text = format(block);
    let plan = text.trim_end().strip_suffix('}')?.trim_end().strip_suffix('}')?.trim_end();
    let lines: Vec<&str> = plan.lines().collect();
    let last = lines.get(lines.len().checked_sub(count)?..)?;
    Some(last.iter().map(|line| format!("{line}\n")).collect())
}

/// The statements from an offset on of a batch that is a text by itself, as they are laid out in it; none where they are
/// not so many: a comment is none, and must not bring the one before it a second time.
fn last_lines(block: &str, from: usize, count: usize) -> Option<String> {
    let parsed = parse(FileId(u32::MAX), block);
    let [Item::Batch(batch)] = parsed.tree.items.as_slice() else { return None };
    let new = batch.entries.iter().filter(|entry| entry.span.start as usize >= from).count();
    if !parsed.faults.is_empty() || new != count {
        return None;
    }
    let text = format(block);
    let parsed = parse(FileId(u32::MAX), &text);
    let [Item::Batch(batch)] = parsed.tree.items.as_slice() else { return None };
    let first = batch.entries.iter().rev().nth(count.checked_sub(1)?)?;
    let start = text.get(..first.span.start as usize)?.rfind('\n')? + 1;
    let end = text.trim_end().strip_suffix('}')?.len();
    text.get(start..end).map(str::to_string)
}

#[cfg(test)]
mod tests {
    use super::{append, begin};
    use crate::diagnostic::FileId;
    use crate::syntax::parse;
    use crate::syntax::tree::Item;

    fn appended(text: &str, statement: &str) -> String {
        let parsed = parse(FileId(0), text);
        let batch =
            parsed.tree.items.iter().find_map(|item| if let Item::Batch(batch) = item { Some(batch) } else { None });
        append(text, batch.unwrap(), &[statement.to_string()]).unwrap().put_into(text)
    }

    #[test]
    fn every_byte_that_stood_there_stays() {
        for (before, after) in [
            ("batch a {\n}\n", "batch a {\n  released\n}\n"),
            ("batch a {}", "batch a {\n  released\n}"),
            ("batch a { }", "batch a { \n  released\n}"),
            ("batch a { yield 3 g }", "batch a { yield 3 g \n  released\n}"),
            ("batch a {\r\n   yield   3g # x\r\n  }\r\n", "batch a {\r\n   yield   3g # x\r\n  released\r\n  }\r\n"),
            ("batch a {\n  # one\n\n}\n# two", "batch a {\n  # one\n\n  released\n}\n# two"),
        ] {
            assert_eq!(appended(before, "released"), after);
        }
    }

    #[test]
    fn a_statement_stands_in_the_columns_of_the_others() {
        let text = "batch a {\n  calibrated  pH 4 reads 4.1\n}\n";
        assert_eq!(appended(text, "yield 3g"), "batch a {\n  calibrated  pH 4 reads 4.1\n  yield       3 g\n}\n");
    }

    #[test]
    fn a_new_batch_is_parted_by_a_blank_line() {
        let new = |text: &str| begin(text, None, "b", &["released".to_string()]).put_into(text);
        assert_eq!(new(""), "batch b {\n  released\n}\n");
        assert_eq!(new("# a\r\n"), "# a\r\n\r\nbatch b {\r\n  released\r\n}\r\n");
        assert_eq!(new("# a"), "# a\n\nbatch b {\n  released\n}\n");
    }
}
