//! How near a material that could stand in is to what it would stand in for.

use super::fits::{APART, phase_distance};
use super::profile::Profile;
use crate::model::{AcidBase, DeclId};
use crate::quantity::{Exact, Interval};
use crate::syntax::vocabulary::{Charge, Doing, MaterialPhase};
use std::cmp::Reverse;
use std::mem::discriminant;

/// How far a stand-in is off, the nearest first.
///
/// In this order: the same active in another bottle; the same acid in another salt; what falls short ([`shortfall`]);
/// the charge and the phase; the HLB; where it melts; few things done that the other does not do; what wholes bring
/// by nature; the strength of an acid or base; heat; usage and pH; roles; the alphabet.
pub(super) fn distance(wanted: &Profile, other: &Profile) -> impl Ord + use<> {
    let identity = (!wanted.has_active_of(other), !wanted.is_kin_of(other));
    let place = (other_charge(wanted, other), phase_distance(wanted, other));
    let figures = (
        figure_distance(wanted.material.hlb.as_ref(), other.material.hlb.as_ref()),
        figure_distance(wanted.melts_at().as_ref(), other.melts_at().as_ref()),
        figure_distance(wanted.material.required_hlb.as_ref(), other.material.required_hlb.as_ref()),
        undone(other, wanted),
        Reverse(in_common(wanted, other)),
        acidity_distance(wanted, other),
        figure_distance(heat(wanted), heat(other)),
    );
    let usage = common_share(wanted.usage.as_ref(), other.usage.as_ref());
    let ph = common_share(wanted.ph_span().as_ref(), other.ph_span().as_ref());
    let roles = wanted.material.roles.iter().filter(|role| other.material.roles.contains(role)).count();
    let rest = (Reverse(&usage + &ph), Reverse(roles), other.material.name.clone());
    (identity, shortfall(wanted, other), place, figures, rest)
}

/// How many of the things that one does another leaves undone.
fn undone(one: &Profile, other: &Profile) -> usize {
    one.material.does.iter().filter(|doing| !other.material.does.contains(doing)).count()
}

/// What falls short of the wanted one, counted together: each thing that it does and the other leaves undone, that
/// the thing is not what the other is there for first and foremost, a phase or a pH of its own, each microbe let
/// through, salt or alcohol not borne, and a charge that does not get along with what the wanted one does.
fn shortfall(wanted: &Profile, other: &Profile) -> usize {
    undone(wanted, other)
        + usize::from(wanted.material.does.first() != other.material.does.first())
        + phase_lost(wanted, other)
        + ph_lost(wanted, other)
        + lost(wanted, other)
        + charge_lost(wanted, other)
}

/// What another phase costs: all of it, or one of two where the wanted one goes into either.
fn phase_lost(wanted: &Profile, other: &Profile) -> usize {
    let goes_anywhere = wanted.material.phase == Some(MaterialPhase::Either);
    usize::from(phase_distance(wanted, other) == APART || (goes_anywhere && phase_distance(wanted, other) > 0))
}

/// What another pH costs. A preservative is chosen by its pH: at none in common it does not work, and less than half
/// of the wanted one's range falls short too.
fn ph_lost(wanted: &Profile, other: &Profile) -> usize {
    let preserves = wanted.material.does.first() == Some(&Doing::Preserves);
    if is_apart_in_ph(wanted, other) {
        return if preserves { 3 } else { 1 };
    }
    let covers_half = || {
        let (one, two) = (wanted.ph_span()?, other.ph_span()?);
        let common = &one.high.clone().min(two.high) - &one.low.clone().max(two.low);
        Some(&common * &Exact::whole(2) >= &one.high - &one.low)
    };
    usize::from(preserves && covers_half() == Some(false))
}

/// Whether both are known to work at a pH, and at no pH both.
fn is_apart_in_ph(one: &Profile, two: &Profile) -> bool {
    match (&one.material.works_in, &two.material.works_in) {
        (Some(one), Some(two)) => !one.meets(two),
        _ => false,
    }
}

