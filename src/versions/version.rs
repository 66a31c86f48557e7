//! A formula that means something else under the version it had.

use super::pair::Compared;
use super::row::in_one_line;
use crate::diagnostic::{Code, Diagnostic, Place};

/// That a formula changed in substance and its version did not; none where either is not so, or it has no version.
/// `place` is where the version stands, `since` the revision it is held against.
#[must_use]
pub fn version_not_bumped(one: &Compared, place: Place, since: &str) -> Option<Diagnostic> {
    let version = one.version_kept()?;
    let message = format!("`{}` is not what it was at `{since}`, and is version {version} still.", one.name());
    let help = format!("Changed: {}. Give it a new version{}.", in_one_line(&one.changes), next(version));
    Some(Diagnostic::new(Code::VersionNotBumped, place, message).help(help))
}

/// The version after one that ends in a number: `: "1.4"`.
fn next(version: &str) -> String {
    let digits = version.len() - version.trim_end_matches(|c: char| c.is_ascii_digit()).len();
    let (head, last) = version.split_at(version.len() - digits);
    let next = last.parse::<u64>().ok().and_then(|last| last.checked_add(1));
    next.map(|next| format!(": `version \"{head}{next}\"`")).unwrap_or_default()
}
