//! Where versions begin to be kept: what it costs not to, and what is made. `/versions/begin`.

use crate::keeping::known_name;
use crate::page::prose;
use crate::server::address;
use crate::server::answer::Page;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use crate::workspace::Repository;
use maud::{Markup, html};

/// What it means that a folder lies in no repository.
pub const UNKEPT: &str = "Earlier versions are not kept in this folder: what is saved goes over what was there. What a \
                          formula said last spring, and what changed since, cannot be looked up; of a batch only its own \
                          record and plan stay.";

/// The page before anything is made.
pub fn show(workroom: &Workroom, asked: &Asked) -> Result<Page, Refusal> {
    let name = known_name().unwrap_or_default();
    Ok(page(workroom, &back(asked), &name, None))
}

/// The page with what was typed, and why nothing was made.
pub fn page(workroom: &Workroom, from: &str, name: &str, wrong: Option<&str>) -> Page {
    let body = match Repository::of(workroom.folder()) {
        Ok(None) => form(from, name, wrong),
        Ok(Some(_)) => html! {
            p { "Versions are kept in this folder already: “Save and commit” on the page of a formula adds one." }
            (go_on(from))
        },
        Err(error) => html! { p.said.error role="alert" { (prose(&error.to_string())) } (go_on(from)) },
    };
    Page::new("Keep versions", "versions", body)
}

/// The page once they are kept.
pub fn begun(files: usize, from: &str) -> Page {
    let files = if files == 1 { "1 file is".to_string() } else { format!("{files} files are") };
    let body = html! {
        p.said.good role="status" { "Versions are kept from now on: " (files) " in the first one." }
        p { "“Save” writes a file as before. “Save and commit” on the page of a formula also adds a version, with a line that "
            "says what changed; it is filled in from the text. Under “Versions” any two are held side by side." }
        (go_on(from))
    };
    Page::new("Versions are kept", "versions", body)
}

/// Where one came from, if that is a page of this program.
pub fn back(asked: &Asked) -> String {
    let from =
        asked.get("from").filter(|from| from.starts_with('/') && !from.starts_with("//") && !from.contains('\\'));
    from.cloned().unwrap_or_else(|| "/".to_string())
}

fn go_on(from: &str) -> Markup {
    html! { p { a.button href=(from) { "Go on" } } }
}

fn form(from: &str, name: &str, wrong: Option<&str>) -> Markup {
    html! {
        p { (UNKEPT) }
        p { "A git repository is made in the folder: a hidden folder " code { ".git" } ", in which each version of your "
            code { ".still" } " files stays. Nothing outside the folder is touched, and nothing is sent anywhere. It is no copy "
            "for safety: keep one of the whole folder elsewhere." }
        form.card method="post" action=(address::BEGIN_VERSIONS) {
            input type="hidden" name="from" value=(from);
            div.field {
                label for="name" { "Your name" }
                input #name name="name" type="text" required autocomplete="name" maxlength="200" value=(name)
                    aria-invalid=[wrong.map(|_| "true")] aria-describedby="name-help";
                p #name-help.soft { "It stands beside each version." }
            }
            @if let Some(why) = wrong { p.said.error role="alert" { (prose(why)) } }
            div.row {
                button.first type="submit" { "Begin keeping versions" }
                a.button href=(from) { "Not now" }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::back;
    use crate::server::routes::Asked;

    #[test]
    fn the_way_back_leads_nowhere_else() {
        let from = |text: &str| back(&Asked::from([("from".to_string(), text.to_string())]));
        assert_eq!(from("/formula/a.still/gel"), "/formula/a.still/gel");
        for elsewhere in ["", "//example.org", "https://example.org", "/\\example.org", "javascript:alert(1)"] {
            assert_eq!(from(elsewhere), "/", "{elsewhere}");
        }
    }
}
