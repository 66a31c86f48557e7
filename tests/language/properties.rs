//! Properties that hold of every formula, tried on random ones.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common;
use crate::common::{folder, sheet_of};
use proptest::prelude::*;
use stillroom::quantity::Exact;
use stillroom::render::{Sheet, SheetLine};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::batch_argument;

/// A random formula of materials of one active in water.
#[derive(Clone, Debug)]
struct Random {
    /// Per line: strength in percent, target or amount in hundredths of a percent, and whether it is a target.
    lines: Vec<(u32, u32, bool)>,
    filled: bool,
    batch_hundredths: u32,
    step: &'static str,
}

fn random() -> impl Strategy<Value = Random> {
    let line = (1u32..=100, 1u32..=900, any::<bool>());
    let step = prop_oneof![Just("0.001"), Just("0.01"), Just("0.1"), Just("0.5")];
    (prop::collection::vec(line, 1..7), any::<bool>(), 1_000u32..2_000_000, step).prop_map(
        |(lines, filled, batch_hundredths, step)| Random { lines, filled, batch_hundredths, step }.weighable(),
    )
}

fn exact(text: &str) -> Exact {
    let (num, den) = text.split_once('/').unwrap_or((text, "1"));
    let whole = |text: &str| {
        let negative = text.starts_with('-');
        let digits = text.trim_start_matches('-');
        let ten = Exact::whole(10);
        let value = digits
            .split_once('.')
            .map_or(digits.to_string(), |(whole, rest)| format!("{whole}{rest}"))
            .bytes()
            .fold(Exact::ZERO, |total, digit| &(&total * &ten) + &Exact::whole(i64::from(digit - b'0')));
        let places = digits.split_once('.').map_or(0, |(_, rest)| rest.len());
        let value = (0..places).fold(value, |value, _| value.over(&ten).unwrap());
        if negative { -value } else { value }
    };
    whole(num).over(&whole(den)).unwrap()
}

impl Random {
    /// With a batch so large that so small a share of it is a step of the scale: less shows as nothing there, and a
    /// formula that cannot be weighed proves nothing of weights.
    fn with_room_for(mut self, percent: &Exact) -> Random {
        let grams = (&exact(self.step) * &Exact::HUNDRED).over(percent).unwrap();
        let hundredths: u32 = (&grams * &Exact::HUNDRED).up_to_step(&Exact::ONE).to_fixed(0).parse().unwrap();
        self.batch_hundredths = self.batch_hundredths.max(hundredths);
        self
    }

    /// With every line of it weighable.
    fn weighable(self) -> Random {
        let smallest = (0..self.lines.len()).map(|at| self.amount(at).0).min().unwrap();
        self.with_room_for(&smallest)
    }

    /// The first line asked for by its active, so that it can be swapped for a material of another strength; as much of
    /// that as it then takes is weighable too.
    fn swappable(mut self, other: u32) -> Random {
        self.lines[0].2 = true;
        self.filled = true;
        let (strength, ..) = self.lines[0];
        let other = &self.amount(0).0 * &Exact::ratio(i64::from(strength), i64::from(other));
        self.with_room_for(&other)
    }

    fn declarations(&self) -> Vec<String> {
        let mut all =
            vec!["substance water { inci \"Aqua\" }\n".to_string(), "material water { role solvent }\n".to_string()];
        for (at, (strength, _, _)) in self.lines.iter().enumerate() {
            all.push(format!("substance s{at} {{ inci \"S{at}\" }}\n"));
            all.push(format!("material m{at} {{ contains s{at} {strength} % active, water remainder }}\n"));
        }
        all.push(self.formula());
        all
    }

    /// Targets are kept so small that every line fits: at most a hundredth of its strength per hundredth of percent.
    fn amount(&self, at: usize) -> (Exact, String) {
        let (strength, hundredths, target) = self.lines[at];
        let figure = Exact::ratio(i64::from(hundredths), 100);
        let asked = if target { &figure.hundredth() * &Exact::whole(i64::from(strength)) } else { figure.clone() };
        let text = asked.to_significant(20);
        (figure, if target { format!("{text} % active") } else { format!("{text} %") })
    }

    fn formula(&self) -> String {
        let mut lines = String::new();
        let mut sum = Exact::ZERO;
        for at in 0..self.lines.len() {
            let (figure, amount) = self.amount(at);
            sum = &sum + &figure;
            lines += &format!("    m{at} {amount}\n");
        }
        let water =
            if self.filled { "q.s.".to_string() } else { format!("{} %", (&Exact::HUNDRED - &sum).to_significant(20)) };
        let batch = Exact::ratio(i64::from(self.batch_hundredths), 100).to_significant(20);
        format!(
            "formula f {{\n  product stock\n  makes {batch} g\n  scale {} g\n  phase A {{\n{lines}    water {water}\n  }}\n}}\n",
            self.step
        )
    }

    fn text(&self) -> String {
        self.declarations().concat()
    }
}

/// The sheet of `f`. Every formula of these tests can be weighed: what cannot be is not generated, and fails here.
fn sheet(text: &str, order: &BatchOrder) -> Sheet {
    sheet_of(text, "f", order)
}

fn lines(sheet: &Sheet) -> Vec<&SheetLine> {
    sheet.phases.iter().flat_map(|phase| &phase.lines).collect()
}

