//! Random files that parse, each in as many layouts as one likes.
//!
//! A file is drawn as a pattern, in which signs stand for the blanks that the language leaves free: `␣` at least one
//! blank, `·` any number of them, `⏎` a line end, `¶` a line end and blank lines after it. A layout puts blanks in
//! their place. Everything is drawn from a row of bytes, so that a failure shrinks to a short file.

/// A row of choices; it is read round and round.
pub struct Choices<'b> {
    bytes: &'b [u8],
    at: usize,
}

impl<'b> Choices<'b> {
    pub fn new(bytes: &'b [u8]) -> Choices<'b> {
        Choices { bytes, at: 0 }
    }

    pub fn below(&mut self, bound: usize) -> usize {
        let byte = self.bytes.get(self.at % self.bytes.len().max(1)).copied().unwrap_or(0);
        // Each round reads the same bytes otherwise, or a file would repeat itself.
        let turned = byte.wrapping_add(u8::try_from(self.at / self.bytes.len().max(1) % 251).unwrap());
        self.at += 1;
        usize::from(turned) % bound
    }

    fn once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }

    fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }
}

const NAMES: &[&str] = &["a", "bee", "water", "xanthan-gum", "glycolic-acid-70", "our-very-long-name-of-an-oil", "c2"];
const NUMBERS: &[&str] = &["1", "0.50", "12", "1_000", "3.6", "100"];
const TEXTS: &[&str] = &["\"\"", "\"plain\"", "\"a { # in }  it\"", "\"\\\" \\\\ \\n, °C\"", "\"Öl 水\""];
const COMMENTS: &[&str] = &["#", "# said so", "#tight { it", "# \"half", "## } °  two  blanks"];

/// Draws the pattern of a file.
pub fn pattern(choices: &mut Choices<'_>) -> String {
    let mut out = String::new();
    lines(choices, &mut out, 7, &mut Once::default(), &item);
    out
}

/// What may stand but once in a block, as far as it has.
#[derive(Default)]
struct Once(Vec<&'static str>);

type Statement = dyn Fn(&mut Choices<'_>, &mut Once) -> String;

/// Some statements, each with its line end, comments and blank lines among them.
fn lines(choices: &mut Choices<'_>, out: &mut String, most: usize, once: &mut Once, statement: &Statement) {
    for _ in 0..choices.below(most + 1) {
        if choices.once_in(5) {
            *out += &format!("·{}{}", choices.pick(COMMENTS), choices.pick(&["⏎", "¶"]));
        }
        *out += "·";
        *out += &statement(choices, once);
        if choices.once_in(6) {
            *out += &format!("·{}", choices.pick(COMMENTS));
        }
        *out += if choices.once_in(4) { "¶" } else { "⏎" };
    }
}

fn block(choices: &mut Choices<'_>, head: &str, most: usize, statement: &Statement) -> String {
    let mut once = Once::default();
    if choices.once_in(4) {
        return format!("{head}·{{·{}·}}", statement(choices, &mut once));
    }
    let mut out = format!("{head}·{{{}", choices.pick(&["⏎", "⏎", "¶", "·# on the brace⏎"]));
    lines(choices, &mut out, most, &mut once, statement);
    out + "·}"
}

fn item(choices: &mut Choices<'_>, _: &mut Once) -> String {
    let name = choices.pick(NAMES);
    match choices.below(13) {
        0 => choices.pick(&["use␣\"other.still\"", "use␣shelf/all"]).to_string(),
        1 | 2 => format!("let␣{name}·=·{}", line_sum(choices)),
        3 => format!("group␣{name}·=·{}{}", choices.pick(&["", "⏎·", "·# of them⏎·"]), names(choices)),
        4 => "rate␣1·EUR·=·1.08·USD␣on␣2026-11-02".to_string(),
        5 => block(choices, &format!("substance␣{name}"), 5, &substance),
        6 | 7 => {
            let like = choices.pick(&["", "␣like␣other"]);
            block(choices, &format!("material␣{name}{like}"), 6, &material)
        }
        8 | 9 => block(choices, &format!("formula␣{name}"), 8, &formula),
        10 => block(choices, &format!("variant␣{name}␣of␣base"), 8, &variant),
        11 => block(choices, &format!("rule␣{name}"), 5, &rule),
        _ => block(choices, &format!("batch␣{name}"), 9, &batch),
    }
}

fn percent(choices: &mut Choices<'_>) -> String {
    format!("{}·{}", choices.pick(NUMBERS), choices.pick(&["%", "%", "ppm"]))
}

fn factor(choices: &mut Choices<'_>, depth: usize) -> String {
    match choices.below(5) {
        0 if depth < 3 => bracket(choices, depth),
        1 | 2 => choices.pick(NAMES).to_string(),
        _ => percent(choices),
    }
}

fn line_sum(choices: &mut Choices<'_>) -> String {
    let mut out = factor(choices, 0);
    for _ in 0..choices.below(3) {
        let next = factor(choices, 0);
        out += &format!("{}{next}", choices.pick(&["␣+␣", "␣-␣", "·*·", "␣/·"]));
    }
    out
}

/// In brackets an expression may run over lines, with comments in it.
fn bracket(choices: &mut Choices<'_>, depth: usize) -> String {
    let mut out = format!("({}{}", choices.pick(&["·", "·", "⏎·", "·# in⏎·"]), factor(choices, depth + 1));
    for _ in 0..choices.below(3) {
        let next = factor(choices, depth + 1);
        let sign = choices.pick(&["␣+␣", "␣-␣", "·*·", "␣/·", "⏎·-␣", "␣+⏎·", "·# why⏎·/·"]);
        out += &format!("{sign}{next}");
    }
    out + choices.pick(&["·", "·", "⏎·", "·# out⏎·"]) + ")"
}

fn names(choices: &mut Choices<'_>) -> String {
    list(choices, &|choices| choices.pick(NAMES).to_string())
}

fn list(choices: &mut Choices<'_>, one: &dyn Fn(&mut Choices<'_>) -> String) -> String {
    let mut out = one(choices);
    for _ in 0..choices.below(4) {
        out += choices.pick(&["·,·", "·,·", "·,⏎·", "·,·# next⏎·", ",⏎·# alone⏎·"]);
        out += &one(choices);
    }
    out
}

fn range(choices: &mut Choices<'_>) -> String {
    let low = percent(choices);
    match choices.below(4) {
        0 => format!("up␣to␣{low}"),
        1 => format!("at␣least␣{low}"),
        2 => format!("at␣most␣{low}"),
        _ => format!("{low}␣to␣9·%"),
    }
}

fn because(choices: &mut Choices<'_>) -> String {
    format!("because␣{}", choices.pick(TEXTS))
}

/// One of several that may stand but once; a repeatable one where it has stood already.
fn once(choices: &mut Choices<'_>, once: &mut Once, of: &[&'static str], else_: &str) -> String {
    let chosen = choices.pick(of);
    let word = chosen.split('␣').next().unwrap();
    if once.0.contains(&word) {
        return else_.to_string();
    }
    once.0.push(word);
    chosen.to_string()
}

