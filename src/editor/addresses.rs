//! Addresses as clients give them, and the paths they stand for.

use lsp_types::Uri;
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, percent_decode_str, utf8_percent_encode};
use std::path::{Path, PathBuf};
use std::str::FromStr as _;

/// What stands as it is in the path of an address.
const IN_PATH: &AsciiSet = &NON_ALPHANUMERIC.remove(b'/').remove(b'-').remove(b'.').remove(b'_').remove(b'~');

/// A folder that no disk has: texts that are in no file yet lie in it.
const NO_FOLDER: &str = "/unsaved texts";

/// The path of a file; of a text that is in no file, a path in a folder that no disk has.
#[must_use]
pub fn path_of(address: &Uri) -> PathBuf {
    let written = address.as_str();
    let Some(rest) = written.strip_prefix("file://") else {
        let name = utf8_percent_encode(written, NON_ALPHANUMERIC).to_string();
        return Path::new(NO_FOLDER).join(name);
    };
    let rest = rest.split(['?', '#']).next().unwrap_or_default();
    let (host, path) = rest.split_at(rest.find('/').unwrap_or(rest.len()));
    let path = percent_decode_str(path).decode_utf8_lossy();
    if cfg!(windows) {
        let drive = path.strip_prefix('/').filter(|path| path.as_bytes().get(1) == Some(&b':'));
        return match drive {
            Some(path) => PathBuf::from(path),
            None => PathBuf::from(format!("//{host}{path}")),
        };
    }
    PathBuf::from(path.as_ref())
}

/// The address of a file.
#[must_use]
pub fn address_of(path: &Path) -> Option<Uri> {
    let written = path.to_str()?;
    if let Some(name) = path.strip_prefix(NO_FOLDER).ok().and_then(Path::to_str) {
        return Uri::from_str(&percent_decode_str(name).decode_utf8_lossy()).ok();
    }
    let written = if cfg!(windows) { format!("/{}", written.replace('\\', "/")) } else { written.to_string() };
    Uri::from_str(&format!("file://{}", utf8_percent_encode(&written, IN_PATH))).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[cfg(unix)]
    fn a_path_has_an_address_and_comes_back() {
        for path in ["/home/a b/crème & co/50 %.still", "/a#b?c.still", "/x/ü/中.still"] {
            let address = address_of(Path::new(path)).expect("an address");
            assert_eq!(path_of(&address), Path::new(path), "{}", address.as_str());
        }
        let coded = Uri::from_str("file:///a%20b/c%C3%A8.still").expect("an address");
        assert_eq!(path_of(&coded), Path::new("/a b/cè.still"));
    }

    #[test]
    fn a_text_in_no_file_comes_back_by_its_own_address() {
        let address = Uri::from_str("untitled:Untitled-1").expect("an address");
        assert_eq!(address_of(&path_of(&address)), Some(address));
    }
}
