//! `declare as formed`: the salt of an acid and a base in place of both, where it follows from the amounts.
//!
//! It does with one acid of one step, one strong base, and a declared salt of the two: as much salt forms as the scarcer
//! of them gives, and what is left of the other stands beside it. The water that forms with it is water.

use super::entry::{Entry, Part};
use super::name::{printed_name, water_name};
use super::tally::Tally;
use crate::diagnostic::FileId;
use crate::model::{AcidBase, DeclId, Salt, Substance};
use crate::quantity::{Exact, Interval};
use crate::resolve::{NameSet, Resolver};
use crate::shelf;
use crate::syntax::vocabulary::Market;
use smol_str::SmolStr;
use std::collections::BTreeSet;
use std::sync::Arc;

/// The molar mass of the hydroxide that a base gives away with its ion, in hundredths of a g/mol: 15.999 and 1.008 (IUPAC
/// 2021), as far as two molar masses that somebody wrote down agree.
const HYDROXIDE: (i64, i64) = (1696, 1706);

/// One acid, one base, and the salt they form.
struct Reaction {
    acid: Arc<Substance>,
    base: Arc<Substance>,
    salt: Arc<Substance>,
    masses: [Exact; 3],
}

/// The entries with the salt in them.
///
/// # Errors
/// Why it does not follow from the amounts.
pub(super) fn as_formed(
    names: &Resolver<'_>,
    tally: &Tally,
    file: FileId,
    market: Market,
) -> Result<Vec<Entry>, String> {
    let reaction = Reaction::of(names, tally, file)?;
    Ok(reaction.carried_out(names, tally, market))
}

impl Reaction {
    fn of(names: &Resolver<'_>, tally: &Tally, file: FileId) -> Result<Reaction, String> {
        let there = tally.given.all().flatten().filter(|one| one.share.high.is_positive());
        let there: BTreeSet<DeclId> = there.filter_map(|one| one.substance).collect();
        let mut acids: Vec<Arc<Substance>> = Vec::new();
        let mut bases: Vec<Arc<Substance>> = Vec::new();
        let mut salts: Vec<(Arc<Substance>, Salt)> = Vec::new();
        for substance in there.into_iter().filter_map(|id| names.with_twin(id)) {
            let takes_part = |what: &str| Err(format!("`{}` is {what}", substance.name));
            match &substance.acid_base {
                Some(AcidBase::Acid(_)) => put(names, &mut acids, substance),
                Some(AcidBase::StrongBase) => put(names, &mut bases, substance),
                Some(AcidBase::StrongAcid) => return takes_part("a strong acid"),
                Some(AcidBase::Base(_)) => return takes_part("a weak base"),
                Some(AcidBase::Ampholyte(..)) => return takes_part("both an acid and a base"),
                Some(AcidBase::Groups(_)) => return takes_part("a polymer that takes base up"),
                Some(AcidBase::Ion(_) | AcidBase::Neutral) | None => {
                    let salt = substance.salt.clone();
                    salts.extend(salt.map(|salt| (substance, salt)));
                }
            }
        }
        let one = |of: &[Arc<Substance>], what: &str| match of {
            [only] => Ok(Arc::clone(only)),
            [] => Err(format!("there is no {what}")),
            _ => Err(format!("more than one {what}")),
        };
        let (acid, base) = (one(&acids, "acid")?, one(&bases, "strong base")?);
        if matches!(&acid.acid_base, Some(AcidBase::Acid(steps)) if steps.len() > 1) {
            return Err(format!("`{}` is an acid of more than one step", acid.name));
        }
        if let Some((other, _)) = salts.iter().find(|(_, salt)| !names.is_same(salt.of, acid.id)) {
            return Err(format!("`{}` is a salt of something else", other.name));
        }
        let mass = |of: &Substance| {
            of.molar_mass.clone().ok_or_else(|| format!("the molar mass of `{}` is not known", of.name))
        };
        let [acid_mass, base_mass] = [mass(&acid)?, mass(&base)?];
        let Some(salt) = declared_salt(names, file, &acid, &base_mass) else {
            return Err(format!("no salt of `{}` with the base is declared", acid.name));
        };
        let salt_mass = mass(&salt)?;
        if salt_mass > &acid_mass + &base_mass {
            return Err(format!("`{}` weighs more than what it forms from", salt.name));
        }
        Ok(Reaction { acid, base, salt, masses: [acid_mass, base_mass, salt_mass] })
    }

