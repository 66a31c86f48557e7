//! What the grammar's rules are called in trade words, and which words may open a statement where.

use super::Rule;

/// What a rule of the grammar is called when it is told of as missing; none for rules a maker is never told of.
#[must_use]
pub fn expected(rule: Rule) -> Option<&'static str> {
    Some(match rule {
        Rule::name => "a name in lower case (`glycolic-acid-70`)",
        Rule::phase_name => "a phase's name (`A`)",
        Rule::word => "a word",
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
        Rule::of_target => "`of …`",
        Rule::active_mark => "`active`",
        Rule::plus => "`plus …`",
        Rule::above => "`above …`",
        Rule::below => "`below …`",
        Rule::outside => "`outside pH …`",
        Rule::counted_as => "`as …`",
        Rule::pka_list => "`pKa` and its figures",
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

/// Where in a file a statement stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Context {
    /// At file level.
    File,
    /// In a maker.
    Maker,
    /// In a container.
    Container,
    /// In a substance.
    Substance,
    /// In a material.
    Material,
    /// In a formula.
    Formula,
    /// In a phase.
    Phase,
    /// In the steps.
    Steps,
    /// In a variant.
    Variant,
    /// In a phase of a variant.
    VariantPhase,
    /// In a rule.
    Rule,
    /// In a batch.
    Batch,
    /// In a plan.
    Plan,
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

impl Context {
    /// The rule that parses one statement alone.
    #[must_use]
    pub fn lone(self) -> Rule {
        match self {
            Context::File => Rule::lone_declaration,
            Context::Maker => Rule::lone_maker,
            Context::Container => Rule::lone_container,
            Context::Substance => Rule::lone_substance,
            Context::Material => Rule::lone_material,
            Context::Formula => Rule::lone_formula,
            Context::Phase => Rule::lone_phase,
            Context::Steps => Rule::lone_step,
            Context::Variant => Rule::lone_variant,
            Context::VariantPhase => Rule::lone_variant_phase,
            Context::Rule => Rule::lone_rule,
            Context::Batch => Rule::lone_batch,
            Context::Plan => Rule::lone_plan,
        }
    }

    /// The place in words: "in a phase".
    #[must_use]
    pub fn place(self) -> &'static str {
        match self {
            Context::File => "in a file",
            Context::Maker => "in a maker",
            Context::Container => "in a container",
            Context::Substance => "in a substance",
            Context::Material => "in a material",
            Context::Formula => "in a formula",
            Context::Phase => "in a phase",
            Context::Steps => "in the steps",
            Context::Variant => "in a variant",
            Context::VariantPhase => "in a phase of a variant",
            Context::Rule => "in a rule",
            Context::Batch => "in a batch",
            Context::Plan => "in a plan",
        }
    }

    /// The words that open a statement here; empty where a name does.
    #[must_use]
    pub fn openers(self) -> Vec<&'static str> {
        let with_header = |more: &[&'static str]| [more, HEADER].concat();
        match self {
            Context::File => vec![
                "use",
                "let",
                "substance",
                "material",
                "formula",
                "variant",
                "group",
                "rule",
                "batch",
                "maker",
                "container",
                "rate",
            ],
            Context::Maker => vec!["name", "address", "contact", "country"],
            Context::Container => vec!["holds", "price"],
            Context::Substance => vec![
                "inci",
                "us",
                "ci",
                "cas",
                "molar-mass",
                "acid",
                "base",
                "ampholyte",
                "strong",
                "ion",
                "neutral",
                "salt",
                "hydrolyses",
                "water",
                "dissolves",
                "preserves",
                "spoils",
                "allergen",
                "fragrance",
                "colourant",
                "nano",
                "charge",
                "source",
            ],
            Context::Material => vec![
                "name",
                "contains",
                "role",
                "phase",
                "use",
                "works",
                "stays",
                "needs",
                "dissolves",
                "hydrates",
                "hlb",
                "required-hlb",
                "keeps",
                "protects",
                "avoid",
                "as",
                "supplier",
                "note",
                "caution",
                "density",
                "price",
                "source",
            ],
            Context::Formula => with_header(&["phase", "steps", "ensure", "allow", "let"]),
            Context::Phase | Context::Steps | Context::Plan => Vec::new(),
            Context::Variant => with_header(&["set", "swap", "remove", "phase", "steps", "ensure", "allow", "let"]),
            Context::VariantPhase => vec!["add", "heat", "cool", "allow"],
            Context::Rule => vec![
                "limit", "require", "forbid", "declare", "print", "when", "market", "product", "from", "until",
                "level", "because", "source",
            ],
            Context::Batch => vec![
                "formula",
                "started",
                "size",
                "lot",
                "calibrated",
                "weighed",
                "added",
                "removed",
                "reading",
                "topped-up",
                "waited",
                "heated",
                "cooled",
                "yield",
                "filled",
                "retained",
                "sold",
                "released",
                "rejected",
                "observed",
                "complaint",
                "note",
                "plan",
            ],
        }
    }
}

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
