//! The catalogue of diagnostics: every code there is, its family, its usual level, and its page.
//!
//! A code is named for the fault in trade words. Once released it is never used for another meaning.

use super::Level;
use std::fmt;

/// What a group of codes is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Family {
    /// Text that does not parse.
    Syntax,
    /// Figures.
    Number,
    /// Units and dimensions.
    Unit,
    /// Names.
    Name,
    /// `use`.
    Import,
    /// What the lines add to.
    Total,
    /// Water held back.
    Reserve,
    /// The amounts of lines.
    Amount,
    /// Strengths and targets.
    Strength,
    /// The materials' usage ranges.
    Usage,
    /// The pH window.
    Ph,
    /// Heat.
    Heat,
    /// What mixes with what.
    Mixing,
    /// What keeps the batch from spoiling.
    Preservation,
    /// What is kept apart, and what is handled with care.
    Together,
    /// Batch size, density and scales.
    Scale,
    /// Versions.
    Version,
    /// The steps.
    Step,
    /// `allow`.
    Allow,
    /// The formula's own `ensure`.
    Ensure,
    /// Rules of markets and of the house.
    Rule,
    /// Batch records.
    Batch,
    /// Lots.
    Lot,
    /// What stands on the label.
    Label,
}

impl Family {
    /// What the family is about, in trade words.
    #[must_use]
    pub fn about(self) -> &'static str {
        match self {
            Family::Syntax => "text that does not parse",
            Family::Number => "figures",
            Family::Unit => "units and dimensions",
            Family::Name => "names",
            Family::Import => "`use`",
            Family::Total => "what the lines add to",
            Family::Reserve => "water held back",
            Family::Amount => "the amounts of lines",
            Family::Strength => "strengths and targets",
            Family::Usage => "the materials' usage ranges",
            Family::Ph => "the pH window",
            Family::Heat => "heat",
            Family::Mixing => "oil and water, and what dissolves",
            Family::Preservation => "preservation",
            Family::Together => "what is kept apart, and handled with care",
            Family::Scale => "batch size, density and scales",
            Family::Version => "versions",
            Family::Step => "the steps",
            Family::Allow => "`allow`",
            Family::Ensure => "the formula's own `ensure`",
            Family::Rule => "rules of markets and of the house",
            Family::Batch => "batch records",
            Family::Lot => "lots",
            Family::Label => "what stands on the label",
        }
    }
}

