//! What stands in the page of a formula: the text with its faults, and beside it the parts that follow from it.

use super::parts::{conflict, faults, keeping, writing};
use crate::page::{data, prose};
use crate::server::address;
use crate::server::files::FormulaFile;
use crate::server::live::LiveResults;
use maud::{Markup, PreEscaped, html};
use serde::Serialize;

/// The page as it is shown first.
pub struct FormulaBody<'a> {
    /// What its script is told.
    pub state: FormulaState<'a>,
    /// The text, as a field has it.
    pub text: &'a str,
    /// What follows from the text as it is saved.
    pub results: &'a LiveResults,
    /// The address at which a variant of it is begun.
    pub variant: &'a str,
    /// Why there are no versions to choose; none where the file lies in a repository.
    pub no_versions: Option<&'a str>,
    /// Where they begin to be kept, where nothing stands against that.
    pub begin_versions: Option<&'a str>,
    /// Where it is taken away as a file.
    pub files: &'a FormulaFiles,
}

/// Where a formula is taken away as a file.
#[derive(Clone, Debug)]
pub struct FormulaFiles {
    sheet: String,
    cost: String,
    label: String,
    card: String,
}

impl FormulaFiles {
    /// Those of a formula of a file.
    #[must_use]
    pub fn of(file: &str, name: &str) -> FormulaFiles {
        let file_of = |word: &str| address::formula_file(file, name, word);
        FormulaFiles {
            sheet: file_of(FormulaFile::Sheet.word()),
            cost: file_of(FormulaFile::Cost.word()),
            label: address::label(file, name),
            card: file_of("card"),
        }
    }

    /// The part of the page.
    fn markup(&self) -> Markup {
        html! {
            section #files .card aria-labelledby="files-title" {
                h2 #files-title { "To take away" }
                p .soft { "Each is one file of what is saved, which needs no network and no program: to print, to keep, to send." }
                div .row {
                    a .button href=(self.sheet) data-sized data-of-formula { "Download the sheet" }
                    a .button href=(self.cost) data-sized data-of-formula { "Download the cost" }
                    a .button href=(self.label) data-of-formula { "Label to print" }
                }
                form method="get" action=(self.card) data-of-formula aria-labelledby="card-title" {
                    h3 #card-title { "Card to share" }
                    p .soft { "The formula in percent as one picture, without prices, suppliers and lots." }
                    input type="hidden" name="choice" value="yes";
                    div .row {
                        div .field {
                            label for="card-format" { "Card as" }
                            select #card-format name="format" {
                                option value="png" { "picture, PNG" }
                                option value="svg" { "drawing, SVG" }
                            }
                        }
                        label { input type="checkbox" name="figures" value="yes" checked; "with figures" }
                        button type="submit" { "Download the card" }
                    }
                }
            }
        }
    }
}

/// What the script of the page is told.
#[derive(Clone, Debug, Serialize)]
pub struct FormulaState<'a> {
    /// The file, from the folder that is open.
    pub file: &'a str,
    /// The formula.
    pub name: &'a str,
    /// The version of the file that was read.
    pub version: &'a str,
}

