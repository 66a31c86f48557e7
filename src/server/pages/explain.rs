//! The page of a diagnostic: what it means at the bench, with a wrong formula and a right one.

use crate::diagnostic::Code;
use crate::page::prose;
use crate::render::shown;
use crate::server::answer::Page;
use crate::server::refusal::Refusal;
use maud::{Markup, html};

/// The page of a code.
///
/// # Errors
/// A code that there is not.
pub fn show(code: &str) -> Result<Page, Refusal> {
    let code = Code::from_name(code)
        .ok_or_else(|| Refusal::not_found(format!("There is no diagnostic called `{}`.", shown(code))))?;
    let entry = code.entry();
    let allowed = if entry.allowable { "may be allowed with a reason" } else { "cannot be allowed" };
    let mut page = Page::new(entry.name, "explain", html! { @for part in parts(entry.page) { (part.markup()) } });
    page.lead = html! { p { "Level: " (entry.level.word()) "; " (allowed) "." } };
    Ok(page)
}

/// A part of a page of the catalogue: of Markdown those pages have headings, paragraphs and fences.
enum Part<'p> {
    Heading(&'p str),
    Words(Vec<&'p str>),
    Formula(Vec<&'p str>),
}

impl Part<'_> {
    fn markup(&self) -> Markup {
        match self {
            Part::Heading(words) => html! { h2 { (prose(words)) } },
            Part::Words(lines) => html! { p { (prose(&lines.join(" "))) } },
            Part::Formula(lines) => html! { pre tabindex="0" { code { (lines.join("\n")) } } },
        }
    }
}

fn parts(page: &str) -> Vec<Part<'_>> {
    let mut all = Vec::new();
    let (mut words, mut fence): (Vec<&str>, Option<Vec<&str>>) = (Vec::new(), None);
    // The first line is the name of the code, which is the heading of the page.
    for line in page.lines().skip(1) {
        if line.starts_with("```") {
            all.extend((!words.is_empty()).then(|| Part::Words(std::mem::take(&mut words))));
            match fence.take() {
                Some(lines) => all.push(Part::Formula(lines)),
                None => fence = Some(Vec::new()),
            }
        } else if let Some(lines) = &mut fence {
            lines.push(line);
        } else if let Some(heading) = line.strip_prefix("## ") {
            all.extend((!words.is_empty()).then(|| Part::Words(std::mem::take(&mut words))));
            all.push(Part::Heading(heading));
        } else if line.trim().is_empty() {
            all.extend((!words.is_empty()).then(|| Part::Words(std::mem::take(&mut words))));
        } else {
            words.push(line.trim());
        }
    }
    all.extend((!words.is_empty()).then_some(Part::Words(words)));
    all
}

#[cfg(test)]
mod tests {
    use super::{Part, parts};
    use crate::diagnostic::CATALOGUE;

    #[test]
    fn nothing_of_a_page_of_the_catalogue_is_left_out() {
        for entry in CATALOGUE {
            let all = parts(entry.page);
            let said = |part: &Part<'_>| match part {
                Part::Heading(words) => words.split_whitespace().count() + 1,
                Part::Words(lines) | Part::Formula(lines) => {
                    lines.iter().flat_map(|line| line.split_whitespace()).count()
                }
            };
            let fences = entry.page.lines().filter(|line| line.starts_with("```"));
            let marks: usize = fences.map(|line| line.split_whitespace().count()).sum();
            let first = entry.page.lines().next().map_or(0, |line| line.split_whitespace().count());
            let words = entry.page.split_whitespace().count();
            assert_eq!(all.iter().map(said).sum::<usize>() + marks + first, words, "{}", entry.name);
            assert!(all.iter().any(|part| matches!(part, Part::Formula(_))), "{}", entry.name);
        }
    }
}
