//! Every kind of slip, and what is to become of it: stated beforehand, and held by the test.

use super::edit::Slip;
use super::view::View;
use super::{amounts, limits, lines, names, scales, swaps, window};

/// What is to become of a kind of slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Each one is caught, by one of its codes.
    Must,
    /// It may leave a formula that is good too, or one that nobody can tell from it; why.
    May(&'static str),
    /// It is no slip: no error and no warning comes of it, save those named, which are true by themselves.
    Never(&'static [&'static str]),
}

/// A kind of slip.
pub struct Kind {
    /// What it is.
    pub name: &'static str,
    /// What is to become of it.
    pub verdict: Verdict,
    /// The codes that speak of it.
    pub codes: &'static [&'static str],
    /// Each place in a formula where it can be made.
    pub slips: fn(&View<'_>) -> Vec<Slip>,
}

const fn must(name: &'static str, codes: &'static [&'static str], slips: fn(&View<'_>) -> Vec<Slip>) -> Kind {
    Kind { name, verdict: Verdict::Must, codes, slips }
}

const fn may(
    name: &'static str,
    why: &'static str,
    codes: &'static [&'static str],
    slips: fn(&View<'_>) -> Vec<Slip>,
) -> Kind {
    Kind { name, verdict: Verdict::May(why), codes, slips }
}

const fn never(
    name: &'static str,
    save: &'static [&'static str],
    codes: &'static [&'static str],
    slips: fn(&View<'_>) -> Vec<Slip>,
) -> Kind {
    Kind { name, verdict: Verdict::Never(save), codes, slips }
}

/// What may come of a wrong amount, by itself and in what rests on it.
const OF_AMOUNTS: &[&str] = &[
    "usage-over",
    "usage-under",
    "total-over-100",
    "total-under-100",
    "qs-nothing-left",
    "amount-over-100",
    "amount-zero",
    "strength-impossible",
    "strength-ignored",
    "ensure-broken",
    "rule-broken",
    "rule-unproven",
    "solubility-over",
    "hlb-off",
    "preservative-gap",
    "preservative-free-acid",
    "reserve-over-line",
    "below-scale",
    "batch-too-small",
    "scale-overloaded",
    "active-off-target",
    "mixed-basis",
];

/// What a larger amount may rightly bring beside its own limit: a promise of the formula's own, an emulsion out of
/// balance, more than dissolves, more acid than the water held back has base for; and a smaller one: less than the
/// scale weighs well.
const TRUE_BESIDE: &[&str] = &["ensure-broken", "hlb-off", "solubility-over", "below-scale", "reserve-short"];

