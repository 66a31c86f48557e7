//! The book as one file: its folder, packed, to be unpacked and opened anywhere.

use super::Download;
use crate::keeping::stills_under;
use crate::page::{Book, BookPage, BookVersions};
use crate::server::refusal::Refusal;
use crate::server::saved::with_past;
use crate::server::workroom::Workroom;
use crate::session::Session;
use crate::sheet::BatchOrder;
use crate::versions::log;
use crate::workspace::Repository;
use std::io::{Cursor, Write as _};
use std::path::PathBuf;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// The folder in the file.
const FOLDER: &str = "book";

/// The book of the folder as it is saved.
///
/// # Errors
/// A folder without formulas, and a repository that cannot be read.
pub fn book(workroom: &Workroom) -> Result<Download, Refusal> {
    let folder = workroom.folder().to_path_buf();
    let (files, _) = stills_under(&folder);
    if files.is_empty() {
        return Err(Refusal::wrong("There is no formula in this folder yet, so there is no book of it."));
    }
    let versions = versions(folder.clone(), &files)?;
    let mut session = Session::open(workroom.world().clone(), &files, None).seen_from(Some(folder));
    with_past(&mut session);
    let report = session.check_to_foresee(&BatchOrder::default());
    let pages = Book::of(&session, &report, &versions).pages();
    let bytes = packed(&pages).map_err(|error| Refusal::fault(format!("The book cannot be packed: {error}.")))?;
    Ok(Download { name: format!("{FOLDER}.zip"), kind: "application/zip", bytes })
}

/// What git has of the formulas.
fn versions(folder: PathBuf, files: &[PathBuf]) -> Result<BookVersions, Refusal> {
    let refused = |error: crate::workspace::GitError| Refusal::wrong(error.to_string());
    let Some(repository) = Repository::of(&folder).map_err(refused)? else { return Ok(BookVersions::unkept()) };
    let tracks = log(&repository, vec![folder], files).map_err(refused)?;
    Ok(BookVersions::Kept { folder: repository.folder.clone(), tracks })
}

/// The pages in a folder, the same pages as the same bytes: no clock is read.
fn packed(pages: &[BookPage]) -> zip::result::ZipResult<Vec<u8>> {
    let mut file = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::DEFAULT.compression_method(CompressionMethod::Deflated).unix_permissions(0o644);
    for page in pages {
        file.start_file(format!("{FOLDER}/{}", page.name), options)?;
        file.write_all(page.text.as_bytes())?;
    }
    Ok(file.finish()?.into_inner())
}
