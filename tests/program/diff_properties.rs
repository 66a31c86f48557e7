//! The differences as JSON, applied to the formula as it was, give the formula as it is, exactly: over random edits.

use crate::common::folder;
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use stillroom::model::{Formula, LineAmount, StepMark, Steps};
use stillroom::render::DiffJson;
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::versions::{FormulaMeaning, compared};

/// A formula to be edited: what its text is written from.
#[derive(Clone, Debug)]
struct Draft {
    header: BTreeMap<&'static str, String>,
    /// Thousandths of a percent of acid in `acid-70`.
    strength: u32,
    lines: Vec<DraftLine>,
    steps: Vec<String>,
    heat: [Option<u32>; 3],
}

#[derive(Clone, Debug)]
struct DraftLine {
    material: usize,
    phase: usize,
    /// Hundredths of a percent; of the active for `acid-70` where `by_active`.
    amount: u32,
    by_active: bool,
}

const MATERIALS: [&str; 8] = ["acid-70", "glycerol", "betaine", "inulin", "urea", "sorbitol", "panthenol", "allantoin"];
const PHASES: [&str; 3] = ["A", "B", "C"];

impl Draft {
    fn text(&self) -> String {
        let mut out = String::from("substance water {\n  inci \"Aqua\"\n}\nmaterial water {\n  role solvent\n}\n");
        out.push_str("substance acid {\n  inci \"Acid\"\n}\n");
        let strength = f64::from(self.strength) / 1000.0;
        writeln!(out, "material acid-70 {{\n  contains acid {strength} % active, water remainder\n}}").unwrap();
        for name in &MATERIALS[1..] {
            writeln!(out, "substance {name} {{\n  inci \"{name}\"\n}}\nmaterial {name} {{\n  role humectant\n}}")
                .unwrap();
        }
        out.push_str("material base {\n  contains acid 1 %, water remainder\n  role ph-adjuster\n}\nformula draft {\n");
        for (word, says) in &self.header {
            writeln!(out, "  {word} {says}").unwrap();
        }
        for (number, phase) in PHASES.iter().enumerate() {
            writeln!(out, "  phase {phase} {{").unwrap();
            if let Some(heat) = self.heat[number] {
                writeln!(out, "    heat to {heat} °C").unwrap();
            }
            if number == 0 {
                writeln!(out, "    water q.s. hold back {} %", self.header["density"].len()).unwrap();
                writeln!(out, "    base q.s. to pH").unwrap();
            }
            for line in self.lines.iter().filter(|line| line.phase == number) {
                let amount = f64::from(line.amount) / 100.0;
                let by = if line.by_active && line.material == 0 { " active" } else { "" };
                writeln!(out, "    {} {amount} %{by}", MATERIALS[line.material]).unwrap();
            }
            out.push_str("  }\n");
        }
        if !self.steps.is_empty() {
            out.push_str("  steps {\n");
            for step in &self.steps {
                writeln!(out, "    \"{step}\"").unwrap();
            }
            out.push_str("  }\n");
        }
        out.push_str("}\n");
        out
    }
}

fn a_line() -> impl Strategy<Value = DraftLine> {
    (0..MATERIALS.len(), 0..PHASES.len(), 1u32..600, any::<bool>())
        .prop_map(|(material, phase, amount, by_active)| DraftLine { material, phase, amount, by_active })
}

fn a_step() -> impl Strategy<Value = String> {
    prop_oneof![
        Just("Stir {water}.".to_string()),
        Just("Bring to {pH} with {base}.".to_string()),
        "[a-c]{1,3}".prop_map(|text| format!("{text} {{{{in a brace")),
    ]
}

fn a_header() -> impl Strategy<Value = BTreeMap<&'static str, String>> {
    (1u32..4, 0u32..3, 1u32..3, 36u32..40, 1u32..4, any::<bool>()).prop_map(
        |(version, title, makes, low, density, dated)| {
            let mut all = BTreeMap::from([
                ("version", format!("\"{version}\"")),
                ("makes", format!("{makes}00 g")),
                ("pH", format!("3.{} to 4.{}", low % 10, density)),
                ("density", format!("1.{} g/mL", "0".repeat(density as usize) + "5")),
                ("product", "leave-on face".to_string()),
            ]);
            if title > 0 {
                all.insert("title", format!("\"Draft {title}\""));
            }
            if dated {
                all.insert("date", "2026-05-01".to_string());
            }
            all
        },
    )
}

fn a_draft() -> impl Strategy<Value = Draft> {
    let heat = proptest::option::of(30u32..90);
    (
        a_header(),
        50_000u32..90_000,
        prop::collection::vec(a_line(), 0..9),
        prop::collection::vec(a_step(), 0..5),
        [heat.clone(), heat.clone(), heat],
    )
        .prop_map(|(header, strength, lines, steps, heat)| Draft { header, strength, lines, steps, heat })
}

