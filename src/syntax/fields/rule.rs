//! The fields of a rule.

use super::field::Field;

/// The fields of a rule.
pub const RULE: &[Field] = &[
    Field {
        word: "market",
        form: "`market`",
        stands: "any number",
        means: "one or more of {markets}; `source` may follow, for who says so there",
        default: "any market",
        checks: "",
    },
    Field {
        word: "product",
        form: "`product`",
        stands: "any number",
        means: "as in a formula; all words of a line must be among the formula's, and one such line is enough",
        default: "every product",
        checks: "",
    },
    Field {
        word: "from",
        form: "`from DATE`",
        stands: "once",
        means: "the first day it holds",
        default: "always held",
        checks: "",
    },
    Field {
        word: "until",
        form: "`until DATE`",
        stands: "once",
        means: "the last day it holds",
        default: "has no end",
        checks: "",
    },
    Field {
        word: "when",
        form: "`when CONDITION`",
        stands: "any number",
        means: "see below; all of them must hold",
        default: "always",
        checks: "",
    },
    Field {
        word: "limit",
        form: "`limit X to P`",
        stands: "any number",
        means: "a substance or a group; `as acid` or `as NAME` may follow",
        default: "only the substances named, each by its own weight",
        checks: "`rule-broken`, `rule-unproven`",
    },
    Field {
        word: "require",
        form: "`require pH RANGE`",
        stands: "any number",
        means: "the pH that the whole window must be in",
        default: "",
        checks: "`rule-broken`, `rule-unproven`",
    },
    Field {
        word: "require",
        form: "`require X RANGE`",
        stands: "any number",
        means: "a substance or a group, and percentages",
        default: "",
        checks: "`rule-broken`, `rule-unproven`",
    },
    Field {
        word: "forbid",
        form: "`forbid X`",
        stands: "any number",
        means: "a substance or a group",
        default: "",
        checks: "`rule-forbids`, `rule-unproven`",
    },
    Field {
        word: "declare",
        form: "`declare X above P`",
        stands: "any number",
        means: "must be named on the label above that share",
        default: "",
        checks: "`declare-allergen`",
    },
    Field {
        word: "print",
        form: r#"`print "…"`"#,
        stands: "any number",
        means: "a statement that the label must carry",
        default: "",
        checks: "`rule-needs-statement`, `adjuster-not-counted`",
    },
    Field { word: "level", form: "`level WORD`", stands: "once", means: "{levels}", default: "`error`", checks: "" },
    Field { word: "because", form: r#"`because "…"`"#, stands: "once", means: "why", default: "", checks: "" },
    Field {
        word: "source",
        form: r#"`source "…"`"#,
        stands: "once",
        means: "where it stands written",
        default: "",
        checks: "",
    },
];

/// The conditions of a `when`.
pub const CONDITION: &[Field] = &[
    Field {
        word: "",
        form: "`X above P`",
        stands: "",
        means: "where there is more of it than that",
        default: "",
        checks: "",
    },
    Field {
        word: "",
        form: "`X below P`",
        stands: "",
        means: "where there is less of it than that",
        default: "",
        checks: "",
    },
    Field {
        word: "",
        form: "`X RANGE`",
        stands: "",
        means: "where the share is in the range",
        default: "",
        checks: "",
    },
    Field { word: "", form: "`pH RANGE`", stands: "", means: "where the window is", default: "", checks: "" },
];
