//! A file of the shelf read into declarations with the words of their fields.
//!
//! No more is read than an index has to know; that it is what the parser reads, a test holds. So `build.rs` needs no
//! parser, and is built in a moment.

/// A file of the shelf as it is read. What is made of it lives on in the index.
#[derive(Debug)]
pub struct File {
    /// Its name, as `use shelf/NAME` has it.
    pub name: &'static str,
    /// Its text.
    pub text: &'static str,
}

/// What a statement is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Token<'t> {
    Word(&'t str),
    /// What stands between two quotation marks.
    Text(&'t str),
    /// `,` or `=`, after which a statement goes on over the line's end.
    Joint,
    Open,
    Close,
    LineEnd,
}

/// The words and texts of a statement.
#[derive(Debug, Default)]
pub struct Statement<'t>(Vec<Token<'t>>);

impl<'t> Statement<'t> {
    /// The word at a place, where a word stands there.
    pub fn word(&self, at: usize) -> Option<&'t str> {
        match self.0.get(at) {
            Some(Token::Word(word)) => Some(word),
            _ => None,
        }
    }

    /// The words from a place on.
    pub fn words_from(&self, at: usize) -> impl Iterator<Item = &'t str> + '_ {
        self.0.iter().skip(at).filter_map(|token| if let Token::Word(word) = token { Some(*word) } else { None })
    }

    /// The text after its first word.
    pub fn text(&self) -> Option<&'t str> {
        match self.0.get(1) {
            Some(Token::Text(text)) => Some(text),
            _ => None,
        }
    }

    /// The texts before its source.
    pub fn texts(&self) -> impl Iterator<Item = &'t str> + '_ {
        let told = self.0.iter().take_while(|token| **token != Token::Word("source"));
        told.filter_map(|token| if let Token::Text(text) = token { Some(*text) } else { None })
    }

    fn goes_on(&self) -> bool {
        self.0.last() == Some(&Token::Joint)
    }
}

/// A statement of the file, with the fields of its block.
#[derive(Debug)]
pub struct Declaration<'t> {
    /// What opens it.
    pub head: Statement<'t>,
    /// What its block holds.
    pub fields: Vec<Statement<'t>>,
    /// Its first byte.
    pub start: usize,
    /// The byte after its last.
    pub end: usize,
}

/// The declarations of a file, in their order; else what is wrong, with the line.
pub fn read(text: &str) -> Result<Vec<Declaration<'_>>, String> {
    let mut done = Vec::new();
    // The block that is open, the statement that is being read, and where the one at file level starts and ends.
    let mut open: Option<Declaration<'_>> = None;
    let mut statement = Statement::default();
    let (mut start, mut end, mut at) = (0, 0, 0);
    while at < text.len() {
        let told = |what: &str| format!("line {}: {what}", text.get(..at).unwrap_or("").matches('\n').count() + 1);
        let Some((token, from, after)) = next(text, at) else { return Err(told("a text that is not closed")) };
        match token {
            Token::Open if open.is_some() => return Err(told("a block in a block, of which the shelf has none")),
            Token::Open => {
                open = Some(Declaration { head: std::mem::take(&mut statement), fields: Vec::new(), start, end: 0 });
            }
            Token::Close => {
                let Some(mut block) = open.take() else { return Err(told("a brace that closes nothing")) };
                block.fields.extend(Some(std::mem::take(&mut statement)).filter(|field| !field.0.is_empty()));
                done.push(Declaration { end: after, ..block });
            }
            Token::LineEnd if statement.0.is_empty() || statement.goes_on() => {}
            Token::LineEnd => match &mut open {
                Some(block) => block.fields.push(std::mem::take(&mut statement)),
                None => {
                    done.push(Declaration { head: std::mem::take(&mut statement), fields: Vec::new(), start, end });
                }
            },
            Token::Word(_) | Token::Text(_) | Token::Joint => {
                if statement.0.is_empty() && open.is_none() {
                    start = from;
                }
                end = after;
                statement.0.push(token);
            }
        }
        at = after;
    }
    match open {
        Some(_) => Err("its last block is never closed".into()),
        None if !statement.0.is_empty() => Err("its last line has no end".into()),
        None => Ok(done),
    }
}

/// The token at an offset, after the blanks there, with its first byte and the byte after its last; none where a text
/// is not closed. A comment ends a line.
fn next(text: &str, at: usize) -> Option<(Token<'_>, usize, usize)> {
    let rest = text.get(at..)?.trim_start_matches([' ', '\t', '\r']);
    let at = text.len() - rest.len();
    let (token, length) = match rest.chars().next().unwrap_or('\n') {
        '\n' => (Token::LineEnd, rest.len().min(1)),
        '#' => (Token::LineEnd, rest.find('\n').map_or(rest.len(), |end| end + 1)),
        '{' => (Token::Open, 1),
        '}' => (Token::Close, 1),
        ',' | '=' => (Token::Joint, 1),
        '"' => {
            let inside = rest.get(1..)?;
            let value = inside.get(..closing_quote(inside)?)?;
            (Token::Text(value), value.len() + 2)
        }
        _ => {
            let ends = |letter: char| letter.is_whitespace() || "{},=\"#".contains(letter);
            let word = rest.get(..rest.find(ends).unwrap_or(rest.len()))?;
            (Token::Word(word), word.len())
        }
    };
    Some((token, at, at + length))
}

/// Where the quotation mark stands that closes a text.
fn closing_quote(inside: &str) -> Option<usize> {
    let mut escaped = false;
    for (at, letter) in inside.char_indices() {
        match letter {
            '\n' => return None,
            '"' if !escaped => return Some(at),
            _ => escaped = letter == '\\' && !escaped,
        }
    }
    None
}
