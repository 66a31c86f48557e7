//! The server for editors, over its protocol, in one process; and what it knows at a place of a text.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

mod actions;
mod asked;
mod client;
mod complete;
mod everywhere;
mod formatting;
mod hints;
mod hover;
mod known;
mod lens;
mod names;
mod pages;
mod protocol;
mod random;
mod rename;
mod texts;
mod workspace;
