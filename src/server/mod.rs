//! The workroom as a page on the loopback address: what the commands do, without a terminal.

pub mod bench;
