//! Phases, lines, amounts and steps.

use super::field::Field;

/// What stands in a phase.
pub const PHASE: &[Field] = &[
    Field {
        word: "phase",
        form: r#"`phase NAME "…" { }`"#,
        stands: "in a formula, any number",
        means: r#"a phase by its name, with a title to print: `phase A "Water phase" { }`"#,
        default: "no title",
        checks: "`name-taken`",
    },
    Field {
        word: "heat",
        form: "`heat to T`",
        stands: "once, by custom first in the phase",
        means: "how hot the phase is made before its lines go in, in °C or °F: `heat to 75 °C`",
        default: "as hot as the last phase left it; room temperature at the start",
        checks: "`heat-clash`, `heat-too-low`",
    },
    Field {
        word: "cool",
        form: "`cool to T`",
        stands: "once, by custom first in the phase, in the place of `heat to`",
        means: "how cool the batch is let become before the lines of the phase go in, in °C or °F: `cool to 40 °C`",
        default: "as hot as the last phase left it; room temperature at the start",
        checks: "`heat-clash`",
    },
    Field {
        word: "",
        form: "a line",
        stands: "any number",
        means: "what is weighed in this phase, as [MATERIAL AMOUNT](#line): `glycerin 3 %`",
        default: "",
        checks: "[what looks at a line](#line)",
    },
    Field {
        word: "allow",
        form: r#"`allow CODE because "…"`"#,
        stands: "after the line it speaks of, any number",
        means: "a fault of judgement that is quieted for the line above it, with the reason: `allow usage-over \
            because \"a trial\"`",
        default: "",
        checks: "`allow-unused`, `allow-no-reason`",
    },
    Field {
        word: "add",
        form: "`add MATERIAL AMOUNT`",
        stands: "in a variant's phase only, any number",
        means: "[a new line](#variants) in a phase of the base: `add panthenol-75 1 %`",
        default: "",
        checks: "as for a line",
    },
];

/// The parts of a line.
pub const LINE: &[Field] = &[
    Field {
        word: "",
        form: "`MATERIAL`",
        stands: "opens the line",
        means: "what is weighed, by its name: a material, a formula or a variant",
        default: "",
        checks: "`name-unknown`, `line-twice`, `formula-cycle`, `phase-clash`, `heat-clash`, \
            `heat-too-low`, `avoid-together`, `step-missing-line`",
    },
    Field {
        word: "",
        form: "`AMOUNT`",
        stands: "after it",
        means: "how much of it, in one of [the forms of an amount](#amount): `4 %`, `q.s.`",
        default: "",
        checks: "[what looks at each form](#amount)",
    },
    Field {
        word: "",
        form: "`hold back AMOUNT`",
        stands: "tail, once",
        means: "so much of the line waits for the end, a percentage of the batch or a weight: `hold back 8 %`",
        default: "nothing held back",
        checks: "`reserve-over-line`, `reserve-missing`, `reserve-ambiguous`, `reserve-short`, \
            `reserve-unused`, `batch-size-missing`",
    },
    Field {
        word: "",
        form: "`from MATERIAL`",
        stands: "tail of a `q.s. to pH` line, once; on another line it says nothing",
        means: "the line whose held-back weight the adjuster comes out of: `from water`",
        default: "the one line that holds back",
        checks: "`reserve-ambiguous`",
    },
    Field {
        word: "",
        form: "`titrated 50 g: 0.40 g to pH 5.2`",
        stands: "tail of a `q.s. to pH` line, once; not inherited by a variant that changes an amount",
        means: "[a beaker test](#a-beaker-test) of the adjuster: so much of the batch, and what it had taken at \
            each pH that was read",
        default: "the dose is foreseen",
        checks: "`amount-zero`, `amount-over-100`, `unit-mismatch`, `titration-contradicted`",
    },
    Field {
        word: "",
        form: r#"`because "…"`"#,
        stands: "tail, once",
        means: r#"why the line is as it is, in words that the sheet prints: `because "keeps its scent"`"#,
        default: "",
        checks: "",
    },
    Field {
        word: "",
        form: r#"`allow CODE because "…"`"#,
        stands: "tail, once; more of them as statements below the line",
        means: "a fault of judgement that is quieted for this line, with the reason: `allow usage-over because \
            \"a trial\"`",
        default: "",
        checks: "`allow-unused`, `allow-no-reason`",
    },
];

