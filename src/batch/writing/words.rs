//! The words of a command made into a statement: what the shell took off as quotation marks is put back.

/// A word of the command, or a text that was given as one.
struct Word {
    text: String,
    /// Whether it came as one with blanks in it where a text is wanted: then it is that text, and all of it.
    whole: bool,
}

/// How far a text goes that was not given as one.
#[derive(Clone, Copy, PartialEq, Eq)]
enum TextEnd {
    /// To the end of the statement.
    End,
    /// Up to what may follow it.
    Tail,
}

/// A statement out of the words of a command. Where the language wants a text in quotation marks, and there are none,
/// they are put in: around one word of the command that has blanks in it, else around all the words up to what may
/// follow.
#[must_use]
pub fn statement(arguments: &[String]) -> String {
    if let Some(struck) = struck(arguments) {
        return struck;
    }
    let words = words(arguments);
    let opener = words.first().map(|word| word.text.clone()).unwrap_or_default();
    let mut out: Vec<String> = Vec::new();
    let mut rest = words.as_slice();
    while let Some((word, after)) = rest.split_first() {
        match text_at(&opener, out.len(), out.last().map(String::as_str)) {
            Some(until) if !word.text.starts_with('"') => {
                let length = if word.whole { 1 } else { 1 + length(&opener, after, until) };
                let (text, after) = rest.split_at_checked(length).unwrap_or((rest, &[]));
                let text: Vec<&str> = text.iter().map(|word| word.text.as_str()).collect();
                out.push(quoted(&text.join(" ")));
                rest = after;
            }
            _ => {
                out.push(with_point(&word.text));
                rest = after;
            }
        }
    }
    out.join(" ")
}

/// A statement that strikes another out: that one as any other, and after `because` the reason. Where the other has a
/// text or a reason of its own, the last `because` is the strike's, else the first.
fn struck(arguments: &[String]) -> Option<String> {
    // Words given as one are cut; those given one by one may be texts with blanks in them.
    let words = if arguments.iter().any(|word| word == "because") { arguments.to_vec() } else { cut_all(arguments) };
    let (first, rest) = words.split_first().filter(|(first, _)| *first == "struck")?;
    let opener = rest.first().map(String::as_str).unwrap_or_default();
    let is_because = |word: &String| word == "because";
    let at = match opener {
        "added" | "removed" | "rejected" | "note" | "observed" | "complaint" => rest.iter().rposition(is_because),
        _ => rest.iter().position(is_because),
    };
    let Some((inner, because)) = at.and_then(|at| rest.split_at_checked(at)) else {
        return Some(format!("{first} {}", statement(rest)));
    };
    let reason = because.get(1..).unwrap_or_default();
    let reason = match reason.first() {
        Some(text) if text.starts_with('"') => reason.join(" "),
        Some(_) => quoted(&reason.join(" ")),
        None => String::new(),
    };
    Some(format!("{first} {} because {reason}", statement(inner)).trim_end().to_string())
}

fn cut_all(arguments: &[String]) -> Vec<String> {
    arguments.iter().flat_map(|argument| cut(argument)).collect()
}

/// A figure with a decimal comma, `3,86`, with a point. `1,500` may be a thousand and a half or one and a half, and
/// stays as it is: the language asks which is meant.
fn with_point(word: &str) -> String {
    let Some((whole, rest)) = word.split_once(',') else { return word.to_string() };
    let decimals = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
    let is_figure = !whole.is_empty() && whole.bytes().all(|byte| byte.is_ascii_digit()) && decimals > 0;
    let only_unit = !rest.contains([',', '.', '"']) && !rest.chars().skip(decimals).any(|c| c.is_ascii_digit());
    let thousands = decimals == 3 && whole.len() <= 3 && !whole.starts_with('0');
    if is_figure && only_unit && !thousands { format!("{whole}.{rest}") } else { word.to_string() }
}

/// Whether a statement says anything: blanks and a comment do not.
#[must_use]
pub fn says_something(statement: &str) -> bool {
    let said = statement.trim_start();
    !said.is_empty() && !said.starts_with('#')
}

/// A text in the quotation marks of the language.
#[must_use]
pub fn quoted(text: &str) -> String {
    let text = text.replace('\\', "\\\\").replace('"', "\\\"").replace("\r\n", "\\n").replace(['\n', '\r'], "\\n");
    format!("\"{text}\"")
}

/// Whether the next word begins a text, seen from the word that opens the statement, how many came and the last.
fn text_at(opener: &str, number: usize, last: Option<&str>) -> Option<TextEnd> {
    let last = last?;
    match (opener, number, last) {
        ("code" | "note" | "observed" | "complaint", 1, _) => Some(TextEnd::End),
        ("lot", 2, _) => Some(TextEnd::Tail),
        ("added" | "removed" | "rejected", _, "because") => Some(TextEnd::End),
        ("formula", 3, "version") | ("filled", _, "as") | ("sold", 3, "to") => Some(TextEnd::Tail),
        // A strip that was read is no one's initials; what is a text to its end has none.
        ("reading", ..) | ("note" | "observed" | "complaint", ..) => None,
        (_, _, "by") => Some(TextEnd::Tail),
        _ => None,
    }
}

/// How many more words belong to a text that was not given as one.
fn length(opener: &str, after: &[Word], until: TextEnd) -> usize {
    let ends = |at: usize| -> bool {
        let (Some(word), Some(next)) = (after.get(at), after.get(at + 1)) else { return false };
        let figure = next.text.starts_with(|c: char| c.is_ascii_digit());
        match word.text.as_str() {
            "on" | "at" => figure,
            "by" => true,
            "assay" | "opened" | "expires" => opener == "lot" && figure,
            _ => false,
        }
    };
    match until {
        TextEnd::End => after.len(),
        TextEnd::Tail => (0..after.len()).find(|at| ends(*at)).unwrap_or(after.len()),
    }
}

