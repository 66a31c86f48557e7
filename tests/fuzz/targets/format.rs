//! Format twice: twice is once, and nothing means anything else afterwards; what does not parse is left alone.

use super::session::{digests, loaded, told, tree};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::format as laid_out;

/// Tries a text.
pub fn format(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let once = laid_out(text);
    let Some(before) = tree(text) else {
        assert_eq!(once, text, "what does not parse was changed");
        return;
    };
    assert_eq!(laid_out(&once), once, "twice is not once");
    assert_eq!(tree(&once).as_ref(), Some(&before), "it means something else");
    let found = |text: &str| {
        let loaded = loaded(text.as_bytes());
        let report = check(&loaded.sources, &BatchOrder::default(), false);
        (told(&report), digests(&report))
    };
    if once != text {
        assert_eq!(found(&once), found(text), "other diagnostics or digests");
    }
}
