//! The program: arguments to a command, nothing else.

use std::process::ExitCode;
use stillroom::cli::{start, tell};

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
