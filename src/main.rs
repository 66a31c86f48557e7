//! The program: arguments to a command, nothing else.

#![deny(
    clippy::disallowed_methods,
    clippy::indexing_slicing,
    clippy::iter_over_hash_type,
    clippy::panic,
    clippy::print_stderr,
    clippy::print_stdout,
    clippy::todo,
    clippy::unimplemented,
    clippy::unreachable,
    clippy::unwrap_used,
    clippy::expect_used
)]
#![cfg_attr(test, allow(clippy::disallowed_methods, reason = "tests write files of their own"))]

mod cli;

use cli::{start, tell};
use std::process::ExitCode;

fn main() -> ExitCode {
    std::panic::set_hook(Box::new(|panic| {
        let said = panic.payload();
        let said = said.downcast_ref::<&str>().copied().or(said.downcast_ref::<String>().map(String::as_str));
        let said = said.unwrap_or("No word was said of it.");
        // A place in a library is a path of the machine that built this, and says nothing to whoever sends the message.
        let own = panic.location().filter(|place| place.file().starts_with("src/"));
        let place = own.map(|place| format!(" ({}:{})", place.file(), place.line())).unwrap_or_default();
        tell(&format!(
            "This is a fault of stillroom {}, not of your formula. Please send this message and the file it was given.\n\
             {said}{place}\n",
            env!("CARGO_PKG_VERSION")
        ));
    }));
    start()
}
