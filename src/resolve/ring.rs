//! Things that rest on one another in a ring, told.

use crate::diagnostic::{Code, Diagnostic, Place};

/// A very long ring is told by its beginning and its end.
pub fn shorten_ring(names: &mut Vec<String>) {
    if names.len() > 12 {
        let end = names.split_off(names.len() - 3);
        names.truncate(8);
        names.push("…".to_string());
        names.extend(end);
    }
}

/// The fault of a ring: on the one that stands first in the text, the whole ring in its message.
pub fn ring_fault(code: Code, what: &str, places: &[Place], text: impl Fn(Place) -> String) -> Option<Diagnostic> {
    let first = places.iter().enumerate().min_by_key(|(_, place)| **place).map(|(at, _)| at)?;
    let turned: Vec<Place> = places.iter().cycle().skip(first).take(places.len()).copied().collect();
    let mut names: Vec<String> = turned.iter().map(|place| format!("`{}`", text(*place))).collect();
    names.extend(names.first().cloned());
    shorten_ring(&mut names);
    let mut places = turned.into_iter();
    let mut fault = Diagnostic::new(code, places.next()?, format!("{what}: {}.", names.join(" → ")));
    for place in places.take(8) {
        fault = fault.and(place, "in the ring");
    }
    Some(fault)
}
