//! What she already has: a table or a note turned into a formula, with what was not sure beside it.
