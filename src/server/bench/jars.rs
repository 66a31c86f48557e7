//! What stands before the jars: what is still to come of the acts, and, once they are done, what only the maker can tell.

use super::question::Printed;
use super::sight::{BenchSight, Standing};
use crate::batch::{Ahead, Do, Stage, View, ahead, before_the_jars};
use crate::page::{named, prose};
use crate::quantity::Exact;
use crate::render::{before_filling, step_words};
use maud::{Markup, html};

/// Before the jars are filled: the steps of which the record does not say that they are done, and what is looked at.
pub fn before(standing: &Standing<'_>) -> Markup {
    let view = standing.view;
    if view.next.what != Do::Fill {
        return html! {};
    }
    let steps: Vec<String> = before_the_jars(&view.setting.formula)
        .into_iter()
        .filter_map(|number| Some(format!("Step {}: {}", number + 1, step_words(view, number)?)))
        .collect();
    html! {
        section.before-jars aria-labelledby="before-jars" {
            h2 id="before-jars" { "Before the jars" }
            @if !steps.is_empty() {
                p { "The record does not say that these are done: look whether they are." }
                ul { @for step in &steps { li { (prose(step)) } } }
            }
            ul { @for (_, words) in before_filling() { li { (words) } } }
        }
    }
}

/// What is still to come, in its order, up to the jars.
pub fn to_come(sight: &BenchSight<'_>, standing: &Standing<'_>) -> Markup {
    let view = standing.view;
    let all = ahead(view, sight.batch);
    let is_open = !matches!(view.stage, Stage::Filled | Stage::Released | Stage::Rejected);
    html! {
        @if is_open && view.next.what != Do::Fill {
            section.card aria-labelledby="to-come" {
                h2 id="to-come" { "Still to come" }
                ol {
                    @for ahead in &all { li { (words(view, ahead)) } }
                    li { "The jars." }
                }
            }
        }
    }
}

/// A time as one says it: in hours from two on, where they are whole.
fn time(seconds: &Exact) -> String {
    let hours = seconds * &Exact::ratio(1, 3600);
    if hours >= Exact::whole(2) && hours.to_step(&Exact::ONE) == hours {
        return format!("{} h", hours.to_significant(4));
    }
    format!("{} min", (seconds * &Exact::ratio(1, 60)).to_significant(4))
}

fn words(view: &View<'_>, of: &Ahead) -> Markup {
    html! {
        @match of {
            Ahead::Heat(celsius) => { "Heat to " (celsius) " °C." },
            Ahead::Cool(celsius) => { "Let it cool to " (celsius) " °C." },
            Ahead::Weigh(name) => { "Weigh " (named(&Printed::of(view, name).title)) "." },
            Ahead::Adjust => { "Bring the pH into its window." },
            Ahead::TopUp => { "Put in what is left of what was held back." },
            Ahead::Read => { "Read the pH once more." },
            Ahead::Wait(Some(seconds)) => { "Leave it " (time(seconds)) "." },
            Ahead::Wait(None) => { "Leave it to itself." },
        }
    }
}
