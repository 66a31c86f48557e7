//! The words by which a table says what stands in it, in the languages that makers here write: headings, totals, what is
//! left, and what is no more than a grade.

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heading {
    /// The phase.
    Phase,
    /// The name of a material.
    Name,
    /// Its INCI name.
    Inci,
    /// Its CAS number.
    Cas,
    /// Percent.
    Percent,
    /// Grams.
    Grams,
    /// A figure of a unit that the cells tell, or nothing.
    Amount,
    /// The unit of the figures beside it.
    Unit,
    /// Anything else, which is kept as it stands.
    Other,
}

const PHASE: &[&str] = &["phase", "phases", "ph", "teil", "fase", "fasis", "part", "φάση", "фаза"];
const NAME: &[&str] = &[
    "ingredient",
    "ingredients",
    "material",
    "materials",
    "raw material",
    "raw materials",
    "name",
    "trade name",
    "component",
    "components",
    "item",
    "what",
    "substance",
    "rohstoff",
    "rohstoffe",
    "zutat",
    "zutaten",
    "inhaltsstoff",
    "inhaltsstoffe",
    "bezeichnung",
    "ingrédient",
    "ingrédients",
    "matière première",
    "matières premières",
    "nom",
    "ingrediente",
    "ingredientes",
    "materia prima",
    "materias primas",
    "nombre",
    "ingredienti",
    "materie prime",
    "nome",
    "ingrediënt",
    "ingrediënten",
    "grondstof",
    "grondstoffen",
    "naam",
    "råvare",
    "råvara",
    "składnik",
    "surowiec",
];
const PERCENT: &[&str] = &[
    "%",
    "percent",
    "percentage",
    "per cent",
    "pct",
    "prozent",
    "anteil",
    "pourcentage",
    "porcentaje",
    "percentuale",
    "porcentagem",
    "procent",
    "percentage %",
];
const GRAMS: &[&str] = &[
    "g", "gr", "gram", "grams", "gramm", "grammes", "gramme", "gramos", "grammi", "weight", "gewicht", "einwaage",
    "poids", "peso", "masse", "mass", "weigh",
];
const AMOUNT: &[&str] = &[
    "amount",
    "amounts",
    "qty",
    "quantity",
    "menge",
    "quantité",
    "cantidad",
    "quantità",
    "hoeveelheid",
    "dose",
    "dosage",
    "concentration",
    "konzentration",
    "value",
    "ilość",
    "mængde",
    "mängd",
];
const UNIT: &[&str] = &[
    "unit",
    "units",
    "uom",
    "einheit",
    "einheiten",
    "maßeinheit",
    "masseinheit",
    "unité",
    "unités",
    "unidad",
    "unidades",
    "unità",
    "unità di misura",
    "unidade",
    "eenheid",
    "enhet",
    "enhed",
    "jednostka",
    "measure",
];
const TOTAL: &[&str] = &[
    "total",
    "totals",
    "sum",
    "summe",
    "gesamt",
    "gesamtmenge",
    "totale",
    "totaal",
    "somme",
    "suma",
    "soma",
    "in all",
    "all",
    "batch",
    "batch size",
    "total batch",
    "grand total",
    "zusammen",
    "summa",
    "razem",
    "ansatz",
    "subtotal",
    "sub total",
    "zwischensumme",
    "sous-total",
    "итого",
];
const METHOD: &[&str] = &[
    "method",
    "steps",
    "procedure",
    "process",
    "instructions",
    "directions",
    "how to",
    "how",
    "making",
    "preparation",
    "herstellung",
    "zubereitung",
    "anleitung",
    "arbeitsweise",
    "mode opératoire",
    "préparation",
    "modo de preparo",
    "elaboración",
    "preparación",
    "preparazione",
    "procedimento",
    "bereiding",
    "werkwijze",
    "notes",
    "note",
    "notizen",
    "remarks",
    "instructions:",
    "what to do",
];
/// What says no more than how well a material is kept or made; it leads to the same line of the shelf.
const GRADES: &[&str] = &[
    "organic",
    "bio",
    "natural",
    "virgin",
    "extra",
    "cold",
    "pressed",
    "cold-pressed",
    "coldpressed",
    "usp",
    "bp",
    "grade",
    "cosmetic",
    "pure",
    "vegetable",
    "veg",
    "distilled",
    "deionised",
    "deionized",
    "demineralised",
    "demineralized",
    "purified",
    "filtered",
    "boiled",
    "sterile",
    "dest",
    "demin",
    "destilliert",
    "destilliertes",
    "dist",
    "ph.eur",
    "food",
    "raw",
    "our",
    "the",
    "of",
    "a",
    "distillée",
    "distillata",
    "destilada",
    "kaltgepresst",
    "nativ",
];

