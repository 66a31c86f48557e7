//! How statements are loosely written, and how they are written here. What comes of it may still be wrong: who asks
//! sees whether the grammar takes it.

use super::fault::is_name;
use crate::quantity::Exact;
use crate::syntax::words::TEXT_FIELDS;

/// What was written another way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Note {
    /// Capitals or underscores in a name.
    Letters,
    /// Blanks in a name.
    Blanks,
    /// A colon or an equals sign after the first word.
    Colon,
    /// A comma or semicolon at the end.
    End,
    /// `qs` without its points.
    Points,
    /// `to 100 %` for `q.s.`.
    Filling,
    /// The amount before the material.
    Order,
    /// `fl oz`.
    FluidOunce,
    /// Text without quotes.
    Quotes,
    /// A range with a dash.
    Dash,
    /// A figure with what it may be off.
    GiveOrTake,
    /// More than a name after `remove`.
    BareName,
    /// Several names after one `remove`.
    SeveralAtOnce,
    /// Another word than `for`.
    For,
}

impl Note {
    /// Whether what is written in its stead means the same beyond doubt.
    pub fn is_sure(self) -> bool {
        matches!(self, Note::Letters | Note::Colon | Note::End | Note::Points | Note::Quotes | Note::Dash)
    }

    /// The whole fault in a sentence.
    pub fn sentence(self) -> &'static str {
        match self {
            Note::Letters => "Names are in small letters.",
            Note::Blanks => "A name is one word, its parts joined by hyphens.",
            Note::Colon => "No colon stands after the first word.",
            Note::End => "No comma and no semicolon stands at the end of a line.",
            Note::Points => "`q.s.` has its points.",
            Note::Filling => "What fills up to 100 % is written `q.s.`.",
            Note::Order => "The material stands before its amount.",
            Note::FluidOunce => "A fluid ounce is `fl-oz` in the United States, and `imp-fl-oz` in Britain.",
            Note::Quotes => "Text stands between double quotes.",
            Note::Dash => "A range is written with `to`.",
            Note::GiveOrTake => "A pH is a window, from one figure to another.",
            Note::BareName => "After `remove` stands the name alone.",
            Note::SeveralAtOnce => "One `remove` takes one material out.",
            Note::For => "A material is swapped `for` another.",
        }
    }

    /// What holds here, as one of several.
    pub fn part(self) -> &'static str {
        match self {
            Note::Letters => "small letters in names",
            Note::Blanks => "hyphens for the blanks in a name",
            Note::Colon => "no colon after the first word",
            Note::End => "no comma at the end of a line",
            Note::Points => "`q.s.` with its points",
            Note::Filling => "`q.s.` for what fills up",
            Note::Order => "the material before its amount",
            Note::FluidOunce => "`fl-oz` for fluid ounces",
            Note::Quotes => "text between double quotes",
            Note::Dash => "`to` for the dash of a range",
            Note::GiveOrTake => "a pH as a window",
            Note::BareName => "the name alone",
            Note::SeveralAtOnce => "one material after one `remove`",
            Note::For => "`for` between the two",
        }
    }
}

/// A statement as it is written here, and what was otherwise.
#[derive(Clone, Debug)]
pub(super) struct Loose {
    /// The statement.
    pub text: String,
    /// What was otherwise.
    pub notes: Vec<Note>,
}

/// The first word of a text, and what follows it after blanks.
pub(super) fn first_word(text: &str) -> (&str, &str) {
    let length = text.find(char::is_whitespace).unwrap_or(text.len());
    let (first, rest) = text.split_at(length);
    (first, rest.trim_start())
}

/// Where a comment of a line starts, outside quotes; its length where there is none.
pub(super) fn comment_start(line: &str) -> usize {
    let mut quoted = false;
    for (at, letter) in line.char_indices() {
        match letter {
            '"' => quoted = !quoted,
            '#' if !quoted => return at,
            _ => {}
        }
    }
    line.len()
}

/// A text with the words in it, each with where it starts.
fn words(text: &str) -> Vec<(usize, &str)> {
    let mut from = 0;
    let mut found = Vec::new();
    for word in text.split_whitespace() {
        let at = from + text.get(from..).and_then(|rest| rest.find(word)).unwrap_or(0);
        found.push((at, word));
        from = at + word.len();
    }
    found
}