/// Every kind.
pub const TABLE: &[Kind] = &[
    may(
        "strength forgotten",
        "as supplied is an amount too, unless the title, an ensure or another line says otherwise",
        OF_AMOUNTS,
        amounts::strength_forgotten,
    ),
    may("digits transposed", "within its usage the other figure is a good one", OF_AMOUNTS, amounts::digits_transposed),
    may("decimal point moved", "within its usage the other figure is a good one", OF_AMOUNTS, amounts::point_moved),
    must("% for ppm", &["amount-over-100"], amounts::percent_for_ppm),
    may("ppm for %", "so little of something may be meant", OF_AMOUNTS, amounts::ppm_for_percent),
    must("mL for g", &["unit-mismatch", "density-missing"], amounts::millilitres_for_grams),
    must("oz for fl-oz", &["ounce-confusion"], amounts::ounces_for_fluid_ounces),
    may("kg for g", "a large batch may be meant, and grams are proportions", OF_AMOUNTS, amounts::kilograms_for_grams),
    must("line doubled", &["line-twice", "qs-twice"], lines::doubled),
    must("line left out, q.s., still named", &["step-unknown-name", "name-unknown"], lines::left_out_but_named),
    may(
        "line left out, q.s., named nowhere",
        "what fills up takes its place, and nothing says that it was there",
        &["no-preservative", "preservative-gap", "phase-clash", "hlb-off", "chelator-missing", "material-unused"],
        lines::left_out_unseen,
    ),
    must("line left out, no q.s., in percent", &["total-under-100", "name-unknown"], lines::left_out_of_a_hundred),
    may(
        "line left out, no q.s., by weight or parts",
        "the others are proportions, and nothing says that it was there",
        &["no-preservative", "preservative-gap", "usage-over", "material-unused"],
        lines::left_out_of_proportions,
    ),
    must("the only preservative left out", &["no-preservative", "total-under-100"], lines::only_preservative_left_out),
    may(
        "one of several preservatives left out",
        "the others may do",
        &["preservative-gap", "usage-under", "total-under-100"],
        lines::one_preservative_left_out,
    ),
    must("preservative at a tenth", &["usage-under"], lines::preservative_at_a_tenth),
    must("preservative times ten", &["usage-over"], lines::preservative_times_ten),
    must("adjuster the wrong way", &["ph-window-unreachable"], window::adjuster_the_wrong_way),
    must("adjuster without window", &["ph-window-missing"], window::adjuster_without_window),
    must("window without adjuster", &["reserve-unused"], window::window_without_adjuster),
    must("window with nothing to reach it", &["ph-window-unreachable"], window::window_out_of_reach),
    must("window reversed", &["ph-window-reversed"], window::window_reversed),
    must(
        "window past the preservative",
        &["ph-window-partial", "ph-window-clash", "preservative-free-acid"],
        window::window_past_the_preservative,
    ),
    must("swap for an opposite charge", &["avoid-together"], swaps::opposite_charge),
    must("swap for another phase", &["phase-clash"], swaps::another_phase),
    must("swap for a lower heat limit", &["heat-clash"], swaps::lower_heat_limit),
    must("swap for another pH", &["ph-window-clash"], swaps::another_ph),
    must("phase heated over a limit", &["heat-clash"], swaps::heated_over_a_limit),
    must("reserve left out", &["reserve-missing"], window::reserve_left_out),
    must("reserve over its line", &["reserve-over-line"], window::reserve_over_its_line),
    must("reserve too small", &["reserve-short"], window::reserve_too_small),
    must("usage just over", &["usage-over"], limits::usage_over),
    must("usage just under", &["usage-under"], limits::usage_under),
    never("usage at the most", TRUE_BESIDE, &["usage-over"], limits::usage_at_the_most),
    never("usage at the least", TRUE_BESIDE, &["usage-under"], limits::usage_at_the_least),
    must("rule just passed", &["rule-broken"], limits::rule_just_passed),
    never("rule at its limit", &[], &["rule-broken"], limits::rule_at_the_limit),
    must("two of one acid together over", &["rule-broken"], limits::two_together_over),
    never("two of one acid together at the limit", &[], &["rule-broken"], limits::two_together_at),
    must("strength undisclosed under a limit", &["rule-unproven", "strength-missing"], limits::strength_undisclosed),
    must("step names what is gone", &["step-unknown-name"], swaps::step_names_what_is_gone),
    must("line no step names", &["step-missing-line"], names::no_step_names_a_line),
    must("version lost", &["version-missing"], names::version_lost),
    must("scale too coarse", &["below-scale", "batch-too-small"], scales::scale_too_coarse),
    must("batch too small", &["batch-too-small", "below-scale"], scales::batch_too_small),
    must("density lost with containers", &["density-missing"], scales::density_lost),
    must("import mistyped", &["use-not-found"], names::import_mistyped),
    must("name mistyped by a letter", &["name-unknown"], names::line_mistyped),
    may(
        "group member removed",
        "a smaller group is a good group, and what counted it counts less",
        &["allow-unused", "ensure-broken", "rule-broken"],
        names::group_member_removed,
    ),
    must("allow without reason", &["allow-no-reason"], names::allow_without_reason),
    must("allow of what no longer happens", &["allow-unused"], names::allow_of_nothing),
];
