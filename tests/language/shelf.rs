//! The shelf as a whole: sources, layout, names, CAS numbers, and a formula for every material.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use stillroom::diagnostic::{FileId, Level, Span};
use stillroom::lookup::{SourceKind, known};
use stillroom::model::DeclId;
use stillroom::quantity::Exact;
use stillroom::resolve::{NameSet, Resolver};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::shelf::{
    ENTRIES, FILES, RULE_KEYS, RULES, RULES_FOR_ALL, ShelfKind, file_by_name, find_anywhere, item, substance_by_key,
};
use stillroom::syntax::parse;
use stillroom::syntax::tree::{Condition, Item, MaterialField, RuleBodyKind, RuleStatement, SubstanceField, UseTarget};
use stillroom::syntax::vocabulary::{Charge, Role};
use stillroom::workspace::Sources;

fn entries(kind: ShelfKind) -> impl Iterator<Item = (u32, &'static str)> {
    (0u32..).zip(ENTRIES).filter(move |(_, entry)| entry.kind == kind).map(|(number, entry)| (number, entry.name))
}

fn decl(entry: u32) -> DeclId {
    DeclId { file: FileId(ENTRIES[entry as usize].file), item: entry }
}

/// The blocks of a file: the name after the word that opens it, and the lines inside.
fn blocks(text: &str) -> Vec<(&str, &str, Vec<&str>)> {
    let mut found: Vec<(&str, &str, Vec<&str>)> = Vec::new();
    let mut open = false;
    for line in text.lines() {
        if line == "}" {
            open = false;
        } else if open {
            found.last_mut().unwrap().2.push(line);
        } else if line.ends_with('{') {
            let mut words = line.split(' ');
            found.push((words.next().unwrap(), words.next().unwrap(), Vec::new()));
            open = true;
        }
    }
    found
}

/// The index that is made at build reads the files by itself; what it says is what the parser reads.
#[test]
fn the_index_says_what_the_parser_reads() {
    let mut declared: Vec<(ShelfKind, String, u32, Span)> = Vec::new();
    for (number, file) in (0u32..).zip(FILES) {
        let parsed = parse(FileId(number), file.text);
        assert!(parsed.faults.is_empty(), "{}: {:#?}", file.name, parsed.faults);
        let mut reached = vec![number];
        for item in &parsed.tree.items {
            let kind = match item {
                Item::Substance(_) => ShelfKind::Substance,
                Item::Material(_) => ShelfKind::Material,
                Item::Group(_) => ShelfKind::Group,
                Item::Rule(_) => ShelfKind::Rule,
                Item::Use(of) => {
                    let UseTarget::Shelf(target) = &of.target else { panic!("{} uses a path", file.name) };
                    let used = file_by_name(&target.text).unwrap();
                    reached.extend(FILES[used.0 as usize].reach);
                    continue;
                }
                other => panic!("{}: {other:?}", file.name),
            };
            declared.push((kind, item.name().unwrap().text.to_string(), number, item.span()));
        }
        reached.sort_unstable();
        reached.dedup();
        assert_eq!(file.reach, reached, "what {} reaches", file.name);
    }
    declared.sort_unstable();
    let indexed: Vec<(ShelfKind, String, u32, Span)> =
        ENTRIES.iter().map(|entry| (entry.kind, entry.name.to_string(), entry.file, entry.span())).collect();
    assert_eq!(indexed, declared);
}

/// The keys of a substance of the shelf, as the parser reads it.
fn keys(name: &str) -> Vec<String> {
    let Some(Item::Substance(substance)) = find_anywhere(ShelfKind::Substance, name).and_then(item) else {
        panic!("no substance {name}")
    };
    let of_fact = |field: &SubstanceField| match field {
        SubstanceField::Cas(text) => text.value.split(';').map(|number| number.trim().to_string()).collect(),
        SubstanceField::Inci(text) => vec![text.value.to_lowercase()],
        _ => Vec::new(),
    };
    substance.facts.iter().flat_map(|fact| of_fact(&fact.field)).collect()
}

