//! Statements of several words in one order, where a word is missing or in another place: how they are written, with the
//! names and figures that stand there.

use super::fault::{Broken, is_name};
use crate::syntax::context::Context;
use crate::syntax::grammar::Grammar;
use pest::Parser as _;

/// The words of these statements that are no names.
const WORDS: &[&str] = &[
    "acid",
    "acids",
    "as",
    "at",
    "bases",
    "binds",
    "by",
    "capacity",
    "constant",
    "hydroxide",
    "log",
    "moves",
    "of",
    "oxide",
    "precipitates",
    "to",
    "with",
];

impl Broken<'_> {
    /// How the statement is written whole, where it goes wrong at an offset; else how one like it is.
    pub(super) fn shape(&self, at: usize) -> Option<String> {
        let text = self.text.trim_end();
        let (whole, example) = match self.context {
            Context::Substance => of_substance(text)?,
            Context::Phase => of_titration(text).filter(|_| text.find("titrated").is_some_and(|word| word < at))?,
            _ => return None,
        };
        let whole = whole.filter(|whole| Grammar::parse(self.context.rule(), whole).is_ok());
        Some(match whole {
            Some(whole) => format!("Write `{}`.", whole.split_whitespace().collect::<Vec<_>>().join(" ")),
            None => format!("It is written so: `{example}`."),
        })
    }
}

/// A statement of a substance as it may be meant, and one like it.
fn of_substance(text: &str) -> Option<(Option<String>, &'static str)> {
    let (said, source) = text.split_at(text.find("source \"").unwrap_or(text.len()));
    let (opener, _) = said.split_once(char::is_whitespace).unwrap_or((said, ""));
    let pieces = Pieces::of(said);
    let (whole, example) = match opener {
        "binds" => (pieces.binds(), "binds zinc log K 4.76, 1.5"),
        "precipitates" => (pieces.precipitates(), "precipitates as hydroxide pKsp 15.5 to 16.7"),
        "oxide" => (pieces.names.first().map(|metal| format!("oxide of {metal}")), "oxide of zinc"),
        "hydroxide" => (pieces.names.first().map(|metal| format!("hydroxide of {metal}")), "hydroxide of magnesium"),
        "moves" => (
            pieces.moves().filter(|_| said.contains("bases")),
            "moves pKa of acids by 0.4 to 0.7, of bases by -0.3 to 0 at 25 %",
        ),
        "acid" if said.contains("capacity") => (acid_groups(said), "acid capacity 12.4 to 15.1 mmol/g pKa 4.5 to 6.5"),
        _ => return None,
    };
    Some((whole.map(|whole| format!("{whole} {source}").trim_end().to_string()), example))
}

/// What stands in a statement: figures without their units, and names.
#[derive(Default)]
struct Pieces<'t> {
    figures: Vec<&'t str>,
    names: Vec<&'t str>,
    says_hydroxide: bool,
}

impl<'t> Pieces<'t> {
    fn of(text: &'t str) -> Pieces<'t> {
        let mut pieces = Pieces::default();
        for word in text.split(|letter: char| letter.is_whitespace() || matches!(letter, ',' | ':')) {
            let figure = figure_of(word);
            if !figure.is_empty() {
                pieces.figures.push(figure);
            } else if word == "hydroxide" {
                pieces.says_hydroxide = true;
            } else if is_name(word) && !WORDS.contains(&word) {
                pieces.names.push(word);
            }
        }
        pieces
    }

    fn binds(&self) -> Option<String> {
        let metal = self.names.first()?;
        Some(format!("binds {metal} log K {}", self.figures.join(", ")))
    }

    fn precipitates(&self) -> Option<String> {
        let with = match self.names.first() {
            Some(acid) => format!("with {acid}"),
            None if self.says_hydroxide => "as hydroxide".to_string(),
            None => return None,
        };
        Some(format!("precipitates {with} pKsp {}", self.figures.join(" to ")))
    }

    fn moves(&self) -> Option<String> {
        let (acids, bases, share) = match *self.figures.as_slice() {
            [acids, bases, share] => (acids.to_string(), bases.to_string(), share),
            [a, b, c, d, share] => (format!("{a} to {b}"), format!("{c} to {d}"), share),
            _ => return None,
        };
        Some(format!("moves pKa of acids by {acids}, of bases by {bases} at {share} %"))
    }
}

/// The acid groups of a polymer, with the unit and the pKa in their places.
fn acid_groups(said: &str) -> Option<String> {
    let (groups, pka) = said.split_once("pKa")?;
    let (pka, with) = pka.split_at(pka.find("with").unwrap_or(pka.len()));
    let (groups, pka) = (Pieces::of(groups).figures.join(" to "), Pieces::of(pka).figures.join(" to "));
    Some(format!("acid capacity {groups} mmol/g pKa {pka} {with}"))
}

/// The figure that a word begins with; empty where it begins with none.
fn figure_of(word: &str) -> &str {
    let digits = word.strip_prefix(['+', '-']).unwrap_or(word);
    if !digits.starts_with(|letter: char| letter.is_ascii_digit()) {
        return "";
    }
    let sign = word.len() - digits.len();
    let end = digits.find(|letter: char| !letter.is_ascii_digit() && letter != '.').unwrap_or(digits.len());
    word.get(..sign + end).unwrap_or("")
}

/// A line with a beaker test, and a beaker test as it is written.
fn of_titration(text: &str) -> Option<(Option<String>, &'static str)> {
    let example = "titrated 50 g: 0 g to pH 3.9, 0.40 g to pH 5.2";
    let (before, said) = text.split_once("titrated").filter(|(before, _)| !before.contains('"'))?;
    let further = ["because", "allow", "hold back", "from"].iter().filter_map(|word| said.find(word)).min();
    let (said, after) = said.split_at(further.unwrap_or(said.len()));
    // Other units than grams are left to the maker.
    let in_grams = !["mg", "kg", "oz", "mL", "lb"].iter().any(|unit| said.contains(unit));
    let figures = Pieces::of(said).figures;
    let whole = match figures.split_first() {
        Some((sample, points)) if in_grams && !points.is_empty() && points.len() % 2 == 0 => {
            let points: Vec<String> = points.chunks(2).map(|point| point.join(" g to pH ")).collect();
            Some(format!("{before}titrated {sample} g: {} {after}", points.join(", ")))
        }
        _ => None,
    };
    Some((whole.map(|whole| whole.trim_end().to_string()), example))
}
