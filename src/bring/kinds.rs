//! Formulas of a kind, to begin from: a gel, a cream, a balm, a wash, a toner.

use super::comment::string;
use super::write::formula_name;

/// A kind of formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Water, thickened.
    Gel,
    /// Oil in water.
    Cream,
    /// Oils, a butter and a wax.
    Balm,
    /// Surfactants in water.
    Wash,
    /// Water with a little in it.
    Toner,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Kind; 5] = [Kind::Gel, Kind::Cream, Kind::Balm, Kind::Wash, Kind::Toner];

    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Kind::Gel => "gel",
            Kind::Cream => "cream",
            Kind::Balm => "balm",
            Kind::Wash => "wash",
            Kind::Toner => "toner",
        }
    }

    /// The kind that a word stands for.
    #[must_use]
    pub fn of_word(word: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// What it is, in a sentence.
    #[must_use]
    pub fn is(self) -> &'static str {
        match self {
            Kind::Gel => "A clear, light gel: water thickened with a gum, and what holds water on the skin.",
            Kind::Cream => "A cream of oil in water, with an emulsifier that joins the two.",
            Kind::Balm => "A balm of oils, a butter and a wax, without water.",
            Kind::Wash => "A mild wash for the face, by the active matter of its surfactants.",
            Kind::Toner => "A toner: water with a little in it, and nothing that thickens.",
        }
    }

    fn text(self) -> &'static str {
        match self {
            Kind::Gel => include_str!("kinds/gel.still"),
            Kind::Cream => include_str!("kinds/cream.still"),
            Kind::Balm => include_str!("kinds/balm.still"),
            Kind::Wash => include_str!("kinds/wash.still"),
            Kind::Toner => include_str!("kinds/toner.still"),
        }
    }

    /// A formula of this kind under a name: the text of a `.still` file that checks without an error or a warning. What
    /// is no name of the language is made one, and the title is the name as it was given.
    #[must_use]
    pub fn formula(self, name: &str) -> String {
        let word = self.word();
        let text =
            self.text().replace(&format!("formula new-{word} {{"), &format!("formula {} {{", formula_name(name)));
        let title = title_of(name);
        match string(&title).filter(|_| !title.is_empty()) {
            Some(title) => text.replace(&format!("\"New {word}\""), &title),
            None => text,
        }
    }
}

/// `day-cream` as a title: `Day cream`.
fn title_of(name: &str) -> String {
    let spaced = name.trim().replace(['-', '_'], " ");
    let mut letters = spaced.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