/// An edit of a draft.
#[derive(Clone, Debug)]
enum Edit {
    Header(BTreeMap<&'static str, String>),
    Strength(u32),
    Add(Index, DraftLine),
    Remove(Index),
    Swap(Index, Index),
    Amount(Index, u32),
    Phase(Index, usize),
    Kind(Index),
    AddStep(Index, String),
    RemoveStep(Index),
    Heat(usize, Option<u32>),
}

fn an_edit() -> impl Strategy<Value = Edit> {
    let index = any::<Index>;
    prop_oneof![
        a_header().prop_map(Edit::Header),
        (50_000u32..90_000).prop_map(Edit::Strength),
        (index(), a_line()).prop_map(|(at, line)| Edit::Add(at, line)),
        index().prop_map(Edit::Remove),
        (index(), index()).prop_map(|(one, other)| Edit::Swap(one, other)),
        (index(), 1u32..600).prop_map(|(at, amount)| Edit::Amount(at, amount)),
        (index(), 0..PHASES.len()).prop_map(|(at, phase)| Edit::Phase(at, phase)),
        index().prop_map(Edit::Kind),
        (index(), a_step()).prop_map(|(at, step)| Edit::AddStep(at, step)),
        index().prop_map(Edit::RemoveStep),
        (0..PHASES.len(), proptest::option::of(30u32..90)).prop_map(|(phase, heat)| Edit::Heat(phase, heat)),
    ]
}

fn edited(draft: &Draft, edits: &[Edit]) -> Draft {
    let mut draft = draft.clone();
    for edit in edits {
        let lines = draft.lines.len();
        match edit {
            Edit::Header(header) => draft.header.clone_from(header),
            Edit::Strength(strength) => draft.strength = *strength,
            Edit::Add(at, line) => draft.lines.insert(at.index(lines + 1), line.clone()),
            Edit::AddStep(at, step) => draft.steps.insert(at.index(draft.steps.len() + 1), step.clone()),
            Edit::RemoveStep(at) if !draft.steps.is_empty() => {
                draft.steps.remove(at.index(draft.steps.len()));
            }
            Edit::Heat(phase, heat) => draft.heat[*phase] = *heat,
            Edit::Remove(at) if lines > 0 => {
                draft.lines.remove(at.index(lines));
            }
            Edit::Swap(one, other) if lines > 0 => draft.lines.swap(one.index(lines), other.index(lines)),
            Edit::Amount(at, amount) if lines > 0 => draft.lines[at.index(lines)].amount = *amount,
            Edit::Phase(at, phase) if lines > 0 => draft.lines[at.index(lines)].phase = *phase,
            Edit::Kind(at) if lines > 0 => draft.lines[at.index(lines)].by_active ^= true,
            _ => {}
        }
    }
    draft
}

/// A formula as it is resolved, by the model and not by what is compared.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Resolved {
    header: BTreeMap<String, String>,
    heat: BTreeMap<String, String>,
    lines: Vec<ResolvedLine>,
    steps: Vec<String>,
}

#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct ResolvedLine {
    material: String,
    phase: String,
    percent: String,
    held_back: Option<String>,
}

fn resolved(formula: &Formula) -> Resolved {
    let mut header = BTreeMap::new();
    let mut put = |word: &str, says: Option<String>| {
        header.extend(says.map(|says| (word.to_string(), says)));
    };
    put("version", formula.version.as_ref().map(ToString::to_string));
    put("title", formula.title.as_ref().map(ToString::to_string));
    put("date", formula.date.as_ref().map(ToString::to_string));
    put("makes", formula.makes.as_ref().map(|makes| format!("{} g", makes.grams.as_ref().unwrap())));
    put("density", formula.density.as_ref().map(|density| format!("{density} g/mL")));
    put("product", Some("face leave-on".to_string()));
    let one = |of: &stillroom::quantity::Exact| if of.decimals() == Some(0) { of.to_fixed(1) } else { of.to_string() };
    put(
        "pH",
        formula
            .window
            .as_ref()
            .map(|window| format!("{} to {}", one(window.low.as_ref().unwrap()), one(window.high.as_ref().unwrap()))),
    );
    let heat = formula.phases.iter().filter_map(|phase| {
        let (heat, _) = phase.heat.as_ref()?;
        Some((phase.name.to_string(), heat.to_fraction()))
    });
    let lines = formula.lines.iter().map(|line| ResolvedLine {
        material: line.name.to_string(),
        phase: formula.phases[line.phase].name.to_string(),
        percent: match &line.amount {
            LineAmount::AtBench => "q.s. to pH".to_string(),
            _ => line.percent.as_ref().unwrap().to_fraction(),
        },
        held_back: line.hold_back.as_ref().map(|held| held.percent.as_ref().unwrap().to_fraction()),
    });
    let steps = formula.steps.iter().flat_map(Steps::cut).map(|step| {
        let piece = |mark: StepMark<'_>| match mark {
            StepMark::Text(text) => text.replace('{', "{{"),
            StepMark::Name(name, portion) => format!("{{{name}{}}}", words_of(portion)),
            StepMark::Ph => "{pH}".to_string(),
        };
        step.into_iter().map(piece).collect()
    });
    Resolved { header, heat: heat.collect(), lines: lines.collect(), steps: steps.collect() }
}

