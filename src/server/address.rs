//! The address of a page: names percent-encoded, so that each is one part of the path whatever stands in it.

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};

/// What stays as it is in a part of a path (RFC 3986, section 2.3); all else is encoded.
const PART: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~');

/// A name as one part of a path, or as a value of a query.
pub fn part(name: &str) -> String {
    utf8_percent_encode(name, PART).to_string()
}

/// The page of a formula.
pub fn formula(file: &str, name: &str) -> String {
    format!("/formula/{}/{}", part(file), part(name))
}

/// The page of a whole file.
pub fn text(file: &str) -> String {
    format!("/text/{}", part(file))
}

/// The page of a batch at the bench.
pub fn batch(file: &str, name: &str) -> String {
    format!("/batch/{}/{}", part(file), part(name))
}

/// A formula as a file, which `word` says: `sheet.html`.
pub fn formula_file(file: &str, name: &str, word: &str) -> String {
    format!("/file/{}/{}/{word}", part(file), part(name))
}

/// The label of a formula, to be printed.
pub fn label(file: &str, name: &str) -> String {
    format!("/label/{}/{}", part(file), part(name))
}

/// Where versions begin to be kept; from there one goes back to `from`.
pub fn begin_versions(from: &str) -> String {
    format!("{BEGIN_VERSIONS}?from={}", part(from))
}

/// Where versions begin to be kept.
pub const BEGIN_VERSIONS: &str = "/versions/begin";

/// The book as one file.
pub const BOOK: &str = "/book.zip";

/// Where a variant of a formula is begun.
pub fn variant(file: &str, name: &str) -> String {
    format!("/new?of={}&formula={}", part(file), part(name))
}

/// What the shelf knows under words.
pub fn shelf(find: &str) -> String {
    format!("/shelf?find={}", part(find))
}

/// The store room, searched.
pub fn store(find: &str) -> String {
    format!("/store?find={}", part(find))
}

/// Where a code leads.
pub fn trace(code: &str) -> String {
    format!("/trace?code={}", part(code))
}

#[cfg(test)]
mod tests {
    use super::{formula, shelf};

    #[test]
    fn a_name_is_one_part_whatever_stands_in_it() {
        assert_eq!(formula("creams/a b.still", "day-cream"), "/formula/creams%2Fa%20b.still/day-cream");
        assert_eq!(formula("%2e.still", "../x?y#z"), "/formula/%252e.still/..%2Fx%3Fy%23z");
        assert_eq!(shelf("a&b=c"), "/shelf?find=a%26b%3Dc");
    }
}
