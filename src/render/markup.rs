//! Text within HTML and SVG: it comes out as that very text, and makes no element.

use super::screen::shown;

/// A text as the content of an element, or as the value of an attribute in double quotes. What no reader would see is
/// shown, and what XML 1.0 cannot hold is among it.
pub(crate) fn in_markup(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in shown(text).chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            // Noncharacters, which XML 1.0 has no way to write.
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::in_markup;

    #[test]
    fn what_would_make_an_element_is_escaped() {
        assert_eq!(in_markup("<b a=\"1\">&'</b>"), "&lt;b a=&quot;1&quot;&gt;&amp;&#39;&lt;/b&gt;");
        assert_eq!(in_markup("a\u{202e}b\u{0}"), "a\\u{202e}b\\u{0}");
    }
}
