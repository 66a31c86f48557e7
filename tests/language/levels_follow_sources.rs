//! The whole shelf, fact by fact: a formula that breaks it is made, and what is told of that is no graver than the source of
//! the fact bears. The sources are read from the text of the shelf here, apart from the program.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;
use stillroom::diagnostic::{Code, Diagnostic, FileId, Level, Place};
use stillroom::model::{Avoided, DeclId, Material, Usage};
use stillroom::quantity::Exact;
use stillroom::resolve::Resolver;
use stillroom::session::check_without_forecast;
use stillroom::sheet::BatchOrder;
use stillroom::shelf::{ENTRIES, FILES, ShelfKind};
use stillroom::syntax::vocabulary::{MaterialPhase, Role};
use stillroom::workspace::{Disk, Sources, load};

/// What is told by a fact of a material, a substance or a rule.
const RESTING: &[Code] = &[
    Code::UsageOver,
    Code::UsageUnder,
    Code::PhWindowNone,
    Code::PhWindowClash,
    Code::PhWindowPartial,
    Code::HeatClash,
    Code::HeatTooLow,
    Code::PhaseClash,
    Code::SolubilityOver,
    Code::HlbOff,
    Code::PreservativeGap,
    Code::PreservativeFreeAcid,
    Code::AvoidTogether,
    Code::RuleBroken,
    Code::RuleForbids,
    Code::RuleUnproven,
];

/// The gravest that a source bears: a law or something with a year on it an error, a habit a warning, memory a note. Of
/// several words in one source the weakest.
fn gravest(source: &str) -> Level {
    let source = source.to_lowercase();
    let year = source.split(|c: char| !c.is_ascii_digit()).any(|word| word.len() == 4 && word > "1800");
    let law = ["regulation", "directive", "cfr", "usp"].iter().any(|law| source.contains(law));
    let other = ["iso ", "vol ", "computed"].iter().any(|word| source.contains(word));
    match () {
        () if source.contains("memory") => Level::Note,
        () if source.contains("common practice") || source.contains("supplier") => Level::Warning,
        () if year || law || other => Level::Error,
        () => Level::Warning,
    }
}

/// The source of what stands at a place of the shelf: what stands after it in its statement, else the block's.
fn source_at(place: Place) -> String {
    let text = FILES[place.file.0 as usize].text;
    let at = place.span.range().start;
    let from = text[..at].rfind("\n}\n").map_or(0, |end| end + 3);
    let to = at + text[at..].find("\n}\n").unwrap() + 1;
    let quoted = |text: &str| text.split('"').next().unwrap().to_string();
    let statement_ends = text[at..to]
        .match_indices("\n  ")
        .find(|(end, _)| !text[at + end + 3..].starts_with(' '))
        .map_or(to, |(end, _)| at + end);
    let own = text[at..statement_ends].rsplit_once("source \"").map(|(_, after)| quoted(after));
    let whole = || {
        let (_, after) = text[from..to].rsplit_once("\n  source").unwrap_or_else(|| panic!("{}", &text[from..to]));
        quoted(after.split_once('"').unwrap().1)
    };
    own.unwrap_or_else(whole)
}

/// Formulas, each with what it has to be told of.
#[derive(Default)]
struct Trials {
    text: String,
    wanted: BTreeMap<String, Option<Code>>,
}

impl Trials {
    fn add(&mut self, code: impl Into<Option<Code>>, head: &str, phase: &str) {
        let name = format!("trial-{}", self.wanted.len());
        let head = if head.contains("product") { head.to_string() } else { format!("product leave-on lip\n{head}") };
        writeln!(
            self.text,
            "formula {name} {{\ntitle \"Trial\"\nversion \"1\"\nmakes 1 kg\nscale 0.001 g\n{head}\nphase A \
             {{\n{phase}\n}}\n}}"
        )
        .unwrap();
        self.wanted.insert(name, code.into());
    }
}

/// How much of a material is usual.
fn usual(material: &Material) -> Exact {
    let range = material.usual_usage().filter(|usage| !usage.active).map(|usage| &usage.range);
    match range.map(|range| (&range.low, &range.high)) {
        Some((_, Some(high))) => high.clone(),
        Some((Some(low), None)) => low.clone(),
        _ => Exact::ONE,
    }
}

const DRY: &str = "water-activity 0.7";

