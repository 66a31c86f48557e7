//! A code to scan: the address for a phone, without typing it; and what it means to have one.

use maud::{Markup, PreEscaped, html};
use qrcode::QrCode;
use qrcode::render::{svg, unicode};

/// What it means that a phone can come in.
pub const MEANS: &str = "Whoever is in the same network and has this address can read these formulas and write in them, \
                         until the program ends. What goes over the network is not encrypted: do this in a network of \
                         your own, at home or in the workshop, and not in one that strangers use.";

/// The code in characters, dark on light whatever the terminal's colours; empty where the address is too long for one.
#[must_use]
pub fn in_terminal(link: &str) -> String {
    let Ok(code) = QrCode::new(link) else { return String::new() };
    // A terminal is light on dark as a rule, and some cameras do not read a code that is inside out.
    code.render::<unicode::Dense1x2>().dark_color(unicode::Dense1x2::Dark).light_color(unicode::Dense1x2::Light).build()
}

/// The code as a picture, with a word of what it is for who does not see it.
pub fn drawn(link: &str) -> Markup {
    let Ok(code) = QrCode::new(link) else { return html! {} };
    let picture = code.render::<svg::Color<'_>>().min_dimensions(240, 240).build();
    // What stands before the element is for a file of its own.
    let picture = picture.find("<svg").and_then(|at| picture.get(at..)).unwrap_or_default();
    html! { div role="img" aria-label="The address as a code to scan" { (PreEscaped(picture)) } }
}

#[cfg(test)]
mod tests {
    use super::{drawn, in_terminal};

    #[test]
    fn an_address_becomes_a_code() {
        let link = "http://192.168.1.20:4711/?token=77fc15d784ff79b7f3ade18ebb21e311d56e157ec31539c971e4d0d7ac1a201a";
        let (text, picture) = (in_terminal(link), drawn(link).into_string());
        assert!(
            text.lines().count() > 15
                && text.lines().all(|line| line.chars().count() == text.lines().next().unwrap().chars().count())
        );
        assert!(picture.contains("<svg") && !picture.contains("style") && !picture.contains("<?xml"), "{picture}");
        assert_eq!(in_terminal(&"a".repeat(10_000)), "");
    }
}