/// The code of a diagnostic.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Code {
    /// `syntax`
    Syntax,
    /// `too-deep`
    TooDeep,
    /// `file-too-large`
    FileTooLarge,
    /// `decimal-comma`
    DecimalComma,
    /// `not-utf-8`
    NotUtf8,
    /// `number-too-long`
    NumberTooLong,
    /// `figure-impossible`
    FigureImpossible,
    /// `division-by-zero`
    DivisionByZero,
    /// `unknown-unit`
    UnknownUnit,
    /// `unit-mismatch`
    UnitMismatch,
    /// `drops-are-not-a-weight`
    DropsAreNotAWeight,
    /// `ounce-confusion`
    OunceConfusion,
    /// `name-unknown`
    NameUnknown,
    /// `name-taken`
    NameTaken,
    /// `name-reserved`
    NameReserved,
    /// `name-too-long`
    NameTooLong,
    /// `chain-too-long`
    ChainTooLong,
    /// `header-twice`
    HeaderTwice,
    /// `like-cycle`
    LikeCycle,
    /// `formula-cycle`
    FormulaCycle,
    /// `expression-cycle`
    ExpressionCycle,
    /// `let-unused`
    LetUnused,
    /// `material-unused`
    MaterialUnused,
    /// `use-not-found`
    UseNotFound,
    /// `use-gone`
    UseGone,
    /// `use-cycle`
    UseCycle,
    /// `use-outside`
    UseOutside,
    /// `total-over-100`
    TotalOver100,
    /// `total-under-100`
    TotalUnder100,
    /// `qs-twice`
    QsTwice,
    /// `qs-nothing-left`
    QsNothingLeft,
    /// `reserve-over-line`
    ReserveOverLine,
    /// `reserve-missing`
    ReserveMissing,
    /// `reserve-ambiguous`
    ReserveAmbiguous,
    /// `reserve-short`
    ReserveShort,
    /// `reserve-unused`
    ReserveUnused,
    /// `mixed-basis`
    MixedBasis,
    /// `amount-zero`
    AmountZero,
    /// `amount-negative`
    AmountNegative,
    /// `amount-over-100`
    AmountOver100,
    /// `line-twice`
    LineTwice,
    /// `strength-missing`
    StrengthMissing,
    /// `strength-range`
    StrengthRange,
    /// `strength-over-100`
    StrengthOver100,
    /// `strength-impossible`
    StrengthImpossible,
    /// `active-ambiguous`
    ActiveAmbiguous,
    /// `strength-ignored`
    StrengthIgnored,
    /// `active-off-target`
    ActiveOffTarget,
    /// `usage-over`
    UsageOver,
    /// `usage-under`
    UsageUnder,
    /// `scent-over`
    ScentOver,
    /// `phototoxic-over`
    PhototoxicOver,
    /// `ph-window-missing`
    PhWindowMissing,
    /// `ph-window-reversed`
    PhWindowReversed,
    /// `ph-window-none`
    PhWindowNone,
    /// `ph-window-clash`
    PhWindowClash,
    /// `ph-window-partial`
    PhWindowPartial,
    /// `ph-window-unreachable`
    PhWindowUnreachable,
    /// `ph-window-narrow`
    PhWindowNarrow,
    /// `ph-step-coarse`
    PhStepCoarse,
    /// `ph-unpredictable`
    PhUnpredictable,
    /// `ph-beyond-model`
    PhBeyondModel,
    /// `ph-drifts`
    PhDrifts,
    /// `titration-contradicted`
    TitrationContradicted,
    /// `gas-forms`
    GasForms,
    /// `heat-clash`
    HeatClash,
    /// `heat-too-low`
    HeatTooLow,
    /// `phase-clash`
    PhaseClash,
    /// `emulsifier-missing`
    EmulsifierMissing,
    /// `solubility-over`
    SolubilityOver,
    /// `hlb-off`
    HlbOff,
    /// `no-preservative`
    NoPreservative,
    /// `preservative-gap`
    PreservativeGap,
    /// `preservative-free-acid`
    PreservativeFreeAcid,
    /// `chelator-missing`
    ChelatorMissing,
    /// `antioxidant-missing`
    AntioxidantMissing,
    /// `avoid-together`
    AvoidTogether,
    /// `caution-missing`
    CautionMissing,
    /// `density-missing`
    DensityMissing,
    /// `batch-size-missing`
    BatchSizeMissing,
    /// `batch-too-small`
    BatchTooSmall,
    /// `container-too-small`
    ContainerTooSmall,
    /// `below-scale`
    BelowScale,
    /// `scale-overloaded`
    ScaleOverloaded,
    /// `scale-missing`
    ScaleMissing,
    /// `version-missing`
    VersionMissing,
    /// `version-not-bumped`
    VersionNotBumped,
    /// `step-unknown-name`
    StepUnknownName,
    /// `step-unknown-part`
    StepUnknownPart,
    /// `step-missing-line`
    StepMissingLine,
    /// `batch-formula-missing`
    BatchFormulaMissing,
    /// `batch-version-gone`
    BatchVersionGone,
    /// `batch-line-missing`
    BatchLineMissing,
    /// `batch-line-unknown`
    BatchLineUnknown,
    /// `batch-weight-off`
    BatchWeightOff,
    /// `batch-over-reserve`
    BatchOverReserve,
    /// `batch-ph-outside`
    BatchPhOutside,
    /// `batch-ph-stale`
    BatchPhStale,
    /// `batch-ph-doubtful`
    BatchPhDoubtful,
    /// `batch-ph-edge`
    BatchPhEdge,
    /// `batch-topup-off`
    BatchTopupOff,
    /// `batch-more-out-than-in`
    BatchMoreOutThanIn,
    /// `batch-sold-over`
    BatchSoldOver,
    /// `batch-released-unfit`
    BatchReleasedUnfit,
    /// `lot-missing`
    LotMissing,
    /// `lot-expired`
    LotExpired,
    /// `allow-unused`
    AllowUnused,
    /// `allow-no-reason`
    AllowNoReason,
    /// `ensure-broken`
    EnsureBroken,
    /// `market-unknown`
    MarketUnknown,
    /// `market-in-part`
    MarketInPart,
    /// `product-kind-missing`
    ProductKindMissing,
    /// `rule-broken`
    RuleBroken,
    /// `rule-unproven`
    RuleUnproven,
    /// `rule-forbids`
    RuleForbids,
    /// `rule-needs-statement`
    RuleNeedsStatement,
    /// `adjuster-not-counted`
    AdjusterNotCounted,
    /// `declare-allergen`
    DeclareAllergen,
    /// `claim-medicinal`
    ClaimMedicinal,
    /// `label-name-missing`
    LabelNameMissing,
    /// `label-colour-name-missing`
    LabelColourNameMissing,
    /// `label-order-unproven`
    LabelOrderUnproven,
    /// `label-undisclosed`
    LabelUndisclosed,
    /// `label-life-missing`
    LabelLifeMissing,
    /// `label-header-gone`
    LabelHeaderGone,
    /// `label-maker-missing`
    LabelMakerMissing,
    /// `label-exactly-one`
    LabelExactlyOne,
    /// `label-formed-unclear`
    LabelFormedUnclear,
    /// `label-letters-small`
    LabelLettersSmall,
}

