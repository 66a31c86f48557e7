//! The pH: what takes part, in which states, and what they add to.

use super::derivation::{Derivation, DerivationStep, WhyContext, at, so};
use crate::chemistry::{Equilibrium, Mixture, PKW, complexes, species};
use crate::quantity::Range;
use crate::resolve::substance_of;
use crate::session::FormulaReport;
use crate::sheet::ph::{Adjuster, Outlook};

/// The derivations of the pH before adjustment, and of the doses to the middle of the window.
pub(super) fn ph(context: &WhyContext<'_, '_>, report: &FormulaReport) -> Vec<Derivation> {
    let Some(outlook) = report.outlook(context.resolver) else { return Vec::new() };
    let Some(before) = &outlook.before else { return Vec::new() };
    let titrated = context.formula.lines.iter().filter_map(|line| line.titrated.as_deref());
    let read = titrated.filter(|of| of.points.first().is_some_and(|(grams, _)| grams.is_zero()));
    let mut all = vec![match (outlook.before_read, outlook.why_vague()) {
        (Some((read_ph, _)), _) => Derivation {
            of: "pH before adjustment".to_string(),
            result: format!("{read_ph:.2}"),
            unit: "",
            steps: read
                .map(|titration| {
                    at(titration.place, format!("`{}`: read before anything went in", titration.written()))
                })
                .collect(),
        },
        (None, None) => Derivation {
            of: "pH before adjustment".to_string(),
            result: format!("{:.2}", before.ph),
            unit: "",
            steps: steps(context, &outlook, &outlook.solution.rest, before),
        },
        (None, Some(why)) => Derivation {
            of: "pH before adjustment".to_string(),
            result: "too unsure for a figure".to_string(),
            unit: "",
            steps: what_leaves_it_open(&outlook, why),
        },
    }];
    for of in &outlook.adjusters {
        let adjuster = outlook.solution.adjusters.iter().find(|adjuster| adjuster.line == of.line);
        all.extend(
            adjuster.zip(of.told().middle).and_then(|(adjuster, dose)| dosed(context, &outlook, adjuster, dose)),
        );
    }
    all
}

/// What a pH that is no figure may be off by, and from what.
fn what_leaves_it_open(outlook: &Outlook, why: &str) -> Vec<DerivationStep> {
    let parts = &outlook.before_parts;
    let all = [
        (parts.missing, "materials without acid-base data"),
        (parts.traces, "traces of acid and base"),
        (parts.strengths, "strengths that are ranges"),
        (parts.models, "the difference of the two models"),
        (parts.common, "the meter, the constants and the ground of the model"),
    ];
    let told = all.into_iter().filter(|(off, _)| *off >= 0.005);
    let mut steps = vec![so(why.to_string())];
    steps.extend(told.map(|(off, what)| so(format!("{what} may move it by {off:.2}"))));
    steps
}

/// The grams of an adjuster to the middle of the window, in the batch of the sheet.
fn dosed(context: &WhyContext<'_, '_>, outlook: &Outlook, adjuster: &Adjuster, dose: f64) -> Option<Derivation> {
    let line = context.formula.lines.get(adjuster.line)?;
    let mixture = adjuster.at(dose);
    let found = crate::chemistry::equilibrium(&mixture, outlook.model)?;
    // What the model has in it at that dose is not what was read.
    let titrated = line.titrated.as_ref().filter(|_| adjuster.titrated.is_some());
    let mut steps = if titrated.is_some() { Vec::new() } else { steps(context, outlook, &mixture, &found) };
    if let Some(titration) = titrated {
        steps.insert(
            0,
            at(
                titration.place,
                format!(
                    "`{}`: at each pH that was read the dose is the beaker's, and between and past them the model goes on \
                     from there",
                    titration.written()
                ),
            ),
        );
    }
    steps.insert(
        0,
        at(
            line.place,
            format!("{dose:.4} g of `{}` in 100 g of batch, in place of as much of what is held back", line.name),
        ),
    );
    let grams = dose * context.plan.batch.to_f64() / 100.0;
    steps.push(so(format!("{dose:.4} g in 100 g are {grams:.2} g in {} g", context.plan.batch)));
    let middle = titrated.and(outlook.window.as_ref()).and_then(Range::middle).unwrap_or(found.ph);
    Some(Derivation {
        of: format!("grams of `{}` to pH {middle:.2}, the middle of the window", line.name),
        result: format!("{grams:.2}"),
        unit: "g",
        steps,
    })
}

/// What there is, in which states, and that its charges cancel.
fn steps(
    context: &WhyContext<'_, '_>,
    outlook: &Outlook,
    mixture: &Mixture,
    found: &Equilibrium,
) -> Vec<DerivationStep> {
    let mut steps = vec![so(format!(
        "in 100 g of batch {:.3} g are water, that of neutralisation counted; ionic strength {:.4} mol/kg, model {}",
        found.water_kg * 1000.0,
        found.ionic_strength,
        outlook.model.word()
    ))];
    for (family, states) in mixture.families.iter().zip(species(mixture, found, outlook.model)) {
        let substance = context.resolver.substance(substance_of(family.id));
        // What a material holds beside its substances goes by the material's name.
        let material = || context.resolver.material(substance_of(family.id)).map(|of| of.name.to_string());
        let name = substance.as_ref().map(|of| of.name.to_string()).or_else(material).unwrap_or_default();
        let pka: Vec<String> =
            family.constants.pka().iter().map(|pka| format!("{}", (pka * 1e4).round() / 1e4)).collect();
        let states: Vec<String> =
            states.iter().map(|(charge, molality)| format!("charge {charge:+.0}: {molality:.6}")).collect();
        let pka = if pka.is_empty() { String::new() } else { format!(", pKa {}", pka.join(", ")) };
        let says = format!("`{name}`{pka}, with its salts, in mol/kg: {}", states.join("; "));
        steps.push(DerivationStep { says, place: substance.map(|of| of.place) });
    }
    for of in complexes(mixture, found, outlook.model).iter().filter(|of| of.molality > 5e-7) {
        let name = |number: usize| {
            let family = mixture.families.get(number)?;
            Some(context.resolver.substance(substance_of(family.id))?.name.to_string())
        };
        let (Some(metal), Some(holder)) = (name(of.metal), name(of.holder)) else { continue };
        let says = format!("`{metal}` held by `{holder}`, in mol/kg: charge {:+.0}: {:.6}", of.charge, of.molality);
        steps.push(so(says));
    }
    for ion in mixture.ions.iter().filter(|ion| ion.moles != 0.0) {
        steps.push(so(format!("ions of charge {:+.0}: {:.6} mol/kg", ion.charge, ion.moles / found.water_kg)));
    }
    let hydrogen = found.medium.hydrogen_ion(outlook.model);
    steps.push(so(format!(
        "at pH {:.4} these charges, {:.3e} mol/kg of hydrogen ions (coefficient {:.3}) and hydroxide by pKw {PKW} add to \
         nothing",
        found.ph,
        10f64.powf(-found.ph - hydrogen),
        10f64.powf(hydrogen)
    )));
    steps
}