fn substance(choices: &mut Choices<'_>, said: &mut Once) -> String {
    let fields = [
        "inci␣\"Aqua\"",
        "cas␣\"7732-18-5\"",
        "molar-mass␣18.015·g/mol",
        "acid␣pKa␣3.13·,·4.76",
        "water␣99·%",
        "neutral",
    ];
    let field = once(choices, said, &fields, "allergen");
    let source = choices.pick(&["", "", "␣source␣\"a book\""]);
    format!("{field}{source}")
}

fn material(choices: &mut Choices<'_>, said: &mut Once) -> String {
    let field = match choices.below(4) {
        0 if !said.0.contains(&"contains") => {
            said.0.push("contains");
            let component = |choices: &mut Choices<'_>| {
                let strength = choices.pick(&["", "␣7·%·w/v", "␣2%", "␣remainder", "␣1·%␣to␣2·%␣active"]);
                format!("{}{strength}", choices.pick(NAMES))
            };
            format!("contains␣{}", list(choices, &component))
        }
        1 => format!("price␣1·EUR␣per␣500·g·,{}4·EUR␣per␣2·kg", choices.pick(&["·", "⏎·"])),
        2 => format!("note␣{}", choices.pick(TEXTS)),
        _ => {
            let fields = [
                "role␣humectant␣solvent",
                "use␣up␣to␣5·%␣active",
                "works␣in␣pH␣3␣to␣6",
                "stays␣below␣40·C",
                "as␣supplied␣pH␣4.5␣at␣10·%",
                "required-hlb␣7",
            ];
            once(choices, said, &fields, "avoid␣with␣anionic␣above␣5·%␣outside␣pH␣3␣to␣4␣because␣\"so\"")
        }
    };
    let source = choices.pick(&["", "", "␣source␣\"a book\""]);
    format!("{field}{source}")
}

const HEADER: &[&str] = &[
    "title␣\"T\"",
    "version␣\"1\"",
    "product␣leave-on·,·face",
    "makes␣12·x·30·mL␣plus␣4·%",
    "density␣1.03·g/mL",
    "pH␣3.6␣to␣4.0",
    "water-activity␣0.97",
    "lasts␣12·months␣because␣\"seen\"",
    "declare␣as␣formed",
];

fn formula(choices: &mut Choices<'_>, said: &mut Once) -> String {
    match choices.below(9) {
        0 | 1 => once(choices, said, HEADER, "scale␣0.01·g␣up␣to␣600·g"),
        2 => format!("let␣{}·=·{}", choices.pick(NAMES), line_sum(choices)),
        3 => format!("ensure␣{}␣{}", line_sum(choices), range(choices)),
        4 => format!("allow␣usage-over␣{}", because(choices)),
        5 => block(choices, "steps", 3, &|choices, _| choices.pick(TEXTS).to_string()),
        _ => {
            let title = choices.pick(&["", "␣\"Title\""]);
            let name = choices.pick(&["A", "B2", "oil"]);
            block(choices, &format!("phase␣{name}{title}"), 6, &phase)
        }
    }
}

