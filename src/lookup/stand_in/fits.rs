//! Whether a material could stand in for another at all.

use super::profile::Profile;
use crate::model::{AcidBase, Component, Substance};
use crate::quantity::Exact;
use crate::syntax::vocabulary::{Doing, MaterialPhase};

/// A strong acid or base burns from here on, in percent: sodium hydroxide is corrosive from 2 % (Regulation (EC) No
/// 1272/2008, Annex VI, table 3, index number 011-002-00-6).
const STRONG_BURNS_FROM: i64 = 2;

/// A biting acid burns from here on, in percent: phosphoric acid is corrosive from 25 % (the same, index number
/// 015-011-00-6).
const BITING_BURNS_FROM: i64 = 25;

/// Whether an acid of this first pKa is as biting as phosphoric acid, of 2.1; hydroxy acids lie above 2.9.
fn is_biting(pka: &Exact) -> bool {
    *pka < Exact::ratio(5, 2)
}

/// Whether a material could stand in for another: it does the thing that the other is there for, it belongs where the
/// other belongs, and it is nothing that burns or oxidises in the place of something mild.
pub(super) fn fits(wanted: &Profile, other: &Profile) -> bool {
    let Some(main) = wanted.material.does.first() else { return false };
    other.material.does.contains(main)
        && (phase_distance(wanted, other) < APART || works_on_the_body(*main))
        && (is_mild(other) || !is_mild(wanted))
}

/// How far apart two phases are that no line can be in at once.
pub(super) const APART: u8 = 2;

/// Nought for one phase, one where either belongs into both, [`APART`] for two phases.
pub(super) fn phase_distance(wanted: &Profile, other: &Profile) -> u8 {
    match (wanted.material.phase, other.material.phase) {
        (one, two) if one == two => 0,
        (None | Some(MaterialPhase::Either), _) | (_, None | Some(MaterialPhase::Either)) => 1,
        _ => APART,
    }
}

/// Whether a thing is done to skin or hair, from whichever phase: the others are done to the phase itself.
fn works_on_the_body(doing: Doing) -> bool {
    use Doing::*;
    matches!(
        doing,
        Brightens
            | Clears
            | Conditions
            | Deodorises
            | Exfoliates
            | Firms
            | GuardsSkin
            | Mattifies
            | Renews
            | Restores
            | Scents
            | ScreensUva
            | ScreensUvb
            | Soothes
            | Tans
            | Tightens
            | Wakes
    )
}

/// Whether it neither burns nor oxidises as it is bought.
pub(super) fn is_mild(profile: &Profile) -> bool {
    let burns = profile.parts.iter().any(|(component, substance)| burns(component, substance));
    !burns && !profile.material.does.contains(&Doing::Oxidises)
}

fn burns(component: &Component, substance: &Substance) -> bool {
    let reaches = |percent: i64| component.strength.high >= Exact::whole(percent);
    match &substance.acid_base {
        Some(AcidBase::StrongAcid | AcidBase::StrongBase) => reaches(STRONG_BURNS_FROM),
        Some(AcidBase::Acid(pka)) => pka.first().is_some_and(is_biting) && reaches(BITING_BURNS_FROM),
        _ => false,
    }
}
