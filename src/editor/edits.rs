//! Edits of a text, as a client carries them out.

use super::standing::Standing;
use crate::diagnostic::{FileId, Place, Span};
use lsp_types::{TextEdit, WorkspaceEdit};
use std::collections::HashMap;

/// A stretch of a text, and what stands there afterwards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// What is replaced.
    pub span: Span,
    /// What stands there afterwards.
    pub text: String,
}

/// An edit as the client gets it: its line ends are those of the text.
#[must_use]
pub fn text_edit(standing: &Standing<'_>, file: FileId, edit: &Edit) -> TextEdit {
    let range = standing.range(Place { file, span: edit.span });
    TextEdit { range, new_text: with_line_ends_of(standing.text(file), &edit.text) }
}

/// Edits of one file, as the client gets them; none of a file that is not on disk.
#[must_use]
#[allow(clippy::mutable_key_type, reason = "the protocol's own type: an address is the key, and nothing in it changes")]
pub fn workspace_edit(standing: &Standing<'_>, file: FileId, edits: &[Edit]) -> Option<WorkspaceEdit> {
    let edits = edits.iter().map(|edit| text_edit(standing, file, edit)).collect();
    let changes = HashMap::from([(standing.address(file)?, edits)]);
    Some(WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() })
}

/// A text with the line ends that another has.
#[must_use]
pub fn with_line_ends_of(other: &str, text: &str) -> String {
    if other.contains("\r\n") { text.replace("\r\n", "\n").replace('\n', "\r\n") } else { text.to_string() }
}

/// The edits that make one text the other, where the two differ in blanks, line ends and few letters between: each is a
/// stretch between two letters that both have, so that any of them can stand without the others. None where the two
/// differ in more than that.
#[must_use]
pub fn blank_edits(before: &str, after: &str) -> Option<Vec<Edit>> {
    let mut edits = Vec::new();
    let (mut old, mut new) = (Runs::new(before), Runs::new(after));
    loop {
        let (old_blank, new_blank) = (old.blank(), new.blank());
        let (old_text, new_text) = (old_blank.of(before), new_blank.of(after));
        if old_text.replace("\r\n", "\n") != new_text.replace("\r\n", "\n") {
            edits.push(Edit { span: old_blank, text: new_text.to_string() });
        }
        match (old.letter(), new.letter()) {
            (None, None) => return Some(edits),
            (one, other) if one == other => {}
            _ => return None,
        }
    }
}

/// A text as blanks and letters in turn.
struct Runs<'t> {
    text: &'t str,
    at: usize,
}

impl<'t> Runs<'t> {
    fn new(text: &'t str) -> Runs<'t> {
        Runs { text, at: 0 }
    }

    fn rest(&self) -> &'t str {
        self.text.get(self.at..).unwrap_or_default()
    }

    fn blank(&mut self) -> Span {
        let from = self.at;
        self.at += self.rest().len() - self.rest().trim_start().len();
        Span::new(from, self.at)
    }

    fn letter(&mut self) -> Option<char> {
        let letter = self.rest().chars().next()?;
        self.at += letter.len_utf8();
        Some(letter)
    }
}
