//! The workroom as a page on the loopback address: what the commands do, without a terminal.
//!
//! A page is a function of the `Workroom` in `pages`, an act a function of it in `acts`; neither knows of a
//! connection. `routes` gives each its address, `guard` stands before them all, `listen` takes the connections.

mod acts;
mod address;
mod answer;
mod assets;
pub mod bench;
mod confined;
mod entrance;
mod files;
mod guard;
mod heard;
mod holds;
mod inside;
mod kept;
mod listen;
mod live;
mod names;
mod pages;
mod rate;
mod refusal;
mod routes;
mod saved;
mod scan;
mod watch;
mod workroom;

pub use entrance::Entrance;
pub use listen::{OpenError, Opened, Settings, open};
pub use scan::{MEANS as LAN_MEANS, in_terminal};