/// A rule is found by every substance that it asks something of, itself or through a group, as the parser reads it; and
/// by nothing that it does not name.
#[test]
fn a_rule_is_found_by_what_it_speaks_of() {
    let mut found: BTreeSet<(usize, String)> = BTreeSet::new();
    for (number, rule) in RULES.iter().enumerate() {
        let name = ENTRIES[rule.entry as usize].name;
        let Some(Item::Rule(parsed)) = item(rule.entry) else { panic!("{name}") };
        let mut names: Vec<&str> = Vec::new();
        let (mut of_all, mut conditions, mut from, mut until, mut markets) = (false, 0, None, None, Vec::new());
        for statement in &parsed.statements {
            match statement {
                RuleStatement::When(Condition::Above(subject, _)) => {
                    conditions += 1;
                    names.push(&subject.text);
                }
                RuleStatement::When(Condition::Within(subject, range))
                    if range.low.is_some() && range.high.is_none() =>
                {
                    conditions += 1;
                    names.push(&subject.text);
                }
                RuleStatement::When(_) => of_all = true,
                RuleStatement::Market(words, _) => markets.extend(words.iter().map(|(market, _)| *market)),
                RuleStatement::From(day, _) => from = Some(day.as_str()),
                RuleStatement::Until(day, _) => until = Some(day.as_str()),
                _ => {}
            }
        }
        for statement in &parsed.statements {
            let RuleStatement::Body(body) = statement else { continue };
            match &body.kind {
                RuleBodyKind::Limit { subject, .. }
                | RuleBodyKind::Forbid(subject)
                | RuleBodyKind::Declare(subject, _) => names.push(&subject.text),
                RuleBodyKind::RequirePh(_) | RuleBodyKind::Require(..) | RuleBodyKind::Print(_) => {
                    of_all |= conditions == 0;
                }
            }
        }
        assert_eq!((rule.markets, rule.from, rule.until), (&*markets, from, until), "{name}");
        assert_eq!(RULES_FOR_ALL.contains(&number), of_all, "{name}");
        for named in names.iter().filter(|_| !of_all) {
            let members = match find_anywhere(ShelfKind::Group, named).and_then(item) {
                Some(Item::Group(group)) => group.members.iter().map(|member| member.text.as_str()).collect(),
                _ => vec![*named],
            };
            found.extend(members.iter().flat_map(|member| keys(member)).map(|key| (number, key)));
        }
    }
    let indexed: BTreeSet<(usize, String)> =
        RULE_KEYS.iter().flat_map(|(key, rules)| rules.iter().map(|rule| (*rule, (*key).to_string()))).collect();
    assert_eq!(indexed, found);
}

/// A substance is found by its CAS numbers and its INCI name; of two that share one, the one that materials are made of.
#[test]
fn a_substance_is_found_by_its_keys() {
    for (number, name) in entries(ShelfKind::Substance) {
        let of_rules = |entry: u32| FILES[ENTRIES[entry as usize].file as usize].name.starts_with("rules-");
        for key in keys(name) {
            let found = substance_by_key(&key).unwrap_or_else(|| panic!("{name}: nothing is found by {key}"));
            assert!(keys(ENTRIES[found as usize].name).contains(&key), "{name} by {key}");
            assert!(of_rules(number) || !of_rules(found), "{name} gives way to {}", ENTRIES[found as usize].name);
        }
    }
}

#[test]
fn every_block_names_a_source() {
    for file in FILES {
        for (kind, name, lines) in blocks(file.text) {
            let sources = lines.iter().filter(|line| line.starts_with("  source ")).count();
            assert_eq!(sources, 1, "{kind} {name} in shelf/{}: a source for the whole block, once", file.name);
        }
    }
}

