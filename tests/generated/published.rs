//! The pH foreseen held against what is published: the tables of `docs/ph.md`, made of `tests/data/ph-published.json`.
//!
//! No row is left out for what the program says of it. A row that is outside stands in the table as such.

use crate::common;
use serde::Deserialize;
use std::fmt::Write as _;
use std::sync::OnceLock;
use stillroom::chemistry::Activity;
use stillroom::quantity::Exact;
use stillroom::render::{Ph, ph};
use stillroom::sheet::ph::outlook;

/// What is published of one mixture.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    class: String,
    what: String,
    /// The lines of a formula, with `; ` between them; of a dose one of them is `q.s. to pH`.
    lines: String,
    /// What a dose leads to, as a window; its middle is compared.
    #[serde(default)]
    window: Option<String>,
    /// The lowest and the highest that is published: a pH, or of a dose grams in 100 g of batch.
    published: [f64; 2],
    source: String,
    /// Whether the shelf has its figures from that same source: what was measured of a material, or its constants.
    #[serde(default)]
    same_source: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Data {
    #[serde(rename = "note")]
    _note: String,
    /// Substances and materials that the shelf has not.
    declared: Vec<String>,
    rows: Vec<Row>,
}

/// What the program states: the figure and the range; none where it gives no figure.
type Stated = Option<[f64; 3]>;

struct Compared {
    row: Row,
    stated: Stated,
}

impl Compared {
    fn is_dose(&self) -> bool {
        self.row.window.is_some()
    }

    /// Whether the range stated and what is published meet.
    fn is_inside(&self) -> bool {
        let [low, high] = self.row.published;
        self.stated.is_some_and(|[_, least, most]| least <= high + 1e-9 && low <= most + 1e-9)
    }

    /// Whether the middle of what is published lies in the range stated.
    fn has_middle_inside(&self) -> bool {
        let middle = f64::midpoint(self.row.published[0], self.row.published[1]);
        self.stated.is_some_and(|[_, least, most]| least <= middle + 1e-9 && middle <= most + 1e-9)
    }

    /// How wide the range is: of a pH either way, of a dose the most divided by the least.
    fn width(&self) -> Option<f64> {
        let [figure, least, most] = self.stated?;
        Some(if self.is_dose() { most / least } else { (figure - least).max(most - figure) })
    }

    /// Whether its source can be opened.
    fn is_read(&self) -> bool {
        let source = &self.row.source;
        !["from memory", "common practice", "computed"].iter().any(|word| source.starts_with(word))
    }
}

fn stated(ph: &Ph, is_dose: bool) -> Stated {
    if is_dose {
        let of = ph.adjusters.first()?;
        let [low, high] = of.grams_mid_range?;
        return Some([of.grams_mid.filter(|grams| *grams > 0.0)?, low?, high?]);
    }
    let (figure, give) = (ph.before?, ph.before_uncertainty?);
    Some([figure, figure - give, figure + give])
}

fn compared() -> &'static [Compared] {
    static COMPARED: OnceLock<Vec<Compared>> = OnceLock::new();
    COMPARED.get_or_init(|| {
        let path = format!("{}/tests/data/ph-published.json", env!("CARGO_MANIFEST_DIR"));
        let data: Data = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
        let mut text = format!("use shelf/all\n\n{}\n", data.declared.join("\n"));
        for (number, row) in data.rows.iter().enumerate() {
            let window = row.window.as_deref().unwrap_or_default();
            let lines = row.lines.replace("; ", "\n    ");
            write!(
                text,
                "\nformula row-{number} {{\n  product stock\n  {window}\n  phase A {{\n    {lines}\n  }}\n}}\n"
            )
            .unwrap();
        }
        common::checked(&text, |_, report| {
            let rows = data.rows.into_iter().zip(&report.formulas);
            rows.map(|(row, found)| {
                let faults: Vec<&str> = found
                    .diagnostics
                    .iter()
                    .filter(|fault| fault.code.to_string().starts_with("name-"))
                    .map(|fault| fault.message.as_str())
                    .collect();
                assert!(faults.is_empty(), "{}: {faults:?}", row.what);
                let seen = outlook(&report.resolver, &found.formula, Activity::Davies);
                let ph = ph(&found.formula, seen.as_ref(), &Exact::whole(100));
                let stated = ph.and_then(|ph| stated(&ph, row.window.is_some()));
                Compared { row, stated }
            })
            .collect()
        })
    })
}