/// How much of what holds the wanted one up does not hold the other up: microbes that it lets through, and salt or
/// alcohol of which it bears less than half. What bears less than a tenth is another kind of polymer: it collapses
/// where the wanted one stands.
fn lost(wanted: &Profile, other: &Profile) -> usize {
    let (wanted, other) = (&wanted.material, &other.material);
    let let_through = wanted.protects.iter().filter(|microbe| !other.protects.contains(microbe)).count();
    let borne = wanted.bears.iter().map(|(borne, most, _)| {
        let known = other.bears.iter().find(|(other_borne, ..)| other_borne == borne);
        let bears_less_than = |part: i64| known.is_some_and(|(_, there, _)| &(there * &Exact::whole(part)) < most);
        match (bears_less_than(2), bears_less_than(10)) {
            (_, true) => 3,
            (true, false) => 1,
            (false, false) => 0,
        }
    });
    let_through + borne.sum::<usize>()
}

/// What another charge costs: a polymer without charge gets along with all that a charged one does, what is charged
/// in the place of what is not does not get along with everything, and of two charges neither gets along with what
/// the other does.
fn charge_lost(wanted: &Profile, other: &Profile) -> usize {
    match (wanted.charge(), other.charge()) {
        (Some(one), Some(two)) if one == two => 0,
        (Some(_), Some(Charge::NonIonic)) => usize::from(!holds_the_phase(wanted)),
        (Some(Charge::NonIonic), Some(_)) => 1,
        (Some(_), Some(_)) => 2,
        _ => 0,
    }
}

/// Whether it is a polymer that thickens or holds up the phase it is in.
fn holds_the_phase(profile: &Profile) -> bool {
    matches!(profile.material.does.first(), Some(Doing::Thickens | Doing::Suspends | Doing::Films))
}

/// Whether both are known to have a charge and it differs, where that matters beyond what it costs.
fn other_charge(wanted: &Profile, other: &Profile) -> bool {
    let differ = wanted.charge().zip(other.charge()).is_some_and(|(one, two)| one != two);
    differ && !holds_the_phase(wanted)
}

/// How far two figures are apart; where only one of the two has such a figure, further than any two figures.
fn figure_distance(wanted: Option<&Exact>, other: Option<&Exact>) -> (bool, Exact) {
    match (wanted, other) {
        (Some(wanted), Some(other)) => (false, (wanted - other).abs()),
        (None, None) => (false, Exact::ZERO),
        _ => (true, Exact::ZERO),
    }
}

/// For what moves or holds the pH: whether it is of another kind, strong or weak, and how far the strengths are apart.
fn acidity_distance(wanted: &Profile, other: &Profile) -> (bool, Exact) {
    let moves = [Doing::Acidifies, Doing::Alkalises, Doing::Buffers];
    if !wanted.material.does.first().is_some_and(|main| moves.contains(main)) {
        return (false, Exact::ZERO);
    }
    let kind = |profile: &Profile| {
        let (_, substance) = profile.active.as_ref()?;
        substance.acid_base.as_ref().map(discriminant::<AcidBase>)
    };
    let strength = |profile: &Profile| profile.active.as_ref().map(|(component, _)| component.strength.middle());
    let (_, apart) = figure_distance(strength(wanted).as_ref(), strength(other).as_ref());
    (kind(wanted) != kind(other), apart)
}

fn heat(profile: &Profile) -> Option<&Exact> {
    profile.material.needs.as_ref().map(|needs| &needs.celsius)
}

/// How much of two wholes is the same by nature, in percent: what each brings, by the middle of its range.
fn in_common(wanted: &Profile, other: &Profile) -> Exact {
    let share = |substance: DeclId| {
        let brought = other.material.brings.iter().find(|part| part.substance == substance);
        let itself = || other.active.as_ref().map(|(part, _)| part).filter(|part| part.substance == substance);
        brought.or_else(itself).map(|part| part.strength.middle())
    };
    let common =
        wanted.material.brings.iter().filter_map(|part| Some(part.strength.middle().min(share(part.substance)?)));
    common.fold(Exact::ZERO, |sum, more| &sum + &more)
}

/// What two ranges have in common, over what either has; nought where one is not known, and below it where they are
/// apart.
fn common_share(one: Option<&Interval>, two: Option<&Interval>) -> Exact {
    let (Some(one), Some(two)) = (one, two) else { return Exact::ZERO };
    let common = &one.high.clone().min(two.high.clone()) - &one.low.clone().max(two.low.clone());
    let whole = &one.high.clone().max(two.high.clone()) - &one.low.clone().min(two.low.clone());
    common.over(&whole).unwrap_or(Exact::ONE)
}
