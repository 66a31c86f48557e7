//! A record that cannot be read as it is: its text with what is wrong in it, and the way to mend it.

use crate::diagnostic::{Diagnostic, Level};
use crate::page::{named, prose};
use crate::render::shown;
use crate::server::address;
use crate::server::answer::Page;
use crate::server::inside::Inside;
use crate::workspace::Source;
use maud::{Markup, html};
use std::collections::BTreeSet;

/// A text of no more lines is shown whole.
const WHOLE: usize = 1_000;
/// Of a longer one so many lines before and after each fault.
const AROUND: usize = 12;

/// The page of a batch whose file has errors of reading; none where the file is read well, and so has no such batch.
pub fn unread_record(source: &Source, file: &Inside, name: &str) -> Option<Page> {
    let faults: Vec<&Diagnostic> = source.faults.iter().filter(|fault| fault.level == Level::Error).collect();
    if faults.is_empty() {
        return None;
    }
    let text = address::formula(file.name(), name);
    let body = html! {
        p.said.error role="status" {
            span.level { "This record cannot be read" } ": what is wrong in its file has to be mended first. Nothing of it is lost."
        }
        section aria-labelledby="faults" {
            h2 #faults { "Faults" }
            ul.said { @for fault in &faults { (told(source, fault)) } }
            p { a.button.first href=(text) { "Mend it in its text" } }
            p.soft { "There each fault has its help, and where an edit is sure a button that mends it. Once the text is saved, the "
                "bench goes on from here." }
        }
        section aria-labelledby="text" {
            h2 #text { "Text" }
            (lines(source, &faults))
        }
    };
    let mut page = Page::new(name, "bench-unread", body);
    page.lead = html! { p { "Batch in " code { (named(file.name())) } } };
    page.scripts = &["watch.js", "fresh.js"];
    Some(page)
}

fn told(source: &Source, fault: &Diagnostic) -> Markup {
    html! {
        li.error {
            span.level { "Error" } " " span.place { "line " (line_of(source, fault)) } ": " (prose(&fault.message))
            @if let Some(help) = &fault.help { span.help { (prose(help)) } }
        }
    }
}

/// The line that a fault begins in, from 1.
fn line_of(source: &Source, fault: &Diagnostic) -> usize {
    let before = source.text.get(..fault.primary.place.span.start as usize).unwrap_or(&source.text);
    before.matches('\n').count() + 1
}

/// The lines with their numbers; those with a fault are marked.
fn lines(source: &Source, faults: &[&Diagnostic]) -> Markup {
    let at_fault: BTreeSet<usize> = faults.iter().map(|fault| line_of(source, fault)).collect();
    let count = source.text.lines().count();
    let is_near = |line: usize| count <= WHOLE || at_fault.iter().any(|fault| line.abs_diff(*fault) <= AROUND);
    let all = source.text.lines().enumerate().map(|(at, text)| (at + 1, text));
    html! {
        pre tabindex="0" role="group" aria-label="Text with the numbers of its lines" {
            @for (line, text) in all.filter(|(line, _)| is_near(*line)) {
                @let words = format!("{line:>4}  {}", shown(text));
                @if at_fault.contains(&line) { mark { (words) } } @else { (words) }
                "\n"
            }
        }
        @if count > WHOLE { p.soft { "Of its " (count) " lines only those near a fault are shown." } }
    }
}
