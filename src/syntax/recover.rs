//! What went wrong in a statement that did not parse: where, and what was expected, in trade words.

use super::build::Builder;
use super::near::nearest;
use super::words::{Context, LOOSE_MEASURES, expected};
use super::{Grammar, Rule};
use crate::diagnostic::{Code, Diagnostic, Sureness};
use pest::Parser as _;
use pest::error::{Error, ErrorVariant};
use pest::iterators::Pair;
use std::sync::{Mutex, PoisonError};

/// Tells of a broken statement.
pub fn diagnose(builder: &mut Builder<'_>, pair: &Pair<'_, Rule>, context: Context) {
    let start = pair.as_span().start();
    // Other blanks than the language's own are what is wrong, and are told of.
    let text = pair.as_str().trim_end_matches([' ', '\t', '\r', '\n']);
    let fault = faults_of_words(builder, text, start, context)
        .unwrap_or_else(|| fault_of_grammar(builder, text, start, context));
    let at_header = header_length(text).is_some_and(|length| {
        let at =
            (fault.primary.place.span.start as usize).saturating_sub(builder.place(start, start).span.start as usize);
        at <= length
    });
    builder.faults.push(fault);
    if at_header {
        look_inside(builder, text, start, context);
    }
}

/// The length of what stands before the block of a statement, where it has one.
fn header_length(text: &str) -> Option<usize> {
    text.find('{').filter(|_| text.ends_with('}'))
}

/// A block whose opening line is broken still has its statements looked at.
fn look_inside(builder: &mut Builder<'_>, text: &str, start: usize, context: Context) {
    let Some(length) = header_length(text) else { return };
    let word = text.split_whitespace().next().unwrap_or("");
    let body = text.get(length..).unwrap_or("");
    let (before, after) = match (context, word) {
        (Context::File, "formula" | "material" | "substance" | "rule" | "batch") => (format!("{word} a "), ""),
        (Context::File, "variant") => ("variant a of a ".to_string(), ""),
        (Context::Formula, "phase") => ("formula a { phase a ".to_string(), " }"),
        (Context::Formula, "steps") => ("formula a { steps ".to_string(), " }"),
        _ => return,
    };
    let whole = format!("{before}{body}{after}");
    let shift = isize::try_from(start + length).unwrap_or(0) - isize::try_from(before.len()).unwrap_or(0);
    builder.faults_within(&whole, shift);
}

/// Faults that show in the words themselves, whatever the grammar makes of them.
fn faults_of_words(builder: &Builder<'_>, text: &str, start: usize, context: Context) -> Option<Diagnostic> {
    let first_line = text.lines().next().unwrap_or("");
    open_quote(builder, first_line, start)
        .or_else(|| loose_measure(builder, first_line, start, context))
        .or_else(|| unknown_opener(builder, text, start, context))
        .or_else(|| name_of_line(builder, text, start, context))
}

/// A line whose material has capitals in its name.
fn name_of_line(builder: &Builder<'_>, text: &str, start: usize, context: Context) -> Option<Diagnostic> {
    let opens_otherwise = text.split_whitespace().next() == Some("pH");
    let by_name = matches!(context, Context::Phase | Context::Plan) && !opens_otherwise;
    if by_name { fault_of_name(builder, text, start) } else { None }
}

fn open_quote(builder: &Builder<'_>, line: &str, start: usize) -> Option<Diagnostic> {
    let mut open = None;
    let mut escaped = false;
    for (at, character) in line.char_indices() {
        match character {
            '"' if !escaped => open = if open.is_none() { Some(at) } else { None },
            '\\' if open.is_some() && !escaped => {
                let next = line.get(at + 1..).and_then(|rest| rest.chars().next());
                if let Some(next) = next.filter(|next| !matches!(next, '"' | '\\' | 'n')) {
                    let place = builder.place(start + at, start + at + 1 + next.len_utf8());
                    return Some(
                        Diagnostic::new(
                            Code::Syntax,
                            place,
                            "A backslash in text may stand before `\"`, `\\` and `n` only.",
                        )
                        .help("Write two backslashes for one."),
                    );
                }
                escaped = true;
                continue;
            }
            _ => {}
        }
        escaped = false;
    }
    let at = open?;
    let place = builder.place(start + at, start + line.len());
    Some(
        Diagnostic::new(Code::Syntax, place, "The quote that opens here is not closed on this line.")
            .help("Close it with `\"`; a line break inside text is written `\\n`."),
    )
}

