//! `stillroom man`: manual pages, made of the one definition of the commands.

use super::arguments::{Arguments, ManArguments};
use super::locked_folder::{FileTarget, with_locked_folder};
use super::stream::pipe;
use super::{Failure, Outcome};
use clap::CommandFactory as _;
use clap_mangen::Man;
use stillroom::render::shown_path;
use stillroom::syntax::nearest;

/// Prints a page, or writes all of them into a folder.
///
/// # Errors
/// A command that is not known, a folder that is not there, a page that cannot be written.
pub fn run(arguments: &ManArguments) -> Result<Outcome, Failure> {
    let mut all = Arguments::command();
    all.build();
    let Some(folder) = &arguments.out else {
        pipe(&page(&found(&all, arguments.of.as_deref())?)?);
        return Ok(Outcome::Clean);
    };
    if !folder.is_dir() {
        return Err(Failure(format!("`{}` is no folder: make it first.", shown_path(folder))));
    }
    let commands = all.get_subcommands().filter(|command| !command.is_hide_set());
    for command in std::iter::once(&all).chain(commands) {
        let text = page(command)?;
        let name = format!("{}.1", command.get_display_name().unwrap_or(command.get_name()));
        let target = FileTarget::of(&folder.join(name))?;
        with_locked_folder(target.folder(), |held| Ok::<(), Failure>(held.replace(&target, text.as_bytes())?))?;
    }
    Ok(Outcome::Clean)
}

/// The command of a name; the program itself where none is asked for.
fn found(all: &clap::Command, name: Option<&str>) -> Result<clap::Command, Failure> {
    let Some(name) = name else { return Ok(all.clone()) };
    let known = || all.get_subcommands().map(clap::Command::get_name);
    all.find_subcommand(name).cloned().ok_or_else(|| {
        let near = nearest(name, known()).first().map(|near| format!(" Did you mean `{near}`?")).unwrap_or_default();
        Failure(format!("There is no command `{}`.{near}", stillroom::render::shown(name)))
    })
}

fn page(command: &clap::Command) -> Result<String, Failure> {
    let mut made = Vec::new();
    Man::new(command.clone()).render(&mut made)?;
    Ok(String::from_utf8_lossy(&made).into_owned())
}
