//! What stands at file level, and the small blocks there.

use super::field::Field;

/// What stands at file level.
pub const FILE: &[Field] = &[
    Field {
        word: "use",
        form: "`use`",
        stands: "any number",
        means: r#"the names of another file or of the shelf, brought in: `use "path.still"`, `use shelf/NAME`"#,
        default: "nothing is imported",
        checks: "`use-not-found`, `use-gone`, `use-cycle`, `use-outside`",
    },
    Field {
        word: "let",
        form: "`let NAME = EXPR`",
        stands: "any number",
        means: "a figure with a name, an [expression](#expressions), that every formula of the file may use: `let \
            acid = 2 %`",
        default: "",
        checks: "`let-unused`, `name-taken`, `expression-cycle`",
    },
    Field {
        word: "substance",
        form: "`substance NAME { }`",
        stands: "any number",
        means: "one entity that a label or a law speaks of, with its [facts](#substance): `substance silk { inci \
            \"Silk\" }`",
        default: "",
        checks: "`name-taken`",
    },
    Field {
        word: "material",
        form: "`material NAME { }`",
        stands: "any number",
        means: "a thing that is bought, with its strength and its other [facts](#material): `material silk { role \
            powder }`",
        default: "",
        checks: "`name-taken`, `name-reserved`, `material-unused`",
    },
    Field {
        word: "material",
        form: "`material NAME like OTHER { }`",
        stands: "any number",
        means: "a material that has the facts of another, with those that differ: `material my-water like water { \
            }`",
        default: "all of `OTHER`'s fields",
        checks: "`name-taken`, `name-reserved`, `material-unused`, `like-cycle`",
    },
    Field {
        word: "formula",
        form: "`formula NAME { }`",
        stands: "any number",
        means: "a formula, with its [header](#formula-header), its phases and its steps: `formula balm { }`",
        default: "",
        checks: "`name-taken`, `name-reserved`, `formula-cycle`",
    },
    Field {
        word: "variant",
        form: "`variant NAME of FORMULA { }`",
        stands: "any number",
        means: "a formula told by [what differs](#variant) from another: `variant light of balm { }`",
        default: "all of `FORMULA`",
        checks: "`name-taken`, `name-reserved`, `formula-cycle`",
    },
    Field {
        word: "group",
        form: "`group NAME = A, B`",
        stands: "any number",
        means: "[substances](#group) that a rule or a promise speaks of together: `group aha = glycolic-acid, \
            lactic-acid`",
        default: "",
        checks: "`name-taken`",
    },
    Field {
        word: "rule",
        form: "`rule NAME { }`",
        stands: "any number",
        means: "a limit with its source, and [what else it asks](#rule): `rule house-aha { limit aha to 10 % }`",
        default: "",
        checks: "`name-taken`",
    },
    Field {
        word: "batch",
        form: "`batch NAME { }`",
        stands: "any number",
        means: "the record of a batch, with [what happened](#batch) in the order of the bench: `batch sr-0417 { }`",
        default: "",
        checks: "`name-taken`",
    },
    Field {
        word: "maker",
        form: "`maker { }`",
        stands: "once, here or in a file that is used",
        means: r#"who makes it, with [what a label says of that](#maker): `maker { name "…" }`"#,
        default: "",
        checks: "",
    },
    Field {
        word: "container",
        form: "`container NAME { }`",
        stands: "any number",
        means: "what a product is filled into, with [what it holds and costs](#container): `container jar-30 { \
            holds 30 mL }`",
        default: "",
        checks: "`name-taken`",
    },
    Field {
        word: "rate",
        form: "`rate`",
        stands: "any number",
        means: "[one currency in another](#rate), on a day: `rate 1 USD = 0.92 EUR on 2026-11-01`",
        default: "",
        checks: "",
    },
    Field {
        word: "planned",
        form: "`planned NAME …`",
        stands: "any number",
        means: "[a formula to be made](#planned), and how much of it: the forms of [`makes`](#formula-header)",
        default: "",
        checks: "",
    },
    Field {
        word: "stock",
        form: "`stock { }`",
        stands: "any number",
        means: "[what goes into and out of the store room](#stock): `stock { bought glycerin 1 kg on 2026-11-02 }`",
        default: "",
        checks: "",
    },
];

