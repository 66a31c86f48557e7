//! The editor's server: what it knows at a place of a text.

mod hints;
mod known;
mod names;
mod rename;
