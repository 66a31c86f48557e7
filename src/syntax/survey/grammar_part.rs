//! What a rule of the grammar is made of, so far as it is asked which words may stand where.

/// A part of a rule.
#[derive(Debug)]
pub enum Part {
    /// Letters as they stand.
    Letters(&'static str),
    /// Letters of some kind: no word of the language.
    Other,
    /// Another rule.
    Rule(&'static str),
    /// One of several.
    Choice(&'static [Part]),
    /// One after the other.
    Sequence(&'static [Part]),
    /// What may be left out.
    Optional(&'static Part),
    /// What is looked at and not taken.
    Look,
}