/// A line of a phase, with or without `add` or `set` before it; none where nothing of it is loosely written.
pub(super) fn line(text: &str) -> Option<Loose> {
    let mut notes = Vec::new();
    let body = text.trim_end().trim_end_matches([',', ';']).trim_end();
    if body.len() < text.trim_end().len() {
        notes.push(Note::End);
    }
    let (lead, rest) = match first_word(body) {
        (word @ ("add" | "set"), rest) if !rest.is_empty() => (format!("{word} "), rest),
        ("heat" | "cool" | "allow", _) => return None,
        _ => (String::new(), body),
    };
    let all = words(rest);
    let begins = |word: &str| word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '(' | '.'));
    let (name, gap, amount) = if all.first().is_some_and(|(_, word)| begins(word)) {
        notes.push(Note::Order);
        let (amount, name) = amount_first(rest, &all)?;
        (name, "  ", amount)
    } else {
        let at = (1..all.len()).find(|at| {
            let word = all.get(*at).map_or("", |(_, word)| *word);
            begins(word) || fills(&all, *at).is_some()
        })?;
        let (start, _) = *all.get(at)?;
        let (before, amount) = rest.split_at(start);
        let name = before.trim_end();
        (name, before.get(name.len()..).unwrap_or(" "), amount)
    };
    let name = whole_name(name, &mut notes)?;
    let amount = loose_amount(amount, &mut notes);
    (!notes.is_empty()).then(|| Loose { text: format!("{lead}{name}{gap}{amount}"), notes })
}

/// An amount that stands before its material: the amount, and the name.
fn amount_first<'t>(text: &'t str, all: &[(usize, &'t str)]) -> Option<(&'t str, &'t str)> {
    let (_, first) = all.first()?;
    let bare = first.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',')).is_empty();
    let at = if bare { 2 } else { 1 };
    let of = usize::from(all.get(at).is_some_and(|(_, word)| *word == "of"));
    let (name_at, _) = *all.get(at + of)?;
    let (end_at, end) = *all.get(at - 1)?;
    Some((text.get(..end_at + end.len())?, text.get(name_at..)?))
}

/// A name with its blanks, capitals and colon taken out; none where no name comes of it.
fn whole_name(written: &str, notes: &mut Vec<Note>) -> Option<String> {
    let bare = written.trim_end_matches([':', '=', '–']).trim_end();
    let bare = bare.strip_suffix(" -").unwrap_or(bare).trim_end();
    if bare.len() < written.len() {
        notes.push(Note::Colon);
    }
    let parts: Vec<&str> = bare.split_whitespace().collect();
    if parts.len() > 1 {
        notes.push(Note::Blanks);
    }
    let mut name = parts.join("-");
    if name.contains(|c: char| c.is_uppercase() || c == '_') {
        notes.push(Note::Letters);
        name = name.to_lowercase().replace('_', "-");
    }
    is_name(&name).then_some(name)
}

/// How many words from one on say that a line fills up, and what is written for them.
fn fills(all: &[(usize, &str)], from: usize) -> Option<(usize, &'static str, Note)> {
    let most = all.len().saturating_sub(from).min(5);
    (1..=most).rev().find_map(|count| {
        let taken = all.get(from..from + count)?;
        let text: String = taken.iter().flat_map(|(_, word)| word.chars()).filter(|c| *c != '.').collect();
        let (written, note) = match text.to_lowercase().as_str() {
            "qs" => ("q.s.", Note::Points),
            "qstoph" => ("q.s. to pH", Note::Points),
            "qsto100%" | "qsto100" | "qsad100%" | "qsad100" | "qs100%" | "qs100" | "to100%" | "to100" | "ad100%"
            | "ad100" => ("q.s.", Note::Filling),
            _ => return None,
        };
        Some((count, written, note))
    })
}

/// An amount with `q.s.` and fluid ounces as they are written here.
fn loose_amount(amount: &str, notes: &mut Vec<Note>) -> String {
    let all = words(amount);
    if let Some((count, written, note)) = fills(&all, 0) {
        let end = all.get(count - 1).map_or(0, |(at, word)| at + word.len());
        let (old, rest) = amount.split_at(end);
        if old.split_whitespace().collect::<Vec<_>>().join(" ") != written {
            notes.push(note);
        }
        return format!("{written}{rest}");
    }
    fluid_ounces(amount, notes).unwrap_or_else(|| amount.to_string())
}

