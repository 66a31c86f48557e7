//! The pages, one file a page.

pub mod formula;