#[test]
fn no_fact_is_without_a_source() {
    let mut counts: BTreeMap<SourceKind, usize> = BTreeMap::new();
    for kind in [ShelfKind::Substance, ShelfKind::Material, ShelfKind::Rule] {
        for (number, name) in entries(kind) {
            let known = known(number).unwrap();
            assert!(!known.facts.is_empty(), "{name}: nothing is known");
            for fact in known.facts {
                let source = fact.source.unwrap_or_else(|| panic!("{name}: no source for its {}", fact.about));
                assert!(!source.text.trim().is_empty(), "{name}: an empty source for its {}", fact.about);
                *counts.entry(source.kind).or_default() += 1;
            }
        }
    }
    for kind in SourceKind::ALL {
        assert!(counts.get(&kind).is_some_and(|count| *count > 0), "no fact is {}", kind.words());
    }
}

#[test]
fn nothing_on_the_shelf_is_at_fault() {
    let sources = Sources::default();
    let resolver = Resolver::new(&sources, &mut Vec::new());
    let mut faults = Vec::new();
    for (number, entry) in (0u32..).zip(ENTRIES) {
        match entry.kind {
            ShelfKind::Substance => resolver.check_substance(decl(number), &mut faults),
            ShelfKind::Material => resolver.check_material(decl(number), &mut faults),
            ShelfKind::Group | ShelfKind::Rule => resolver.check_declaration(decl(number), &mut faults),
        }
        assert!(faults.is_empty(), "{}: {faults:#?}", entry.name);
    }
}

/// What a material is to be kept apart from is something that there is.
#[test]
fn what_is_to_be_avoided_is_known() {
    let sources = Sources::default();
    let resolver = Resolver::new(&sources, &mut Vec::new());
    let all = u32::try_from(FILES.iter().position(|file| file.name == "all").unwrap()).unwrap();
    for (number, name) in entries(ShelfKind::Material) {
        let Some(Item::Material(material)) = item(number) else { panic!("{name}") };
        for fact in &material.facts {
            let MaterialField::Avoid(avoid) = &fact.field else { continue };
            let with = avoid.with.text.as_str();
            let sets = [NameSet::Weighable, NameSet::Substance, NameSet::Group];
            let named = sets.into_iter().any(|set| resolver.scopes.find(FileId(all), set, with).is_some());
            let word = Role::from_word(with).is_some() || Charge::from_word(with).is_some();
            assert!(named || word, "{name}: avoid with {with}, which there is not");
        }
    }
}