/// A text with `fl oz` as one word; none where there is none.
fn fluid_ounces(text: &str, notes: &mut Vec<Note>) -> Option<String> {
    let all = words(text);
    let ends = |word: &str, with: &str| word.trim_end_matches('.').to_lowercase().ends_with(with);
    let at = (1..all.len()).find(|at| {
        let (Some((_, first)), Some((_, second))) = (all.get(at - 1), all.get(*at)) else { return false };
        let lead = first.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ','));
        ends(lead, "fl")
            && lead.len() <= 3
            && matches!(second.trim_end_matches('.').to_lowercase().as_str(), "oz" | "ounce" | "ounces")
    })?;
    let ((start, first), (last, second)) = (*all.get(at - 1)?, *all.get(at)?);
    let figure = first.len() - first.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',')).len();
    let (head, tail) = (text.get(..start + figure)?, text.get(last + second.len()..)?);
    let blank = if figure > 0 { " " } else { "" };
    notes.push(Note::FluidOunce);
    Some(format!("{head}{blank}fl-oz{tail}"))
}

/// A field of a block, by the words that may open one; none where nothing of it is loosely written.
pub(super) fn field(text: &str, openers: &[&str]) -> Option<Loose> {
    let mut notes = Vec::new();
    let body = text.trim_end();
    let length = body.find(|c: char| c.is_whitespace() || matches!(c, ':' | '=')).unwrap_or(body.len());
    let (word, rest) = body.split_at(length);
    let opener = *openers.iter().find(|known| known.eq_ignore_ascii_case(word))?;
    if matches!(opener, "let" | "phase" | "steps" | "allow" | "ensure") {
        return None;
    }
    if opener != word {
        notes.push(Note::Letters);
    }
    let bare = rest.trim_start_matches([' ', '\t', ':', '=']);
    let lead = rest.get(..rest.len() - bare.len()).unwrap_or("");
    let gap = if lead.contains([':', '=']) {
        notes.push(Note::Colon);
        "  "
    } else {
        lead
    };
    let cut = bare.trim_end_matches([',', ';']).trim_end();
    if cut.len() < bare.len() {
        notes.push(Note::End);
    }
    let value = match opener {
        word if TEXT_FIELDS.contains(&word) => quoted(cut, &mut notes),
        "pH" => ph_value(cut, &mut notes),
        _ => fluid_ounces(cut, &mut notes).unwrap_or_else(|| with_to(cut, &mut notes)),
    };
    (!notes.is_empty() && !value.is_empty()).then(|| Loose { text: format!("{opener}{gap}{value}"), notes })
}

/// Text between straight double quotes.
fn quoted(value: &str, notes: &mut Vec<Note>) -> String {
    let signs = ['“', '”', '„', '«', '»', '‘', '’', '\''];
    let bare = value.trim_matches(signs);
    if value.contains(['"', '\\', '\n']) || bare.is_empty() {
        return value.to_string();
    }
    notes.push(Note::Quotes);
    format!("\"{bare}\"")
}

const DASHES: [char; 5] = ['-', '–', '—', '−', '‑'];

/// The figure at the beginning of a text, with the rest.
fn figure(text: &str) -> Option<(&str, &str)> {
    let length = text.find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | ',')).unwrap_or(text.len());
    let figure = text.get(..length)?.trim_end_matches(['.', ',']);
    (!figure.is_empty() && figure.starts_with(|c: char| c.is_ascii_digit()))
        .then(|| (figure, text.get(figure.len()..).unwrap_or("")))
}

/// What may stand before a pH that is one figure or a window.
fn without_about(value: &str) -> &str {
    let value = value.trim_start_matches(['~', '≈', '=', ':', ' ', '\t']);
    for word in ["about ", "around ", "approx. ", "approx ", "ca. ", "ca ", "between ", "from "] {
        if let Some(rest) = value.strip_prefix(word) {
            return rest.trim_start();
        }
    }
    value
}

/// A pH that is one figure.
pub(super) fn one_ph(text: &str) -> Option<Exact> {
    let rest = text.trim_end().strip_prefix("pH").or_else(|| text.trim_end().strip_prefix("ph"))?;
    let bare = without_about(rest);
    let (first, rest) = figure(bare)?;
    let ends = rest.trim().trim_end_matches([',', ';']).is_empty() && bare.len() < text.len();
    let figure = Exact::parse(&first.replace(',', ".")).filter(|_| ends && first.len() <= 8)?;
    (figure <= Exact::whole(14)).then_some(figure)
}

