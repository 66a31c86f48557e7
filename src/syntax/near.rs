//! Names that are near to one another.

use super::MAX_NAME;
use rapidfuzz::distance::osa::{self, Args, BatchComparator};
use smol_str::SmolStr;
use std::borrow::Cow;

/// A known name, with what tells at a glance that it is far from another.
#[derive(Clone, Debug)]
pub struct IndexedName {
    text: SmolStr,
    mark: LetterMark,
}

/// The length of a word, and which letters are in it.
#[derive(Clone, Copy, Debug)]
struct LetterMark {
    length: usize,
    letters: u64,
}

impl LetterMark {
    fn of(word: &str) -> LetterMark {
        let mut mark = LetterMark { length: 0, letters: 0 };
        for letter in word.chars() {
            mark.length += 1;
            for small in letter.to_lowercase() {
                mark.letters |= 1 << (u32::from(small) & 63);
            }
        }
        mark
    }

    /// The fewest slips that could lead from one word to the other: each brings one letter or takes one away.
    fn distance(self, other: LetterMark) -> usize {
        let missing = |one: u64, other: u64| (one & !other).count_ones() as usize;
        let letters = missing(self.letters, other.letters).max(missing(other.letters, self.letters));
        letters.max(self.length.abs_diff(other.length))
    }
}

impl IndexedName {
    /// A name as one that may be meant.
    #[must_use]
    pub fn new(name: &str) -> IndexedName {
        IndexedName { text: SmolStr::new(name), mark: LetterMark::of(name) }
    }
}

/// The known words nearest to a misspelled one, the best first; none where none is near.
///
/// Words under three letters are only matched by one edit; the longest may be off by a third of their length.
/// Words that share their first hyphenated part come before others. Ties go by the alphabet.
pub fn nearest<'w>(word: &str, known: impl Iterator<Item = &'w str>) -> Vec<&'w str> {
    search(word, known.map(|name| (name, LetterMark::of(name))))
}

/// The same among names that are asked of again and again.
pub fn nearest_of<'w>(word: &str, known: impl Iterator<Item = &'w IndexedName>) -> Vec<&'w str> {
    search(word, known.map(|known| (known.text.as_str(), known.mark)))
}

fn search<'w>(word: &str, known: impl Iterator<Item = (&'w str, LetterMark)>) -> Vec<&'w str> {
    if word.len() > 4 * MAX_NAME {
        return Vec::new();
    }
    let lower = word.to_lowercase();
    let mark = LetterMark::of(&lower);
    let allowed = match mark.length {
        0 => return Vec::new(),
        1..=2 => 1,
        3..=5 => 2,
        length => length / 3,
    };
    let head = |word: &str| word.split('-').next().unwrap_or("").to_string();
    let own_head = head(&lower);
    let comparator = BatchComparator::new(lower.chars());
    let mut found: Vec<(usize, &str)> = Vec::new();
    // What is so much worse than the best so far would be dropped in the end.
    let mut worth = allowed;
    for (candidate, its) in known {
        if mark.length.abs_diff(its.length) > allowed || mark.distance(its) > worth {
            continue;
        }
        let cut = if its.length < 3 { 1 } else { worth };
        let is_small = candidate.bytes().all(|byte| byte.is_ascii() && !byte.is_ascii_uppercase());
        let small = if is_small { Cow::Borrowed(candidate) } else { Cow::Owned(candidate.to_lowercase()) };
        let Some(distance) = comparator.distance_with_args(small.chars(), &Args::default().score_cutoff(cut)) else {
            continue;
        };
        if distance < mark.length.max(2) {
            let bonus = usize::from(candidate.contains('-') && head(candidate) == own_head);
            let score = (distance * 2).saturating_sub(bonus);
            worth = worth.min((score + 2) / 2);
            found.push((score, candidate));
        }
    }
    found.sort_unstable();
    found.dedup();
    let best = found.first().map_or(0, |(score, _)| *score);
    found.into_iter().filter(|(score, _)| *score <= best + 1).map(|(_, word)| word).take(3).collect()
}

/// Whether one slip of the pen leads from a word to another.
pub fn is_one_slip(word: &str, meant: &str) -> bool {
    osa::distance_with_args(word.chars(), meant.chars(), &Args::default().score_cutoff(1)).is_some()
}

/// Words as a list with `or` before the last.
pub fn or_list(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    match quoted.as_slice() {
        [] => String::new(),
        [only] => only.clone(),
        [head @ .., last] => format!("{} or {last}", head.join(", ")),
    }
}