fn examples() -> Vec<String> {
    common::examples().iter().map(|path| std::fs::read_to_string(path).unwrap()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn printed_weights_add_to_the_batch_and_no_line_moves_by_a_step(random in random()) {
        let sheet = sheet(&random.text(), &BatchOrder::default());
        let step = exact(random.step);
        let total: Exact = lines(&sheet).iter().map(|line| exact(line.grams.as_deref().unwrap())).sum();
        prop_assert_eq!(&total, &exact(&sheet.batch_g));
        for line in lines(&sheet) {
            let off = &exact(line.grams.as_deref().unwrap()) - &exact(line.grams_exact.as_deref().unwrap());
            prop_assert!(off.abs() < step || (random.filled && line.material == "water"), "{} moved by {:?}", line.material, off);
        }
    }

    #[test]
    fn scaling_the_batch_scales_the_exact_grams(random in random(), times in 2u32..50) {
        let text = random.text();
        let one = sheet(&text, &BatchOrder::default());
        // A batch of whole steps, so that neither is rounded first.
        let grams = &exact(&one.batch_g) * &Exact::whole(i64::from(times));
        let makes = batch_argument(&format!("{}g", grams.to_significant(20))).unwrap();
        let makes = stillroom::model::MakesSize {
            count: None, grams: makes.quantity.value.clone(), millilitres: None, plus: None, place: None,
        };
        let many = sheet_of(&text, "f", &BatchOrder { makes: Some(makes), scales: Vec::new(), ..BatchOrder::default() });
        for (one, many) in lines(&one).iter().zip(lines(&many)) {
            let scaled = &exact(one.grams_exact.as_deref().unwrap()) * &Exact::whole(i64::from(times));
            prop_assert_eq!(scaled, exact(many.grams_exact.as_deref().unwrap()));
        }
    }

    #[test]
    fn a_swap_to_another_strength_keeps_the_active(random in random(), other in 50u32..=100) {
        let mut text = random.swappable(other).text();
        text += &format!("material m0-other {{ contains s0 {other} % active, water remainder }}\n");
        text += "variant g of f { swap m0 for m0-other }\n";
        let active = |formula: &str| {
            let sheet = sheet_of(&text, formula, &BatchOrder::default());
            sheet.actives.iter().find(|active| active.substance == "s0").unwrap().target_percent.clone()
        };
        prop_assert_eq!(active("f"), active("g"));
    }

    #[test]
    fn the_order_of_declarations_changes_nothing(random in random(), seed in any::<u64>()) {
        let mut shuffled = random.declarations();
        let mut state = seed;
        for at in (1..shuffled.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            shuffled.swap(at, (state >> 33) as usize % (at + 1));
        }
        let (one, other) = (random.text(), shuffled.concat());
        let messages = |text: &str| {
            let mut all: Vec<(String, String)> =
                common::diagnostics(text).into_iter().map(|fault| (fault.code.to_string(), fault.message)).collect();
            all.sort();
            all
        };
        prop_assert_eq!(messages(&one), messages(&other));
        let (sheet_one, sheet_other) = (sheet(&one, &BatchOrder::default()), sheet(&other, &BatchOrder::default()));
        prop_assert_eq!(&sheet_one.digest, &sheet_other.digest);
        prop_assert_eq!(&sheet_one.phases, &sheet_other.phases);
    }

    #[test]
    fn a_premix_of_one_material_is_that_material(random in random()) {
        let mut random = random;
        random.filled = true;
        let text = random.text();
        let plain = sheet(&text, &BatchOrder::default());
        let premix = "formula p {\n  product stock\n  makes 10 g\n  scale 0.01 g\n  phase A {\n    m0 100 %\n  }\n}\n";
        let through = format!("{}{premix}", text.replace("    m0 ", "    p "));
        let through = sheet_of(&through, "f", &BatchOrder::default());
        prop_assert_eq!(&plain.substances, &through.substances);
        let grams = |sheet: &Sheet| lines(sheet).iter().map(|line| line.grams.clone()).collect::<Vec<_>>();
        prop_assert_eq!(grams(&plain), grams(&through));
    }

    #[test]
    fn any_text_gives_diagnostics_and_never_a_panic(text in ".{0,400}") {
        let _ = common::diagnostics(&text);
    }

    #[test]
    fn any_soup_of_the_languages_own_words_never_panics(words in prop::collection::vec(
        prop::sample::select(vec![
            "formula", "material", "substance", "a", "b-1", "water", "{", "}", "(", ")", "\"x\"", "\n", "3 %", "q.s.", "q.s. to pH",
            "hold back", "let", "=", "+", "/", "0", "phase", "A", "use", "like", "contains", "active", "remainder", ",", "pH", "to",
            "3.6", "makes", "12 x 30 mL", "scale", "0.01 g", "variant", "of", "swap", "for", "set", "remove", "add", "ensure",
            "at most", "steps", "\"{a} {pH}\"", "allow", "because", "\"", "#", "batch", "rule", "group", "limit", "-5 g", "1e9",
        ]), 0..120)) {
        let _ = common::diagnostics(&words.join(" "));
    }

    #[test]
    fn an_example_with_a_piece_torn_out_never_panics(which in any::<prop::sample::Index>(), at in any::<prop::sample::Index>(), length in 1usize..60, put in "[a-z0-9{}()\"% ,.#\n-]{0,6}") {
        let examples = examples();
        let text = which.get(&examples);
        let start = at.index(text.len());
        let start = (0..=start).rev().find(|at| text.is_char_boundary(*at)).unwrap();
        let end = (start + length..=text.len()).find(|at| text.is_char_boundary(*at)).unwrap_or(text.len());
        let torn = format!("{}{put}{}", &text[..start], &text[end..]);
        let folder = folder(&[("torn.still", torn.as_bytes())]);
        let loaded = folder.load();
        let one = check(&loaded.sources, &BatchOrder::default(), true).diagnostics.to_vec();
        let again = check(&loaded.sources, &BatchOrder::default(), true).diagnostics.to_vec();
        prop_assert_eq!(one, again, "the same input gives the same output");
    }
}
