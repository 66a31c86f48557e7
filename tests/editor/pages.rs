//! The wrong examples of the catalogue's pages, as files.

use stillroom::diagnostic::CatalogueEntry;

/// The files of the wrong example of a page; none where a page shows what cannot stand in an editor as it is.
pub fn wrong(entry: &CatalogueEntry) -> Vec<(String, String)> {
    let section = entry.page.split("\n## Wrong\n").nth(1).unwrap().split("\n## ").next().unwrap();
    let mut files = Vec::new();
    for fence in section.split("```still").skip(1) {
        let (word, rest) = fence.split_once('\n').unwrap();
        let made = ["fill=", "deep=", "chain=", " bytes", " before"];
        if made.iter().any(|made| word.contains(made)) || word.contains("command=\"label") {
            return Vec::new();
        }
        let name = word.split("file=").nth(1).map_or("formula.still", |name| name.split(' ').next().unwrap());
        files.push((name.to_string(), rest.split("```").next().unwrap().to_string()));
    }
    files
}