/// A formula for each material, at the middle of its usage range, compiles. A water activity is stated, so that no
/// trial is asked for a preservative of its own.
#[test]
fn every_material_can_stand_in_a_formula() {
    let sources = Sources::default();
    let resolver = Resolver::new(&sources, &mut Vec::new());
    let mut text = String::from("use shelf/all\n");
    let mut count = 0;
    for (number, name) in entries(ShelfKind::Material) {
        let material = resolver.material(decl(number)).unwrap();
        let middle = match material.usual_usage() {
            None => Exact::whole(5),
            Some(usage) => match (&usage.range.low, &usage.range.high) {
                (low, Some(high)) => {
                    let low = low.clone().unwrap_or(Exact::ZERO);
                    &(&low + high) * &Exact::ratio(1, 2)
                }
                (Some(low), None) => low.clone(),
                (None, None) => Exact::whole(5),
            },
        };
        let of = if material.usual_usage().is_some_and(|usage| usage.active) { " active" } else { "" };
        let lines = match name {
            "water" => "water 100 %".to_string(),
            _ => format!("water q.s.\n    {name} {middle} %{of}"),
        };
        writeln!(
            text,
            "\nformula try-{name} {{\n  title \"A trial of {name}\"\n  version \"1\"\n  product leave-on body\n  \
             makes 1 kg\n  density 1 g/mL\n  water-activity 0.7\n  scale 0.001 g\n  phase A {{\n    {lines}\n  }}\n}}"
        )
        .unwrap();
        count += 1;
    }
    let folder = common::folder(&[("trials.still", text.as_bytes())]);
    let loaded = folder.load();
    let report = check(&loaded.sources, &BatchOrder::default(), true);
    let errors: Vec<_> = report.diagnostics.iter().filter(|fault| fault.level == Level::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    assert_eq!(report.formulas.len(), count);
    assert!(report.formulas.iter().all(|formula| formula.plan.is_some()), "a formula that cannot be weighed");
}

const SUBSTANCE_ORDER: &[&[&str]] = &[
    &["inci"],
    &["us"],
    &["ci"],
    &["cas"],
    &["molar-mass"],
    &["acid", "base", "ampholyte", "strong", "ion", "neutral", "oxide", "hydroxide"],
    &["salt"],
    &["binds"],
    &["precipitates"],
    &["moves"],
    &["hydrolyses"],
    &["water"],
    &["dissolves"],
    &["preserves"],
    &["spoils"],
    &["feeds"],
    &["phototoxic"],
    &["allergen", "fragrance", "colourant", "nano"],
    &["charge"],
    &["source"],
];

const MATERIAL_ORDER: &[&[&str]] = &[
    &["name"],
    &["also"],
    &["contains"],
    &["brings"],
    &["role"],
    &["phase"],
    &["does"],
    &["use"],
    &["works"],
    &["stays"],
    &["dissolves"],
    &["hydrates"],
    &["needs"],
    &["melts"],
    &["hlb"],
    &["bears"],
    &["protects"],
    &["required-hlb"],
    &["keeps"],
    &["turns"],
    &["avoid"],
    &["as"],
    &["density"],
    &["caution"],
    &["note"],
    &["source"],
];

/// The first word of a line inside a block; none where the line carries the one before on.
fn field(line: &str) -> Option<&str> {
    let inside = line.strip_prefix("  ")?;
    if inside.starts_with(' ') { None } else { inside.split(' ').next() }
}

#[test]
fn fields_stand_in_one_order() {
    for file in FILES {
        for (kind, name, lines) in blocks(file.text) {
            let order = match kind {
                "substance" => SUBSTANCE_ORDER,
                "material" => MATERIAL_ORDER,
                _ => continue,
            };
            let place = |word: &str| {
                let at = order.iter().position(|words| words.contains(&word));
                at.unwrap_or_else(|| panic!("{name}: `{word}` has no place in the order"))
            };
            let places: Vec<usize> = lines.iter().filter_map(|line| field(line)).map(place).collect();
            assert!(places.is_sorted(), "{kind} {name} in shelf/{}: fields out of order", file.name);
        }
    }
}

/// Two blanks before each field, values in one column two blanks after the longest field, long values carried on
/// in that column; blocks apart by one empty line and, among materials, by the alphabet.
#[test]
fn blocks_are_laid_out_alike() {
    for file in FILES {
        let text = file.text;
        assert!(text.starts_with("# ") && text.ends_with('\n') && !text.ends_with("\n\n"), "shelf/{}", file.name);
        assert!(!text.contains("\n\n\n") && !text.contains('\t') && !text.contains(" \n"), "shelf/{}", file.name);
        for (kind, name, lines) in blocks(text) {
            let longest = lines.iter().filter_map(|line| field(line)).map(str::len).max().unwrap();
            for line in lines {
                let start = match field(line) {
                    None => line.len() - line.trim_start().len(),
                    Some(word) if line == format!("  {word}") => continue,
                    Some(word) => line.len() - line[2 + word.len()..].trim_start().len(),
                };
                assert_eq!(start, longest + 4, "{kind} {name} in shelf/{}: {line}", file.name);
                assert!(!unquoted(&line[start..]).contains("   "), "{kind} {name} in shelf/{}: {line}", file.name);
            }
        }
        let materials: Vec<&str> =
            blocks(text).into_iter().filter(|(kind, ..)| *kind == "material").map(|(_, name, _)| name).collect();
        assert!(materials.is_sorted(), "shelf/{}: materials by the alphabet", file.name);
    }
}

/// A value without what stands in quotation marks.
fn unquoted(value: &str) -> String {
    value.split('"').step_by(2).collect::<Vec<_>>().join("\"")
}

/// Figures without a unit, beside those that have none: pKa, pH, charges, HLB, counts of ions.
#[test]
fn figures_have_their_units() {
    const BARE: &[&str] = &[
        "acid",
        "base",
        "ampholyte",
        "ion",
        "salt",
        "works",
        "hlb",
        "required-hlb",
        "works in",
        "contains",
        "binds",
        "precipitates",
        "moves",
    ];
    const UNITS: &[&str] = &["%", "g/mol", "g/mL", "°C", "min", "h", "d", "months", "%,"];
    for file in FILES {
        for (kind, name, lines) in blocks(file.text) {
            if !matches!(kind, "substance" | "material") {
                continue;
            }
            for line in lines {
                let word = field(line).unwrap_or("contains");
                let value = unquoted(line);
                let words: Vec<&str> = value.split_whitespace().skip(usize::from(field(line).is_some())).collect();
                for (at, figure) in words.iter().enumerate() {
                    let is_figure = figure.parse::<f64>().is_ok();
                    let after_ph = at > 0 && (words[at - 1] == "pH" || at > 2 && words[at - 3] == "pH");
                    if !is_figure || after_ph || BARE.contains(&word) && word != "contains" {
                        continue;
                    }
                    let unit = words.get(at + 1).copied().unwrap_or("");
                    assert!(UNITS.contains(&unit), "{kind} {name} in shelf/{}: {line}", file.name);
                }
            }
        }
    }
}

/// The check digit of a CAS number: the others weighed by their place from the right, by 10.
fn cas_is_right(cas: &str) -> bool {
    let parts: Vec<&str> = cas.split('-').collect();
    let [first, second, check] = parts.as_slice() else { return false };
    let shaped = (2..=7).contains(&first.len()) && second.len() == 2 && check.len() == 1 && !first.starts_with('0');
    let digits: Option<Vec<u32>> = format!("{first}{second}").chars().rev().map(|c| c.to_digit(10)).collect();
    let sum = digits.map(|digits| (1u32..).zip(digits).map(|(place, digit)| place * digit).sum::<u32>());
    shaped && sum.is_some_and(|sum| check.parse() == Ok(sum % 10))
}

#[test]
fn cas_numbers_check() {
    assert!(cas_is_right("7732-18-5") && !cas_is_right("7732-18-6") && !cas_is_right("79-14"));
    let mut checked = 0;
    for (number, name) in entries(ShelfKind::Substance) {
        for fact in known(number).unwrap().facts.into_iter().filter(|fact| fact.field == "cas") {
            for number in fact.says.split(';').map(str::trim) {
                assert!(cas_is_right(number), "{name}: CAS {number}");
                checked += 1;
            }
        }
    }
    assert!(checked >= 300, "{checked} CAS numbers");
}

/// One name, one declaration of a kind, in all files together; and no name that the language keeps for itself.
#[test]
fn no_name_is_taken_twice() {
    let mut seen: BTreeMap<(&str, &str), &str> = BTreeMap::new();
    for file in FILES {
        for (kind, name, _) in blocks(file.text) {
            if let Some(other) = seen.insert((kind, name), file.name) {
                panic!("{kind} {name} stands in shelf/{other} and in shelf/{}", file.name);
            }
            assert!(!stillroom::syntax::RESERVED.contains(&name), "{name} is a word of the language");
        }
    }
    let declared = ENTRIES.iter().filter(|entry| entry.kind != ShelfKind::Group).count();
    assert_eq!(seen.len(), declared, "a block that the index has not");
}
