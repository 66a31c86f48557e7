//! A file as it was when it was read: what is written goes into that very file, or not at all.

use sha2::{Digest as _, Sha256};
use std::fmt;

/// What a file had in it when it was read, as a digest of its bytes.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FileVersion(String);

impl FileVersion {
    /// The version of a file with these bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> FileVersion {
        FileVersion(Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect())
    }

    /// As it stands in an answer or a request, in quotes or without; none where it is no digest.
    #[must_use]
    pub fn parse(text: &str) -> Option<FileVersion> {
        let text = text.trim();
        let digits = text.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(text);
        let is_digest = digits.len() == 64 && digits.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'));
        is_digest.then(|| FileVersion(digits.to_string()))
    }

    /// The digest.
    #[must_use]
    pub fn digits(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for FileVersion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "\"{}\"", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::FileVersion;

    #[test]
    fn a_version_is_read_back_and_nothing_else_is_one() {
        let version = FileVersion::of(b"abc");
        // FIPS 180-4, the digest of "abc".
        assert_eq!(version.digits(), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        assert_eq!(FileVersion::parse(&version.to_string()), Some(version.clone()));
        assert_eq!(FileVersion::parse(version.digits()), Some(version));
        for text in ["", "*", "\"\"", "W/\"ba78\"", "zz7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"]
        {
            assert_eq!(FileVersion::parse(text), None, "{text}");
        }
    }
}
