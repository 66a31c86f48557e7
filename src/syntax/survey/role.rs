//! In which way a name is meant, by where it stands in its statement.

use crate::syntax::Rule;
use crate::syntax::context::Context;

/// In which way a name is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NameRole {
    /// Declares a substance.
    DeclaresSubstance,
    /// Declares a material, formula or variant.
    DeclaresWeighable,
    /// Declares a figure: of the file, or of the formula that it stands in.
    DeclaresLet,
    /// Declares a group.
    DeclaresGroup,
    /// Declares a rule.
    DeclaresRule,
    /// Declares a batch.
    DeclaresBatch,
    /// Declares a container.
    DeclaresContainer,
    /// The material after `like`.
    Like,
    /// A figure in an expression: a `let`, or a line of the formula.
    Figure,
    /// What a line weighs: a material, a formula or a variant.
    Line,
    /// A formula or a variant.
    Formula,
    /// What a batch speaks of: a material of its plan or of its formula.
    BatchMaterial,
    /// A material or premix that the plan of a batch writes down.
    PlanWeighable,
    /// A substance that the plan of a batch writes down.
    PlanSubstance,
    /// What the store room holds: a container, or something that is weighed.
    Stocked,
    /// A substance.
    Substance,
    /// A substance or a group.
    Subject,
    /// What follows `as` in a limit: a substance, or `acid`.
    CountedAs,
    /// What is to be kept apart: a material, a substance, a group, a role, a charge.
    KeptApart,
    /// What something dissolves in.
    Solvent,
    /// One of a range of shades: a material or a substance.
    Shade,
    /// A container.
    Container,
    /// A phase of the formula.
    Phase,
    /// A line that a step speaks of: of the formula, or of the plan of a batch.
    Step,
    /// A part of a line that a step speaks of: `first`, `rest`.
    StepPart,
}

impl NameRole {
    /// Whether the name is declared here.
    #[must_use]
    pub fn declares(self) -> bool {
        matches!(
            self,
            NameRole::DeclaresSubstance
                | NameRole::DeclaresWeighable
                | NameRole::DeclaresLet
                | NameRole::DeclaresGroup
                | NameRole::DeclaresRule
                | NameRole::DeclaresBatch
                | NameRole::DeclaresContainer
        )
    }
}

/// A node that a name stands in, and how many names of it were met.
#[derive(Clone, Copy)]
pub(super) struct Above {
    pub rule: Rule,
    pub names: u32,
}

/// In which way a name is meant that stands in these nodes.
pub(super) fn role_of(above: &mut [(Above, u32)], context: Context) -> NameRole {
    let before = match above.last_mut() {
        Some((parent, _)) => {
            parent.names += 1;
            parent.names - 1
        }
        None => 0,
    };
    let rules = above.iter().rev().map(|(above, _)| above.rule);
    // Names of a list are meant as what the list belongs to.
    let Some(rule) = rules.into_iter().find(|rule| !matches!(rule, Rule::names)) else { return NameRole::Line };
    match rule {
        Rule::let_item => NameRole::DeclaresLet,
        Rule::group if before == 0 && above.last().is_some_and(|(last, _)| last.rule == Rule::group) => {
            NameRole::DeclaresGroup
        }
        Rule::substance_opening => NameRole::DeclaresSubstance,
        Rule::material_opening | Rule::formula_opening => NameRole::DeclaresWeighable,
        Rule::variant_opening if before == 0 => NameRole::DeclaresWeighable,
        Rule::variant_opening | Rule::planned | Rule::batch_formula => NameRole::Formula,
        Rule::rule_opening => NameRole::DeclaresRule,
        Rule::batch_opening => NameRole::DeclaresBatch,
        Rule::container_opening => NameRole::DeclaresContainer,
        Rule::like => NameRole::Like,
        Rule::counted | Rule::bought | Rule::spent => NameRole::Stocked,
        Rule::dissolves => NameRole::Solvent,
        Rule::may_contain => NameRole::Shade,
        Rule::packed_in => NameRole::Container,
        Rule::limit | Rule::require | Rule::forbid | Rule::declare | Rule::when => NameRole::Subject,
        Rule::counted_as => NameRole::CountedAs,
        Rule::plan_premix | Rule::plan_contains | Rule::plan_brings | Rule::plan_material => NameRole::PlanWeighable,
        Rule::plan_substance => NameRole::PlanSubstance,
        Rule::plan_line | Rule::premix_part => NameRole::BatchMaterial,
        Rule::weighed | Rule::added | Rule::struck_added | Rule::lot | Rule::topped_up => NameRole::BatchMaterial,
        Rule::line | Rule::set | Rule::swap | Rule::remove => NameRole::Line,
        Rule::from if context == Context::Plan => NameRole::BatchMaterial,
        Rule::from => NameRole::Line,
        _ => NameRole::Substance,
    }
}