/// The arguments cut at their blanks, but for what has quotation marks and for texts given as one.
fn words(arguments: &[String]) -> Vec<Word> {
    let mut words: Vec<Word> = Vec::new();
    for argument in arguments {
        let opener = words.first().map_or("", |word| word.text.as_str());
        let wanted = text_at(opener, words.len(), words.last().map(|word| word.text.as_str())).is_some();
        if wanted && argument.contains(char::is_whitespace) && !argument.starts_with('"') {
            words.push(Word { text: argument.clone(), whole: true });
        } else {
            words.extend(cut(argument).into_iter().map(|text| Word { text, whole: false }));
        }
    }
    words
}

/// A text cut at its blanks, but for those in quotation marks.
fn cut(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let (mut inside, mut escaped) = (false, false);
    for character in text.chars() {
        if character.is_whitespace() && !inside {
            if !word.is_empty() {
                words.push(std::mem::take(&mut word));
            }
            continue;
        }
        inside ^= character == '"' && !escaped;
        escaped = character == '\\' && !escaped;
        word.push(character);
    }
    if !word.is_empty() {
        words.push(word);
    }
    words
}

#[cfg(test)]
mod tests {
    use super::statement;

    fn of(words: &[&str]) -> String {
        statement(&words.iter().map(|word| (*word).to_string()).collect::<Vec<_>>())
    }

    #[test]
    fn quotation_marks_are_put_back_where_the_language_wants_them() {
        for (words, wanted) in [
            (&["weighed", "water", "221.94", "g"][..], "weighed water 221.94 g"),
            (&["weighed water 3 g at 10:05"], "weighed water 3 g at 10:05"),
            (&["lot", "water", "still-3"], "lot water \"still-3\""),
            (&["lot", "water", "still", "41", "opened", "2026-01-02"], "lot water \"still 41\" opened 2026-01-02"),
            (&["lot", "water", "still 41", "opened", "2026-01-02"], "lot water \"still 41\" opened 2026-01-02"),
            (&["lot", "water", "\"still 41\""], "lot water \"still 41\""),
            (&["code", "HH-261120"], "code \"HH-261120\""),
            (&["lot a \"b  c\" assay 69 %"], "lot a \"b  c\" assay 69 %"),
            (&["note", "Thickened", "within", "the", "hour."], "note \"Thickened within the hour.\""),
            (&["note", "Clear at last.", "at", "10:05"], "note \"Clear at last.\" at 10:05"),
            (&["note \"Clear.\" by M."], "note \"Clear.\" by M."),
            (&["note", "said \"so\""], "note \"said \\\"so\\\"\""),
            (&["added", "soda", "1", "g", "because", "it", "was", "low"], "added soda 1 g because \"it was low\""),
            (
                &["weighed", "water", "3", "g", "by", "M.", "on", "2026-01-02"],
                "weighed water 3 g by \"M.\" on 2026-01-02",
            ),
            (&["reading", "pH", "3", "to", "4", "by", "strip"], "reading pH 3 to 4 by strip"),
            (&["filled", "12", "x", "30", "mL", "as", "NG-1"], "filled 12 x 30 mL as \"NG-1\""),
            (&["sold", "5", "to", "the", "shop", "on", "2026-01-02"], "sold 5 to \"the shop\" on 2026-01-02"),
            (&["formula", "a", "version", "1.2"], "formula a version \"1.2\""),
            (&["lot", "water \"still 41\"", "opened", "2026-01-02"], "lot water \"still 41\" opened 2026-01-02"),
            (&["observed", "a \\ b"], "observed \"a \\\\ b\""),
            (&["reading", "pH", "3,86"], "reading pH 3.86"),
            (&["weighed water 14,72g"], "weighed water 14.72g"),
            (&["weighed", "water", "0,125", "g"], "weighed water 0.125 g"),
            (&["weighed", "water", "1,500", "g"], "weighed water 1,500 g"),
            (&["note", "3,86", "read"], "note \"3,86 read\""),
            (
                &["struck", "reading", "pH", "38,6", "because", "typed", "wrong"],
                "struck reading pH 38.6 because \"typed wrong\"",
            ),
            (&["struck reading pH 38.6 because \"typed  wrong\""], "struck reading pH 38.6 because \"typed  wrong\""),
            (&["struck reading pH 38.6 because typed wrong"], "struck reading pH 38.6 because \"typed wrong\""),
            (
                &["struck", "added", "soda", "1", "g", "because", "it", "was", "low", "because", "typed", "twice"],
                "struck added soda 1 g because \"it was low\" because \"typed twice\"",
            ),
            (&["struck", "added", "soda", "1", "g", "because", "typed"], "struck added soda 1 g because \"typed\""),
            (
                &["struck", "removed", "5", "g", "because", "typed", "twice"],
                "struck removed 5 g because \"typed twice\"",
            ),
            (
                &["struck", "note", "It parted because hot", "because", "wrong batch"],
                "struck note \"It parted because hot\" because \"wrong batch\"",
            ),
            (&["struck", "lot", "water", "still 41", "because", "x"], "struck lot water \"still 41\" because \"x\""),
            (&["struck", "reading", "pH", "3"], "struck reading pH 3"),
            (&["struck", "reading", "pH", "3", "because"], "struck reading pH 3 because"),
            (&["struck"], "struck "),
            (&[], ""),
        ] {
            assert_eq!(of(words), wanted, "{words:?}");
        }
    }
}
