//! The grammar for editors that colour by TextMate's rules, made of the words of the language, block by block.

use crate::language_words::{BlockWords, blocks, units, values};
use serde_json::{Map, Value, json};

/// A name, and what may not stand around a word that is one.
const NAME: &str = r"[A-Za-z\x{80}-\x{10FFFF}][\w\x{80}-\x{10FFFF}]*(?:-[\w\x{80}-\x{10FFFF}]+)*";
const BEFORE: &str = r"(?<![\w\x{80}-\x{10FFFF}-])";
const AFTER: &str = r"(?![\w\x{80}-\x{10FFFF}-])";
/// Where a statement begins: with the line, or after the brace.
const START: &str = r"(?:^[ \t\x{FEFF}]*|(?<=\{)[ \t]*)";

/// Fields whose values are words out of closed lists, or codes.
const WORDED: &[&str] = &[
    "allow",
    "avoid",
    "bears",
    "charge",
    "does",
    "level",
    "market",
    "phase",
    "product",
    "protects",
    "responsible",
    "role",
    "use",
];

fn any<'word>(words: impl IntoIterator<Item = &'word str>) -> String {
    let mut words: Vec<String> = words.into_iter().map(|word| word.replace('.', r"\.").replace('/', r"\/")).collect();
    // The longer first, since the first that fits is taken.
    words.sort_by_key(|word| (std::cmp::Reverse(word.len()), word.clone()));
    words.join("|")
}

fn scoped(scope: &str) -> Value {
    json!({ "name": format!("{scope}.stillroom") })
}

fn include(name: &str) -> Value {
    json!({ "include": format!("#{name}") })
}

/// Words that go on with a statement; `q.s.` ends in a point, after which anything may stand.
fn inside(words: &BlockWords) -> Value {
    let plain = any(words.inside.iter().map(String::as_str).filter(|word| !word.ends_with('.')));
    let rule = if plain.is_empty() { r"q\.s\.".to_string() } else { format!(r"{BEFORE}(?:q\.s\.|(?:{plain}){AFTER})") };
    json!({ "match": rule, "name": "keyword.other.stillroom" })
}

/// The patterns of the statements of a block, without what is nested in it.
fn statements(block: &str, words: &BlockWords) -> Vec<Value> {
    let nested: &[&str] = match block {
        "formula" | "variant" => &["phase", "steps", "let"],
        "batch" => &["plan"],
        _ => &[],
    };
    let opens = || words.opens.iter().map(String::as_str).filter(|word| !nested.contains(word));
    // In a plan, as in a formula, a phase has a name.
    let is_worded = |word: &&str| WORDED.contains(word) && !(*word == "phase" && block == "plan");
    let worded: Vec<&str> = opens().filter(is_worded).collect();
    let plain: Vec<&str> = opens().filter(|word| !is_worded(word)).collect();
    let mut patterns = vec![include("comment")];
    // `active` is a role too; after a figure, in `use`, it is the mark of what the figure means.
    let closed = values();
    let partings = words.inside.iter().filter(|word| !closed.contains(word.as_str())).cloned().collect();
    let partings = BlockWords { inside: partings, ..BlockWords::default() };
    let (uses, worded): (Vec<&str>, Vec<&str>) = worded.into_iter().partition(|word| *word == "use");
    for (worded, inside_words) in [(worded, &partings), (uses, words)].into_iter().filter(|(some, _)| !some.is_empty())
    {
        let mut within = vec![include("comment"), include("string")];
        within.push(inside(inside_words));
        within.extend([include("value"), json!({ "match": NAME, "name": "support.constant.stillroom" })]);
        patterns.push(json!({
            "begin": format!("{START}({}){AFTER}", any(worded)),
            "beginCaptures": { "1": scoped("keyword.control") },
            // A list goes on after its comma, on the next line too.
            "end": r"(?=\})|(?<![,\n])$",
            "patterns": within,
        }));
    }
    if !plain.is_empty() {
        patterns.push(json!({
            "match": format!("{START}({}){AFTER}", any(plain)),
            "captures": { "1": scoped("keyword.control") },
        }));
    }
    if matches!(block, "phase" | "variant_phase" | "plan") {
        patterns.push(json!({
            "match": format!("{START}(?:(add)[ \\t]+)?({NAME})"),
            "captures": { "1": scoped("keyword.control"), "2": scoped("variable.other.material") },
        }));
    }
    if words.inside.contains("allow") {
        patterns.push(json!({
            "match": format!(r"{BEFORE}(allow)[ \t]+({NAME})"),
            "captures": { "1": scoped("keyword.other"), "2": scoped("support.constant") },
        }));
    }
    patterns.extend([include("string"), inside(words), include("value"), include("name")]);
    patterns
}

/// A block: how it opens, and what stands in it.
fn block(opening: &str, captures: &[&str], meta: &str, patterns: Vec<Value>) -> Value {
    let mut begin = Map::new();
    for (number, scope) in captures.iter().enumerate() {
        begin.insert((number + 1).to_string(), scoped(scope));
    }
    json!({
        "name": format!("meta.{meta}.stillroom"),
        "begin": format!("{START}{opening}[ \\t]*(\\{{)"),
        "beginCaptures": begin,
        "end": r"\}",
        "endCaptures": { "0": scoped("punctuation.section.block.end") },
        "patterns": patterns,
    })
}

const OPENS: &str = "punctuation.section.block.begin";

/// The blocks that a block may have in it.
fn nested(name: &str) -> Vec<Value> {
    match name {
        "formula" => [include("let"), include("phase"), include("steps")].to_vec(),
        "variant" => [include("let"), include("variant_phase"), include("steps")].to_vec(),
        "batch" => [include("plan")].to_vec(),
        _ => Vec::new(),
    }
}

