//! Carbonate with acid where there is water: gas leaves, and how much is left nobody knows.

use super::context::CheckContext;
use super::liquids::Liquids;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::Line;
use crate::quantity::Exact;

/// Percent of water from which a dry fizz is wetted. A spray of alcohol is none (common practice, no source).
const WETTED_FROM: i64 = 1;

/// Carbonate or bicarbonate that meets acid in water: both as lines, or one of them weighed to the pH.
pub fn forms(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(solution) = context.solution() else { return };
    let by_adjuster = !solution.gas_adjusters.is_empty();
    if !by_adjuster && !solution.gives_off_gas() {
        return;
    }
    let liquids = Liquids::of(context);
    if liquids.water.percent <= Exact::whole(WETTED_FROM) {
        return;
    }
    let brings = |line: &&Line| {
        context.resolver.line_in_water(line).map_or((0.0, 0.0), |of| {
            let percent = line.percent.as_ref().map_or(1.0, Exact::to_f64);
            (of.carbonate * percent, of.drives_gas_out * percent)
        })
    };
    let lines = &context.formula.lines;
    let Some(carbonate) =
        lines.iter().filter(|line| brings(line).0 > 0.0).max_by(|a, b| brings(a).0.total_cmp(&brings(b).0))
    else {
        return;
    };
    let others = lines.iter().filter(|line| line.place != carbonate.place && brings(line).1 > 0.0);
    let acid = others.max_by(|a, b| brings(a).1.total_cmp(&brings(b).1));
    let dry = liquids.powder > Exact::whole(50) || liquids.water.percent < Exact::whole(10);
    let meets = acid.map_or("acid".to_string(), |line| format!("`{}`", line.name));
    let (message, help) = match dry && !by_adjuster {
        true => (
            format!(
                "`{}` and {meets} fizz as soon as they are wet, and {} % here is water.",
                carbonate.name,
                liquids.water.percent.to_significant(2)
            ),
            "Wet it with strong alcohol in its place, as little as holds it together, or with oil.",
        ),
        false => (
            format!(
                "`{}` meets {meets} in water: carbon dioxide leaves, and no pH or dose can be foreseen.",
                carbonate.name
            ),
            "Take sodium hydroxide or another base without carbonate. Where the gas is meant to leave, do it in an \
             open beaker and say so: `allow gas-forms because \"…\"`.",
        ),
    };
    let mut fault = Diagnostic::new(Code::GasForms, carbonate.place, message).help(help);
    if let Some(acid) = acid {
        fault = fault.and(acid.place, "the acid");
    }
    faults.push(fault);
}
