//! What a formula says of itself on the label that makes a medicine of it: that it heals, or that it screens the sun
//! where that is a drug.

use super::claim_words::{
    ADVICE, ALONE, AU, CA, COMPLAINTS, DISEASES, DOES, DRUGS_US, EU, NOT, ORDINARY_AFTER, SUN, SUN_AU, SUN_CA,
    SUN_OTHER, SUN_OTHER_IN_NAME, SUN_US, UK, US, US_DRUGS,
};
use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::{Formula, HeaderLine, LabelText};
use crate::syntax::vocabulary::Market;

/// A title, function, direction or warning that says it treats a disease, or promises protection from the sun in a
/// market where that is a drug. Of each text the first such words are told of.
pub fn medicinal(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if formula.is_stock() {
        return;
    }
    for said in &formula.texts {
        if let Some(words) = sentences(&said.text).iter().find_map(|sentence| heals(sentence, said)) {
            faults.push(healing(formula, said, &words));
        } else if let Some(words) = sentences(&said.text).iter().find_map(|sentence| screens(sentence, said)) {
            faults.extend(sun(formula, said, &words));
        } else if let Some(words) = sentences(&said.text).iter().find_map(|sentence| names_drug(sentence, said)) {
            faults.extend(drug(formula, said, &words));
        }
    }
}

fn healing(formula: &Formula, said: &LabelText, words: &str) -> Diagnostic {
    let message = format!("{} “{words}”: what is said to treat or heal is a medicine.", speaks(said));
    let markets = formula.markets.iter().map(|(market, _)| match market {
        Market::Eu => EU,
        Market::Us => US,
        Market::Uk => UK,
        Market::Ca => CA,
        Market::Au => AU,
    });
    let mut sources: Vec<&str> = markets.collect();
    if sources.is_empty() {
        sources = vec![EU, US];
    }
    Diagnostic::new(Code::ClaimMedicinal, said.place, message)
        .help("Say what it does for the look or feel of the skin, as “for very dry skin”, and name no disease.")
        .source(Some(sources.join("; ")))
}

fn sun(formula: &Formula, said: &LabelText, words: &str) -> Option<Diagnostic> {
    let drug = formula.markets.iter().filter_map(|(market, _)| match market {
        Market::Us => Some(("us", SUN_US)),
        Market::Ca => Some(("ca", SUN_CA)),
        Market::Au => Some(("au", SUN_AU)),
        Market::Eu | Market::Uk => None,
    });
    let drug: Vec<(&str, &str)> = drug.collect();
    if drug.is_empty() {
        return None;
    }
    let names: Vec<String> = drug.iter().map(|(market, _)| format!("`{market}`")).collect();
    let sources: Vec<&str> = drug.iter().map(|(_, source)| *source).collect();
    let message = format!(
        "{} “{words}”: in {} a product that screens the sun is no cosmetic.",
        speaks(said),
        names.join(" and ")
    );
    Some(
        Diagnostic::new(Code::ClaimMedicinal, said.place, message)
            .help("Take the claim out, or have it made and listed as the drug that it is there.")
            .source(Some(sources.join("; "))),
    )
}

/// A name that makes a drug of a product in the United States.
fn drug(formula: &Formula, said: &LabelText, words: &str) -> Option<Diagnostic> {
    formula.markets.iter().find(|(market, _)| *market == Market::Us)?;
    let message = format!("{} “{words}”: in `us` a product for that is a drug.", speaks(said));
    Some(
        Diagnostic::new(Code::ClaimMedicinal, said.place, message)
            .help("Name it by how the skin or the hair looks with it, or have it made and listed as the drug that it is there.")
            .source(Some(DRUGS_US.to_string())),
    )
}

/// Which text says it.
fn speaks(said: &LabelText) -> String {
    let says = if said.line == HeaderLine::Directions { "say" } else { "says" };
    format!("The {} {says}", said.line.word())
}

