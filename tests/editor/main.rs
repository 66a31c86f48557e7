//! The server for editors, over its protocol, in one process.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

mod actions;
mod client;
mod formatting;
mod lens;
mod pages;
mod protocol;
mod random;
mod texts;
mod workspace;
