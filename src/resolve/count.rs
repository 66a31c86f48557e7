//! How much of a substance there is in a mixture, as laws and demands count it.
//!
//! Two declarations are one substance where they share a CAS number or an INCI name, so that a substance declared
//! at home is counted under a rule of the shelf. What a home declaration leaves out (molar mass, what it is a salt
//! of) is taken from its twin on the shelf.

use super::Resolver;
use crate::model::{AcidBase, Counting, DeclId, Substance};
use crate::quantity::{Exact, Interval};
use crate::shelf;
use std::sync::Arc;

/// What was counted.
#[derive(Clone, Debug)]
pub struct Count {
    /// The total, in percent.
    pub total: Interval,
    /// The substances that could not be converted for want of a molar mass. Each is counted as anything from
    /// nothing to its own weight.
    pub unweighed: Vec<DeclId>,
}

impl Resolver<'_> {
    /// Counts the parts of a mixture that belong to a subject.
    pub fn count<'p>(
        &self,
        parts: impl Iterator<Item = (DeclId, &'p Interval)>,
        subject: &[DeclId],
        counting: &Counting,
    ) -> Count {
        let mut count = Count { total: Interval::zero(), unweighed: Vec::new() };
        for (part, share) in parts {
            match self.factor(part, subject, counting) {
                None => {}
                Some(Some(factor)) => count.total = &count.total + &share.times(&factor),
                Some(None) => {
                    count.total = &count.total + &Interval::new(Exact::ZERO, share.high.clone());
                    count.unweighed.push(part);
                }
            }
        }
        count
    }

    /// What one weight of a part counts for: none where it does not belong to the subject at all, none inside where
    /// a molar mass is missing.
    fn factor(&self, part: DeclId, subject: &[DeclId], counting: &Counting) -> Option<Option<Exact>> {
        let belongs = subject.iter().any(|member| self.is_same(part, *member));
        if let Counting::Own = counting {
            return belongs.then_some(Some(Exact::ONE));
        }
        let parent = self.parent(part);
        let of_subject = parent.filter(|parent| subject.iter().any(|member| self.is_same(*parent, *member)));
        if !belongs && of_subject.is_none() {
            return None;
        }
        Some(match counting {
            Counting::As(named, _) if self.is_same(part, *named) => Some(Exact::ONE),
            Counting::As(named, _) => self.ratio(*named, part).map(|ratio| &ratio * &self.ions_of(part, *named)),
            Counting::Own | Counting::AsAcid => {
                // A salt that is named itself counts as its acid too.
                match of_subject.or(parent.filter(|parent| self.is_acid(*parent))) {
                    Some(parent) => self.ratio(parent, part),
                    None => Some(Exact::ONE),
                }
            }
        })
    }

    /// Whether two declarations are one substance: by CAS number, else by INCI name.
    #[must_use]
    pub fn is_same(&self, one: DeclId, other: DeclId) -> bool {
        if one == other {
            return true;
        }
        let (Some(one), Some(other)) = (self.substance(one), self.substance(other)) else { return false };
        let shared = |number: &str| cas_numbers(&other).any(|known| known == number);
        let same_name = match (&one.inci, &other.inci) {
            (Some(one), Some(other)) if one.is_ascii() && other.is_ascii() => one.eq_ignore_ascii_case(other),
            (Some(one), Some(other)) => one.to_lowercase() == other.to_lowercase(),
            _ => false,
        };
        cas_numbers(&one).any(shared) || same_name
    }

    /// Whether a rule that speaks of a substance speaks of a part too: of itself, or as a salt of it.
    pub(super) fn count_as_one(&self, part: DeclId, named: DeclId) -> bool {
        self.is_same(part, named) || self.parent(part).is_some_and(|parent| self.is_same(parent, named))
    }

    /// Whether two substances are one entry of a composition: a substance is, and so is water, free or bound in a crystal.
    #[must_use]
    pub fn is_one_entry(&self, one: DeclId, other: DeclId) -> bool {
        let is_water = |id: DeclId| self.substance(id).is_some_and(|substance| substance.is_water());
        one == other || is_water(one) && is_water(other)
    }

    /// What a substance is a salt of, by its own declaration or its twin's.
    pub(super) fn parent(&self, id: DeclId) -> Option<DeclId> {
        let own = self.substance(id)?;
        match &own.salt {
            Some(salt) => Some(salt.of),
            None => self.twin(&own)?.salt.as_ref().map(|salt| salt.of),
        }
    }

    /// The shelf's own record of a substance declared at home.
    pub(super) fn twin(&self, own: &Substance) -> Option<Arc<Substance>> {
        if let Some(known) = self.made.twins.get(own.id) {
            return known;
        }
        let entry = cas_numbers(own)
            .find_map(shelf::substance_by_key)
            .or_else(|| shelf::substance_by_key(&own.inci.as_ref()?.to_lowercase()));
        let twin = entry.and_then(|entry| self.substance(super::name_set::shelf_decl(entry)));
        let twin = twin.filter(|twin| twin.id != own.id);
        self.made.twins.put(own.id, twin.clone());
        twin
    }

    /// How many of an ion a formula unit of a salt has, by its own declaration or its twin's: half a zinc beside one of
    /// its acid. One where it is no salt with that ion.
    fn ions_of(&self, salt: DeclId, ion: DeclId) -> Exact {
        let own = self.substance(salt);
        let twin = own.as_ref().filter(|own| own.salt.is_none()).and_then(|own| self.twin(own));
        let known = [own, twin].into_iter().flatten().find_map(|of| of.salt.clone());
        known.filter(|salt| self.is_same(salt.with, ion)).map_or(Exact::ONE, |salt| salt.count.clone())
    }

    /// A substance with what it leaves out of its acids and bases, taken from its twin on the shelf.
    #[must_use]
    pub fn with_twin(&self, id: DeclId) -> Option<Arc<Substance>> {
        let own = self.substance(id)?;
        let is_told = own.molar_mass.is_some() && (own.acid_base.is_some() || own.salt.is_some());
        let Some(twin) = (!is_told).then(|| self.twin(&own)).flatten() else { return Some(own) };
        let is_silent = own.acid_base.is_none() && own.salt.is_none();
        let mut whole = Substance::clone(&own);
        whole.molar_mass = whole.molar_mass.or_else(|| twin.molar_mass.clone());
        if is_silent {
            whole.acid_base.clone_from(&twin.acid_base);
            whole.salt.clone_from(&twin.salt);
        }
        Some(Arc::new(whole))
    }

    fn is_acid(&self, id: DeclId) -> bool {
        self.substance(id).is_some_and(|substance| matches!(substance.acid_base, Some(AcidBase::Acid(_))))
    }

    fn ratio(&self, wanted: DeclId, part: DeclId) -> Option<Exact> {
        self.mass(wanted)?.over(&self.mass(part)?)
    }

    fn mass(&self, id: DeclId) -> Option<Exact> {
        let own = self.substance(id)?;
        own.molar_mass.clone().or_else(|| self.twin(&own)?.molar_mass.clone())
    }

    /// The words that rules on the shelf are found by for a part of a mixture: CAS numbers and INCI names, its own,
    /// its twin's, and those of what it is a salt of.
    pub(super) fn keys(&self, part: DeclId) -> Vec<String> {
        let mut keys = Vec::new();
        for id in std::iter::once(part).chain(self.parent(part)) {
            let Some(own) = self.substance(id) else { continue };
            let twin = self.twin(&own);
            for known in std::iter::once(&own).chain(twin.as_ref()) {
                keys.extend(cas_numbers(known).map(str::to_string));
                keys.extend(known.inci.as_ref().map(|inci| inci.to_lowercase()));
            }
        }
        keys
    }
}

/// The CAS numbers of a substance; several stand in one text with semicolons between.
pub(super) fn cas_numbers(substance: &Substance) -> impl Iterator<Item = &str> {
    substance.cas.iter().flat_map(|cas| cas.split(';')).map(str::trim).filter(|number| !number.is_empty())
}