fn loose_measure(builder: &Builder<'_>, line: &str, start: usize, context: Context) -> Option<Diagnostic> {
    if !matches!(context, Context::Phase | Context::VariantPhase | Context::Variant) || line.contains('"') {
        return None;
    }
    let mut from = 0;
    for word in line.split_whitespace() {
        let at = from + line.get(from..)?.find(word)?;
        from = at + word.len();
        if at == 0 {
            continue;
        }
        let by_eye = word == "by" && line.get(from..).is_some_and(|rest| rest.trim_start().starts_with("eye"));
        if by_eye || LOOSE_MEASURES.contains(&word.to_lowercase().as_str()) {
            let place = builder.place(start + at, start + from);
            let message = if by_eye {
                "Parts by eye are no weight.".to_string()
            } else {
                format!("`{word}` is no weight: drops, spoons and cups differ from hand to hand.")
            };
            return Some(
                Diagnostic::new(Code::DropsAreNotAWeight, place, message)
                    .help("Weigh it once on the scale and write the grams, or write it as a percentage of the batch."),
            );
        }
    }
    None
}

/// A statement that opens with a word unknown here.
fn unknown_opener(builder: &Builder<'_>, text: &str, start: usize, context: Context) -> Option<Diagnostic> {
    let openers = context.openers();
    let length =
        text.find(|c: char| c.is_whitespace() || matches!(c, '{' | '=' | '"' | '(' | ',')).unwrap_or(text.len());
    let word = text.get(..length).unwrap_or("");
    if openers.is_empty() || openers.contains(&word) {
        return None;
    }
    let first = text.chars().next().map_or(1, char::len_utf8);
    let place = builder.place(start, start + length.max(first));
    let shown: String = word.chars().take(40).collect();
    let near = nearest(word, openers.iter().copied());
    let fault = if word.is_empty() {
        Diagnostic::new(Code::Syntax, place, format!("This opens no statement {}.", context.place()))
    } else {
        Diagnostic::new(Code::Syntax, place, format!("`{shown}` opens no statement {}.", context.place()))
    };
    let after = text.get(length..).unwrap_or("").trim_start();
    let like_a_line = after.starts_with(|c: char| c.is_ascii_digit() || c == '(') || after.starts_with("q.s.");
    Some(match near.as_slice() {
        _ if context == Context::Formula && like_a_line => {
            fault.help("A line to weigh stands in a phase: put it into `phase A { … }`.")
        }
        [only] => fault.help(format!("Did you mean `{only}`?")).fix(place, *only, Sureness::NeedsALook),
        [first, ..] => fault.help(format!("Did you mean `{first}`? Here may stand {}.", or_list(&openers))),
        [] => fault.help(format!("Here may stand {}.", or_list(&openers))),
    })
}

/// One parse with pest's detail of attempts at a time: the switch for it is global.
static DETAIL: Mutex<()> = Mutex::new(());

/// Where the grammar gave up, and what it would have taken there.
fn fault_of_grammar(builder: &Builder<'_>, text: &str, start: usize, context: Context) -> Diagnostic {
    let (at, wanted) = {
        let _one_at_a_time = DETAIL.lock().unwrap_or_else(PoisonError::into_inner);
        pest::set_error_detail(true);
        let parsed = Grammar::parse(context.lone(), text);
        pest::set_error_detail(false);
        match parsed {
            Ok(_) => (text.len(), Vec::new()),
            Err(error) => attempts(&error, text),
        }
    };
    let rest = text.get(at..).unwrap_or("");
    let blank = rest.len() - rest.trim_start_matches([' ', '\t']).len();
    let at = at + blank;
    let rest = text.get(at..).unwrap_or("");
    let found_length = rest.find(|c: char| c.is_whitespace()).unwrap_or(rest.len());
    let found: String = rest.get(..found_length).unwrap_or("").chars().take(40).collect();
    let place = if found.is_empty() {
        // Nothing is there: point at the last character before.
        let last = text.get(..at).unwrap_or("").trim_end();
        let from = last.char_indices().next_back().map_or(0, |(at, _)| at);
        builder.place(start + from, start + last.len())
    } else {
        builder.place(start + at, start + at + found_length)
    };
    let wants_name = wanted.iter().any(|wanted| wanted.starts_with("a name") || wanted.starts_with("the name"));
    if wants_name && let Some(fault) = fault_of_name(builder, rest, start + at) {
        return fault;
    }
    let wanted = wanted.join(", or ");
    let message = match (found.is_empty(), wanted.is_empty()) {
        (true, true) => "The line ends too soon.".to_string(),
        (true, false) => format!("The line ends too soon: expected {wanted}."),
        (false, true) => format!("`{found}` does not belong here: the statement was complete before it."),
        (false, false) => format!("Expected {wanted}, and found `{found}`."),
    };
    Diagnostic::new(Code::Syntax, place, message).help_if(hint(&found, context))
}

