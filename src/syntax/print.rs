//! Pieces of the tree as the formatter writes them.

use super::tree::{Amount, AmountKind, Expression, Operator, Quantity, Tail};
use crate::quantity::Unit;
use smol_str::SmolStr;

/// An expression in canonical blanks; figures keep their digits as they were typed.
#[must_use]
pub fn expression_text(expression: &Expression, source: &str) -> String {
    match expression {
        Expression::Quantity(quantity) => quantity_text(quantity, source),
        Expression::Name(name) => name.text.to_string(),
        Expression::Bracket { inner, .. } => format!("({})", expression_text(inner, source)),
        Expression::Chain { first, rest, .. } => {
            let mut text = expression_text(first, source);
            for (operator, operand) in rest {
                text.push_str(match operator {
                    Operator::Plus => " + ",
                    Operator::Minus => " - ",
                    Operator::Times => " * ",
                    Operator::Over => " / ",
                });
                text.push_str(&expression_text(operand, source));
            }
            text
        }
    }
}

fn quantity_text(quantity: &Quantity, source: &str) -> String {
    let number = quantity.number.of(source);
    match quantity.unit {
        Unit::None => number.to_string(),
        Unit::Percent => [number, " %"].concat(),
        unit => format!("{number} {unit}"),
    }
}

/// An amount in canonical blanks.
#[must_use]
pub fn amount_text(amount: &Amount, source: &str) -> String {
    match &amount.kind {
        AmountKind::QuantumSatis => "q.s.".to_string(),
        AmountKind::QuantumSatisToPh => "q.s. to pH".to_string(),
        AmountKind::AsSupplied(figure) => expression_text(figure, source),
        AmountKind::Active(figure) => format!("{} active", expression_text(figure, source)),
        AmountKind::Of(figure, name) => format!("{} of {}", expression_text(figure, source), name.text),
    }
}

/// `hold back …`, `from …` and `titrated …` in canonical blanks; empty where there are none.
#[must_use]
pub fn tail_text(tail: &Tail, source: &str) -> String {
    let mut parts = Vec::new();
    if let Some(held) = &tail.hold_back {
        parts.push(format!("hold back {}", expression_text(&held.0, source)));
    }
    if let Some(from) = &tail.from {
        parts.push(format!("from {}", from.text));
    }
    if let Some(titrated) = &tail.titrated {
        parts.push(one_blank(titrated.span.of(source)).to_string());
    }
    parts.join("  ")
}

/// A statement with one blank between its words; those within quotation marks stay.
#[must_use]
pub fn one_blank(statement: &str) -> SmolStr {
    let (mut out, mut inside, mut escaped) = (String::with_capacity(statement.len()), false, false);
    for character in statement.chars() {
        inside ^= character == '"' && !escaped;
        escaped = character == '\\' && !escaped;
        let is_blank = !inside && matches!(character, ' ' | '\t');
        if !is_blank {
            out.push(character);
        } else if !out.ends_with(' ') {
            out.push(' ');
        }
    }
    SmolStr::new(out)
}