/// The sentences of a text, each as its words in small letters.
fn sentences(text: &str) -> Vec<Vec<String>> {
    let plain = text.to_lowercase().replace('’', "'");
    let ends = |letter: char| matches!(letter, '.' | '!' | '?' | ';' | ':' | '\n');
    let letters = |letter: char| !(letter.is_alphanumeric() || letter == '\'' || letter == '-');
    plain
        .split(ends)
        .map(|sentence| sentence.split(letters).filter(|word| !word.is_empty()).map(str::to_string).collect())
        .collect()
}

/// The place of a phrase in a sentence, as a range of words. A word that ends in `*` may end in anything.
fn find(sentence: &[String], phrase: &str) -> Option<std::ops::Range<usize>> {
    let wanted: Vec<&str> = phrase.split(' ').collect();
    let fits = |word: &String, wanted: &&str| match wanted.strip_suffix('*') {
        Some(stem) => word.starts_with(stem),
        None => word == wanted,
    };
    sentence
        .windows(wanted.len())
        .position(|words| words.iter().zip(&wanted).all(|(word, wanted)| fits(word, wanted)))
        .map(|at| at..at + wanted.len())
}

fn first(sentence: &[String], phrases: &[&str]) -> Option<std::ops::Range<usize>> {
    phrases.iter().filter_map(|phrase| find(sentence, phrase)).min_by_key(|range| range.start)
}

fn words(sentence: &[String], range: std::ops::Range<usize>) -> String {
    sentence.get(range).map(|words| words.join(" ")).unwrap_or_default()
}

fn says(sentence: &[String], list: &[&str]) -> bool {
    sentence.iter().any(|word| list.contains(&word.as_str()))
}

/// The words by which a sentence says that the product heals.
fn heals(sentence: &[String], said: &LabelText) -> Option<String> {
    if says(sentence, NOT) || says(sentence, ADVICE) {
        return None;
    }
    let disease = first(sentence, DISEASES).filter(|range| {
        let next = sentence.get(range.end).map(String::as_str);
        next != Some("prone") && !words(sentence, range.clone()).ends_with("-prone")
    });
    let complaint = first(sentence, COMPLAINTS);
    let does = first(sentence, DOES);
    if let (Some(does), Some(what)) = (&does, disease.as_ref().or(complaint.as_ref())) {
        let (from, to) = (does.start.min(what.start), does.end.max(what.end));
        return Some(words(sentence, from..to));
    }
    let alone = first(sentence, ALONE).filter(|range| {
        let next = sentence.get(range.end).map(String::as_str);
        !next.is_some_and(|next| ORDINARY_AFTER.contains(&next))
    });
    // A warning names diseases to keep people from harm; a name or a function promises.
    let promised = disease.filter(|_| said.is_name());
    alone.or(promised).map(|range| words(sentence, range))
}

/// The words by which a name or a function says what only a drug is for.
fn names_drug(sentence: &[String], said: &LabelText) -> Option<String> {
    let range = first(sentence, US_DRUGS).filter(|_| said.is_name() && !says(sentence, NOT))?;
    let is_kind_of_skin = sentence.get(range.end).is_some_and(|next| next == "prone");
    (!is_kind_of_skin).then(|| words(sentence, range))
}

/// The words by which a sentence promises protection from the sun. A direction or a warning mostly says to use a
/// sunscreen with it: there a number is what promises.
fn screens(sentence: &[String], said: &LabelText) -> Option<String> {
    let range = first(sentence, SUN)?;
    let before = range.start.checked_sub(1).and_then(|at| sentence.get(at)).map(String::as_str);
    let of_another = if said.is_name() { SUN_OTHER_IN_NAME } else { SUN_OTHER };
    let number = sentence.get(range.end).is_some_and(|next| next.starts_with(|letter: char| letter.is_ascii_digit()));
    let promises = said.is_name() || number;
    if !promises || before.is_some_and(|before| of_another.contains(&before)) || says(sentence, NOT) {
        return None;
    }
    let end = if number { range.end + 1 } else { range.end };
    Some(words(sentence, range.start..end))
}
