//! What every page of a text has: the text in its field, what keeps it, what is wrong with it, and the question where another
//! text is met.

use maud::{Markup, html};

/// The text in its field.
pub(super) fn writing(label: &str, text: &str) -> Markup {
    html! {
        div .field {
            label for="text" { (label) }
            div .editor-frame {
                div .editor-scroll {
                    div .editor {
                        pre #text-layer aria-hidden="true" {}
                        // HTML leaves out a first line end: one is put before the text for it.
                        textarea #text .code spellcheck="false" autocapitalize="off" autocomplete="off" autocorrect="off"
                            aria-autocomplete="list" aria-describedby="keys" { "\n" (text) }
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

/// What keeps the text, and `more` that is done with it.
pub(super) fn keeping(more: &Markup, has_versions: bool) -> Markup {
    html! {
        div #notice .said .notice role="status" hidden {}
        div .row {
            button #save .first type="button" { "Save" }
            (more)
            span #saved .soft role="status" {}
        }
        @if has_versions {
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

/// What is wrong with the text.
pub(super) fn faults() -> Markup {
    html! {
        section #faults aria-labelledby="faults-title" aria-live="polite" {
            h2 #faults-title { "Faults" }
            p #faults-summary {}
            ul #faults-list .said {}
        }
    }
}

/// The question where the file is another one than was read.
pub(super) fn conflict() -> Markup {
    html! {
        dialog #conflict aria-labelledby="conflict-title" {
            h2 #conflict-title { "The file has changed since it was read" }
            p { "Something else wrote into it: another page, a terminal, an editor. Nothing was saved, and what you typed is still here." }
            div .differing {}
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
