//! What went wrong in a statement that did not parse: where, and what was expected, in trade words.

use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span, Sureness};
use crate::quantity::Exact;
use crate::syntax::Rule;
use crate::syntax::context::Context;
use crate::syntax::grammar::Grammar;
use crate::syntax::invisible::Cleared;
use crate::syntax::near::{nearest, or_list};
use crate::syntax::words::{LOOSE_MEASURES, expected};
use pest::Parser as _;
use pest::error::{Error, ErrorVariant};
use std::sync::{Mutex, PoisonError};

/// One parse with pest's detail of attempts at a time: the switch for it is global.
static DETAIL: Mutex<()> = Mutex::new(());

/// A statement that did not parse, without its block.
pub struct Broken<'t> {
    /// Its file.
    pub file: FileId,
    /// Its text, without what nobody sees.
    pub text: &'t str,
    /// Where in the text as it was something was taken out.
    pub removed: &'t [(usize, usize)],
    /// Where that starts in the file.
    pub at: u32,
    /// Where it stands.
    pub context: Context,
    /// What the meter of the formula is good to, where it says it.
    pub meter: Option<Exact>,
}

impl Broken<'_> {
    /// What is wrong with it.
    #[must_use]
    pub fn fault(&self) -> Diagnostic {
        self.fault_of_words().unwrap_or_else(|| self.fault_of_grammar())
    }

    /// What is wrong with a statement that stands on the line of the block before it, whether it parses or not.
    #[must_use]
    pub fn follows_a_block(&self) -> Diagnostic {
        let length = self.text.find(char::is_whitespace).unwrap_or(self.text.len());
        let found: String = self.text.get(..length).unwrap_or("").chars().take(40).collect();
        let message = format!("`{found}` does not belong here: the statement was complete before it.");
        Diagnostic::new(Code::Syntax, self.place(0, length), message).help_if(hint(&found, self.context))
    }

    /// A stretch of its text as a place of the file.
    pub(super) fn place(&self, start: usize, end: usize) -> Place {
        let span = Cleared::span_back(self.removed, Span::new(start, end));
        Place { file: self.file, span: Span { start: self.at + span.start, end: self.at + span.end } }
    }

    /// Faults that show in the words themselves, whatever the grammar makes of them.
    fn fault_of_words(&self) -> Option<Diagnostic> {
        let first_line = self.text.lines().next().unwrap_or("");
        self.open_quote()
            .or_else(|| self.loose_measure(first_line))
            .or_else(|| self.slip())
            .or_else(|| self.filled_in_material())
            .or_else(|| self.unknown_opener())
            .or_else(|| self.struck())
            .or_else(|| self.name_of_line())
    }

    /// A line whose material has capitals in its name.
    fn name_of_line(&self) -> Option<Diagnostic> {
        let opens_otherwise = self.text.split_whitespace().next() == Some("pH");
        let by_name = matches!(self.context, Context::Phase | Context::Plan) && !opens_otherwise;
        if by_name { self.fault_of_name(0) } else { None }
    }

    fn open_quote(&self) -> Option<Diagnostic> {
        let mut start = 0;
        for line in self.text.split_inclusive('\n') {
            if let Some(fault) = self.open_quote_of_line(line.trim_end_matches(['\r', '\n']), start) {
                return Some(fault);
            }
            start += line.len();
        }
        None
    }

    /// The same of a line that starts at an offset.
    fn open_quote_of_line(&self, line: &str, start: usize) -> Option<Diagnostic> {
        let mut open = None;
        let mut escaped = false;
        for (at, character) in line.char_indices() {
            match character {
                '#' if open.is_none() => return None,
                '"' if !escaped => open = if open.is_none() { Some(at) } else { None },
                '\\' if open.is_some() && !escaped => {
                    let next = line.get(at + 1..).and_then(|rest| rest.chars().next());
                    if let Some(next) = next.filter(|next| !matches!(next, '"' | '\\' | 'n')) {
                        let place = self.place(start + at, start + at + 1 + next.len_utf8());
                        let message = "A backslash in text may stand before `\"`, `\\` and `n` only.";
                        return Some(
                            Diagnostic::new(Code::Syntax, place, message).help("Write two backslashes for one."),
                        );
                    }
                    escaped = true;
                    continue;
                }
                _ => {}
            }
            escaped = false;
        }
        let place = self.place(start + open?, start + line.len());
        Some(
            Diagnostic::new(Code::Syntax, place, "The quote that opens here is not closed on this line.")
                .help("Close it with `\"`; a line break inside text is written `\\n`."),
        )
    }

    fn loose_measure(&self, line: &str) -> Option<Diagnostic> {
        if !matches!(self.context, Context::Phase | Context::VariantPhase | Context::Variant) || line.contains('"') {
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
                let place = self.place(at, from);
                let message = if by_eye {
                    "Parts by eye are no weight.".to_string()
                } else {
                    format!("`{word}` is no weight: drops, spoons and cups differ from hand to hand.")
                };
                return Some(Diagnostic::new(Code::DropsAreNotAWeight, place, message).help(
                    "Weigh it once on the scale and write the grams, or write it as a percentage of the batch.",
                ));
            }
        }
        None
    }

    /// What a material is made of, filled up as a line of a formula is.
    fn filled_in_material(&self) -> Option<Diagnostic> {
        if self.context != Context::Material || !self.text.starts_with("contains") || self.text.contains(['"', '#']) {
            return None;
        }
        let word = self.text.split([' ', '\t', ',', '\n']).find(|word| word.eq_ignore_ascii_case("q.s."))?;
        let start = self.text.find(word)?;
        let place = self.place(start, start + word.len());
        let message = format!("`{word}` fills up a line of a formula. What fills up a material is its `remainder`.");
        let fault = Diagnostic::new(Code::Syntax, place, message).help("Write `remainder`.");
        Some(fault.fix(place, "remainder", Sureness::NeedsALook))
    }

    /// A statement that opens with a word unknown here.
    fn unknown_opener(&self) -> Option<Diagnostic> {
        let text = self.text;
        let openers = self.context.openers();
        let length =
            text.find(|c: char| c.is_whitespace() || matches!(c, '{' | '=' | '"' | '(' | ',')).unwrap_or(text.len());
        let word = text.get(..length).unwrap_or("");
        if openers.is_empty() || openers.contains(&word) {
            return None;
        }
        let first = text.chars().next().map_or(1, char::len_utf8);
        let place = self.place(0, length.max(first));
        let shown: String = word.chars().take(40).collect();
        let near = nearest(word, openers.iter().copied());
        let fault = if word.is_empty() {
            Diagnostic::new(Code::Syntax, place, format!("This opens no statement {}.", self.context.place()))
        } else {
            Diagnostic::new(Code::Syntax, place, format!("`{shown}` opens no statement {}.", self.context.place()))
        };
        let after = text.get(length..).unwrap_or("").trim_start();
        let like_a_line = after.starts_with(|c: char| c.is_ascii_digit() || c == '(') || after.starts_with("q.s.");
        Some(match near.as_slice() {
            _ if self.context == Context::Formula && like_a_line => {
                fault.help("A line to weigh stands in a phase: put it into `phase A { … }`.")
            }
            [only] => fault.help(format!("Did you mean `{only}`?")).fix(place, *only, Sureness::NeedsALook),
            [first, ..] => fault.help(format!("Did you mean `{first}`? Here may stand {}.", or_list(&openers))),
            [] => fault.help(format!("Here may stand {}.", or_list(&openers))),
        })
    }

    /// What is to be struck out, and is no statement, or has no reason to be.
    fn struck(&self) -> Option<Diagnostic> {
        let rest = self.text.strip_prefix("struck").filter(|_| self.context == Context::Batch)?;
        let inner = rest.trim_start_matches([' ', '\t']);
        let at = self.text.len() - inner.len();
        let length = inner.find(|c: char| c.is_whitespace() || matches!(c, '{' | '"')).unwrap_or(inner.len());
        let word = inner.get(..length).unwrap_or("");
        let place = self.place(at, at + length);
        let shown: String = word.chars().take(40).collect();
        if matches!(word, "plan" | "struck") {
            let message = format!("`{word}` cannot be struck out.");
            let help = "What was written down at the bench can be, one statement at a time; a plan that is wrong is for \
                        another record.";
            return Some(Diagnostic::new(Code::Syntax, place, message).help(help));
        }
        if !word.is_empty() && !self.context.openers().contains(&word) {
            let message = format!("`{shown}` opens no statement that can be struck out.");
            let near = nearest(word, self.context.openers().into_iter());
            let help = match near.first() {
                Some(near) => format!("Did you mean `{near}`?"),
                None => "Write `struck` before the statement as it stands.".to_string(),
            };
            return Some(Diagnostic::new(Code::Syntax, place, message).help(help));
        }
        let whole = format!("{} because \"\"", self.text.trim_end());
        Grammar::parse(self.context.rule(), &whole).ok().map(|_| {
            let message = "What is struck out says why, and this does not.";
            Diagnostic::new(Code::Syntax, self.place(0, self.text.trim_end().len()), message)
                .help("Write the reason at its end, as in `struck reading pH 38.6 because \"typed wrong\"`.")
        })
    }

    /// Where the grammar gave up, and what it would have taken there.
    fn fault_of_grammar(&self) -> Diagnostic {
        let text = self.text;
        let (at, wanted) = {
            let _one_at_a_time = DETAIL.lock().unwrap_or_else(PoisonError::into_inner);
            pest::set_error_detail(true);
            let parsed = Grammar::parse(self.context.rule(), text);
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
            self.place(from, last.len())
        } else {
            self.place(at, at + found_length)
        };
        let wants_name = wanted.iter().any(|wanted| wanted.starts_with("a name") || wanted.starts_with("the name"));
        if wants_name && let Some(fault) = self.fault_of_name(at) {
            return fault;
        }
        let wanted = wanted.join(", or ");
        let message = match (found.is_empty(), wanted.is_empty()) {
            (true, true) => "The line ends too soon.".to_string(),
            (true, false) => format!("The line ends too soon: expected {wanted}."),
            (false, true) => format!("`{found}` does not belong here: the statement was complete before it."),
            (false, false) => format!("Expected {wanted}, and found `{found}`."),
        };
        Diagnostic::new(Code::Syntax, place, message).help_if(self.shape(at).or_else(|| hint(&found, self.context)))
    }

    /// A word that would be a name but for its letters: such a word at an offset of the text.
    fn fault_of_name(&self, start: usize) -> Option<Diagnostic> {
        let text = self.text.get(start..).unwrap_or("");
        let length = text.find(|c: char| !c.is_alphanumeric() && !matches!(c, '_' | '-')).unwrap_or(text.len());
        let word = text.get(..length).unwrap_or("");
        if !word.contains(char::is_alphabetic) || is_name(word) {
            return None;
        }
        let place = self.place(start, start + length);
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
                told("names are lower-case letters and digits, joined by hyphens.")
                    .help("A name begins with a letter."),
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
}

fn hint(found: &str, context: Context) -> Option<String> {
    if found.starts_with(['“', '”', '„', '«', '»', '‘', '’', '\'']) {
        return Some("Text stands between straight double quotes: `\"…\"`.".to_string());
    }
    if found.strip_prefix('.').is_some_and(|rest| rest.starts_with(|digit: char| digit.is_ascii_digit())) {
        return Some("A figure under one has its nought before the point: `0.5`.".to_string());
    }
    matches!(context, Context::Phase).then(|| {
        "A line is a material, an amount, and then at most `hold back …`, `from …`, `titrated …`, `because \"…\"`."
            .to_string()
    })
}

/// Whether a word is a name as the grammar has it.
pub(super) fn is_name(word: &str) -> bool {
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
