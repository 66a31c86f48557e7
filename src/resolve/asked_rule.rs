//! A formula asked about a rule: how much there is of what the rule speaks of, and whether what it waits for holds.

use super::{Count, Resolver};
use crate::diagnostic::Place;
use crate::model::{Composition, Counting, Formula, Line, LineMaterial, PhRange, Rule, Subject, When};
use crate::quantity::{Exact, Interval, Overlap, Range};

/// Whether something holds, over strengths that may not be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RuleOutcome {
    /// Surely not.
    No,
    /// It cannot be shown.
    Unproven,
    /// Surely.
    Yes,
}

/// A formula that is asked about rules.
pub struct AskedRule<'a, 's> {
    /// The formula.
    pub formula: &'a Formula,
    /// The names of the session.
    pub resolver: &'a Resolver<'s>,
    /// What it is made of, as the rules are to count it.
    pub composition: &'a Composition,
}

impl AskedRule<'_, '_> {
    /// How much of a subject the batch holds, counted as the rule counts.
    pub fn count(&self, subject: &Subject, counting: &Counting) -> Count {
        self.resolver.count(self.composition.counted(), &subject.members, counting)
    }

    /// The lines that give something of a subject, with what they give in percent of the batch, the most first.
    pub fn lines(&self, subject: &Subject, counting: &Counting) -> Vec<(&Line, Interval)> {
        let mut giving: Vec<(&Line, Interval)> = Vec::new();
        for line in &self.formula.lines {
            let Some(percent) = &line.percent else { continue };
            let total = match &line.material {
                Some(LineMaterial::Material(material)) => {
                    let parts = material.contains.iter().chain(&material.brings);
                    let parts = parts.map(|part| (part.substance, &part.strength));
                    self.resolver.count(parts, &subject.members, counting).total
                }
                Some(LineMaterial::Premix(premix)) => {
                    let parts = premix.composition.iter().flat_map(|inner| inner.counted());
                    self.resolver.count(parts, &subject.members, counting).total
                }
                None => continue,
            };
            if total.high.is_positive() {
                giving.push((line, total.times(&percent.hundredth())));
            }
        }
        // A stable sort: of equal ones the first stays first.
        giving.sort_by_key(|(_, share)| std::cmp::Reverse(share.middle()));
        giving
    }

    /// Whether something that a rule waits for holds.
    pub fn holds(&self, when: &When) -> RuleOutcome {
        let total = |subject: &Subject| self.count(subject, &Counting::Own).total;
        match when {
            When::Ph(bound) => self.window().map_or(RuleOutcome::Unproven, |window| within(window, &bound.range)),
            When::Above(subject, figure) => above(&total(subject), figure),
            When::Below(subject, figure) => {
                let total = total(subject);
                if total.high < *figure {
                    RuleOutcome::Yes
                } else if total.low < *figure {
                    RuleOutcome::Unproven
                } else {
                    RuleOutcome::No
                }
            }
            When::Within(subject, bound) => within(&Range::from(&total(subject)), &bound.range),
        }
    }

    /// Whether all that a rule waits for holds.
    #[must_use]
    pub fn applies(&self, rule: &Rule) -> RuleOutcome {
        rule.whens.iter().map(|when| self.holds(when)).min().unwrap_or(RuleOutcome::Yes)
    }

    /// The pH window, unless it is at fault itself.
    pub fn window(&self) -> Option<&PhRange> {
        self.formula.window.as_ref().filter(|window| match (&window.low, &window.high) {
            (Some(low), Some(high)) => low <= high,
            _ => true,
        })
    }

    /// The place that makes a rule apply: the line that gives most of what it waits for, or the pH.
    pub fn what_calls(&self, rule: &Rule) -> Place {
        let of = |when: &When| match when {
            When::Ph(_) => self.window().map(|window| window.place),
            When::Above(subject, _) | When::Within(subject, _) | When::Below(subject, _) => {
                self.lines(subject, &Counting::Own).first().map(|(line, _)| line.mark)
            }
        };
        rule.whens.iter().find_map(of).unwrap_or(self.formula.place)
    }

    /// Which strength is missing for a figure of a subject, and what would give it.
    pub fn missing(&self, subject: &Subject) -> String {
        let counted = self.lines(subject, &Counting::Own);
        let open = counted.iter().find(|(_, share)| !share.is_point());
        match open {
            Some((line, share)) => {
                let of = line.percent.as_ref().and_then(|percent| {
                    let hundred = |end: &Exact| (end * &Exact::HUNDRED).over(percent);
                    Some(Interval::new(hundred(&share.low)?, hundred(&share.high)?))
                });
                let known = of.map(|of| of.percent_text()).unwrap_or_default();
                let nothing = known.is_empty() || known == "0 % to 100 %";
                if nothing {
                    format!("its strength in `{}` is not disclosed; ask for it", line.name)
                } else {
                    format!("its strength in `{}` is known only as {known}; ask for the lot's own", line.name)
                }
            }
            None => "a molar mass is missing; give it with `molar-mass` in the substance".to_string(),
        }
    }
}

fn above(total: &Interval, figure: &Exact) -> RuleOutcome {
    if total.low > *figure {
        RuleOutcome::Yes
    } else if total.high > *figure {
        RuleOutcome::Unproven
    } else {
        RuleOutcome::No
    }
}

/// Whether all of something lies within what is asked: where only part of it does, it cannot be shown.
pub fn within(figure: &Range<Exact>, asked: &Range<Exact>) -> RuleOutcome {
    match figure.overlap(asked) {
        Overlap::Whole => RuleOutcome::Yes,
        Overlap::Part(_) => RuleOutcome::Unproven,
        Overlap::None => RuleOutcome::No,
    }
}