/// What stands for "the rest, up to a hundred" at the beginning of a cell, the longer before the shorter.
const REST: &[&str] = &[
    "q.s.p.",
    "q.s.p",
    "q. s. p.",
    "q.s.",
    "q.s",
    "q. s.",
    "qsp",
    "qs",
    "c.s.p.",
    "c.s.p",
    "csp",
    "c.b.p.",
    "cbp",
    "remainder",
    "remaining",
    "the rest",
    "rest",
    "restant",
    "reste",
    "restante",
    "resto",
    "balance",
    "to balance",
    "bal.",
    "bal",
    "as needed",
    "quantum satis",
];
/// What stands before the hundred.
const UP_TO: &[&str] = &[
    "up to",
    "to make",
    "make up to",
    "fill to",
    "add to",
    "to",
    "ad",
    "add",
    "auf",
    "hasta",
    "tot",
    "aan",
    "à",
    "a",
    "até",
    "fino a",
    "auffüllen auf",
];

/// A text in small letters without the marks that stand around a word.
pub fn bare(text: &str) -> String {
    let around = |c: char| c.is_whitespace() || matches!(c, '*' | '_' | '`' | ':' | '#' | '=' | '"' | '\'' | '•');
    text.trim_matches(around).to_lowercase()
}

/// What a heading says of its column; none where it is no heading that is known.
pub fn heading(text: &str) -> Option<Heading> {
    let text = bare(text);
    let words = text.split(['(', '[', '/', ',']).next().unwrap_or("").trim().trim_end_matches('.').to_string();
    let is = |list: &[&str]| list.contains(&text.as_str()) || list.contains(&words.as_str());
    let grams_within = ["(g)", "[g]", "in g", " g", "gram"].iter().any(|unit| text.contains(unit));
    let money = ["€", "$", "£", "eur", "price", "preis", "prix", "cost", "kosten", "coût"];
    if money.iter().any(|word| text.contains(word)) {
        return Some(Heading::Other);
    }
    Some(match () {
        () if is(PHASE) => Heading::Phase,
        () if text.contains("inci") => Heading::Inci,
        () if text == "cas" || text.starts_with("cas ") || text.starts_with("cas-") => Heading::Cas,
        () if is(NAME) => Heading::Name,
        () if is(PERCENT) || text.contains('%') || text.contains("w/w") => Heading::Percent,
        () if is(GRAMS) || grams_within && (is(AMOUNT) || figure_and_grams(&text)) => Heading::Grams,
        () if is(AMOUNT) => Heading::Amount,
        () if is(UNIT) => Heading::Unit,
        () => return None,
    })
}

/// Whether a heading is a weight by itself: `200 g`, `for 500 g`.
fn figure_and_grams(text: &str) -> bool {
    let has_figure = text.contains(|c: char| c.is_ascii_digit());
    has_figure && (text.ends_with(" g") || text.ends_with("gram") || text.ends_with("grams") || digit_then_g(text))
}

fn digit_then_g(text: &str) -> bool {
    text.strip_suffix('g').is_some_and(|rest| rest.ends_with(|c: char| c.is_ascii_digit()))
}

/// Whether a cell opens a row of totals.
pub fn is_total(text: &str) -> bool {
    let text = bare(text);
    text == "σ" || text == "∑" || TOTAL.contains(&text.trim_end_matches('.'))
}

/// Whether a line opens what is told of the making.
pub fn opens_method(text: &str) -> bool {
    let text = bare(text);
    let head = text.split([':', '-']).next().unwrap_or("").trim();
    METHOD.contains(&text.as_str()) || text.contains(':') && METHOD.contains(&head)
}

/// Whether a word of a name is no more than a grade.
pub fn is_grade(word: &str) -> bool {
    GRADES.contains(&word.trim_matches(|c: char| !c.is_alphanumeric()))
}

/// What follows a word for the rest at the beginning of a text; none where none stands there.
pub fn after_rest(text: &str) -> Option<&str> {
    after_any(text, REST)
}

/// What follows `up to`, `ad` and the like; none where none stands there.
pub fn after_up_to(text: &str) -> Option<&str> {
    after_any(text, UP_TO)
}

/// What follows the longest of some words, where no letter follows it.
fn after_any<'t>(text: &'t str, words: &[&str]) -> Option<&'t str> {
    let found = words.iter().filter_map(|word| Some((word.len(), text.strip_prefix(word)?)));
    let whole = found.filter(|(_, rest)| !rest.starts_with(char::is_alphanumeric));
    whole.max_by_key(|(length, _)| *length).map(|(_, rest)| rest.trim_start_matches([' ', '.', ':', ',']))
}
