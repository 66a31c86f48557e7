//! The form of a source: whoever reads one on the shelf can find what it names, or is told that there is nothing.
//!
//! A source is one part or several with `; ` between them, the weakest first. A part may open with the field it
//! speaks of, and is one of five things: a law with its number and clause; a citation with author or body, title or
//! journal, year and place; `common practice, no source`; `from memory`, alone or with what it is from in brackets;
//! `computed from …`.

use std::collections::BTreeMap;
use stillroom::lookup::{SourceKind, known};
use stillroom::shelf::{ENTRIES, FILES, ShelfKind};

/// What a part of a source is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    Law,
    Citation,
    Computed,
    Practice,
    Memory,
}

impl Part {
    /// What it is worth, in the words of `stillroom shelf`.
    fn worth(self) -> SourceKind {
        match self {
            Part::Law | Part::Citation => SourceKind::Published,
            Part::Computed => SourceKind::Computed,
            Part::Practice => SourceKind::CommonPractice,
            Part::Memory => SourceKind::FromMemory,
        }
    }
}

/// How a part may open: with the fields it speaks of.
const FIELDS: &[&str] = &["molar mass and salt ", "molar mass ", "CAS ", "names ", "the rest "];

/// How a law is named: what stands before its number.
const ACTS: &[&str] =
    &["Regulation (EC) No ", "Regulation (EU) No ", "Regulation (EU) ", "Directive ", "SI ", "Pub. L. "];

/// How the place in a law is named: what stands before its number.
const CLAUSES: &[&str] =
    &["Annex ", "Annexes ", "entry ", "entries ", "Article ", "section ", "regulation ", "Schedule ", "point "];

/// Where in a work, or in which of its editions, the figure stands; a volume with its pages does as well.
const PLACES: &[&str] = &[
    "edition",
    "version ",
    "no. ",
    "p. ",
    "table ",
    "appendix ",
    "monograph ",
    "docket ",
    "section ",
    "entry ",
    "chapter ",
];

/// Words of sources that nobody could find.
const VAGUE: &[&str] =
    &["stored", "published", "encyclopedia", "texts", "summar", "literature", "reference table", "seen"];

fn has_digit_after(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| text[at + word.len()..].starts_with(|c: char| c.is_ascii_digit()))
}

/// What stands after the name of an act, from its number on.
fn after_act(part: &str) -> Option<&str> {
    let numbered = ACTS.iter().find(|act| has_digit_after(part, act)).and_then(|act| part.split_once(act));
    numbered.or_else(|| part.split_once(" Act, ")).map(|(_, after)| after)
}

fn is_law(part: &str) -> bool {
    // Title and section: 21 CFR 700.13.
    let federal = part.split_once(" CFR ").is_some_and(|(title, section)| {
        title.ends_with(|c: char| c.is_ascii_digit()) && section.starts_with(|c: char| c.is_ascii_digit())
    });
    federal || after_act(part).is_some_and(|after| CLAUSES.iter().any(|clause| after.contains(clause)))
}

/// The pieces between the commas that stand in no bracket.
fn pieces(part: &str) -> Vec<&str> {
    let (mut depth, mut from, mut found) = (0u32, 0, Vec::new());
    for (at, c) in part.char_indices() {
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            ',' if depth == 0 => {
                found.push(part[from..at].trim());
                from = at + 1;
            }
            _ => {}
        }
    }
    found.push(part[from..].trim());
    found
}

fn has_year(part: &str) -> bool {
    let numbers = part.split(|c: char| !c.is_ascii_digit());
    numbers.filter(|digits| digits.len() == 4).any(|digits| ("1800".."2100").contains(&digits))
}

/// A volume with its pages, `31 (2002) 231-370` or `31:231`, or the number of an opinion, `SCCS/1642/22`.
fn has_volume_or_number(part: &str) -> bool {
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let between = |sign: &str| {
        let mut at = part.match_indices(sign);
        at.any(|(at, _)| digit(part[..at].chars().next_back()) && digit(part[at + sign.len()..].chars().next()))
    };
    let by_year = part.match_indices(" (").any(|(at, _)| {
        let inside = part[at + 2..].split(')').next().unwrap_or_default();
        digit(part[..at].chars().next_back()) && inside.len() == 4 && has_year(inside)
    });
    by_year || between(":") || between("/")
}

fn is_citation(part: &str) -> bool {
    let small = part.to_lowercase();
    part.starts_with(char::is_uppercase)
        && pieces(part).len() >= 3
        && has_year(part)
        && (has_volume_or_number(part) || PLACES.iter().any(|place| small.contains(place)))
        && !VAGUE.iter().any(|word| small.contains(word))
}

/// What a part is; none where it has no form.
fn part_of(text: &str) -> Option<Part> {
    let text = FIELDS.iter().find_map(|field| text.strip_prefix(field)).unwrap_or(text);
    let text = text.strip_prefix("agrees with ").unwrap_or(text);
    let remembered = text.strip_prefix("from memory").is_some_and(|rest| {
        let inside = rest.strip_prefix(" (").and_then(|rest| rest.strip_suffix(')'));
        rest.is_empty() || inside.is_some_and(|inside| !inside.trim().is_empty())
    });
    match text {
        "common practice, no source" => Some(Part::Practice),
        _ if remembered => Some(Part::Memory),
        _ if text.starts_with("computed from ") || text.starts_with("computed by ") => Some(Part::Computed),
        _ if is_law(text) => Some(Part::Law),
        _ if is_citation(text) => Some(Part::Citation),
        _ => None,
    }
}