fn phase(choices: &mut Choices<'_>, _: &mut Once) -> String {
    match choices.below(8) {
        0 => choices.pick(&["heat␣to␣75·°C", "cool␣to␣100·F"]).to_string(),
        1 => format!("allow␣line-twice␣{}", because(choices)),
        _ => line(choices),
    }
}

fn line(choices: &mut Choices<'_>) -> String {
    format!("{}␣{}{}", choices.pick(NAMES), amount(choices), tails(choices))
}

fn amount(choices: &mut Choices<'_>) -> String {
    match choices.below(6) {
        0 => "q.s.".to_string(),
        1 => "q.s.␣to␣pH".to_string(),
        2 => format!("{}␣active", percent(choices)),
        3 => format!("{}␣of␣bee", bracket(choices, 0)),
        4 => choices.pick(NAMES).to_string(),
        _ => percent(choices),
    }
}

fn tails(choices: &mut Choices<'_>) -> String {
    let reason = because(choices);
    let mut all = [
        "␣hold␣back␣3·%".to_string(),
        "␣from␣water".to_string(),
        format!("␣{reason}"),
        format!("␣allow␣usage-over␣{reason}"),
    ];
    all.rotate_left(choices.below(4));
    all[..choices.below(4)].concat()
}

fn variant(choices: &mut Choices<'_>, said: &mut Once) -> String {
    let name = choices.pick(NAMES);
    match choices.below(7) {
        0 | 1 => format!("set␣{name}␣{}{}", amount(choices), tails(choices)),
        2 => format!("swap␣{name}␣for␣c2{}", tails(choices)),
        3 => format!("swap␣{name}␣for␣c2␣{}{}", amount(choices), tails(choices)),
        4 => format!("remove␣{name}"),
        5 => block(choices, "phase␣B", 4, &|choices, _| format!("add␣{}", line(choices))),
        _ => once(choices, said, HEADER, "warning␣\"Hot.\""),
    }
}

fn rule(choices: &mut Choices<'_>, said: &mut Once) -> String {
    let name = choices.pick(NAMES);
    match choices.below(5) {
        0 => format!("limit␣{name}␣to␣{}␣as␣acid", percent(choices)),
        1 => format!("require␣{name}␣{}", range(choices)),
        2 => format!("when␣{name}␣above␣0·%"),
        _ => once(choices, said, &["market␣us", "from␣2005-01-10", "level␣warning", "source␣\"…\""], "print␣\"x\""),
    }
}

fn batch(choices: &mut Choices<'_>, said: &mut Once) -> String {
    let name = choices.pick(NAMES);
    let entry = match choices.below(9) {
        0 => format!("weighed␣{name}␣3·g"),
        1 => format!("added␣{name}␣1.50·g␣{}", because(choices)),
        2 => choices.pick(&["reading␣pH␣3.5␣to␣4.0␣by␣strip", "reading␣pH␣5.6␣diluted␣1␣in␣10␣at␣21·C"]).to_string(),
        3 => format!("lot␣{name}␣\"L-1\"␣assay␣70·%␣opened␣2026-06-02"),
        4 => choices.pick(&["calibrated␣pH␣4.01␣reads␣4.03", "topped-up␣water␣to␣385.64·g"]).to_string(),
        5 => choices.pick(&["filled␣12·x·30·mL␣as␣\"NG\"", "sold␣5␣to␣\"M.\"", "released"]).to_string(),
        6 if !said.0.contains(&"plan") => {
            said.0.push("plan");
            return block(choices, "plan", 4, &|choices, _| {
                let line =
                    format!("{}␣{}␣{}{}", choices.pick(NAMES), percent(choices), amount(choices), tails(choices));
                line
            });
        }
        _ => once(choices, said, &["formula␣f␣version␣\"1\"", "started␣2026-11-20", "size␣20·g"], "waited␣2·h"),
    };
    let mut out = entry;
    for stamp in ["␣at␣14:05", "␣on␣2026-11-21", "␣by␣\"M.\""] {
        if choices.once_in(4) {
            out += stamp;
        }
    }
    out
}

/// A pattern in one of its layouts.
pub fn layout(pattern: &str, choices: &mut Choices<'_>) -> String {
    let mut out = String::new();
    for sign in pattern.chars() {
        match sign {
            '⏎' | '¶' => {
                let more = if sign == '¶' { 1 + choices.below(3) } else { 0 };
                for _ in 0..=more {
                    out += choices.pick(&["", "", " ", "\t "]);
                    out += choices.pick(&["\n", "\n", "\r\n"]);
                }
            }
            '·' => out += choices.pick(&["", " ", "  ", "\t"]),
            '␣' => out += choices.pick(&[" ", "   ", "\t", " \t"]),
            sign => out.push(sign),
        }
    }
    out
}