/// What the catalogue says of a code.
#[derive(Clone, Copy, Debug)]
pub struct CatalogueEntry {
    /// The code.
    pub code: Code,
    /// The code as it is written.
    pub name: &'static str,
    /// What it belongs to.
    pub family: Family,
    /// Its level, unless the fault itself calls for another.
    pub level: Level,
    /// Whether `allow` may quiet it: faults of judgement may be, those of arithmetic, names and syntax not.
    pub allowable: bool,
    /// The page that `explain` prints, in Markdown, with its wrong and its right example.
    pub page: &'static str,
}

const fn entry(
    code: Code,
    name: &'static str,
    family: Family,
    level: Level,
    allowable: bool,
    page: &'static str,
) -> CatalogueEntry {
    CatalogueEntry { code, name, family, level, allowable, page }
}

/// The catalogue, by family, in the order of [`Code`].
#[rustfmt::skip]
pub const CATALOGUE: &[CatalogueEntry] = &[
    entry(Code::Syntax, "syntax", Family::Syntax, Level::Error, false, include_str!("pages/syntax.md")),
    entry(Code::TooDeep, "too-deep", Family::Syntax, Level::Error, false, include_str!("pages/too-deep.md")),
    entry(Code::FileTooLarge, "file-too-large", Family::Syntax, Level::Error, false, include_str!("pages/file-too-large.md")),
    entry(Code::DecimalComma, "decimal-comma", Family::Syntax, Level::Error, false, include_str!("pages/decimal-comma.md")),
    entry(Code::NotUtf8, "not-utf-8", Family::Syntax, Level::Error, false, include_str!("pages/not-utf-8.md")),
    entry(Code::NumberTooLong, "number-too-long", Family::Number, Level::Error, false, include_str!("pages/number-too-long.md")),
    entry(Code::FigureImpossible, "figure-impossible", Family::Number, Level::Error, false, include_str!("pages/figure-impossible.md")),
    entry(Code::DivisionByZero, "division-by-zero", Family::Number, Level::Error, false, include_str!("pages/division-by-zero.md")),
    entry(Code::UnknownUnit, "unknown-unit", Family::Unit, Level::Error, false, include_str!("pages/unknown-unit.md")),
    entry(Code::UnitMismatch, "unit-mismatch", Family::Unit, Level::Error, false, include_str!("pages/unit-mismatch.md")),
    entry(Code::DropsAreNotAWeight, "drops-are-not-a-weight", Family::Unit, Level::Error, false, include_str!("pages/drops-are-not-a-weight.md")),
    entry(Code::OunceConfusion, "ounce-confusion", Family::Unit, Level::Warning, true, include_str!("pages/ounce-confusion.md")),
    entry(Code::NameUnknown, "name-unknown", Family::Name, Level::Error, false, include_str!("pages/name-unknown.md")),
    entry(Code::NameTaken, "name-taken", Family::Name, Level::Error, false, include_str!("pages/name-taken.md")),
    entry(Code::NameReserved, "name-reserved", Family::Name, Level::Error, false, include_str!("pages/name-reserved.md")),
    entry(Code::NameTooLong, "name-too-long", Family::Name, Level::Error, false, include_str!("pages/name-too-long.md")),
    entry(Code::ChainTooLong, "chain-too-long", Family::Name, Level::Error, false, include_str!("pages/chain-too-long.md")),
    entry(Code::HeaderTwice, "header-twice", Family::Name, Level::Error, false, include_str!("pages/header-twice.md")),
    entry(Code::LikeCycle, "like-cycle", Family::Name, Level::Error, false, include_str!("pages/like-cycle.md")),
    entry(Code::FormulaCycle, "formula-cycle", Family::Name, Level::Error, false, include_str!("pages/formula-cycle.md")),
    entry(Code::ExpressionCycle, "expression-cycle", Family::Name, Level::Error, false, include_str!("pages/expression-cycle.md")),
    entry(Code::LetUnused, "let-unused", Family::Name, Level::Note, false, include_str!("pages/let-unused.md")),
    entry(Code::MaterialUnused, "material-unused", Family::Name, Level::Note, false, include_str!("pages/material-unused.md")),
    entry(Code::UseNotFound, "use-not-found", Family::Import, Level::Error, false, include_str!("pages/use-not-found.md")),
    entry(Code::UseGone, "use-gone", Family::Import, Level::Note, false, include_str!("pages/use-gone.md")),
    entry(Code::UseCycle, "use-cycle", Family::Import, Level::Error, false, include_str!("pages/use-cycle.md")),
    entry(Code::UseOutside, "use-outside", Family::Import, Level::Error, false, include_str!("pages/use-outside.md")),
    entry(Code::TotalOver100, "total-over-100", Family::Total, Level::Error, false, include_str!("pages/total-over-100.md")),
    entry(Code::TotalUnder100, "total-under-100", Family::Total, Level::Error, false, include_str!("pages/total-under-100.md")),
    entry(Code::QsTwice, "qs-twice", Family::Total, Level::Error, false, include_str!("pages/qs-twice.md")),
    entry(Code::QsNothingLeft, "qs-nothing-left", Family::Total, Level::Error, false, include_str!("pages/qs-nothing-left.md")),
    entry(Code::ReserveOverLine, "reserve-over-line", Family::Reserve, Level::Error, false, include_str!("pages/reserve-over-line.md")),
    entry(Code::ReserveMissing, "reserve-missing", Family::Reserve, Level::Error, false, include_str!("pages/reserve-missing.md")),
    entry(Code::ReserveAmbiguous, "reserve-ambiguous", Family::Reserve, Level::Error, false, include_str!("pages/reserve-ambiguous.md")),
    entry(Code::ReserveShort, "reserve-short", Family::Reserve, Level::Error, true, include_str!("pages/reserve-short.md")),
    entry(Code::ReserveUnused, "reserve-unused", Family::Reserve, Level::Warning, true, include_str!("pages/reserve-unused.md")),
    entry(Code::MixedBasis, "mixed-basis", Family::Amount, Level::Error, false, include_str!("pages/mixed-basis.md")),
    entry(Code::AmountZero, "amount-zero", Family::Amount, Level::Error, false, include_str!("pages/amount-zero.md")),
    entry(Code::AmountNegative, "amount-negative", Family::Amount, Level::Error, false, include_str!("pages/amount-negative.md")),
    entry(Code::AmountOver100, "amount-over-100", Family::Amount, Level::Error, false, include_str!("pages/amount-over-100.md")),
    entry(Code::LineTwice, "line-twice", Family::Amount, Level::Warning, true, include_str!("pages/line-twice.md")),
    entry(Code::StrengthMissing, "strength-missing", Family::Strength, Level::Error, false, include_str!("pages/strength-missing.md")),
    entry(Code::StrengthRange, "strength-range", Family::Strength, Level::Note, false, include_str!("pages/strength-range.md")),
    entry(Code::StrengthOver100, "strength-over-100", Family::Strength, Level::Error, false, include_str!("pages/strength-over-100.md")),
    entry(Code::StrengthImpossible, "strength-impossible", Family::Strength, Level::Error, false, include_str!("pages/strength-impossible.md")),
    entry(Code::ActiveAmbiguous, "active-ambiguous", Family::Strength, Level::Error, false, include_str!("pages/active-ambiguous.md")),
    entry(Code::StrengthIgnored, "strength-ignored", Family::Strength, Level::Warning, true, include_str!("pages/strength-ignored.md")),
    entry(Code::ActiveOffTarget, "active-off-target", Family::Strength, Level::Warning, true, include_str!("pages/active-off-target.md")),
    entry(Code::UsageOver, "usage-over", Family::Usage, Level::Error, true, include_str!("pages/usage-over.md")),
    entry(Code::UsageUnder, "usage-under", Family::Usage, Level::Warning, true, include_str!("pages/usage-under.md")),
    entry(Code::ScentOver, "scent-over", Family::Usage, Level::Warning, true, include_str!("pages/scent-over.md")),
    entry(Code::PhototoxicOver, "phototoxic-over", Family::Usage, Level::Warning, true, include_str!("pages/phototoxic-over.md")),
    entry(Code::PhWindowMissing, "ph-window-missing", Family::Ph, Level::Error, false, include_str!("pages/ph-window-missing.md")),
    entry(Code::PhWindowReversed, "ph-window-reversed", Family::Ph, Level::Error, false, include_str!("pages/ph-window-reversed.md")),
    entry(Code::PhWindowNone, "ph-window-none", Family::Ph, Level::Warning, true, include_str!("pages/ph-window-none.md")),
    entry(Code::PhWindowClash, "ph-window-clash", Family::Ph, Level::Error, true, include_str!("pages/ph-window-clash.md")),
    entry(Code::PhWindowPartial, "ph-window-partial", Family::Ph, Level::Warning, true, include_str!("pages/ph-window-partial.md")),
    entry(Code::PhWindowUnreachable, "ph-window-unreachable", Family::Ph, Level::Error, true, include_str!("pages/ph-window-unreachable.md")),
    entry(Code::PhWindowNarrow, "ph-window-narrow", Family::Ph, Level::Note, false, include_str!("pages/ph-window-narrow.md")),
    entry(Code::PhStepCoarse, "ph-step-coarse", Family::Ph, Level::Warning, true, include_str!("pages/ph-step-coarse.md")),
    entry(Code::PhUnpredictable, "ph-unpredictable", Family::Ph, Level::Note, false, include_str!("pages/ph-unpredictable.md")),
    entry(Code::PhBeyondModel, "ph-beyond-model", Family::Ph, Level::Note, false, include_str!("pages/ph-beyond-model.md")),
    entry(Code::PhDrifts, "ph-drifts", Family::Ph, Level::Note, false, include_str!("pages/ph-drifts.md")),
    entry(Code::TitrationContradicted, "titration-contradicted", Family::Ph, Level::Warning, true, include_str!("pages/titration-contradicted.md")),
    entry(Code::GasForms, "gas-forms", Family::Ph, Level::Warning, true, include_str!("pages/gas-forms.md")),
    entry(Code::HeatClash, "heat-clash", Family::Heat, Level::Error, true, include_str!("pages/heat-clash.md")),
    entry(Code::HeatTooLow, "heat-too-low", Family::Heat, Level::Warning, true, include_str!("pages/heat-too-low.md")),
    entry(Code::PhaseClash, "phase-clash", Family::Mixing, Level::Warning, true, include_str!("pages/phase-clash.md")),
    entry(Code::EmulsifierMissing, "emulsifier-missing", Family::Mixing, Level::Warning, true, include_str!("pages/emulsifier-missing.md")),
    entry(Code::SolubilityOver, "solubility-over", Family::Mixing, Level::Warning, true, include_str!("pages/solubility-over.md")),
    entry(Code::HlbOff, "hlb-off", Family::Mixing, Level::Warning, true, include_str!("pages/hlb-off.md")),
    entry(Code::NoPreservative, "no-preservative", Family::Preservation, Level::Error, true, include_str!("pages/no-preservative.md")),
    entry(Code::PreservativeGap, "preservative-gap", Family::Preservation, Level::Warning, true, include_str!("pages/preservative-gap.md")),
    entry(Code::PreservativeFreeAcid, "preservative-free-acid", Family::Preservation, Level::Warning, true, include_str!("pages/preservative-free-acid.md")),
    entry(Code::ChelatorMissing, "chelator-missing", Family::Preservation, Level::Note, true, include_str!("pages/chelator-missing.md")),
    entry(Code::AntioxidantMissing, "antioxidant-missing", Family::Preservation, Level::Note, true, include_str!("pages/antioxidant-missing.md")),
    entry(Code::AvoidTogether, "avoid-together", Family::Together, Level::Warning, true, include_str!("pages/avoid-together.md")),
    entry(Code::CautionMissing, "caution-missing", Family::Together, Level::Warning, false, include_str!("pages/caution-missing.md")),
    entry(Code::DensityMissing, "density-missing", Family::Scale, Level::Error, false, include_str!("pages/density-missing.md")),
    entry(Code::BatchSizeMissing, "batch-size-missing", Family::Scale, Level::Error, false, include_str!("pages/batch-size-missing.md")),
    entry(Code::BatchTooSmall, "batch-too-small", Family::Scale, Level::Error, false, include_str!("pages/batch-too-small.md")),
    entry(Code::ContainerTooSmall, "container-too-small", Family::Scale, Level::Warning, false, include_str!("pages/container-too-small.md")),
    entry(Code::BelowScale, "below-scale", Family::Scale, Level::Warning, true, include_str!("pages/below-scale.md")),
    entry(Code::ScaleOverloaded, "scale-overloaded", Family::Scale, Level::Warning, true, include_str!("pages/scale-overloaded.md")),
    entry(Code::ScaleMissing, "scale-missing", Family::Scale, Level::Note, false, include_str!("pages/scale-missing.md")),
    entry(Code::VersionMissing, "version-missing", Family::Version, Level::Note, false, include_str!("pages/version-missing.md")),
    entry(Code::VersionNotBumped, "version-not-bumped", Family::Version, Level::Error, false, include_str!("pages/version-not-bumped.md")),
    entry(Code::StepUnknownName, "step-unknown-name", Family::Step, Level::Error, false, include_str!("pages/step-unknown-name.md")),
    entry(Code::StepUnknownPart, "step-unknown-part", Family::Step, Level::Error, false, include_str!("pages/step-unknown-part.md")),
    entry(Code::StepMissingLine, "step-missing-line", Family::Step, Level::Warning, true, include_str!("pages/step-missing-line.md")),
    entry(Code::BatchFormulaMissing, "batch-formula-missing", Family::Batch, Level::Error, false, include_str!("pages/batch-formula-missing.md")),
    entry(Code::BatchVersionGone, "batch-version-gone", Family::Batch, Level::Error, false, include_str!("pages/batch-version-gone.md")),
    entry(Code::BatchLineMissing, "batch-line-missing", Family::Batch, Level::Error, false, include_str!("pages/batch-line-missing.md")),
    entry(Code::BatchLineUnknown, "batch-line-unknown", Family::Batch, Level::Error, false, include_str!("pages/batch-line-unknown.md")),
    entry(Code::BatchWeightOff, "batch-weight-off", Family::Batch, Level::Warning, false, include_str!("pages/batch-weight-off.md")),
    entry(Code::BatchOverReserve, "batch-over-reserve", Family::Batch, Level::Error, false, include_str!("pages/batch-over-reserve.md")),
    entry(Code::BatchPhOutside, "batch-ph-outside", Family::Batch, Level::Error, false, include_str!("pages/batch-ph-outside.md")),
    entry(Code::BatchPhStale, "batch-ph-stale", Family::Batch, Level::Warning, false, include_str!("pages/batch-ph-stale.md")),
    entry(Code::BatchPhDoubtful, "batch-ph-doubtful", Family::Batch, Level::Warning, false, include_str!("pages/batch-ph-doubtful.md")),
    entry(Code::BatchPhEdge, "batch-ph-edge", Family::Batch, Level::Note, false, include_str!("pages/batch-ph-edge.md")),
    entry(Code::BatchTopupOff, "batch-topup-off", Family::Batch, Level::Warning, false, include_str!("pages/batch-topup-off.md")),
    entry(Code::BatchMoreOutThanIn, "batch-more-out-than-in", Family::Batch, Level::Error, false, include_str!("pages/batch-more-out-than-in.md")),
    entry(Code::BatchSoldOver, "batch-sold-over", Family::Batch, Level::Error, false, include_str!("pages/batch-sold-over.md")),
    entry(Code::BatchReleasedUnfit, "batch-released-unfit", Family::Batch, Level::Error, false, include_str!("pages/batch-released-unfit.md")),
    entry(Code::LotMissing, "lot-missing", Family::Lot, Level::Warning, false, include_str!("pages/lot-missing.md")),
    entry(Code::LotExpired, "lot-expired", Family::Lot, Level::Error, false, include_str!("pages/lot-expired.md")),
    entry(Code::AllowUnused, "allow-unused", Family::Allow, Level::Warning, false, include_str!("pages/allow-unused.md")),
    entry(Code::AllowNoReason, "allow-no-reason", Family::Allow, Level::Error, false, include_str!("pages/allow-no-reason.md")),
    entry(Code::EnsureBroken, "ensure-broken", Family::Ensure, Level::Error, true, include_str!("pages/ensure-broken.md")),
    entry(Code::MarketUnknown, "market-unknown", Family::Rule, Level::Warning, false, include_str!("pages/market-unknown.md")),
    entry(Code::MarketInPart, "market-in-part", Family::Rule, Level::Note, true, include_str!("pages/market-in-part.md")),
    entry(
        Code::ProductKindMissing,
        "product-kind-missing",
        Family::Rule,
        Level::Note,
        true,
        include_str!("pages/product-kind-missing.md"),
    ),
    entry(Code::RuleBroken, "rule-broken", Family::Rule, Level::Error, true, include_str!("pages/rule-broken.md")),
    entry(Code::RuleUnproven, "rule-unproven", Family::Rule, Level::Warning, true, include_str!("pages/rule-unproven.md")),
    entry(Code::RuleForbids, "rule-forbids", Family::Rule, Level::Error, true, include_str!("pages/rule-forbids.md")),
    entry(Code::RuleNeedsStatement, "rule-needs-statement", Family::Rule, Level::Note, false, include_str!("pages/rule-needs-statement.md")),
    entry(Code::AdjusterNotCounted, "adjuster-not-counted", Family::Rule, Level::Note, false, include_str!("pages/adjuster-not-counted.md")),
    entry(Code::DeclareAllergen, "declare-allergen", Family::Rule, Level::Note, false, include_str!("pages/declare-allergen.md")),
    entry(Code::ClaimMedicinal, "claim-medicinal", Family::Rule, Level::Warning, true, include_str!("pages/claim-medicinal.md")),
    entry(Code::LabelNameMissing, "label-name-missing", Family::Label, Level::Error, false, include_str!("pages/label-name-missing.md")),
    entry(Code::LabelColourNameMissing, "label-colour-name-missing", Family::Label, Level::Error, false, include_str!("pages/label-colour-name-missing.md")),
    entry(Code::LabelOrderUnproven, "label-order-unproven", Family::Label, Level::Warning, true, include_str!("pages/label-order-unproven.md")),
    entry(Code::LabelUndisclosed, "label-undisclosed", Family::Label, Level::Warning, true, include_str!("pages/label-undisclosed.md")),
    entry(Code::LabelLifeMissing, "label-life-missing", Family::Label, Level::Warning, false, include_str!("pages/label-life-missing.md")),
    entry(Code::LabelHeaderGone, "label-header-gone", Family::Label, Level::Warning, false, include_str!("pages/label-header-gone.md")),
    entry(Code::LabelMakerMissing, "label-maker-missing", Family::Label, Level::Warning, false, include_str!("pages/label-maker-missing.md")),
    entry(Code::LabelExactlyOne, "label-exactly-one", Family::Label, Level::Note, false, include_str!("pages/label-exactly-one.md")),
    entry(Code::LabelFormedUnclear, "label-formed-unclear", Family::Label, Level::Note, false, include_str!("pages/label-formed-unclear.md")),
    entry(Code::LabelLettersSmall, "label-letters-small", Family::Label, Level::Error, false, include_str!("pages/label-letters-small.md")),
];

