//! What a beaker test with an adjuster showed: `titrated 50 g: 0.40 g to pH 5.2`.

use super::bounds::zero;
use super::definition::LineDef;
use super::{Bounds, Resolver};
use crate::diagnostic::{Code, Diagnostic, FileId, Place};
use crate::model::{Line, LineAmount, Titration};
use crate::quantity::{Dimension, Exact};
use crate::syntax::tree::{Number, Quantity, Titrated};

impl Resolver<'_> {
    /// What a line says of a beaker test; only one that is weighed to the pH has any.
    pub(super) fn titrated(
        &self,
        line: &Line,
        definition: &LineDef<'_>,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Titration> {
        let (file, written) = definition.titrated?;
        match line.amount {
            LineAmount::AtBench => self.titration(file, written, faults),
            LineAmount::Unknown => None,
            _ => {
                let place = Place { file, span: written.span };
                let message = format!("`{}` has an amount of its own, so nothing is titrated with it.", line.name);
                let fault = Diagnostic::new(Code::Syntax, place, message);
                faults
                    .push(fault.help("`titrated` stands on the `q.s. to pH` line that the beaker test was made with."));
                None
            }
        }
    }

    /// A beaker test that can be; one that cannot is told of and gives nothing.
    pub(super) fn titration(
        &self,
        file: FileId,
        written: &Titrated,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Titration> {
        let place = |span| Place { file, span };
        let told = faults.len();
        let sample = self.grams(file, &written.sample, faults)?;
        if !sample.is_positive() {
            faults.push(zero(place(written.sample.span), "The sample of a titration"));
            return None;
        }
        let mut points: Vec<(Exact, Exact)> = Vec::new();
        for (grams, ph) in &written.points {
            let (Some(grams_read), Some(ph_read)) = (self.grams(file, grams, faults), self.ph_read(file, ph, faults))
            else {
                continue;
            };
            if grams_read > sample {
                let message = format!("{grams_read} g went into a sample of {sample} g, more than the sample itself.");
                let fault = Diagnostic::new(Code::AmountOver100, place(grams.span), message);
                faults.push(
                    fault.help("Write the sample first and then what it took: `titrated 50 g: 0.40 g to pH 5.2`."),
                );
                continue;
            }
            if let Some((before, _)) = points.last().filter(|(before, _)| grams_read <= *before) {
                let message =
                    format!("{grams_read} g follow {before} g here, and each figure is all that went in so far.");
                let fault = Diagnostic::new(Code::Syntax, place(grams.span), message);
                faults.push(fault.help("Add each addition to those before it, and write the sums, the least first."));
                continue;
            }
            points.push((grams_read, ph_read));
        }
        if faults.len() == told && runs_both_ways(&points) {
            let message = "The pH goes up and down again in this titration, and one adjuster moves it one way.";
            let fault = Diagnostic::new(Code::Syntax, place(written.span), message.to_string());
            faults.push(fault.help("Look at the readings again, and strike the one that was written wrong."));
        }
        (faults.len() == told && !points.is_empty()).then(|| Titration { sample, points, place: place(written.span) })
    }

    fn grams(&self, file: FileId, written: &Quantity, faults: &mut Vec<Diagnostic>) -> Option<Exact> {
        let evaluator = self.evaluator(file);
        let figure = evaluator.quantity(written)?;
        if figure.dimension != Dimension::Mass {
            faults.push(evaluator.mismatch(written.span, "`titrated`", &[Dimension::Mass], figure.dimension));
            return None;
        }
        Some(figure.value)
    }

    fn ph_read(&self, file: FileId, written: &Number, faults: &mut Vec<Diagnostic>) -> Option<Exact> {
        self.evaluator(file).within(&Bounds::ph(), written.span, written.value.clone(), faults)
    }
}

/// Whether the pH of points in the order of their grams rises in one place and falls, or stays, in another.
fn runs_both_ways(points: &[(Exact, Exact)]) -> bool {
    let steps = || points.windows(2).filter_map(|pair| Some((&pair.first()?.1, &pair.last()?.1)));
    let (rises, falls) = (steps().any(|(one, two)| two > one), steps().any(|(one, two)| two < one));
    rises && falls
}