impl FormulaBody<'_> {
    /// All of it.
    #[must_use]
    pub fn markup(&self) -> Markup {
        html! {
            link rel="stylesheet" href="/assets/formula.css";
            // Only on paper: on the screen some of its classes mean another thing.
            link rel="stylesheet" href="/assets/sheet.css" media="print";
            (data("formula-state", &self.state))
            noscript { p .said .warning { "This page works out nothing without scripts: allow them for it, or use the commands." } }
            div .formula-page {
                div .writing {
                    (writing("Formula text", self.text))
                    (keeping(&self.more(), self.no_versions.is_none()))
                    (faults())
                }
                div .following { (self.following()) }
            }
            (self.paper())
            (conflict())
            (self.begin())
        }
    }

    /// What else is done with a formula than saving it.
    fn more(&self) -> Markup {
        html! {
            button #new-batch type="button" { "New batch" }
            a .button href=(self.variant) data-of-formula { "New variant" }
        }
    }

    /// What is printed of the page: its sheet.
    fn paper(&self) -> Markup {
        html! {
            div #paper .paper-only {
                p #paper-unsaved hidden { strong { "Not saved: " } "this sheet is of a text that stands in no file yet." }
                div #paper-body { (PreEscaped(&self.results.paper)) }
            }
        }
    }

    fn following(&self) -> Markup {
        let parts = [
            ("sheet", "Sheet"),
            ("ph", "pH"),
            ("label", "Label"),
            ("cost", "Cost"),
            ("versions", "Versions"),
            ("files", "To take away"),
        ];
        html! {
            nav .parts aria-label="Parts of this page" {
                ul {
                    li .narrow { a href="#text" { "Text" } }
                    li .narrow { a href="#faults" { "Faults" } }
                    @for (id, title) in parts { li { a href={ "#" (id) } { (title) } } }
                }
            }
            p #stale .said .warning role="status" hidden {
                "What stands below is of the text as it was before: it could not be worked out anew."
            }
            section #sheet .card aria-labelledby="sheet-title" {
                h2 #sheet-title { "Sheet" }
                div .field .batch {
                    label for="batch" { "Batch" }
                    input #batch type="text" autocomplete="off" spellcheck="false" placeholder="as the formula says"
                        aria-describedby="batch-help batch-refused";
                    p #batch-help .soft { code { "372 g" } " or " code { "12 x 30 mL plus 4 %" } }
                    p #batch-refused .said .error role="alert" hidden {}
                }
                div #sheet-body { (PreEscaped(&self.results.sheet)) }
                div .row { button #print type="button" { "Print the sheet" } }
            }
            (part("ph", "pH", &self.results.ph))
            (part("label", "Label", &self.results.label))
            (part("cost", "Cost", &self.results.cost))
            (self.versions())
            (self.files.markup())
        }
    }

    fn versions(&self) -> Markup {
        let own = [("page", "In this page, not saved yet"), ("saved", "In the file, as it is saved")];
        html! {
            section #versions .card aria-labelledby="versions-title" {
                h2 #versions-title { "Versions" }
                @if let Some(why) = self.no_versions { p { (prose(why)) } }
                @if let Some(begin) = self.begin_versions { p { a .button href=(begin) { "Begin keeping versions" } } }
                div .versions-choice {
                    @for (id, title) in [("older", "Older"), ("newer", "Newer")] {
                        div .field {
                            label for=(id) { (title) }
                            select id=(id) { @for (value, words) in own { option value=(value) { (words) } } }
                        }
                    }
                }
                section aria-labelledby="difference-title" {
                    h3 #difference-title { "What is different" }
                    div #difference-body {}
                }
            }
        }
    }

    fn begin(&self) -> Markup {
        html! {
            dialog #begin aria-labelledby="begin-title" {
                form #begin-form {
                    h2 #begin-title { "A new batch" }
                    div .field {
                        label for="begin-size" { "Size" }
                        input #begin-size type="text" autocomplete="off" aria-describedby="begin-help";
                        p #begin-help .soft { "As " code { "372 g" } " or " code { "12 x 30 mL plus 4 %" } "; left empty, as the formula says." }
                    }
                    div .field {
                        label for="begin-name" { "Name of the batch" }
                        input #begin-name type="text" autocomplete="off" required;
                    }
                    p #begin-told .said .error role="alert" hidden {}
                    div .row {
                        button .first type="submit" { "Begin the batch" }
                        button #begin-cancel type="button" { "Not now" }
                    }
                }
            }
        }
    }
}

fn part(id: &str, title: &str, markup: &str) -> Markup {
    html! {
        section id=(id) .card aria-labelledby={ (id) "-title" } {
            h2 id={ (id) "-title" } { (title) }
            div id={ (id) "-body" } { (PreEscaped(markup)) }
        }
    }
}
