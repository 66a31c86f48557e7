//! Stretches of time worked out.

use super::bounds::{Bounds, zero};
use super::figure::{Evaluator, Lookup, capital};
use crate::diagnostic::{Code, Diagnostic, Span};
use crate::model::Duration;
use crate::quantity::{Dimension, Exact};
use crate::syntax::tree::Expression;

impl Evaluator<'_> {
    /// A stretch of time, in months or in seconds, or a fault.
    pub fn duration(
        &self,
        expression: &Expression,
        what: &str,
        names: &mut Lookup<'_>,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Duration> {
        let figure = self.evaluate(expression, names, faults)?;
        let span = expression.span();
        if figure.value.is_zero() {
            faults.push(zero(self.place(span), &capital(what.trim_matches('`'))));
            return None;
        }
        match figure.dimension {
            Dimension::Months if figure.value.decimals() != Some(0) => {
                faults.push(self.part_of_a_month(span, what, &figure.value));
                None
            }
            Dimension::Months => self.within(&Bounds::months(), span, Some(figure.value), faults).map(Duration::Months),
            Dimension::Time => {
                self.within(&Bounds::shelf_life(), span, Some(figure.value), faults).map(Duration::Seconds)
            }
            other => {
                faults.push(self.mismatch(expression.span(), what, &[Dimension::Months, Dimension::Time], other));
                None
            }
        }
    }

    /// The fault of a month cut in pieces: no calendar says where half a month ends. In days it is told rounded down, at
    /// 30 to the month.
    fn part_of_a_month(&self, span: Span, what: &str, months: &Exact) -> Diagnostic {
        let days = (months * &Exact::whole(30)).down_to_step(&Exact::ONE).max(Exact::ONE);
        let message = format!("{what} takes whole months, and `{}` is {months}.", span.of(self.text));
        Diagnostic::new(Code::UnitMismatch, self.place(span), message)
            .help(format!("Months are counted by the calendar. Write whole months, or days: `{days} d`."))
    }
}
