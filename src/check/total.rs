//! What the lines add to.

use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic, Sureness};
use crate::model::{Basis, Line, LineAmount, LineMaterial};
use crate::quantity::Exact;
use crate::syntax::vocabulary::Role;

fn filling<'f>(context: &'f CheckContext<'_, '_>) -> Vec<&'f Line> {
    context.formula.lines.iter().filter(|line| line.amount == LineAmount::QuantumSatis).collect()
}

/// Two lines that both fill up to 100 %.
pub fn qs_twice(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let filling = filling(context);
    let Some(first) = filling.first() else { return };
    for line in filling.iter().skip(1) {
        let message =
            format!("`{}` is q.s., and so is `{}`: only one line can fill up to 100 %.", line.name, first.name);
        let fault = Diagnostic::new(Code::QsTwice, line.mark, message).and(first.mark, "the first `q.s.`");
        faults.push(match [*line, *first].into_iter().find(|line| adjusts(line)) {
            Some(adjuster) => fault.help(format!(
                "What is weighed until the pH is right is `q.s. to pH`: write `{} q.s. to pH`.",
                adjuster.name
            )),
            None => fault.help("Give one of the two a percentage."),
        });
    }
}

/// Whether a line is there to move the pH.
fn adjusts(line: &Line) -> bool {
    matches!(&line.material, Some(LineMaterial::Material(material)) if material.roles.contains(&Role::PhAdjuster))
}

/// Whether what is known of the total is all there is, no line being over 100 % by itself.
fn spoken_of(context: &CheckContext<'_, '_>) -> Option<Exact> {
    let over =
        context.formula.lines.iter().any(|line| line.percent.as_ref().is_some_and(|percent| *percent > Exact::HUNDRED));
    if over || context.formula.basis != Basis::Percent {
        return None;
    }
    context.formula.sum.clone()
}

/// Whether the lines add to more or less than there is, which is told of.
pub fn is_wrong(context: &CheckContext<'_, '_>) -> bool {
    let filled = !filling(context).is_empty();
    spoken_of(context).is_some_and(|sum| if filled { sum >= Exact::HUNDRED } else { sum != Exact::HUNDRED })
}

/// Lines that add to more than there is, or to less with nothing to fill up.
pub fn over_or_under(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(sum) = spoken_of(context) else { return };
    let formula = context.formula;
    let filling = filling(context);
    if sum > Exact::HUNDRED {
        let over = &sum - &Exact::HUNDRED;
        let message = match filling.first() {
            Some(line) => format!("The lines beside `{}` add to {sum} %, {over} % too much.", line.name),
            None => format!("The lines add to {sum} %, {over} % too much."),
        };
        let fault = Diagnostic::new(Code::TotalOver100, formula.place, message);
        let most = formula.lines.iter().max_by(|a, b| a.percent.cmp(&b.percent).then(b.place.cmp(&a.place)));
        faults.push(match most.and_then(|line| line.percent.as_ref().map(|percent| (line, percent))) {
            Some((line, percent)) if *percent > over => {
                let mend = percent - &over;
                fault
                    .and(line.mark, format!("the largest line, {percent} %"))
                    .help(format!("Take {over} % off somewhere: `{}` at {mend} % would make 100 %.", line.name))
            }
            _ => fault.help(format!("Take {over} % off somewhere.")),
        });
    } else if filling.is_empty() && sum < Exact::HUNDRED {
        let under = &Exact::HUNDRED - &sum;
        let fault = Diagnostic::new(
            Code::TotalUnder100,
            formula.place,
            format!("The lines add to {sum} %, {under} % too little."),
        );
        let water = formula.lines.iter().find(|line| line.name == "water");
        faults.push(match water {
            Some(line) => fault
                .and(line.mark, "this could fill up")
                .help("Write `water q.s.`, and the water fills up to 100 % by itself.")
                .fix(line.mark, line.with_amount("q.s."), Sureness::NeedsALook),
            None => fault.help("Give one line `q.s.`, and it fills up to 100 % by itself."),
        });
    }
}

/// A line that fills up where nothing is left to fill.
pub fn nothing_left(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let filling = filling(context);
    let ([line], Some(sum)) = (filling.as_slice(), spoken_of(context)) else { return };
    if sum == Exact::HUNDRED {
        let message = format!("The other lines add to exactly 100 %, so nothing is left for `{}`.", line.name);
        faults.push(
            Diagnostic::new(Code::QsNothingLeft, line.mark, message)
                .help("Take something off another line, or take this line out."),
        );
    }
}