/// The forms of an amount.
pub const AMOUNT: &[Field] = &[
    Field {
        word: "",
        form: "`4 %`, `600 ppm`",
        stands: "",
        means: "weight of the material as supplied in the weight of the finished batch",
        default: "",
        checks: "`amount-zero`, `amount-negative`, `amount-over-100`, `usage-over`, `usage-under`, \
            `strength-ignored`",
    },
    Field {
        word: "",
        form: "`8 % active`",
        stands: "",
        means: "the percentage of the material's active that the batch is to have; as supplied it is 8 ÷ strength",
        default: "",
        checks: "`strength-missing`, `strength-range`, `strength-impossible`, `active-ambiguous`, \
            `active-off-target`",
    },
    Field {
        word: "",
        form: "`8 % of citric-acid`",
        stands: "",
        means: "the percentage of that substance in the batch, its salts counted as it by molar masses",
        default: "",
        checks: "`strength-missing`, `strength-range`, `strength-impossible`, `active-off-target`, \
            `name-unknown`",
    },
    Field {
        word: "",
        form: "`acid`",
        stands: "",
        means: "the figure of a `let` by its name; `active` or `of X` may follow",
        default: "",
        checks: "`name-unknown`, `unit-mismatch`",
    },
    Field {
        word: "",
        form: "`(5 * gum)`",
        stands: "",
        means: "an expression for the figure; `active` or `of X` may follow",
        default: "",
        checks: "`expression-cycle`, `division-by-zero`, `unit-mismatch`",
    },
    Field {
        word: "",
        form: "`q.s.`",
        stands: "",
        means: "what fills the batch to 100 %; once in a formula",
        default: "",
        checks: "`qs-twice`, `qs-nothing-left`, `total-over-100`",
    },
    Field {
        word: "",
        form: "`q.s. to pH`",
        stands: "",
        means: "what is weighed at the bench until the pH is in the window",
        default: "",
        checks: "`ph-window-missing`, `reserve-missing`, `reserve-ambiguous`, `ph-window-unreachable`, \
            `ph-step-coarse`",
    },
    Field {
        word: "",
        form: "`12 g`, `0.5 oz`",
        stands: "",
        means: "the weight of the line in a formula by weight, in which only the proportions count",
        default: "",
        checks: "`mixed-basis`, `amount-zero`, `amount-negative`",
    },
    Field {
        word: "",
        form: "`3 parts`",
        stands: "",
        means: "the share of the line in a formula by parts",
        default: "",
        checks: "`mixed-basis`, `amount-zero`, `amount-negative`",
    },
];

/// What stands in steps.
pub const STEPS: &[Field] = &[
    Field {
        word: "",
        form: r#"`"…"`"#,
        stands: "in `steps { }`, any number",
        means: "one step, in the order of the bench",
        default: "",
        checks: "`step-missing-line`: a line that no step names",
    },
    Field {
        word: "",
        form: "`{name}`",
        stands: "inside a step",
        means: "a line of the formula; prints its name and its weight, of two lines the sum; where some is held \
            back, the first weighing",
        default: "",
        checks: "`step-unknown-name`",
    },
    Field {
        word: "",
        form: "`{name first}`",
        stands: "inside a step",
        means: "a line of which some is held back; prints its first weighing",
        default: "",
        checks: "`step-unknown-name`, `step-unknown-part`",
    },
    Field {
        word: "",
        form: "`{name rest}`",
        stands: "inside a step",
        means: "a line of which some is held back; prints what is held back, and that adjuster comes out of it",
        default: "",
        checks: "`step-unknown-name`, `step-unknown-part`",
    },
    Field {
        word: "",
        form: "`{pH}`",
        stands: "inside a step",
        means: r#"the pH window of the formula; prints it in the sentence: `"Bring to {pH}."`"#,
        default: "",
        checks: "`step-unknown-name`: a formula without a window",
    },
    Field {
        word: "",
        form: "`{{`",
        stands: "inside a step",
        means: "a brace in the text itself; prints one brace",
        default: "",
        checks: "",
    },
];
