//! `stillroom book`.

use super::arguments::BookArguments;
use super::input::input_with_quiet_past;
use super::locked_folder::PATIENCE;
use super::sides::{full, git, listed};
use super::stream::{print, tell_line};
use super::{Failure, Outcome};
use std::path::{Path, PathBuf};
use stillroom::keeping::{MadeFile, write_folder};
use stillroom::page::{Book, BookPage, BookVersions, is_page_of_a_book};
use stillroom::render::shown_path;
use stillroom::sheet::BatchOrder;
use stillroom::versions::log;
use stillroom::workspace::Repository;

/// Writes a book of a file's or a folder's formulas.
///
/// # Errors
/// Input that cannot be read, and a folder that cannot be written, or holds other things.
pub fn run(arguments: &BookArguments) -> Result<Outcome, Failure> {
    let BookArguments { path, out } = arguments;
    if path == Path::new("-") {
        return Err(Failure("A book is of files: name a file or a folder.".to_string()));
    }
    let mut session = input_with_quiet_past(std::slice::from_ref(path))?;
    let whole = full(path)?;
    // What the pages say of a file is the same wherever one stands.
    let home = if whole.is_dir() { whole.clone() } else { whole.parent().map(Path::to_path_buf).unwrap_or_default() };
    session.see_from(Some(home));
    let versions = versions(path, whole)?;
    let report = session.check_to_foresee(&BatchOrder::default());
    let book = Book::of(&session, &report, &versions);
    let pages = book.pages();
    let count = pages.len();
    let made = |page: BookPage| MadeFile { name: page.name, text: page.text };
    let files: Vec<MadeFile> = pages.into_iter().map(made).collect();
    let written = write_folder(out, &files, &is_page_of_a_book, PATIENCE)?;
    let gone = if written.gone == 0 { String::new() } else { format!(", {} taken away", written.gone) };
    print(&format!(
        "{count} pages, {} of them written{gone}. Open `{}` in a browser.\n",
        written.changed,
        shown_path(&out.join("index.html"))
    ));
    for left in book.left_out() {
        tell_line(&stillroom::render::shown(&left.words()));
    }
    let blocked = report.formulas.iter().filter(|found| found.is_blocked()).count();
    if blocked > 0 {
        let them = if blocked == 1 {
            "1 formula has errors and stands"
        } else {
            &format!("{blocked} formulas have errors and stand")
        };
        tell_line(&format!("{them} in the book without a sheet: `stillroom check` says why."));
    }
    Ok(if blocked == 0 && book.left_out().is_empty() { Outcome::Clean } else { Outcome::Errors })
}

/// What git has of the formulas of a path.
fn versions(path: &PathBuf, whole: PathBuf) -> Result<BookVersions, Failure> {
    let Some(repository) = Repository::of(&whole).map_err(git)? else { return Ok(BookVersions::unkept()) };
    let tracks = log(&repository, vec![whole], &listed(path)?).map_err(git)?;
    Ok(BookVersions::Kept { folder: repository.folder.clone(), tracks })
}
