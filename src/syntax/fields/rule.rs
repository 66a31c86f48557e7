//! The fields of a rule.

use super::field::Field;

/// The fields of a rule.
pub const RULE: &[Field] = &[
    Field {
        word: "market",
        form: "`market`",
        stands: "any number",
        means: "the markets it is a rule of, one or more of {markets}: `market eu`; `source` may follow, for who \
            says so there",
        default: "any market",
        checks: "",
    },
    Field {
        word: "product",
        form: "`product`",
        stands: "any number",
        means: "the products it holds for, in the words of a formula: `product leave-on`; all words of a line \
            must be among the formula's, and one such line is enough",
        default: "every product",
        checks: "",
    },
    Field {
        word: "from",
        form: "`from DATE`",
        stands: "once",
        means: "the first day it holds: `from 2027-02-01`",
        default: "always held",
        checks: "",
    },
    Field {
        word: "until",
        form: "`until DATE`",
        stands: "once",
        means: "the last day it holds: `until 2027-01-31`",
        default: "has no end",
        checks: "",
    },
    Field {
        word: "when",
        form: "`when CONDITION`",
        stands: "any number",
        means: "[what has to be so](#rule) for the rule to hold: `when aha above 0 %`; all of them must hold",
        default: "always",
        checks: "",
    },
    Field {
        word: "limit",
        form: "`limit X to P`",
        stands: "any number",
        means: "the most there may be of a substance or a group, in percent of the product: `limit aha to 10 %`; \
            `as acid` or `as NAME` may follow",
        default: "only the substances named, each by its own weight",
        checks: "`rule-broken`, `rule-unproven`",
    },
    Field {
        word: "require",
        form: "`require pH RANGE`",
        stands: "any number",
        means: "the pH that the whole window must be in: `require pH at least 3.5`",
        default: "",
        checks: "`rule-broken`, `rule-unproven`",
    },
    Field {
        word: "require",
        form: "`require X RANGE`",
        stands: "any number",
        means: "how much there must be of a substance or a group, in percent: `require panthenol at least 0.5 %`",
        default: "",
        checks: "`rule-broken`, `rule-unproven`",
    },
    Field {
        word: "forbid",
        form: "`forbid X`",
        stands: "any number",
        means: "a substance or a group that must not be in it: `forbid retinol`",
        default: "",
        checks: "`rule-forbids`, `rule-unproven`",
    },
    Field {
        word: "declare",
        form: "`declare X above P`",
        stands: "any number",
        means: "what must be named on the label above that share: `declare linalool above 0.001 %`",
        default: "",
        checks: "`declare-allergen`",
    },
    Field {
        word: "print",
        form: r#"`print "…"`"#,
        stands: "any number",
        means: r#"a statement that the label must carry: `print "Keep away from the eyes."`"#,
        default: "",
        checks: "`rule-needs-statement`, `adjuster-not-counted`",
    },
    Field {
        word: "level",
        form: "`level WORD`",
        stands: "once",
        means: "how grave a breach is, {levels}: `level warning`",
        default: "`error`",
        checks: "",
    },
    Field {
        word: "because",
        form: r#"`because "…"`"#,
        stands: "once",
        means: r#"why the rule is there, told with the fault: `because "our own line"`"#,
        default: "",
        checks: "",
    },
    Field {
        word: "source",
        form: r#"`source "…"`"#,
        stands: "once",
        means: r#"where the rule stands written: `source "house book, page 12"`"#,
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
        means: "where there is more of a substance or a group than that share",
        default: "",
        checks: "",
    },
    Field {
        word: "",
        form: "`X below P`",
        stands: "",
        means: "where there is less of a substance or a group than that share",
        default: "",
        checks: "",
    },
    Field {
        word: "",
        form: "`X RANGE`",
        stands: "",
        means: "where the share of a substance or a group is in the range",
        default: "",
        checks: "",
    },
    Field {
        word: "",
        form: "`pH RANGE`",
        stands: "",
        means: "where the pH window of the formula is in the range",
        default: "",
        checks: "",
    },
];