fn usage(trials: &mut Trials, resolver: &Resolver<'_>, material: &Material, usage: &Usage) {
    let name = &material.name;
    let words: Vec<&str> = usage.products.iter().map(|product| product.word()).collect();
    let is_whole = words.iter().any(|word| ["leave-on", "rinse-off"].contains(word));
    let words = match words.is_empty() {
        true => "leave-on lip".to_string(),
        false if is_whole => words.join(" "),
        false => format!("leave-on {}", words.join(" ")),
    };
    let head = format!("product {words}\n{DRY}");
    let strength = match usage.active {
        true => resolver.active_strength_of(material).unwrap(),
        false => Exact::HUNDRED,
    };
    let supplied = |figure: &Exact| (figure * &Exact::HUNDRED).over(&strength).unwrap();
    if let Some(high) = &usage.range.high {
        let over = supplied(&(high * &Exact::ratio(11, 10)));
        if over < Exact::whole(100) {
            trials.add(Code::UsageOver, &head, &format!("{name} ({over} %)\nbland q.s."));
        }
    }
    if let Some(low) = usage.range.low.as_ref().filter(|low| low.is_positive()) {
        let under = supplied(&(low * &Exact::ratio(1, 2)));
        trials.add(Code::UsageUnder, &head, &format!("{name} ({under} %)\nbland q.s."));
    }
}

/// Another material of the shelf that an `avoid` speaks of.
fn partner(resolver: &Resolver<'_>, all: &[DeclId], own: &Material, with: &[Avoided]) -> Option<String> {
    let is_it = |material: &Material| {
        with.iter().any(|with| match with {
            Avoided::Material(id) => material.id == *id,
            Avoided::Role(role) => material.roles.contains(role),
            Avoided::Substance(id) => {
                material.contains.iter().any(|part| part.substance == *id && part.strength.low >= Exact::whole(20))
            }
            Avoided::Charge(charge) => material
                .contains
                .iter()
                .any(|part| resolver.substance(part.substance).is_some_and(|of| of.charge == Some(*charge))),
        })
    };
    let others = all.iter().filter_map(|id| resolver.material(*id)).filter(|other| other.id != own.id);
    others.into_iter().find(|other| is_it(other)).map(|other| other.name.to_string())
}

fn facts(trials: &mut Trials, resolver: &Resolver<'_>, all: &[DeclId], material: &Material) {
    let (name, percent) = (&material.name, usual(material));
    for one in &material.usages {
        usage(trials, resolver, material, one);
    }
    if let Some(works) = &material.works_in {
        let half = Exact::ratio(1, 2);
        let line = format!("{name} ({percent} %)\nbland q.s.");
        let outside = match (&works.low, &works.high) {
            (_, Some(high)) if *high <= Exact::whole(12) => (high + &half, high + &Exact::ONE),
            (Some(low), _) => (low - &Exact::ONE, low - &half),
            (None, _) => return,
        };
        trials.add(Code::PhWindowClash, &format!("{DRY}\npH {} to {}", outside.0, outside.1), &line);
        if let Some(low) = &works.low {
            trials.add(Code::PhWindowPartial, &format!("{DRY}\npH {} to {}", low - &half, low + &half), &line);
        }
    }
    if let Some(limit) = &material.stays_below {
        trials.add(Code::HeatClash, DRY, &format!("heat to {} °C\n{name} ({percent} %)\nbland q.s.", limit.celsius));
    }
    if material.needs.is_some() {
        trials.add(Code::HeatTooLow, DRY, &format!("{name} ({percent} %)\nbland q.s."));
    }
    let joins = [Role::Emulsifier, Role::Solubiliser, Role::Surfactant];
    if material.phase == Some(MaterialPhase::Oil) && !material.roles.iter().any(|role| joins.contains(role)) {
        trials.add(Code::PhaseClash, DRY, &format!("{name} 1 %\nwater q.s."));
    }
    let of_substance = |material: &Material| {
        let only = material.contains.first().filter(|_| material.contains.len() == 1)?;
        Some(resolver.substance(only.substance)?.dissolves.clone())
    };
    let dissolves =
        if material.dissolves.is_empty() { of_substance(material) } else { Some(material.dissolves.clone()) };
    if let Some((_, limit, _)) = dissolves.iter().flatten().find(|(solvent, ..)| solvent == "water")
        && *limit <= Exact::whole(90)
        && material.phase != Some(MaterialPhase::Powder)
    {
        trials.add(Code::SolubilityOver, DRY, &format!("{name} ({limit} % / 2 + 1 %)\nwater 40 %\nbland q.s."));
    }
    for avoid in &material.avoids {
        let Some(other) = partner(resolver, all, material, &avoid.with) else { continue };
        let more = avoid.above.as_ref().map_or(Exact::ONE, |above| &(above * &Exact::whole(6)) + &Exact::ONE);
        let head = match &avoid.outside {
            Some(_) => format!("{DRY}\npH 1 to 13"),
            None => DRY.to_string(),
        };
        trials.add(Code::AvoidTogether, &head, &format!("{name} 1 %\n{other} ({more} %)\nbland q.s."));
    }
    // What else rests on a fact of it: what it protects against, how much of it has to be free, and the rules.
    if material.roles.contains(&Role::Preservative) && !material.protects.is_empty() {
        trials.add(None, "pH 7 to 8", &format!("{name} 0.001 %\nwater q.s."));
    }
    trials.add(None, "market eu, us\nproduct leave-on face", &format!("{name} 40 %\nbland q.s."));
}