/// What a group says.
pub const GROUP: &[Field] = &[Field {
    word: "group",
    form: "`group NAME = A, B`",
    stands: "file level, any number",
    means: "the substances of the group, with commas between: `group aha = glycolic-acid, lactic-acid`",
    default: "",
    checks: "`name-taken`, `name-unknown`",
}];

/// The fields of a maker.
pub const MAKER: &[Field] = &[
    Field {
        word: "name",
        form: r#"`name "…"`"#,
        stands: "once",
        means: r#"the name of the maker as it stands on the label: `name "The Hedge House"`"#,
        default: "",
        checks: "",
    },
    Field {
        word: "address",
        form: r#"`address "…"`"#,
        stands: "once",
        means: r#"where the maker is, as it stands on the label: `address "3 Mill Lane, Little Ford"`"#,
        default: "",
        checks: "",
    },
    Field {
        word: "contact",
        form: r#"`contact "…"`"#,
        stands: "once",
        means: "how the maker is reached, as it stands on the label",
        default: "",
        checks: "",
    },
    Field {
        word: "country",
        form: r#"`country "…"`"#,
        stands: "once",
        means: "the country of the maker, as it stands on the label",
        default: "",
        checks: "",
    },
    Field {
        word: "responsible",
        form: r#"`responsible MARKET "…"`"#,
        stands: "once for each market",
        means: "who answers for the product in `eu`, `us`, `uk`, `ca` or `au`: name, street and town",
        default: "the maker",
        checks: "",
    },
    Field {
        word: "code",
        form: r#"`code "…"`"#,
        stands: "once",
        means: "how the batches are called: text with `{yy}` or `{yyyy}`, `{mm}` and `{dd}` for the day one was begun; `record --new` fills it in",
        default: "no code is proposed",
        checks: "",
    },
];

/// The fields of a container.
pub const CONTAINER: &[Field] = &[
    Field {
        word: "holds",
        form: "`holds V`",
        stands: "once",
        means: "a volume or a weight, what the label says is in it: `holds 30 mL`",
        default: "nothing is filled into it: a lid, a sticker",
        checks: "",
    },
    Field {
        word: "overfill",
        form: "`overfill P`",
        stands: "once",
        means: "what is filled in beyond what it holds, in percent: `overfill 2 %`",
        default: "0 %",
        checks: "",
    },
    Field {
        word: "price",
        form: "`price M`, `price M per N`",
        stands: "any number, several on a line too",
        means: "the money for one, or for so many bought together: `price 54 EUR per 100`",
        default: "its cost is missing",
        checks: "",
    },
];

/// What a `planned` says.
pub const PLANNED: &[Field] = &[Field {
    word: "planned",
    form: "`planned NAME N x V plus P`",
    stands: "file level, any number",
    means: "a formula or variant, and a batch of it in any form of [`makes`](#formula-header); each line is one batch",
    default: "",
    checks: "",
}];

/// The statements of the store room.
pub const STOCK: &[Field] = &[
    Field {
        word: "counted",
        form: "`counted NAME W on DATE`",
        stands: "any number",
        means: "so much of a material, premix or container was there at the end of that day",
        default: "nothing is on hand before the first count or purchase",
        checks: "",
    },
    Field {
        word: "bought",
        form: "`bought NAME W on DATE`",
        stands: "any number",
        means: "so much of a material, premix or container came in; may add `lot \"…\"`, `for M`, `from \"…\"`, \
            `expires DATE`, in any order",
        default: "",
        checks: "",
    },
    Field {
        word: "spent",
        form: r#"`spent NAME W on DATE because "…"`"#,
        stands: "any number",
        means: r#"so much of a material, premix or container went out, and into no batch; may add `lot "…"`"#,
        default: "",
        checks: "",
    },
];

/// What a rate says.
pub const RATE: &[Field] = &[Field {
    word: "rate",
    form: "`rate M = M on DATE`",
    stands: "file level, any number",
    means: "what one currency is in another, on a day: `rate 1 USD = 0.92 EUR on 2026-11-01`",
    default: "currencies never mix",
    checks: "",
}];
