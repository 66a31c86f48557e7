//! Links from one document to another, and within one, lead somewhere.

use super::root;
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// What a document can be linked at: its headings, by the letters of them in the way that hosts of repositories make them,
/// and its links.
struct Document {
    headings: BTreeSet<String>,
    links: Vec<String>,
}

fn read(path: &Path) -> Document {
    let text = fs::read_to_string(path).unwrap();
    let mut document = Document { headings: BTreeSet::new(), links: Vec::new() };
    let mut heading: Option<String> = None;
    for event in Parser::new_ext(&text, Options::ENABLE_TABLES) {
        match event {
            Event::Start(Tag::Heading { .. }) => heading = Some(String::new()),
            Event::End(TagEnd::Heading(_)) => document.headings.extend(heading.take().map(|text| anchor(&text))),
            Event::Start(Tag::Link { dest_url, .. }) => document.links.push(dest_url.to_string()),
            Event::Text(text) | Event::Code(text) => {
                if let Some(heading) = &mut heading {
                    heading.push_str(&text);
                }
            }
            _ => {}
        }
    }
    document
}

fn anchor(heading: &str) -> String {
    let kept = heading.to_lowercase();
    let kept = kept.chars().filter(|letter| letter.is_alphanumeric() || matches!(letter, ' ' | '-' | '_'));
    kept.map(|letter| if letter == ' ' { '-' } else { letter }).collect()
}

fn documents() -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> =
        ["README.md", "DEVELOPERS.md", "CHANGELOG.md"].iter().map(|name| root().join(name)).collect();
    let docs = fs::read_dir(root().join("docs")).unwrap().map(|entry| entry.unwrap().path());
    all.extend(docs.filter(|path| path.extension().is_some_and(|extension| extension == "md")));
    all
}

#[test]
fn every_link_between_the_documents_leads_somewhere() {
    let mut astray = Vec::new();
    let mut within = 0;
    for path in documents() {
        for link in read(&path).links.iter().filter(|link| !link.contains("://") && !link.starts_with("mailto:")) {
            let (file, at) = link.split_once('#').unwrap_or((link, ""));
            let to = if file.is_empty() { path.clone() } else { path.parent().unwrap().join(file) };
            let leads = to.exists() && (at.is_empty() || read(&to).headings.contains(at));
            within += 1;
            if !leads {
                astray.push(format!("{}: {link}", path.display()));
            }
        }
    }
    assert!(within > 50, "the documents have {within} links");
    assert!(astray.is_empty(), "{}", astray.join("\n"));
}