/// The same by the changes alone.
fn applied(old: &Resolved, changes: &[Value]) -> Resolved {
    let mut new = old.clone();
    let text = |change: &Value, key: &str| change[key].as_str().map(str::to_string);
    let at = |change: &Value, key: &str| change[key].as_u64().map(|at| at as usize - 1);
    // Where each line of before stands is told from those that are gone, new or moved: the others keep their order.
    let mut before: Vec<Option<ResolvedLine>> = old.lines.iter().cloned().map(Some).collect();
    let count = |kind: &str| changes.iter().filter(|change| change["kind"] == kind).count();
    let mut now: Vec<Option<ResolvedLine>> = vec![None; old.lines.len() + count("line-added") - count("line-removed")];
    for change in changes {
        match change["kind"].as_str().unwrap() {
            "line-removed" => before[at(change, "old_position").unwrap()] = None,
            "line-added" => {
                now[at(change, "new_position").unwrap()] = Some(ResolvedLine {
                    material: text(change, "what").unwrap(),
                    phase: text(change, "phase").unwrap(),
                    percent: text(change, "new").unwrap(),
                    held_back: None,
                });
            }
            "line-moved" => {
                let line = before[at(change, "old_position").unwrap()].take().unwrap();
                now[at(change, "new_position").unwrap()] =
                    Some(ResolvedLine { phase: text(change, "new").unwrap(), ..line });
            }
            _ => {}
        }
    }
    let mut staying = before.into_iter().flatten();
    new.lines = now.into_iter().map(|line| line.unwrap_or_else(|| staying.next().unwrap())).collect();
    assert!(staying.next().is_none());
    let mut steps_before: Vec<Option<String>> = old.steps.iter().cloned().map(Some).collect();
    let mut steps: Vec<(usize, String)> = Vec::new();
    let mut used: Vec<usize> = Vec::new();
    for change in changes {
        let what = text(change, "what").unwrap();
        let new_text = text(change, "new");
        let set = |map: &mut BTreeMap<String, String>, key: String| match &new_text {
            Some(new) => {
                map.insert(key, new.clone());
            }
            None => {
                map.remove(&key);
            }
        };
        match change["kind"].as_str().unwrap() {
            "version" | "ph-window" => set(&mut new.header, what),
            "header" if what == "phase" => set(&mut new.heat, text(change, "phase").unwrap()),
            "header" => set(&mut new.header, what),
            "step" => {
                if let Some(was) = at(change, "old_position") {
                    steps_before[was] = None;
                }
                if let Some(is) = at(change, "new_position") {
                    steps.push((is, new_text.unwrap()));
                    used.push(is);
                }
            }
            // Amounts and reserves speak of a line by its material and the place it has now.
            "amount" | "reserve" => {
                let place = at(change, "new_position").unwrap();
                let line = &mut new.lines[place];
                assert_eq!(line.material, what);
                match change["kind"] == "amount" {
                    true => line.percent = new_text.unwrap(),
                    false => line.held_back = new_text,
                }
            }
            _ => {}
        }
    }
    let mut kept = steps_before.into_iter().flatten();
    let total = kept.clone().count() + steps.len();
    let mut all: BTreeMap<usize, String> = steps.into_iter().collect();
    new.steps = (0..total).map(|number| all.remove(&number).unwrap_or_else(|| kept.next().unwrap())).collect();
    new
}

/// A text as it is resolved, and as it is compared.
fn seen(draft: &Draft) -> (Resolved, Vec<FormulaMeaning>) {
    let folder = folder(&[("draft.still", draft.text().as_bytes())]);
    let loaded = folder.load();
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let formula = &report.formulas[0];
    (resolved(&formula.formula), vec![FormulaMeaning::in_full(&report, formula, &BatchOrder::default())])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn the_changes_carried_out_give_the_formula_as_it_is(draft in a_draft(), edits in prop::collection::vec(an_edit(), 0..7)) {
        let after = edited(&draft, &edits);
        let ((old, was), (new, is)) = (seen(&draft), seen(&after));
        let json = serde_json::to_value(DiffJson::new(&compared(was, is), &[])).unwrap();
        let changes = json["formulas"][0]["changes"].as_array().unwrap();
        prop_assert_eq!(applied(&old, changes), new);
        let edits = changes.iter().filter(|change| change["follows"] == false).count();
        prop_assert_eq!(old_is_new(&draft, &after), edits == 0, "{:#?}", changes);
    }
}

/// Whether two drafts mean the same: their texts come to the same figures.
fn old_is_new(old: &Draft, new: &Draft) -> bool {
    seen(old).0 == seen(new).0 && (old.strength == new.strength || !uses_acid(old) || !uses_acid(new))
}

fn uses_acid(draft: &Draft) -> bool {
    draft.lines.iter().any(|line| line.material == 0)
}

fn words_of(portion: stillroom::model::Portion<'_>) -> String {
    use stillroom::model::Portion;
    match portion {
        Portion::Line => String::new(),
        Portion::First => " first".to_string(),
        Portion::Rest => " rest".to_string(),
        Portion::Unknown(words) => format!(" {words}"),
    }
}
