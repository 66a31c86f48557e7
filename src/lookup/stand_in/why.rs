//! Why a stand-in stands where it stands, facts first.

use super::changes::strength;
use super::fits::phase_distance;
use super::profile::Profile;
use crate::model::Material;
use crate::quantity::{Exact, Range};
use crate::syntax::vocabulary::{Charge, Doing, MaterialPhase};

/// What both do, and then the facts that placed it, with those of the other beside them.
pub(super) fn words(wanted: &Profile, other: &Profile) -> String {
    let (here, there) = (&wanted.material, &other.material);
    let facts = [
        (wanted.has_active_of(other)).then(|| same_active(other)).flatten(),
        (!wanted.has_active_of(other) && wanted.is_kin_of(other)).then(|| "of the same acid or base".to_string()),
        phase(wanted, other),
        unlike(here.melts.as_ref().and_then(melts), there.melts.as_ref().and_then(melts)),
        unlike(hlb(here.hlb.as_ref()), hlb(there.hlb.as_ref())),
        charge(wanted.charge(), other.charge()),
        works(there).zip(works(here)).filter(|(there, here)| there != here).map(beside),
        let_through(here, there),
    ];
    let borne = here.bears.iter().filter_map(|(borne, most, _)| {
        let (_, other_most, _) = there.bears.iter().find(|(other, ..)| other == borne)?;
        (other_most < most).then(|| format!("bears {} only up to {other_most} %, beside {most} %", borne.word()))
    });
    let all = std::iter::once(shared(here, there)).chain(facts.into_iter().flatten()).chain(borne);
    all.collect::<Vec<_>>().join("; ")
}

/// `softens and occludes too`, and what it leaves undone.
fn shared(here: &Material, there: &Material) -> String {
    let (both, undone): (Vec<Doing>, Vec<Doing>) = here.does.iter().partition(|doing| there.does.contains(doing));
    let undone = match undone.as_slice() {
        [] => String::new(),
        undone => format!(" (not: {})", undone.iter().map(|doing| plain(*doing)).collect::<Vec<_>>().join(", ")),
    };
    let both: Vec<String> = both.into_iter().map(plain).collect();
    let both = match both.as_slice() {
        [before @ .., one, last] => {
            format!("{}{one} and {last}", before.iter().map(|one| format!("{one}, ")).collect::<String>())
        }
        few => few.concat(),
    };
    format!("{both} too{undone}")
}

/// A word as it is read aloud.
fn plain(doing: Doing) -> String {
    doing.word().replace('-', " ")
}

fn same_active(other: &Profile) -> Option<String> {
    let (component, _) = other.active.as_ref()?;
    Some(format!("the same active, {}", strength(component)))
}

fn phase(wanted: &Profile, other: &Profile) -> Option<String> {
    if phase_distance(wanted, other) == 0 {
        return None;
    }
    Some(match other.material.phase? {
        MaterialPhase::Water => "goes into the water".to_string(),
        MaterialPhase::Oil => "goes into the oil".to_string(),
        MaterialPhase::Either => "goes into either phase".to_string(),
        MaterialPhase::Powder => "goes among the powders".to_string(),
    })
}

fn melts(range: &Range<Exact>) -> Option<String> {
    match (&range.low, &range.high) {
        (None, Some(high)) => Some(format!("liquid above {high} °C")),
        _ => range.text(|celsius| format!("{celsius} °C")).map(|range| format!("melts at {range}")),
    }
}

fn hlb(hlb: Option<&Exact>) -> Option<String> {
    hlb.map(|hlb| format!("HLB {hlb}"))
}

fn works(material: &Material) -> Option<String> {
    material.works_in.as_ref().map(|range| format!("works in {}", range.words()))
}

fn charge(here: Option<Charge>, there: Option<Charge>) -> Option<String> {
    let word = |charge: Charge| if charge == Charge::NonIonic { "without charge" } else { charge.word() };
    let (here, there) = (here?, there?);
    (here != there).then(|| format!("{}, beside {}", word(there), word(here)))
}

fn let_through(here: &Material, there: &Material) -> Option<String> {
    let open = here.protects.iter().filter(|microbe| !there.protects.contains(microbe)).map(|microbe| microbe.word());
    let open: Vec<&str> = open.collect();
    (!open.is_empty()).then(|| format!("does not protect against {}", open.join(" or ")))
}

/// A fact, and that of the other beside it; alone where only this one has it, and nothing where the other is as it is.
fn unlike(here: Option<String>, there: Option<String>) -> Option<String> {
    match (here, there) {
        (Some(here), Some(there)) if here != there => Some(beside((there, here))),
        (None, Some(there)) => Some(there),
        _ => None,
    }
}

/// `melts at 31 °C to 35 °C, beside 31 °C to 38 °C`: what both say in the same words is said once.
fn beside((there, here): (String, String)) -> String {
    let alike = there
        .split_inclusive(' ')
        .zip(here.split_inclusive(' '))
        .take_while(|(one, two)| one == two && !one.starts_with(|sign: char| sign.is_ascii_digit() || sign == '-'));
    let from: usize = alike.map(|(one, _)| one.len()).sum();
    format!("{there}, beside {}", here.get(from..).unwrap_or(&here))
}
