//! The grammar of Stillroom for tree-sitter, and its queries.

use tree_sitter_language::LanguageFn;

unsafe extern "C" {
    fn tree_sitter_stillroom() -> *const ();
}

/// The language, for a parser of tree-sitter.
// SAFETY: the function is the one that the parser's own source names, and gives a table that is never changed.
pub const LANGUAGE: LanguageFn = unsafe { LanguageFn::from_raw(tree_sitter_stillroom) };

/// What is coloured how.
pub const HIGHLIGHTS: &str = include_str!("../../queries/highlights.scm");
/// What folds.
pub const FOLDS: &str = include_str!("../../queries/folds.scm");
/// How lines are indented.
pub const INDENTS: &str = include_str!("../../queries/indents.scm");
/// What is declared, and where it is meant.
pub const LOCALS: &str = include_str!("../../queries/locals.scm");
/// The names for an outline.
pub const TAGS: &str = include_str!("../../queries/tags.scm");