/// The parts of a source; none where one of them has no form. Beside the clause it changed, an act is named by its
/// number.
fn parts(source: &str) -> Option<Vec<Part>> {
    let amends = source.split("; ").any(is_law);
    let amending = |part: &str| (amends && after_act(part).is_some()).then_some(Part::Law);
    source.split("; ").map(|part| part_of(part).or_else(|| amending(part))).collect()
}

/// The sources of a file of the shelf, as they are written.
fn sources(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines().enumerate().flat_map(|(line, text)| {
        let after = text.split("source ").skip(1).filter_map(|after| after.trim_start().strip_prefix('"'));
        after.filter_map(move |after| Some((line + 1, after.split('"').next()?)))
    })
}

#[test]
fn every_source_of_the_shelf_has_its_form() {
    let mut without: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    let mut seen = 0;
    for file in FILES {
        for (line, source) in sources(file.text) {
            seen += 1;
            if parts(source).is_none() {
                without.entry(source).or_default().push(format!("shelf/{}:{line}", file.name));
            }
        }
    }
    assert!(seen > ENTRIES.len(), "{seen} sources found");
    assert!(without.is_empty(), "sources that nobody could find: {without:#?}");
}

/// What `stillroom shelf` says a fact is worth is what the weakest part of its source is worth.
#[test]
fn a_fact_is_worth_the_weakest_part_of_its_source() {
    for (number, entry) in (0u32..).zip(ENTRIES).filter(|(_, entry)| entry.kind != ShelfKind::Group) {
        for fact in known(number).unwrap().facts {
            let source = fact.source.unwrap();
            let Some(parts) = parts(&source.text) else { continue };
            let weakest = parts.into_iter().map(Part::worth).max().unwrap();
            assert_eq!(source.kind, weakest, "{}: its {}, from {:?}", entry.name, fact.about, source.text);
        }
    }
}

#[test]
fn what_nobody_could_find_has_no_form() {
    for source in [
        "",
        "stored excipient summaries",
        "published HLB tables",
        "published HLB tables (grade-dependent)",
        "stored safety texts on sodium hydroxide",
        "vitamin chemistry texts and chemical property tables",
        "US skin-protectant review texts and published usage notes",
        "biomedical engineering reference table",
        "encyclopedia data (4.10, 11.6)",
        "PMC4137601 table 2",
        "OCL journal 2022, ocl210096 table 4",
        "Dermatologic Surgery 2001, 27(2):137-142",
        "J. Soc. Cosmet. Chem. vol 18, 211-212",
        "CRC Handbook of Chemistry and Physics",
        "Cosmetic Ingredient Review (published panel conclusion)",
        "Regulation (EC) No 1223/2009",
        "Regulation (EU) 2023/1545; Regulation (EU) 2024/996",
        "US CARES Act 2020 OTC reform",
        "common practice",
        "from memory, more or less",
        "from memory ()",
        "molar mass from standard atomic masses",
        "common practice, no source; a table",
    ] {
        assert_eq!(parts(source), None, "{source:?}");
    }
}

#[test]
fn each_form_is_known() {
    use Part::{Citation, Computed, Law, Memory, Practice};
    for (source, wanted) in [
        ("Regulation (EC) No 1223/2009, Annex III, entry 98", vec![Law]),
        ("Commission Regulation (EU) 2024/996, adding entries 373-378 to Annex III", vec![Law]),
        ("a salt in the sense of Regulation (EC) No 1223/2009, Annex V, entry 2; CAS from memory", vec![Law, Memory]),
        ("Regulation (EC) No 1223/2009, Annex III, entry 366; Regulation (EU) 2023/1545", vec![Law, Law]),
        ("21 CFR 700.13", vec![Law]),
        ("Federal Food, Drug, and Cosmetic Act, section 505G", vec![Law]),
        ("SI 2013/1478, Schedule 1", vec![Law]),
        ("SCCS, Opinion on Alpha-arbutin and beta-arbutin, SCCS/1642/22, 2023", vec![Citation]),
        ("Fitch et al., Arginine: Its pKa Value Revisited, Protein Sci. 24 (2015) 752-761", vec![Citation]),
        ("Dean (ed.), Lange's Handbook of Chemistry, 15th edition, 1999, table 5.13", vec![Citation]),
        ("common practice, no source", vec![Practice]),
        ("from memory", vec![Memory]),
        ("from memory (Handbook of Pharmaceutical Excipients, 6th edition, 2009)", vec![Memory]),
        ("molar mass computed from standard atomic weights (IUPAC 2021); the rest from memory", vec![Computed, Memory]),
    ] {
        assert_eq!(parts(source), Some(wanted), "{source:?}");
    }
}