fn hint(found: &str, context: Context) -> Option<String> {
    if found.starts_with(['“', '”', '„', '«', '»', '‘', '’', '\'']) {
        return Some("Text stands between straight double quotes: `\"…\"`.".to_string());
    }
    if found.starts_with('.') {
        return Some("A figure under one has its nought before the point: `0.5`.".to_string());
    }
    matches!(context, Context::Phase).then(|| {
        "A line is a material, an amount, and then at most `hold back …`, `from …`, `because \"…\"`.".to_string()
    })
}

/// A word that would be a name but for its letters: such a word at the beginning of a text, which stands at an offset.
fn fault_of_name(builder: &Builder<'_>, text: &str, start: usize) -> Option<Diagnostic> {
    let length = text.find(|c: char| !c.is_alphanumeric() && !matches!(c, '_' | '-')).unwrap_or(text.len());
    let word = text.get(..length).unwrap_or("");
    if !word.contains(char::is_alphabetic) || is_name(word) {
        return None;
    }
    let place = builder.place(start, start + length);
    let shown: String = word.chars().take(40).collect();
    let told = |rest: &str| Diagnostic::new(Code::Syntax, place, format!("`{shown}` is no name: {rest}"));
    if !word.is_ascii() {
        return Some(
            told("names have the letters a to z, digits and hyphens.").help("Write it without other letters."),
        );
    }
    let mut mended = word.to_lowercase().replace('_', "-");
    while mended.contains("--") {
        mended = mended.replace("--", "-");
    }
    let mended = mended.trim_matches('-');
    if !is_name(mended) {
        return Some(
            told("names are lower-case letters and digits, joined by hyphens.").help("A name begins with a letter."),
        );
    }
    // Capitals mean nothing more than small letters; what else is mended may be another name.
    let in_small = word.to_lowercase() == mended;
    let rest = match in_small {
        true => format!("names are lower-case letters: `{mended}`."),
        false => "names are lower-case letters and digits, joined by single hyphens.".to_string(),
    };
    let sureness = if in_small { Sureness::Safe } else { Sureness::NeedsALook };
    Some(told(&rest).help(format!("Write `{mended}`.")).fix(place, mended, sureness))
}

/// Whether a word is a name as the grammar has it.
fn is_name(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_lowercase())
        && word
            .split('-')
            .all(|part| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit()))
}

/// The furthest offset reached, and the trade words for what was tried there.
fn attempts(error: &Error<Rule>, text: &str) -> (usize, Vec<String>) {
    let by_rule = match error.location {
        pest::error::InputLocation::Pos(at) | pest::error::InputLocation::Span((at, _)) => at,
    };
    let mut at = by_rule;
    let mut wanted: Vec<String> = Vec::new();
    let mut add = |words: String| {
        if !wanted.contains(&words) {
            wanted.push(words);
        }
    };
    if let Some(attempts) = error.parse_attempts() {
        let furthest = attempts.max_position.min(text.len());
        if furthest > by_rule {
            at = furthest;
            for token in attempts.expected_tokens() {
                let token = token.to_string();
                let word = token.trim_matches(['"', '`']);
                if matches!(word, "=" | "{") {
                    add(format!("`{word}`"));
                }
                if word.len() > 1 && word.chars().all(|c| c.is_ascii_alphabetic()) && word != "SOI" && word != "EOI" {
                    add(format!("`{word}`"));
                }
            }
        }
    }
    if at == by_rule
        && let ErrorVariant::ParsingError { positives, .. } = &error.variant
    {
        for rule in positives {
            if let Some(words) = expected(*rule) {
                add(words.to_string());
            }
        }
    }
    wanted.truncate(5);
    (at, wanted)
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