/// Grams to three digits, a pH to two decimals.
fn figure(value: f64, is_dose: bool) -> String {
    if !is_dose {
        return format!("{value:.2}");
    }
    let decimals = (2.0 - value.abs().max(1e-9).log10().floor()).clamp(0.0, 6.0) as usize;
    format!("{value:.decimals$}")
}

fn range(low: f64, high: f64, is_dose: bool) -> String {
    let (low, high) = (figure(low, is_dose), figure(high, is_dose));
    if low == high { low } else { format!("{low} to {high}") }
}

/// Every row, with what is published and where.
pub fn rows() -> String {
    let mut out = String::from(
        "| class | what | foreseen | range | published | | source |\n| --- | --- | ---: | ---: | ---: | --- | --- |\n",
    );
    for of in compared() {
        let Row { class, what, published: [low, high], source, .. } = &of.row;
        let dose = of.is_dose();
        let (foreseen, stated) =
            of.stated.map_or(("—".to_string(), "no figure".to_string()), |[value, least, most]| {
                (figure(value, dose), range(least, most, dose))
            });
        let unit = if dose { " g" } else { "" };
        let verdict = match of.stated {
            None => "none",
            Some(_) if of.is_inside() && of.row.same_source => "in, same source",
            Some(_) if of.is_inside() => "in",
            Some(_) => "**out**",
        };
        writeln!(
            out,
            "| {class} | {what} | {foreseen} | {stated}{} | {}{unit} | {verdict} | {source} |",
            if of.stated.is_some() { unit } else { "" },
            range(*low, *high, dose)
        )
        .unwrap();
    }
    out
}

fn median(mut widths: Vec<f64>) -> Option<(f64, f64)> {
    widths.sort_by(f64::total_cmp);
    let middle = widths.len() / 2;
    let most = *widths.last()?;
    let median = if widths.len() % 2 == 1 { widths[middle] } else { f64::midpoint(widths[middle - 1], widths[middle]) };
    Some((median, most))
}

/// The table by class.
pub fn classes() -> String {
    let all: Vec<&Compared> = compared().iter().collect();
    let mut names: Vec<&str> = Vec::new();
    for of in &all {
        if !names.contains(&of.row.class.as_str()) {
            names.push(&of.row.class);
        }
    }
    let mut out = String::from(
        "| class | compared | source opened | shelf has it from there | no figure | inside | middle inside | pH either way: median, widest | dose, most ÷ least: median, widest |\n\
         | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    for name in &names {
        let of: Vec<&Compared> = all.iter().copied().filter(|of| of.row.class == *name).collect();
        out.push_str(&line(name, &of));
    }
    out.push_str(&line("all", &all));
    let others: Vec<&Compared> = all.iter().copied().filter(|of| !of.row.same_source).collect();
    out.push_str(&line("all that the shelf has not from there", &others));
    out
}

fn line(name: &str, rows: &[&Compared]) -> String {
    let count = |which: &dyn Fn(&Compared) -> bool| rows.iter().filter(|of| which(of)).count();
    let told = count(&|of| of.stated.is_some());
    let share = |part: usize| {
        if told == 0 { "—".to_string() } else { format!("{part} of {told}, {} %", (part * 200 + told) / (2 * told)) }
    };
    let widths = |dose: bool| {
        median(rows.iter().filter(|of| of.is_dose() == dose).filter_map(|of| of.width()).collect())
            .map_or("—".to_string(), |(median, most)| format!("{median:.2}, {most:.2}"))
    };
    format!(
        "| {name} | {} | {} | {} | {} | {} | {} | {} | {} |\n",
        rows.len(),
        count(&Compared::is_read),
        count(&|of| of.row.same_source),
        rows.len() - told,
        share(count(&Compared::is_inside)),
        share(count(&Compared::has_middle_inside)),
        widths(false),
        widths(true)
    )
}

/// No comparison that is inside, or has a figure, is lost unseen when the tables are made anew: those of 2026-11.
#[test]
fn no_fewer_are_inside_than_the_document_owns_to() {
    let told = compared().iter().filter(|of| of.stated.is_some()).count();
    let inside = compared().iter().filter(|of| of.is_inside()).count();
    assert!(told >= 182 && told - inside <= 12, "{inside} of {told}");
}
