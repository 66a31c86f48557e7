//! What is said of a rule: the message, the line that gives most, and what would keep the rule.

use crate::diagnostic::{Alike, Code, Diagnostic, Level, Place, Span};
use crate::model::{Bound, Counting, Line, PhRange, Rule, Subject};
use crate::quantity::{Exact, Interval};
use crate::resolve::{AskedRule, Count, RuleOutcome};
use smol_str::SmolStr;

/// Digits of a figure that was converted by molar masses: those have no more themselves.
const DIGITS: u32 = 4;

/// The letters of the word `print`.
const PRINT: u32 = 5;

/// A total as it stands in a message.
fn shown(total: &Interval) -> String {
    let end = |end: &Exact| end.to_significant(DIGITS);
    if total.is_point() {
        format!("{} %", end(&total.low))
    } else {
        format!("{} % to {} %", end(&total.low), end(&total.high))
    }
}

/// A fault of a rule, with what tells it from another of the same source.
pub(super) struct RuleFinding {
    /// The fault.
    pub fault: Diagnostic,
    /// What the rule speaks of, or the statement it asks for.
    about: SmolStr,
    /// The limit that is passed.
    pub limit: Option<Exact>,
}

impl RuleFinding {
    /// Whether another fault says the same again: a limit of the same source on the same thing, or the same words.
    pub fn is_the_same_as(&self, other: &RuleFinding) -> bool {
        let (one, two) = (&self.fault, &other.fault);
        let statement = one.code == Code::RuleNeedsStatement;
        let limit = self.limit.is_some() && other.limit.is_some() && one.source.is_some() && one.source == two.source;
        one.code == two.code && self.about == other.about && (statement || limit)
    }
}

/// A limit that is passed, or that cannot be shown to be kept.
pub(super) fn over_limit(
    asked: &AskedRule<'_, '_>,
    rule: &Rule,
    place: Place,
    subject: &Subject,
    limit: &Exact,
    counting: &Counting,
    count: &Count,
) -> Option<RuleFinding> {
    let lines = asked.lines(subject, counting);
    let (line, _) = lines.first()?;
    let counted = match counting {
        Counting::Own => String::new(),
        Counting::AsAcid => " as acid".to_string(),
        Counting::As(_, name) => format!(" as `{name}`"),
    };
    let (name, total) = (&subject.name, &count.total);
    let broken = total.low > *limit;
    let fault = if broken {
        let off = &total.high - limit;
        let message = format!(
            "`{name}` comes to {}{counted}, {} % over the {limit} % that `{}` allows.",
            shown(total),
            off.to_significant(DIGITS),
            rule.name
        );
        let mut fault = Diagnostic::new(Code::RuleBroken, line.mark, message);
        fault.level = rule.level;
        fault.help(with_reason(rule, &at_most(&lines, limit)))
    } else {
        let message = format!(
            "`{name}` comes to {}{counted}; that it keeps the {limit} % of `{}` cannot be shown.",
            shown(total),
            rule.name
        );
        let mut fault = Diagnostic::new(Code::RuleUnproven, line.mark, message);
        fault.level = unproven_level(rule);
        let missing = match count.unweighed.first() {
            Some(part) => {
                format!("`{}` cannot be converted: give its `molar-mass`.", asked.resolver.substance_name(*part))
            }
            None => format!("{}.", crate::resolve::capital(&asked.missing(subject))),
        };
        fault.help(with_reason(rule, &format!("{missing} {}", at_most(&lines, limit))))
    };
    let fault = from_others(at_rule(fault, rule, place, "the limit"), &lines);
    Some(RuleFinding { fault, about: name.clone(), limit: Some(limit.clone()) })
}

