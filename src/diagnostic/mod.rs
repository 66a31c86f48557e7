//! The diagnostic as a value: code, level, message, places, help, fix, source. Only `render` turns it into text.

mod code;
mod place;

pub use code::{CATALOGUE, CatalogueEntry, Code, Family};
pub use place::{FileId, Place, Span};

/// How grave a diagnostic is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Level {
    /// No batch should be weighed.
    Error,
    /// Weigh with open eyes.
    Warning,
    /// Worth knowing.
    Note,
}

impl Level {
    /// The level by its word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Level> {
        [Level::Error, Level::Warning, Level::Note].into_iter().find(|level| level.word() == word)
    }

    /// The level as it is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Level::Error => "error",
            Level::Warning => "warning",
            Level::Note => "note",
        }
    }
}

/// A place with what is to be said of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Where.
    pub place: Place,
    /// What; may be empty on the primary label.
    pub text: String,
}

/// An edit that mends the fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fix {
    /// What is replaced.
    pub place: Place,
    /// What stands there afterwards.
    pub replacement: String,
    /// How sure the edit is. Whatever may change a weight, a percentage or what is meant is never [`Sureness::Safe`].
    pub sureness: Sureness,
}

/// How sure a fix is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sureness {
    /// Means what the maker meant, beyond doubt.
    Safe,
    /// Likely right; needs a look.
    NeedsALook,
}

/// How a diagnostic stands among others that are alike: as a row of one table, where there are several.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alike {
    /// What is said of all of them, `{count}` for how many there are. Those in which it differs are told apart.
    pub message: String,
    /// What to do about all of them.
    pub help: Option<String>,
    /// The heads of the columns.
    pub columns: &'static [&'static str],
    /// Its own row.
    pub cells: Vec<String>,
}

/// One fault, told once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// Which fault.
    pub code: Code,
    /// How grave.
    pub level: Level,
    /// One sentence that states the fault with the figures in it.
    pub message: String,
    /// The exact text at fault.
    pub primary: Label,
    /// Every other place that bears on it, in other files too.
    pub secondary: Vec<Label>,
    /// What to do, with the figure already worked out.
    pub help: Option<String>,
    /// The edit that mends it, where one edit does.
    pub fix: Option<Fix>,
    /// The law or standard behind it.
    pub source: Option<String>,
    /// The facts it rests on: it is no graver than the source of the weakest of them bears.
    pub rests_on: Vec<Place>,
    /// Its row, where several that are alike are printed as one.
    pub alike: Option<Box<Alike>>,
}

impl Diagnostic {
    /// A diagnostic of the code's usual level.
    #[must_use]
    pub fn new(code: Code, place: Place, message: impl Into<String>) -> Diagnostic {
        Diagnostic {
            code,
            level: code.entry().level,
            message: message.into(),
            primary: Label { place, text: String::new() },
            secondary: Vec::new(),
            help: None,
            fix: None,
            source: None,
            rests_on: Vec::new(),
            alike: None,
        }
    }

    /// Of another level than the code's usual one.
    #[must_use]
    pub fn at_level(mut self, level: Level) -> Diagnostic {
        self.level = level;
        self
    }

    /// Says something at the primary place.
    #[must_use]
    pub fn label(mut self, text: impl Into<String>) -> Diagnostic {
        self.primary.text = text.into();
        self
    }

    /// Points at a further place.
    #[must_use]
    pub fn and(mut self, place: Place, text: impl Into<String>) -> Diagnostic {
        self.secondary.push(Label { place, text: text.into() });
        self
    }

    /// Says what to do.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Diagnostic {
        self.help = Some(text.into());
        self
    }

    /// Says what to do, where there is something to say.
    #[must_use]
    pub fn help_if(mut self, text: Option<String>) -> Diagnostic {
        if text.is_some() {
            self.help = text;
        }
        self
    }

    /// Says which fact it rests on.
    #[must_use]
    pub fn rests_on(mut self, place: Place) -> Diagnostic {
        self.rests_on.push(place);
        self
    }

    /// Says which facts it rests on.
    #[must_use]
    pub fn rests_on_all(mut self, places: impl IntoIterator<Item = Place>) -> Diagnostic {
        self.rests_on.extend(places);
        self
    }

    /// Carries the edit that mends it.
    #[must_use]
    pub fn fix(mut self, place: Place, replacement: impl Into<String>, sureness: Sureness) -> Diagnostic {
        self.fix = Some(Fix { place, replacement: replacement.into(), sureness });
        self
    }

    /// Whether an edit mends it beyond doubt.
    #[must_use]
    pub fn is_surely_mended(&self) -> bool {
        self.fix.as_ref().is_some_and(|fix| fix.sureness == Sureness::Safe)
    }

    /// Stands with others that are alike in one table.
    #[must_use]
    pub fn alike(mut self, alike: Alike) -> Diagnostic {
        self.alike = Some(Box::new(alike));
        self
    }

    /// Names the law or standard behind it.
    #[must_use]
    pub fn source(mut self, source: Option<String>) -> Diagnostic {
        self.source = source;
        self
    }
}
