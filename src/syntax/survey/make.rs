//! The rules of the grammar as the survey reads them, made of the grammar itself. Only `build.rs` runs it: it reads the
//! grammar by the library that makes the parser of it, which the program does not carry.

use pest_meta::ast::Expr;
use pest_meta::parser::{Rule, consume_rules, parse};

/// The rules in Rust, by name: a list of names, each with its part.
///
/// # Errors
/// What is no grammar.
pub fn rules_in_rust(grammar: &str) -> Result<String, String> {
    let pairs = parse(Rule::grammar_rules, grammar).map_err(|error| error.to_string())?;
    let told = |errors: Vec<_>| errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n");
    let rules = consume_rules(pairs).map_err(told)?;
    let mut rows: Vec<String> =
        rules.iter().map(|rule| format!("({:?}, {}),\n", rule.name, part(&rule.expr))).collect();
    rows.sort();
    Ok(format!("&[\n{}]\n", rows.concat()))
}

fn part(expr: &Expr) -> String {
    match expr {
        Expr::Str(letters) | Expr::Insens(letters) => format!("Part::Letters({letters:?})"),
        Expr::Ident(name) => format!("Part::Rule({name:?})"),
        Expr::PosPred(_) | Expr::NegPred(_) => "Part::Look".to_string(),
        Expr::Choice(..) => format!("Part::Choice(&[{}])", flat(expr).join(", ")),
        Expr::Seq(..) => format!("Part::Sequence(&[{}])", flat(expr).join(", ")),
        Expr::Opt(inner) | Expr::Rep(inner) | Expr::RepMin(inner, 0) | Expr::RepMax(inner, _) => {
            format!("Part::Optional(&{})", part(inner))
        }
        Expr::RepOnce(inner) | Expr::RepExact(inner, _) | Expr::RepMin(inner, _) | Expr::RepMinMax(inner, ..) => {
            part(inner)
        }
        Expr::Push(inner) => part(inner),
        Expr::Range(..) | Expr::PeekSlice(..) | Expr::Skip(_) => "Part::Other".to_string(),
    }
}

/// What stands in a choice or a sequence, in one row: pest writes them as pairs of pairs.
fn flat(expr: &Expr) -> Vec<String> {
    match expr {
        Expr::Choice(one, other) => {
            let side = |side: &Expr| if matches!(side, Expr::Choice(..)) { flat(side) } else { vec![part(side)] };
            [side(one), side(other)].concat()
        }
        Expr::Seq(one, other) => {
            let side = |side: &Expr| if matches!(side, Expr::Seq(..)) { flat(side) } else { vec![part(side)] };
            [side(one), side(other)].concat()
        }
        _ => vec![part(expr)],
    }
}