/// How much of the line that gives most would keep a limit, whatever its strength.
fn at_most(lines: &[(&Line, Interval)], limit: &Exact) -> String {
    let Some(((line, share), others)) = lines.split_first() else { return String::new() };
    let rest: Exact = others.iter().map(|(_, share)| &share.high).sum();
    let left = limit - &rest;
    let room = line.percent.as_ref().and_then(|percent| (&left * percent).over(&share.high));
    match room.filter(Exact::is_positive) {
        Some(room) => {
            // Cut down, so that the figure given keeps the limit.
            let room = room.down_to_step(&Exact::ratio(1, 10_000));
            format!("At most {room} % of `{}` keeps it.", line.name)
        }
        None => format!("Even without `{}` there is too much.", line.name),
    }
}

/// Something that a rule forbids.
pub(super) fn forbidden(
    asked: &AskedRule<'_, '_>,
    rule: &Rule,
    place: Place,
    subject: &Subject,
    total: &Interval,
) -> Option<RuleFinding> {
    let lines = asked.lines(subject, &Counting::Own);
    let (line, _) = lines.first()?;
    let name = &subject.name;
    let fault = if total.low.is_positive() {
        let message = format!("There is {} of `{name}`, which `{}` forbids.", shown(total), rule.name);
        let mut fault = Diagnostic::new(Code::RuleForbids, line.mark, message);
        fault.level = rule.level;
        fault.help(with_reason(rule, &format!("Take `{}` out, or choose one without it.", line.name)))
    } else {
        let message = format!("`{}` forbids `{name}`; that there is none cannot be shown.", rule.name);
        let mut fault = Diagnostic::new(Code::RuleUnproven, line.mark, message);
        fault.level = unproven_level(rule);
        fault.help(with_reason(rule, &format!("{}.", crate::resolve::capital(&asked.missing(subject)))))
    };
    let fault = from_others(at_rule(fault, rule, place, "forbidden here"), &lines);
    Some(RuleFinding { fault, about: name.clone(), limit: None })
}

/// Something outside the range that a rule asks for.
pub(super) fn outside(
    asked: &AskedRule<'_, '_>,
    rule: &Rule,
    place: Place,
    subject: &Subject,
    bound: &Bound,
    total: &Interval,
    kept: RuleOutcome,
) -> RuleFinding {
    let lines = asked.lines(subject, &Counting::Own);
    let at = lines.first().map_or(asked.formula.place, |(line, _)| line.mark);
    let (name, comes, wanted) = (&subject.name, shown(total), &bound.written);
    let fault = if kept == RuleOutcome::No {
        let message = format!("`{name}` comes to {comes}; `{}` requires {wanted}.", rule.name);
        let mut fault = Diagnostic::new(Code::RuleBroken, at, message);
        fault.level = rule.level;
        fault.help(with_reason(rule, "Change the lines until it lies within."))
    } else {
        let message =
            format!("`{name}` comes to {comes}; that it keeps the {wanted} of `{}` cannot be shown.", rule.name);
        let mut fault = Diagnostic::new(Code::RuleUnproven, at, message);
        fault.level = unproven_level(rule);
        fault.help(with_reason(rule, &format!("{}.", crate::resolve::capital(&asked.missing(subject)))))
    };
    RuleFinding { fault: at_rule(fault, rule, place, "asked for here"), about: name.clone(), limit: None }
}

/// Something to be named on the label.
pub(super) fn to_declare(
    asked: &AskedRule<'_, '_>,
    rule: &Rule,
    place: Place,
    subject: &Subject,
    above: &Exact,
    total: &Interval,
) -> Option<RuleFinding> {
    let lines = asked.lines(subject, &Counting::Own);
    let (line, _) = lines.first()?;
    let (verb, figure) = match total.low > *above {
        true => ("comes to", shown(total)),
        false => ("may come to", format!("{} %", total.high.to_significant(DIGITS))),
    };
    let comes = format!("{verb} {figure}");
    let message = format!("`{}` {comes}, above {above} %: the label names it.", subject.name);
    let help = match &rule.because {
        Some(because) => format!("{}.", crate::resolve::capital(because)),
        None => "Name it on the label, or bring less of it.".to_string(),
    };
    let on_label = rule.because.as_deref().and_then(|because| because.strip_prefix("on the label as "));
    let row = Alike {
        message: format!("The label of `{}` names {{count}} allergens.", asked.formula.name),
        help: Some("Name each on the label, or bring less of it.".to_string()),
        columns: &["substance", "on the label as", "in the batch", "named above"],
        cells: vec![
            format!("`{}`", subject.name),
            on_label.unwrap_or_default().to_string(),
            figure,
            format!("{above} %"),
        ],
    };
    let fault = Diagnostic::new(Code::DeclareAllergen, line.mark, message).help(help).alike(row);
    let fault = from_others(at_rule(fault, rule, place, "named from here on"), &lines);
    Some(RuleFinding { fault, about: subject.name.clone(), limit: Some(above.clone()) })
}