/// The opening of a block, and the scopes of what it captures.
fn opening(name: &str) -> (String, Vec<&'static str>) {
    let (word, kind) = match name {
        "substance" | "material" | "container" => (name, "entity.name.type"),
        "formula" | "variant" | "batch" => (name, "entity.name.function"),
        "rule" => (name, "entity.name.section"),
        "phase" | "variant_phase" => {
            return (
                format!("(phase)[ \\t]+({NAME})(?:[ \\t]+(\"(?:[^\"\\\\]|\\\\.)*\"))?"),
                vec!["storage.type", "entity.name.section", "string.quoted.double", OPENS],
            );
        }
        // `plan`, `maker` and `stock` have no name.
        _ => return (format!("({name})"), vec!["storage.type", OPENS]),
    };
    match name {
        "material" => (
            format!("({word})[ \\t]+({NAME})(?:[ \\t]+(like)[ \\t]+({NAME}))?"),
            vec!["storage.type", kind, "keyword.other", "entity.other.inherited-class", OPENS],
        ),
        "variant" => (
            format!("({word})[ \\t]+({NAME})[ \\t]+(of)[ \\t]+({NAME})"),
            vec!["storage.type", kind, "keyword.other", "entity.other.inherited-class", OPENS],
        ),
        _ => (format!("({word})[ \\t]+({NAME})"), vec!["storage.type", kind, OPENS]),
    }
}

/// What stands in any block.
fn common(repository: &mut Map<String, Value>) {
    let units = any(units().into_iter().filter(|unit| !unit.starts_with('%')));
    let number = r"[+-]?\d[\d_]*(?:[.,]\d[\d_]*)?";
    let mut add = |name: &str, value: Value| repository.insert(name.to_string(), value);
    add("comment", json!({ "match": "#.*$", "name": "comment.line.number-sign.stillroom" }));
    add(
        "string",
        json!({
            "name": "string.quoted.double.stillroom", "begin": "\"", "end": "\"|$",
            "patterns": [{ "match": r"\\.", "name": "constant.character.escape.stillroom" }],
        }),
    );
    add(
        "step",
        json!({
            "name": "string.quoted.double.stillroom", "begin": "\"", "end": "\"|$",
            "patterns": [
                { "match": r"\\.|\{\{", "name": "constant.character.escape.stillroom" },
                { "match": r#"\{[^{}"]*\}"#, "name": "variable.parameter.stillroom" },
            ],
        }),
    );
    add(
        "value",
        json!({ "patterns": [
            { "match": format!(r"{BEFORE}\d{{4}}-\d{{2}}-\d{{2}}{AFTER}"), "name": "constant.numeric.date.stillroom" },
            { "match": format!(r"{BEFORE}\d{{2}}:\d{{2}}{AFTER}"), "name": "constant.numeric.time.stillroom" },
            {
                "match": format!(
                    r"{BEFORE}({number})(?:[ \t]*(%(?:[ \t]*(?:w\/v|v\/v|w\/w))?|(?:{units}|[A-Z]{{3}})(?![\w\/\x{{80}}-\x{{10FFFF}}-])))?"
                ),
                "captures": { "1": scoped("constant.numeric"), "2": scoped("keyword.other.unit") },
            },
            {
                "match": format!(r"(?<=per )[ \t]*({units}){AFTER}"),
                "captures": { "1": scoped("keyword.other.unit") },
            },
            { "match": r"[-+*\/]", "name": "keyword.operator.arithmetic.stillroom" },
            { "match": "=", "name": "keyword.operator.assignment.stillroom" },
            { "match": "[,:]", "name": "punctuation.separator.stillroom" },
            { "match": r"[()]", "name": "punctuation.section.parens.stillroom" },
        ] }),
    );
    add("name", json!({ "match": NAME, "name": "variable.other.stillroom" }));
    add(
        "let",
        json!({
            "match": format!("{START}(let)[ \\t]+({NAME})"),
            "captures": { "1": scoped("keyword.control"), "2": scoped("entity.name.constant") },
        }),
    );
}

/// The whole grammar.
pub fn grammar() -> Value {
    let mut repository = Map::new();
    common(&mut repository);
    let mut top = vec![include("comment")];
    let mut of_file = None;
    for (name, words) in blocks() {
        if name == "file" {
            of_file = Some(words);
            continue;
        }
        let (opens, captures) = opening(name);
        let mut patterns = nested(name);
        patterns.extend(statements(name, &words));
        repository.insert(name.to_string(), block(&opens, &captures, name, patterns));
        if !matches!(name, "phase" | "variant_phase" | "plan") {
            top.push(include(name));
        }
    }
    let steps = vec![include("comment"), include("step")];
    repository.insert("steps".to_string(), block("(steps)", &["storage.type", OPENS], "steps", steps));
    let of_file = of_file.unwrap();
    let blocks_open = ["let", "group"];
    let fields = of_file.opens.iter().map(String::as_str).filter(|word| !blocks_open.contains(word));
    top.extend([
        include("let"),
        json!({
            "match": format!("{START}(group)[ \\t]+({NAME})"),
            "captures": { "1": scoped("keyword.control"), "2": scoped("entity.name.constant") },
        }),
        json!({
            "match": format!(r"{START}(use)[ \t]+(shelf\/[a-z0-9-]+)"),
            "captures": { "1": scoped("keyword.control"), "2": scoped("string.unquoted") },
        }),
        json!({ "match": format!("{START}({}){AFTER}", any(fields)), "captures": { "1": scoped("keyword.control") } }),
        include("string"),
        inside(&of_file),
        include("value"),
        include("name"),
    ]);
    json!({
        "name": "Stillroom",
        "scopeName": "source.stillroom",
        "fileTypes": ["still"],
        "patterns": top,
        "repository": repository,
    })
}