/// A window of pH that is not written with `to`.
fn ph_value(value: &str, notes: &mut Vec<Note>) -> String {
    let window = || {
        let (first, rest) = figure(without_about(value))?;
        let rest = rest.trim_start();
        for (sign, by) in [
            ("±", true),
            ("+/-", true),
            ("+-", true),
            ("…", false),
            ("...", false),
            ("..", false),
            ("and ", false),
            ("to ", false),
        ] {
            if let Some(rest) = rest.strip_prefix(sign) {
                return Some((first, rest, by));
            }
        }
        Some((first, rest.strip_prefix(DASHES)?, false))
    };
    let Some((first, rest, by)) = window() else { return value.to_string() };
    let Some((second, "")) = figure(rest.trim()) else { return value.to_string() };
    if !by {
        notes.push(Note::Dash);
        return format!("{first} to {second}");
    }
    let exact = |text: &str| Exact::parse(&text.replace(',', ".")).filter(|_| text.len() <= 8);
    match (exact(first), exact(second)) {
        (Some(middle), Some(half)) if half <= middle => {
            notes.push(Note::GiveOrTake);
            format!("{} to {}", &middle - &half, &middle + &half)
        }
        _ => value.to_string(),
    }
}

/// A value with the dash of its first range written as `to`.
fn with_to(value: &str, notes: &mut Vec<Note>) -> String {
    for (at, dash) in value.char_indices().filter(|(_, letter)| DASHES.contains(letter)) {
        let (before, after) = (value.get(..at).unwrap_or(""), value.get(at + dash.len_utf8()..).unwrap_or(""));
        let (before, after) = (before.trim_end(), after.trim_start());
        let ends_in_figure = before.ends_with(|c: char| c.is_ascii_digit() || c == '%');
        if ends_in_figure && figure(after).is_some() && !value.contains('"') {
            notes.push(Note::Dash);
            return format!("{before} to {after}");
        }
    }
    value.to_string()
}

/// What is to be removed: each name in a statement of its own, without amounts.
pub(super) fn removal(rest: &str) -> Option<Loose> {
    let mut notes = Vec::new();
    let body = rest.trim_end();
    let cut = body.trim_end_matches([',', ';']).trim_end();
    if cut.len() < body.len() {
        notes.push(Note::End);
    }
    let parts: Vec<&str> = cut.split(',').flat_map(|part| part.split(" and ")).map(str::trim).collect();
    if parts.len() > 1 {
        notes.push(Note::SeveralAtOnce);
    }
    let mut names = Vec::new();
    for part in parts {
        let part = part.strip_prefix("line ").unwrap_or(part).trim_start();
        let all = words(part);
        let end =
            all.iter().skip(1).find(|(_, word)| word.starts_with(|c: char| c.is_ascii_digit()) || *word == "q.s.");
        let name = end.map_or(part, |(at, _)| part.get(..*at).unwrap_or(part)).trim_end();
        if name.len() < part.len() && !notes.contains(&Note::BareName) {
            notes.push(Note::BareName);
        }
        let mut of_name = Vec::new();
        names.push(format!("remove {}", whole_name(name, &mut of_name)?));
        notes.extend(of_name.into_iter().filter(|note| !notes.contains(note)).collect::<Vec<_>>());
    }
    if rest.starts_with("line ") && !notes.contains(&Note::BareName) {
        notes.push(Note::BareName);
    }
    (!notes.is_empty()).then(|| Loose { text: names.join("\n  "), notes })
}

/// `swap A with B`, `by`, `to`, an arrow or nothing for `swap A for B`.
pub(super) fn swap(rest: &str) -> Option<Loose> {
    let all = words(rest);
    let (_, old) = *all.first()?;
    let (at, second) = *all.get(1)?;
    let joins = matches!(second, "with" | "by" | "to" | "into" | "->" | "→" | "=>" | "," | "and");
    let after = if joins { rest.get(at + second.len()..)?.trim_start() } else { rest.get(at..)? };
    (second != "for").then(|| Loose { text: format!("swap {old} for {after}"), notes: vec![Note::For] })
}