/// A pH window that reaches outside what a rule requires.
pub(super) fn ph_outside(rule: &Rule, place: Place, bound: &Bound, window: &PhRange) -> RuleFinding {
    let message = format!("The pH window reaches outside the {} that `{}` requires.", bound.written, rule.name);
    let mut fault = Diagnostic::new(Code::RuleBroken, window.place, message);
    fault.level = rule.level;
    let help = with_reason(rule, "A window is a promise: narrow it until all of it lies within.");
    let fault = at_rule(fault.help(help), rule, place, "required here");
    RuleFinding { fault, about: SmolStr::new_static("pH"), limit: None }
}

/// A rule that requires a pH of a formula that promises none.
pub(super) fn ph_unknown(asked: &AskedRule<'_, '_>, rule: &Rule, place: Place, bound: &Bound) -> RuleFinding {
    let message = format!("`{}` requires {}, and the formula promises no pH.", rule.name, ph_words(bound));
    let mut fault = Diagnostic::new(Code::RuleUnproven, asked.formula.place, message);
    fault.level = unproven_level(rule);
    let help = with_reason(rule, "Give the formula a `pH` line that lies within.");
    let fault = at_rule(fault.help(help), rule, place, "required here");
    RuleFinding { fault, about: SmolStr::new_static("pH"), limit: None }
}

/// The bound as it is written, with `pH` before it where that does not stand there.
fn ph_words(bound: &Bound) -> String {
    if bound.written.starts_with("pH") { bound.written.clone() } else { format!("pH {}", bound.written) }
}

/// A statement that the label must carry.
pub(super) fn statement(asked: &AskedRule<'_, '_>, rule: &Rule, clause: Place, text: &SmolStr) -> RuleFinding {
    let at = asked.what_calls(rule);
    let message = format!("`{}` asks for a statement on the label.", rule.name);
    let fault =
        Diagnostic::new(Code::RuleNeedsStatement, at, message).help(with_reason(rule, &format!("The words: “{text}”")));
    // The word before it: a statement itself may be wider than a screen, and a rule may ask for several.
    let start = clause.span.start;
    let word = Place { file: clause.file, span: Span { start, end: clause.span.end.min(start + PRINT) } };
    RuleFinding { fault: at_rule(fault, rule, word, "asked for here"), about: text.clone(), limit: None }
}

/// Help, with why the rule is there.
fn with_reason(rule: &Rule, help: &str) -> String {
    match &rule.because {
        Some(because) => format!("{} The rule says: {because}.", help.trim_end()),
        None => help.trim_end().to_string(),
    }
}

fn from_others(fault: Diagnostic, lines: &[(&Line, Interval)]) -> Diagnostic {
    lines.iter().skip(1).fold(fault, |fault, (line, share)| {
        fault.and(line.mark, format!("{} more of it comes from here", shown(share)))
    })
}

/// How grave it is that a rule cannot be shown to be kept: never graver than a warning.
pub(super) fn unproven_level(rule: &Rule) -> Level {
    rule.level.max(Level::Warning)
}

/// What is said of a rule's place.
pub(super) fn at_rule(fault: Diagnostic, rule: &Rule, place: Place, text: &str) -> Diagnostic {
    fault.and(place, text).rests_on(place).source(rule.source.as_ref().map(SmolStr::to_string))
}
