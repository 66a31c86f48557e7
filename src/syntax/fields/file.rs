//! What stands at file level, and the small blocks there.

use super::field::Field;

/// What stands at file level.
pub const FILE: &[Field] = &[
    Field {
        word: "use",
        form: "`use`",
        stands: "any number",
        means: r#"`use "path.still"`, `use shelf/NAME`"#,
        default: "nothing is imported",
        checks: "`use-not-found`, `use-gone`, `use-cycle`, `use-outside`",
    },
    Field {
        word: "let",
        form: "`let NAME = EXPR`",
        stands: "any number",
        means: "an [expression](#expressions)",
        default: "",
        checks: "`let-unused`, `name-taken`, `expression-cycle`",
    },
    Field {
        word: "substance",
        form: "`substance NAME { }`",
        stands: "any number",
        means: "[fields](#substance)",
        default: "",
        checks: "`name-taken`",
    },
    Field {
        word: "material",
        form: "`material NAME { }`",
        stands: "any number",
        means: "[fields](#material)",
        default: "",
        checks: "`name-taken`, `name-reserved`, `material-unused`",
    },
    Field {
        word: "material",
        form: "`material NAME like OTHER { }`",
        stands: "any number",
        means: "the fields that differ",
        default: "all of `OTHER`'s fields",
        checks: "`name-taken`, `name-reserved`, `material-unused`, `like-cycle`",
    },
    Field {
        word: "formula",
        form: "`formula NAME { }`",
        stands: "any number",
        means: "[header](#formula-header), phases, steps",
        default: "",
        checks: "`name-taken`, `name-reserved`, `formula-cycle`",
    },
    Field {
        word: "variant",
        form: "`variant NAME of FORMULA { }`",
        stands: "any number",
        means: "[what differs](#variant)",
        default: "all of `FORMULA`",
        checks: "`name-taken`, `name-reserved`, `formula-cycle`",
    },
    Field {
        word: "group",
        form: "`group NAME = A, B`",
        stands: "any number",
        means: "[substances](#group)",
        default: "",
        checks: "`name-taken`",
    },
    Field {
        word: "rule",
        form: "`rule NAME { }`",
        stands: "any number",
        means: "[fields](#rule)",
        default: "",
        checks: "`name-taken`",
    },
    Field {
        word: "batch",
        form: "`batch NAME { }`",
        stands: "any number",
        means: "[statements](#batch)",
        default: "",
        checks: "`name-taken`",
    },
    Field { word: "maker", form: "`maker { }`", stands: "once", means: "[fields](#maker)", default: "", checks: "" },
    Field {
        word: "container",
        form: "`container NAME { }`",
        stands: "any number",
        means: "[fields](#container)",
        default: "",
        checks: "`name-taken`",
    },
    Field {
        word: "rate",
        form: "`rate`",
        stands: "any number",
        means: "[one currency in another](#rate)",
        default: "",
        checks: "",
    },
];

/// What a group says.
pub const GROUP: &[Field] = &[Field {
    word: "group",
    form: "`group NAME = A, B`",
    stands: "file level, any number",
    means: "substances, with commas between",
    default: "",
    checks: "`name-taken`, `name-unknown`",
}];

/// The fields of a maker.
pub const MAKER: &[Field] = &[
    Field { word: "name", form: r#"`name "…"`"#, stands: "once", means: "as on the label", default: "", checks: "" },
    Field {
        word: "address",
        form: r#"`address "…"`"#,
        stands: "once",
        means: "where the maker is",
        default: "",
        checks: "",
    },
    Field {
        word: "contact",
        form: r#"`contact "…"`"#,
        stands: "once",
        means: "how the maker is reached",
        default: "",
        checks: "",
    },
    Field {
        word: "country",
        form: r#"`country "…"`"#,
        stands: "once",
        means: "the country of the maker",
        default: "",
        checks: "",
    },
];

/// The fields of a container.
pub const CONTAINER: &[Field] = &[
    Field { word: "holds", form: "`holds V`", stands: "once", means: "a volume or a weight", default: "", checks: "" },
    Field { word: "price", form: "`price M`", stands: "any number", means: "money for one", default: "", checks: "" },
];

/// What a rate says.
pub const RATE: &[Field] = &[Field {
    word: "rate",
    form: "`rate M = M on DATE`",
    stands: "file level, any number",
    means: "one currency in another, on a day",
    default: "currencies never mix",
    checks: "",
}];
