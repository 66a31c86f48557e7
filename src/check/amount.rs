//! The amounts of lines. What is wrong with a figure by itself is told of where it is worked out.

use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::Line;
use rustc_hash::FxHashMap;

/// The same material on two lines of one phase.
pub fn line_twice(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let mut firsts: FxHashMap<(usize, &str), &Line> = FxHashMap::default();
    for line in &context.formula.lines {
        let first = *firsts.entry((line.phase, line.name.as_str())).or_insert(line);
        if line.material.is_some() && !std::ptr::eq(first, line) {
            let message = format!("`{}` stands on two lines of the same phase.", line.name);
            faults.push(
                Diagnostic::new(Code::LineTwice, line.place, message)
                    .and(first.place, "the first line")
                    .help("Weigh it once: put the two amounts together."),
            );
        }
    }
}