    /// The entries once it has run.
    fn carried_out(&self, names: &Resolver<'_>, tally: &Tally, market: Market) -> Vec<Entry> {
        let [acid_mass, base_mass, salt_mass] = &self.masses;
        let acid = self.all_of(names, tally, &self.acid);
        let base = self.all_of(names, tally, &self.base);
        let reacts = Interval::new(
            moles(&acid.low, acid_mass).min(moles(&base.low, base_mass)),
            moles(&acid.high, acid_mass).min(moles(&base.high, base_mass)),
        );
        let acid_left = left(&acid, acid_mass, &base, base_mass);
        let base_left = left(&base, base_mass, &acid, acid_mass);
        let salt = reacts.times(salt_mass);
        let none = Interval::zero();
        let mut entries = tally.entries.clone();
        let changes = [(&self.acid, &acid, &acid_left), (&self.base, &base, &base_left), (&self.salt, &none, &salt)];
        for (substance, old, new) in changes {
            let there = tally.given.all().flatten().find(|one| one.substance == Some(substance.id));
            let printed = there.map_or_else(|| printed_name(substance, &[], market).text, |one| one.name.clone());
            change(&mut entries, &printed, &substance.name, old, new);
        }
        let water = reacts.times(&(&(acid_mass + base_mass) - salt_mass));
        change(&mut entries, water_name(market), &SmolStr::new_static("water"), &none, &water);
        entries.retain(|entry| entry.share.high.is_positive());
        entries
    }

    /// How much of a substance there is as added.
    fn all_of(&self, names: &Resolver<'_>, tally: &Tally, substance: &Substance) -> Interval {
        tally.given.total(|mixture| {
            let those = mixture.iter().filter(|one| one.substance.is_some_and(|id| names.is_same(id, substance.id)));
            those.fold(Interval::zero(), |sum, one| &sum + &one.share)
        })
    }
}

/// What is left of one of two that react, from how many moles the other has.
fn left(of: &Interval, mass: &Exact, other: &Interval, other_mass: &Exact) -> Interval {
    let left = |most: &Exact, least: &Exact| (most - &(&moles(least, other_mass) * mass)).max(Exact::ZERO);
    Interval::new(left(&of.low, &other.high), left(&of.high, &other.low))
}

/// Moles in 100 g.
fn moles(share: &Exact, mass: &Exact) -> Exact {
    share.over(mass).unwrap_or(Exact::ZERO)
}

/// Puts a substance among others, once.
fn put(names: &Resolver<'_>, among: &mut Vec<Arc<Substance>>, substance: Arc<Substance>) {
    if !among.iter().any(|known| names.is_same(known.id, substance.id)) {
        among.push(substance);
    }
}

/// The declared salt of an acid with one ion of a base that is known by its molar mass: those of the file before those of
/// the shelf.
fn declared_salt(names: &Resolver<'_>, file: FileId, acid: &Substance, base_mass: &Exact) -> Option<Arc<Substance>> {
    let visible = names.scopes.visible(file, NameSet::Substance).into_iter();
    let found = visible.filter_map(|name| names.substance(names.scopes.find(file, NameSet::Substance, name)?));
    let mut salts: Vec<Arc<Substance>> = found
        .filter(|substance| {
            let salt = substance.salt.as_ref().filter(|salt| salt.count == Exact::ONE);
            salt.is_some_and(|salt| names.is_same(salt.of, acid.id) && is_ion_of(names, salt.with, base_mass))
        })
        .collect();
    salts.sort_by_key(|salt| shelf::FILES.get(salt.id.file.0 as usize).is_some());
    salts.into_iter().next()
}

/// Whether an ion is what a strong base of this molar mass has beside its hydroxide.
fn is_ion_of(names: &Resolver<'_>, ion: DeclId, base_mass: &Exact) -> bool {
    let Some(ion) = names.with_twin(ion) else { return false };
    let is_single = matches!(&ion.acid_base, Some(AcidBase::Ion(charge)) if *charge == Exact::ONE);
    let (least, most) = HYDROXIDE;
    ion.molar_mass.as_ref().filter(|_| is_single).is_some_and(|mass| {
        let beside = base_mass - mass;
        beside >= Exact::ratio(least, 100) && beside <= Exact::ratio(most, 100)
    })
}

/// Gives an entry another share in place of one of what is in it; makes it where there is none.
fn change(entries: &mut Vec<Entry>, name: &str, substance: &SmolStr, old: &Interval, new: &Interval) {
    let is_it = |entry: &&mut Entry| entry.name.to_lowercase() == name.to_lowercase();
    if let Some(entry) = entries.iter_mut().find(is_it) {
        let changed = |of: &Exact, old: &Exact, new: &Exact| (&(of - old) + new).max(Exact::ZERO);
        entry.share = Interval::new(
            changed(&entry.share.low, &old.low, &new.low),
            changed(&entry.share.high, &old.high, &new.high),
        );
        if !entry.substances.contains(substance) {
            entry.substances.push(substance.clone());
            entry.substances.sort();
        }
        return;
    }
    entries.push(Entry {
        name: name.to_string(),
        substances: vec![substance.clone()],
        part: Part::Ordered,
        share: new.clone(),
        sure: true,
    });
}
