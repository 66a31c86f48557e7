//! The workroom as pages, against the real process on a free port: who is let in, what is refused, and that nothing is
//! lost or torn whatever comes at once.

#![cfg(unix)]
#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

#[path = "../common/mod.rs"]
mod common;

mod bench;
mod beside;
mod files;
mod hostile;
mod killed;
mod lan;
mod past;
mod pasted;
mod served;
mod sizes;
mod taken;
mod text;
mod unread;
mod variant;
