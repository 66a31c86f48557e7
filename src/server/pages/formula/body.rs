//! What stands in the page of a formula: the text with its faults, and beside it the parts that follow from it.

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
            (data("formula-state", &self.state))
            noscript { p .said .warning { "This page works out nothing without scripts: allow them for it, or use the commands." } }
            div .formula-page {
                div .writing { (self.writing()) (self.keeping()) (faults()) }
                div .following { (self.following()) }
            }
            (conflict())
            (self.begin())
        }
    }

    fn writing(&self) -> Markup {
        html! {
            div .field {
                label for="text" { "Formula text" }
                div .editor-frame {
                    div .editor-scroll {
                        div .editor {
                            pre #text-layer aria-hidden="true" {}
                            // HTML leaves out a first line end: one is put before the text for it.
                            textarea #text .code spellcheck="false" autocapitalize="off" autocomplete="off" autocorrect="off"
                                aria-autocomplete="list" aria-describedby="keys" { "\n" (self.text) }
                        }
                    }
                    ul #proposals role="listbox" aria-label="Proposals" hidden {}
                }
                p #keys .soft .keys {
                    kbd { "Ctrl + Space" } " proposes, " kbd { "F8" } " goes to the next fault, " kbd { "Ctrl + S" } " saves."
                }
                p #proposals-told .unseen role="status" {}
            }
        }
    }

    fn keeping(&self) -> Markup {
        html! {
            div #notice .said .notice role="status" hidden {}
            div .row {
                button #save .first type="button" { "Save" }
                button #new-batch type="button" { "New batch" }
                a .button href=(self.variant) data-of-formula { "New variant" }
                span #saved .soft role="status" {}
            }
            @if self.no_versions.is_none() {
                div .field .committing {
                    label for="what-changed" { "What changed" }
                    div .row {
                        input #what-changed type="text" autocomplete="off" maxlength="2000";
                        button #commit type="button" { "Save and commit" }
                    }
                }
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
            section #sheet .card aria-labelledby="sheet-title" {
                h2 #sheet-title { "Sheet" }
                div .field .batch {
                    label for="batch" { "Batch" }
                    input #batch type="text" autocomplete="off" spellcheck="false" placeholder="as the formula says"
                        aria-describedby="batch-help batch-refused";
                    p #batch-help .soft { code { "372g" } " or " code { "12x30mL plus 4%" } }
                    p #batch-refused .said .error role="alert" hidden {}
                }
                div #sheet-body { (PreEscaped(&self.results.sheet)) }
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
                        p #begin-help .soft { "As " code { "372g" } " or " code { "12x30mL plus 4%" } "; left empty, as the formula says." }
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

fn faults() -> Markup {
    html! {
        section #faults aria-labelledby="faults-title" aria-live="polite" {
            h2 #faults-title { "Faults" }
            p #faults-summary {}
            ul #faults-list .said {}
        }
    }
}

fn conflict() -> Markup {
    html! {
        dialog #conflict aria-labelledby="conflict-title" {
            h2 #conflict-title { "The file has changed since it was read" }
            p { "Something else wrote into it: another page, a terminal, an editor. Nothing was saved, and what you typed is still here." }
            div .row {
                button data-does="mine" type="button" { "Keep mine" }
                button data-does="theirs" type="button" { "Take theirs" }
                button data-does="both" type="button" { "Look at both" }
                button data-does="nothing" type="button" { "Go on writing" }
            }
            p .soft { "“Keep mine” writes what you typed over it; “Take theirs” brings the text of the file into this page." }
            div .both hidden {}
        }
    }
}
