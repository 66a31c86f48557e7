//! A few things that are costly to make anew, by name: what was asked for longest ago goes first.

/// Things by name, no more than a few.
pub struct Kept<T> {
    most: usize,
    /// What was asked for last stands last.
    things: Vec<(String, T)>,
}

impl<T> Kept<T> {
    /// No more than so many.
    pub fn new(most: usize) -> Kept<T> {
        Kept { most: most.max(1), things: Vec::new() }
    }

    /// Takes a thing out; [`put`](Kept::put) gives it back.
    pub fn take(&mut self, name: &str) -> Option<T> {
        let at = self.things.iter().position(|(own, _)| own == name)?;
        Some(self.things.remove(at).1)
    }

    /// Keeps a thing.
    pub fn put(&mut self, name: &str, thing: T) {
        self.things.retain(|(own, _)| own != name);
        while self.things.len() >= self.most {
            self.things.remove(0);
        }
        self.things.push((name.to_string(), thing));
    }
}

#[cfg(test)]
mod tests {
    use super::Kept;

    #[test]
    fn what_was_asked_for_longest_ago_goes_first() {
        let mut kept = Kept::new(2);
        kept.put("a", 1);
        kept.put("b", 2);
        let a = kept.take("a").unwrap();
        kept.put("a", a);
        kept.put("c", 3);
        assert_eq!((kept.take("a"), kept.take("b"), kept.take("c"), kept.take("c")), (Some(1), None, Some(3), None));
    }
}
