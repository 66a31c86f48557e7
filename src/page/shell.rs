//! What stands around every page: head, heading, places to go, content, foot. In one file, with its looks and its script
//! in it, or served, with both fetched from the same place.

use crate::render::{shown, shown_json};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use serde::Serialize;
use sha2::{Digest, Sha256};

/// The looks of every page: one stylesheet.
pub const STYLES: &str = concat!(include_str!("assets/stillroom.css"), include_str!("assets/drawing.css"));

/// A page: what is said of it, and what is in it.
pub struct Page<'a> {
    /// Its title and its only `h1`, as it was written: what is unseen in it is shown here.
    pub title: &'a str,
    /// Its classes, for its looks.
    pub class: &'a str,
    /// What stands below the heading.
    pub lead: Markup,
    /// Where else one can go; none of a page that stands alone.
    pub places: &'a [Place<'a>],
    /// What is in it. Its headings begin with `h2`.
    pub body: Markup,
    /// What stands at its end.
    pub foot: Markup,
}

/// A place to go.
pub struct Place<'a> {
    /// What it is called.
    pub words: &'a str,
    /// Its address.
    pub address: &'a str,
    /// Whether it is the page that is shown.
    pub is_here: bool,
}

/// A page in one file, that is read from a disk as well: nothing is fetched, and of scripts only the one given runs.
///
/// `styles` are added to [`STYLES`]; an empty `script` is none.
#[must_use]
pub fn document(page: &Page<'_>, styles: &str, script: &str) -> String {
    let allowed = match script {
        "" => "'none'".to_string(),
        script => format!("'sha256-{}'", BASE64_STANDARD.encode(Sha256::digest(script))),
    };
    let policy = format!(
        "default-src 'none'; style-src 'unsafe-inline'; img-src data:; script-src {allowed}; base-uri 'none'; form-action 'none'"
    );
    let head = html! {
        meta http-equiv="Content-Security-Policy" content=(policy);
        style { (PreEscaped(STYLES)) (PreEscaped(styles)) }
    };
    let tail = html! { @if !script.is_empty() { script { (PreEscaped(script)) } } };
    whole(page, &head, &tail)
}

/// A page that is served: its looks and its scripts stand under `/assets/`, each script a module. Its policy has to allow
/// `img-src data:` for the empty icon, by which nothing is asked for that is not there.
#[must_use]
pub fn frame(page: &Page<'_>, scripts: &[&str]) -> String {
    let head = html! {
        link rel="stylesheet" href="/assets/stillroom.css";
        @for script in scripts { script type="module" src={ "/assets/" (script) } {} }
    };
    whole(page, &head, &html! {})
}

fn whole(page: &Page<'_>, head: &Markup, tail: &Markup) -> String {
    let title = shown(page.title);
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="referrer" content="no-referrer";
                link rel="icon" href="data:,";
                title { (title) }
                (head)
            }
            body class=(page.class) {
                a.skip href="#content" { "Skip to the content" }
                header {
                    @if !page.places.is_empty() { (places(page.places)) }
                    div.masthead { h1 dir="auto" { (title) } (page.lead) }
                }
                main id="content" tabindex="-1" { (page.body) }
                footer.foot { (page.foot) }
                (tail)
            }
        }
    };
    let mut text = page.into_string();
    text.push('\n');
    text
}

fn places(places: &[Place<'_>]) -> Markup {
    html! {
        nav.places aria-label="Places" {
            ul {
                @for place in places {
                    li { a href=(place.address) aria-current=[place.is_here.then_some("page")] { (place.words) } }
                }
            }
        }
    }
}

/// What the program says, in which backticks mark what is written in a file. What is unseen in it is shown.
#[must_use]
pub fn prose(text: &str) -> Markup {
    let text = shown(text);
    let pieces: Vec<&str> = text.split('`').collect();
    // A last backtick without another is one that was written.
    let pairs = pieces.len() % 2 == 1;
    html! {
        @for (at, piece) in pieces.iter().enumerate() {
            @if at % 2 == 1 && (pairs || at + 1 < pieces.len()) { code { (piece) } }
            @else if at % 2 == 1 { "`" (piece) }
            @else { (piece) }
        }
    }
}

/// A text of a file within a line, with what is unseen in it shown, and standing by itself whatever its direction.
#[must_use]
pub fn named(text: &str) -> Markup {
    html! { bdi { (shown(text)) } }
}

/// Data for the page's script, as JSON in an element of that name. It cannot end the element, whatever is in it.
#[must_use]
pub fn data<T: Serialize>(name: &str, of: &T) -> Markup {
    let json = serde_json::to_string(of).unwrap_or_else(|_| "null".to_string());
    let json = shown_json(&json).replace('&', "\\u0026").replace('<', "\\u003c").replace('>', "\\u003e");
    html! { script type="application/json" id=(name) { (PreEscaped(json)) } }
}

#[cfg(test)]
mod tests {
    use super::{Page, Place, data, document, frame, prose};
    use maud::html;

    fn page<'a>(title: &'a str, places: &'a [Place<'a>]) -> Page<'a> {
        Page { title, class: "", lead: html! {}, places, body: html! { p { "in it" } }, foot: html! {} }
    }

    #[test]
    fn a_title_is_text() {
        let text = document(&page("<script>\u{202e}&", &[]), "", "");
        assert!(text.contains("<h1 dir=\"auto\">&lt;script&gt;\\u{202e}&amp;</h1>"), "{text}");
        assert!(text.contains("script-src 'none'"));
    }

    #[test]
    fn the_script_of_a_document_is_the_only_one_that_runs() {
        // The digest of `alert(1)` by `printf 'alert(1)' | openssl dgst -sha256 -binary | base64`.
        let text = document(&page("Gel", &[]), "", "alert(1)");
        assert!(text.contains("script-src 'sha256-bhHHL3z2vDgxUt0W3dWQOrprscmda2Y5pLsLg4GF+pI='"), "{text}");
    }

    #[test]
    fn a_served_page_has_no_script_and_no_style_in_it() {
        let places = [Place { words: "Workroom", address: "/", is_here: true }];
        let text = frame(&page("Workroom", &places), &["bench.js"]);
        assert!(text.contains("<script type=\"module\" src=\"/assets/bench.js\"></script>"));
        assert!(text.contains("<a href=\"/\" aria-current=\"page\">Workroom</a>"));
        assert!(!text.contains("<style"));
    }

    #[test]
    fn backticks_mark_what_is_written_in_a_file() {
        assert_eq!(prose("add `pH 4 < 5` to it").into_string(), "add <code>pH 4 &lt; 5</code> to it");
        assert_eq!(prose("one ` alone").into_string(), "one ` alone");
    }

    #[test]
    fn data_cannot_end_its_element() {
        let text = data("d", &"</script><!--\u{2028}").into_string();
        assert!(!text.contains("</script><!--") && text.contains("\\u2028"), "{text}");
    }
}
