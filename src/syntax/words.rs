//! What the grammar's rules are called in trade words, and words that are told of by name.

use super::Rule;

/// What a rule of the grammar is called when it is told of as missing; none for rules a maker is never told of.
#[must_use]
pub fn expected(rule: Rule) -> Option<&'static str> {
    Some(match rule {
        Rule::name => "a name in lower case (`glycolic-acid-70`)",
        Rule::phase_name => "a phase's name (`A`)",
        Rule::word | Rule::any_word => "a word",
        Rule::string => "text in double quotes",
        Rule::number => "a number",
        Rule::quantity => "a figure with its unit (`3 %`)",
        Rule::unit => "a unit",
        Rule::date => "a date (`2026-11-25`)",
        Rule::time => "a time (`14:05`)",
        Rule::amount | Rule::qs | Rule::qs_to_ph => "an amount (`3 %`, `8 % active`, `q.s.`)",
        Rule::paren => "an expression in brackets",
        Rule::figure_name => "the name of a `let`",
        Rule::range | Rule::between | Rule::up_to | Rule::at_least | Rule::at_most => {
            "a range (`2 % to 5 %`, `up to 5 %`, `at least 2 %`)"
        }
        Rule::ph_range => "a pH range (`pH 3.6 to 4.0`)",
        Rule::because => "`because \"…\"`",
        Rule::hold_back => "`hold back …`",
        Rule::from => "`from …`",
        Rule::titrated => "`titrated …`",
        Rule::titration_point => "a weight and the pH it led to (`0.40 g to pH 5.2`)",
        Rule::of_target => "`of …`",
        Rule::active_mark => "`active`",
        Rule::plus => "`plus …`",
        Rule::above => "`above …`",
        Rule::below => "`below …`",
        Rule::outside => "`outside pH …`",
        Rule::counted_as => "`as …`",
        Rule::pka_list => "`pKa` and its figures",
        Rule::as_hydroxide => "`as hydroxide`",
        Rule::acid_or_base => "`acid` or `base`",
        Rule::component => "a substance with its strength",
        Rule::price_break => "a price (`18.40 EUR per 500 g`)",
        Rule::like => "`like …`",
        Rule::remainder => "`remainder`",
        Rule::maker_word => "`name`, `address`, `contact` or `country`",
        Rule::body => "what is asked (`limit`, `require`, `forbid`, `declare`, `print`)",
        Rule::on_date => "`on` and a date",
        Rule::at_time => "`at` and a time",
        Rule::by_whom => "`by \"…\"`",
        Rule::makes_count => "a count (`12 x 30 mL`)",
        Rule::add_sign | Rule::times_sign => "`+`, `-`, `*` or `/`",
        Rule::shelf_path => "a file of the shelf (`shelf/all`)",
        Rule::to_weight => "`to` and a weight",
        _ => return None,
    })
}

/// The words that open a header line.
pub const HEADER: &[&str] = &[
    "title",
    "version",
    "product",
    "market",
    "makes",
    "density",
    "scale",
    "meter",
    "pH",
    "date",
    "water-activity",
    "lasts",
    "opened",
    "function",
    "directions",
    "warning",
    "declare",
];

/// The fields whose value is text.
pub const TEXT_FIELDS: &[&str] = &[
    "title",
    "version",
    "function",
    "directions",
    "warning",
    "name",
    "inci",
    "us",
    "ci",
    "cas",
    "supplier",
    "note",
    "caution",
    "source",
    "address",
    "contact",
    "country",
];

/// Words that open a statement inside a phase, and so cannot name a material.
pub const RESERVED: &[&str] = &["heat", "cool", "allow", "add"];

/// Measures that are no weight.
pub const LOOSE_MEASURES: &[&str] = &[
    "drop",
    "drops",
    "gtt",
    "cup",
    "cups",
    "spoon",
    "spoons",
    "spoonful",
    "spoonfuls",
    "teaspoon",
    "teaspoons",
    "tsp",
    "tablespoon",
    "tablespoons",
    "tbsp",
    "dash",
    "dashes",
    "pinch",
    "pinches",
    "splash",
    "glug",
    "squirt",
    "pump",
    "pumps",
    "handful",
    "scoop",
    "scoops",
    "capful",
];