fn weakest(fault: &Diagnostic) -> Level {
    fault.rests_on.iter().map(|place| gravest(&source_at(*place))).max().unwrap()
}

#[test]
fn no_level_is_stronger_than_the_source_of_its_fact() {
    let sources = Sources::default();
    let resolver = Resolver::new(&sources, &mut Vec::new());
    let of_shelf = (0u32..).zip(ENTRIES).filter(|(_, entry)| entry.kind == ShelfKind::Material);
    let all: Vec<DeclId> = of_shelf.map(|(item, entry)| DeclId { file: FileId(entry.file), item }).collect();
    let mut trials = Trials {
        text: "use shelf/all\nsubstance blandness {\ninci \"Bland\"\nneutral\n}\nmaterial bland { contains blandness 100 % \
               }\n"
        .to_string(),
        ..Trials::default()
    };
    for id in all.iter().filter_map(|id| resolver.material(*id)).filter(|material| material.name != "water") {
        facts(&mut trials, &resolver, &all, &id);
    }
    let loaded = load(&Disk, &[], Some((PathBuf::from("."), trials.text.into())));
    let report = check_without_forecast(&loaded.sources, &BatchOrder::default());
    let mut problems = Vec::new();
    let mut levels: BTreeMap<(Code, &str), usize> = BTreeMap::new();
    assert_eq!(report.formulas.len(), trials.wanted.len());
    for found in &report.formulas {
        let wanted = trials.wanted[found.formula.name.as_str()];
        if let Some(wanted) = wanted.filter(|wanted| !found.diagnostics.iter().any(|fault| fault.code == *wanted)) {
            let lines: Vec<&str> = found.formula.lines.iter().map(|line| line.name.as_str()).collect();
            problems.push(format!("{lines:?}: not told of {wanted}: {:?}", told(&found.diagnostics)));
        }
        for fault in found.diagnostics.iter().filter(|fault| RESTING.contains(&fault.code)) {
            *levels.entry((fault.code, fault.level.word())).or_default() += 1;
            if fault.rests_on.is_empty() {
                problems.push(format!("{} rests on nothing: {}", fault.code, fault.message));
            } else if fault.level < weakest(fault) {
                problems.push(format!("{} is {}: {}", fault.code, fault.level.word(), fault.message));
            }
        }
    }
    assert!(problems.is_empty(), "{}\n{}", problems.len(), problems.join("\n"));
    // Each kind of source has been met, and each code.
    for (code, level) in [
        (Code::UsageOver, "error"),
        (Code::UsageOver, "warning"),
        (Code::UsageUnder, "warning"),
        (Code::PhWindowClash, "warning"),
        (Code::PhWindowPartial, "warning"),
        (Code::HeatClash, "warning"),
        (Code::HeatTooLow, "warning"),
        (Code::PhaseClash, "warning"),
        (Code::SolubilityOver, "warning"),
        (Code::SolubilityOver, "note"),
        (Code::AvoidTogether, "warning"),
        (Code::PreservativeGap, "warning"),
        (Code::RuleBroken, "error"),
    ] {
        assert!(levels.contains_key(&(code, level)), "no {level} of {code}: {levels:#?}");
    }
}

fn told(faults: &[Diagnostic]) -> Vec<&'static str> {
    faults.iter().map(|fault| fault.code.entry().name).collect()
}