impl Code {
    /// What the catalogue says of the code.
    #[must_use]
    pub fn entry(self) -> &'static CatalogueEntry {
        // The catalogue is in the order of the codes, which a test checks.
        CATALOGUE.get(self as usize).unwrap_or(&FALLBACK)
    }

    /// What the code is about.
    #[must_use]
    pub fn family(self) -> Family {
        self.entry().family
    }

    /// The levels it may have beside its usual one, where the fault itself calls for another.
    #[must_use]
    pub fn other_levels(self) -> &'static [Level] {
        match self {
            // What is foreseen may be so over the whole range of what is not known, or over a part of it.
            Code::ReserveShort | Code::PhWindowUnreachable => &[Level::Warning, Level::Note],
            // No fault is graver than the source of the fact it rests on: a habit of the trade is a warning at the most, and
            // what somebody remembers is a note.
            Code::UsageOver | Code::PhWindowClash | Code::HeatClash | Code::LotExpired => {
                &[Level::Warning, Level::Note]
            }
            Code::UsageUnder
            | Code::PhWindowNone
            | Code::PhWindowPartial
            | Code::PhStepCoarse
            | Code::HeatTooLow
            | Code::PhaseClash
            | Code::SolubilityOver
            | Code::HlbOff
            | Code::PreservativeGap
            | Code::PreservativeFreeAcid
            | Code::AvoidTogether => &[Level::Note],
            // A rule says itself how grave a breach is.
            Code::RuleBroken | Code::RuleForbids => &[Level::Warning, Level::Note],
            Code::RuleUnproven => &[Level::Note],
            // A plan says what the formula would, and what was set right is no fault any more.
            Code::BatchFormulaMissing => &[Level::Warning],
            // In a frozen plan what is weighed is right, and the words at the bench alone are not.
            Code::StepUnknownName => &[Level::Warning],
            Code::BatchOverReserve => &[Level::Note],
            // No water in it, but what wet hands bring.
            // Or little of it beside what binds it.
            Code::NoPreservative => &[Level::Warning, Level::Note],
            // What they rest on may be no more than somebody's memory.
            Code::PhototoxicOver => &[Level::Note],
            _ => &[],
        }
    }

    /// The code by its written name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Code> {
        CATALOGUE.iter().find(|entry| entry.name == name).map(|entry| entry.code)
    }
}

const FALLBACK: CatalogueEntry = entry(Code::Syntax, "syntax", Family::Syntax, Level::Error, false, "");

/// The code as it is written.
impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.entry().name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_catalogue_is_in_the_order_of_the_codes() {
        for (at, entry) in CATALOGUE.iter().enumerate() {
            assert_eq!(entry.code as usize, at, "{}", entry.name);
            assert_eq!(Code::from_name(entry.name), Some(entry.code));
            assert!(entry.page.starts_with(&format!("# {}\n", entry.name)), "{}", entry.name);
        }
    }
}
