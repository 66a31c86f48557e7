//! The amounts of lines. What is wrong with a figure by itself is told of where it is worked out.

use super::Look;
use crate::diagnostic::{Code, Diagnostic};

/// The same material on two lines of one phase.
pub fn line_twice(look: &Look<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let lines = &look.formula.lines;
    for (at, line) in lines.iter().enumerate() {
        if line.thing.is_none() {
            continue;
        }
        let mut earlier = lines.iter().take(at);
        if let Some(first) = earlier.find(|other| other.phase == line.phase && other.name == line.name) {
            let message = format!("`{}` stands on two lines of the same phase.", line.name);
            faults.push(
                Diagnostic::new(Code::LineTwice, line.place, message)
                    .and(first.place, "the first line")
                    .help("Weigh it once: put the two amounts together."),
            );
        }
    }
}
