//! The program: arguments to a command, nothing else.

use std::process::ExitCode;
use stillroom::cli::{start, tell};

fn main() -> ExitCode {
    std::panic::set_hook(Box::new(|panic| {
        tell(&format!(
            "This is a fault of stillroom {}, not of your formula. Please send this message and the file it was given.\n{panic}\n",
            env!("CARGO_PKG_VERSION")
        ));
    }));
    start()
}
