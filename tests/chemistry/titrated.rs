//! A beaker test on the line of an adjuster: what it fixes, how wide it leaves it, and what is at fault in one.

use crate::common::{checked, codes, diagnostics, sheet_of};
use proptest::prelude::*;
use stillroom::diagnostic::{Code, Level};
use stillroom::quantity::Exact;
use stillroom::render::{Ph, markdown, text};
use stillroom::sheet::BatchOrder;

/// A cream of which `hidden` holds what nobody has declared; a tenth of a kilogram, two-figure scale.
fn formula(hidden: &str, adjuster: &str, head: &str) -> String {
    format!(
        "use shelf/all\n\nsubstance mystery {{\n  inci \"Mystery\"\n  {hidden}\n}}\n\nmaterial mystery-extract {{\n  contains \
         mystery 60 %, water remainder\n  role active\n}}\n\nformula f {{\n  title \"F\"\n  version \"1\"\n  product \
         stock\n  makes 200 g\n  scale 0.01 g\n  {head}\n  phase A {{\n    water q.s. hold back 10 %\n    glycerin 3 %\n    \
         mystery-extract 3 %\n    sodium-lactate-60 1 %\n    {adjuster}\n  }}\n}}\n"
    )
}

const HEAD: &str = "pH 5.0 to 5.6";

fn ph_of(text: &str) -> Ph {
    sheet_of(text, "f", &BatchOrder::default()).ph.unwrap()
}

#[test]
fn without_one_the_sheet_says_how_to_make_one_and_with_one_it_gives_the_dose() {
    let blind = formula("", "citric-acid-50 q.s. to pH", HEAD);
    let sheet = sheet_of(&blind, "f", &BatchOrder::default());
    let ph = sheet.ph.as_ref().unwrap();
    assert!(ph.adjusters[0].grams_mid.is_none() && !ph.adjusters[0].leads_away, "{ph:#?}");
    insta::assert_snapshot!("beaker-test", ph.beaker_test.join("\n"));
    for out in [markdown(&sheet), text(&sheet)] {
        assert!(out.contains("Make 50 g by this formula") && out.contains("grams × 200 ÷ 50"), "{out}");
    }
    let titrated = formula("", "citric-acid-50 q.s. to pH titrated 50 g: 0 g to pH 7.2, 0.41 g to pH 5.3", HEAD);
    let ph = ph_of(&titrated);
    let of = &ph.adjusters[0];
    assert_eq!(of.grams_mid, Some(1.64), "{of:#?}");
    assert_eq!((ph.before, ph.beaker_test.len()), (Some(7.2), 0));
    assert_eq!(
        ph.titrated,
        ["Titrated with citric-acid-50 in 50 g: 0 g to pH 7.2 are 0.00 g, 0.41 g to pH 5.3 are 1.64 g in 200 g."]
    );
    let [Some(low), Some(high)] = of.grams_mid_range.unwrap() else { panic!("{of:#?}") };
    assert!(low < 1.64 - 0.02 && high > 1.64 + 0.02 && high < 2.0 * low, "{low} to {high}");
}

/// The dose at each reading is the beaker's, to the last digit printed, whatever the model thinks of the batch.
#[test]
fn at_every_reading_the_dose_is_the_beakers() {
    let readings = "0.30 g to pH 6.0, 0.42 g to pH 5.6, 0.55 g to pH 5.3, 0.71 g to pH 5.0";
    let text = formula("", &format!("citric-acid-50 q.s. to pH titrated 50 g: {readings}"), HEAD);
    let ph = ph_of(&text);
    let of = &ph.adjusters[0];
    assert_eq!([of.grams_near, of.grams_mid, of.grams_far], [Some(1.68), Some(2.2), Some(2.84)], "{of:#?}");
}

/// What nobody declared: an acid, a base, an ampholyte, of some strength. The truth is the same formula with it declared;
/// the beaker is titrated by that, read to 0.05 pH and weighed to 0.01 g. The dose of the truth lies in the range.
#[test]
fn the_true_dose_lies_in_the_range_whatever_the_batch_hides() {
    let hidden = [
        "acid pKa 3.0\n  molar-mass 150 g/mol",
        "acid pKa 4.2\n  molar-mass 300 g/mol",
        "acid pKa 5.0\n  molar-mass 250 g/mol",
        "acid pKa 6.0\n  molar-mass 400 g/mol",
        "base pKa 6.5\n  molar-mass 200 g/mol",
        "base pKa 9.0\n  molar-mass 300 g/mol",
        "ampholyte pKa 2.3, 9.6 charge 1\n  molar-mass 120 g/mol",
        "neutral",
    ];
    let (mut inside, mut all, mut widths) = (0, 0, Vec::new());
    for hidden in hidden {
        for (adjuster, window) in [
            ("citric-acid-50", "pH 4.0 to 4.6"),
            ("sodium-hydroxide-10", "pH 6.4 to 7.0"),
            ("sodium-hydroxide-10", "pH 7.6 to 8.2"),
        ] {
            let line = format!("{adjuster} q.s. to pH");
            let truth = exact_doses(&formula(hidden, &line, window));
            let [Some(_), Some(middle), Some(_)] = truth else { continue };
            // What a maker weighs into 50 g and reads: the scale's step, the meter's twentieth.
            let grams = (middle / 2.0 * 100.0).round() / 100.0;
            if grams < 0.1 {
                continue;
            }
            let read = (read_at(&formula(hidden, &line, window), grams * 2.0) * 20.0).round() / 20.0;
            let test = format!("{line} titrated 50 g: {grams:.2} g to pH {read:.2}");
            let ph = ph_of(&formula("", &test, window));
            let of = &ph.adjusters[0];
            for (true_dose, range) in
                truth.into_iter().zip([of.grams_near_range, of.grams_mid_range, of.grams_far_range])
            {
                let Some([low, high]) = range else { continue };
                all += 1;
                let true_dose = true_dose.unwrap() * 2.0;
                let is_in = low.is_some_and(|low| low <= true_dose) && high.is_none_or(|high| true_dose <= high);
                widths.extend(low.zip(high).map(|(low, high)| high / low));
                inside += usize::from(is_in);
            }
        }
    }
    assert!(all >= 30 && inside * 100 >= all * 95, "{inside} of {all}");
    widths.sort_by(f64::total_cmp);
    assert!(widths[widths.len() / 2] < 2.0, "as wide as that the forecast is without: {widths:?}");
}

/// The doses of the first adjuster to the window's edges and its middle, in grams per 100 g, by the model alone.
fn exact_doses(text: &str) -> [Option<f64>; 3] {
    checked(text, |_, report| {
        let found = report.formulas.iter().find(|of| of.formula.name == "f").unwrap();
        let outlook = found.outlook(&report.resolver).unwrap();
        match outlook.adjusters.first() {
            Some(of) if !of.leads_away => [of.doses.near, of.doses.middle, of.doses.far],
            _ => [None; 3],
        }
    })
}

/// The pH at a dose in grams per 100 g.
fn read_at(text: &str, dose: f64) -> f64 {
    checked(text, |_, report| {
        let found = report.formulas.iter().find(|of| of.formula.name == "f").unwrap();
        let outlook = found.outlook(&report.resolver).unwrap();
        let mixture = outlook.solution.adjusters[0].at(dose);
        stillroom::chemistry::equilibrium(&mixture, outlook.model).unwrap().ph
    })
}

/// What a material could hold covers what it does hold, of one group in some 350 g/mol: with nothing known of it, and with
/// only its pH measured.
#[test]
fn what_a_material_could_hold_covers_what_it_holds() {
    let hidden = [
        "acid pKa 3.0\n  molar-mass 350 g/mol",
        "acid pKa 4.5\n  molar-mass 400 g/mol",
        "acid pKa 6.0\n  molar-mass 400 g/mol",
        "base pKa 6.5\n  molar-mass 400 g/mol",
        "base pKa 9.0\n  molar-mass 400 g/mol",
        "ampholyte pKa 3.5, 9.0 charge 1\n  molar-mass 400 g/mol",
        "neutral",
    ];
    let (mut inside, mut all) = (0, 0);
    for hidden in hidden {
        for (adjuster, window) in
            [("citric-acid-50 q.s. to pH", "pH 4.0 to 4.6"), ("sodium-hydroxide-10 q.s. to pH", "pH 6.4 to 7.0")]
        {
            let truth = exact_doses(&formula(hidden, adjuster, window));
            let measured =
                formula(hidden, adjuster, window).replace("sodium-lactate-60 1 %\n", "").replace("glycerin 3 %\n", "");
            let ph = start_of(&measured.replace("mystery-extract 3 %", "mystery-extract 10 %"));
            let with_ph = format!("role active\n  as supplied pH {ph:.1} at 10 %");
            for blind in [formula("", adjuster, window), formula("", adjuster, window).replace("role active", &with_ph)]
            {
                for (dose, range) in truth.into_iter().zip(ranges(&blind)) {
                    let (Some(dose), Some(range)) = (dose, range) else { continue };
                    all += 1;
                    let is_in = range.low.is_some_and(|low| low <= dose) && range.high.is_none_or(|high| dose <= high);
                    if !is_in {
                        println!("{hidden} {adjuster}: {dose} not in {range:?}");
                    }
                    inside += usize::from(is_in);
                }
            }
        }
    }
    assert!(all >= 40 && inside * 100 >= all * 95, "{inside} of {all}");
}

/// The pH before adjustment, by the model.
fn start_of(text: &str) -> f64 {
    checked(text, |_, report| {
        let found = report.formulas.iter().find(|of| of.formula.name == "f").unwrap();
        found.outlook(&report.resolver).unwrap().before.map_or(7.0, |before| before.ph)
    })
}

/// The ranges of the doses of the first adjuster, in grams per 100 g, told or not.
fn ranges(text: &str) -> [Option<stillroom::quantity::Range<f64>>; 3] {
    checked(text, |_, report| {
        let found = report.formulas.iter().find(|of| of.formula.name == "f").unwrap();
        found.outlook(&report.resolver).unwrap().adjusters.first().map_or([None; 3], |of| of.ranges)
    })
}

/// A reserve too small for what the beaker took is told, though the blind forecast knew nothing of it.
#[test]
fn the_checks_go_by_it() {
    let with =
        |grams: &str| formula("", &format!("citric-acid-50 q.s. to pH titrated 50 g: {grams} g to pH 5.3"), HEAD);
    let short = |text: &str| diagnostics(text).into_iter().find(|fault| fault.code == Code::ReserveShort);
    assert!(short(&with("0.50")).is_none(), "{:?}", short(&with("0.50")));
    let fault = short(&with("9.00")).unwrap();
    assert!(fault.level == Level::Error && fault.message.contains("takes about 1"), "{fault:#?}");
    assert!(short(&formula("", "citric-acid-50 q.s. to pH", HEAD)).is_none());
}

#[test]
fn what_cannot_be_is_told() {
    let told = |tail: &str| -> Vec<String> {
        let all = codes(&formula("", &format!("citric-acid-50 q.s. to pH {tail}"), HEAD));
        all.into_iter()
            .filter(|code| !["ph-unpredictable", "ph-drifts", "figure-unused"].contains(&code.as_str()))
            .collect()
    };
    let sound = told("titrated 50 g: 0.40 g to pH 5.2");
    let more = |tail: &str| -> Vec<String> { told(tail).into_iter().filter(|code| !sound.contains(code)).collect() };
    assert_eq!(more("titrated 0 g: 0.40 g to pH 5.2"), ["amount-zero"]);
    assert_eq!(more("titrated 50 g: 0.40 g to pH 15"), ["figure-impossible"]);
    assert_eq!(more("titrated 50 g: 60 g to pH 5.2"), ["amount-over-100"]);
    assert_eq!(more("titrated 50 mL: 0.40 g to pH 5.2"), ["unit-mismatch"]);
    assert_eq!(more("titrated 50 g: 0.40 g to pH 5.2, 0.30 g to pH 5.0"), ["syntax"]);
    assert_eq!(more("titrated 50 g: 0.10 g to pH 6.0, 0.30 g to pH 5.0, 0.40 g to pH 5.5"), ["syntax"]);
    assert_eq!(more("titrated 50 g: 0.40 g to pH 5.2 titrated 50 g: 0.40 g to pH 5.2"), ["header-twice"]);
    assert_eq!(more("titrated 50 g:"), ["syntax"]);
    let on_water = formula("", "citric-acid-50 1 % titrated 50 g: 0.40 g to pH 5.2", HEAD);
    assert!(codes(&on_water).contains(&"syntax".to_string()));
}

/// Lye does not lower the pH: such readings are told of, and the dose is foreseen as without them.
#[test]
fn readings_that_go_the_other_way_are_not_gone_by() {
    let with = |tail: &str| formula("neutral", &format!("sodium-hydroxide-10 q.s. to pH {tail}"), "pH 7.6 to 8.2");
    let backwards = with("titrated 50 g: 0.10 g to pH 7.9, 0.30 g to pH 7.0");
    assert!(codes(&backwards).contains(&"titration-contradicted".to_string()), "{:?}", codes(&backwards));
    assert_eq!(exact_doses(&backwards), exact_doses(&with("")));
    let forwards = with("titrated 50 g: 0.10 g to pH 7.0, 0.30 g to pH 7.9");
    assert!(!codes(&forwards).contains(&"titration-contradicted".to_string()));
    assert_eq!(exact_doses(&forwards)[1], Some(0.6));
}

/// The curve that `ph` draws and writes, in grams of a batch of 200 g.
fn curve_of(text: &str) -> Vec<(f64, f64)> {
    checked(text, |_, report| {
        let found = report.formulas.iter().find(|of| of.formula.name == "f").unwrap();
        let outlook = found.outlook(&report.resolver);
        let json = stillroom::render::ph_json(&found.formula, outlook.as_ref(), &Exact::whole(200)).unwrap();
        json.ph.curve.into_iter().map(|point| (point.grams, point.ph)).collect()
    })
}

/// A solid that the model thinks buffers where it was read not to: the range is wide, and the dose that was read is told.
/// What is left out beside it is said to be.
#[test]
fn a_dose_that_was_read_is_told_however_wide_its_range() {
    let text =
        formula("", "sodium-hydroxide-10 q.s. to pH titrated 50 g: 0 g to pH 3.9, 0.4 g to pH 4.8", "pH 4.6 to 5.0")
            .replace("hold back 10 %", "hold back 20 %")
            .replace("mystery-extract 3 %", "azelaic-acid 10 %")
            .replace("sodium-lactate-60 1 %\n", "");
    let ph = ph_of(&text);
    let of = &ph.adjusters[0];
    assert_eq!((of.grams_near, of.grams_mid), (None, Some(1.6)), "{of:#?}");
    assert_eq!(of.untold, ["the near edge"]);
    let said = |words: &str| ph.words.iter().any(|line| line.contains(words));
    assert!(said("1.60 g (") && said("No dose to the near edge: the most it may take"), "{:#?}", ph.words);
}

#[test]
fn the_curve_goes_through_the_readings_and_begins_at_the_first() {
    let with = |readings: &str| formula("", &format!("citric-acid-50 q.s. to pH titrated 50 g: {readings}"), HEAD);
    for (readings, wanted) in [
        ("0 g to pH 7.2, 0.20 g to pH 6.1, 0.41 g to pH 5.3", vec![(0.0, 7.2), (0.8, 6.1), (1.64, 5.3)]),
        ("0.20 g to pH 6.1, 0.41 g to pH 5.3", vec![(0.8, 6.1), (1.64, 5.3)]),
    ] {
        let curve = curve_of(&with(readings));
        assert_eq!(curve.first(), wanted.first());
        assert!(wanted.iter().all(|reading| curve.contains(reading)), "{curve:?}");
        assert!(curve.windows(2).all(|two| two[0].0 <= two[1].0 && two[0].1 >= two[1].1), "{curve:?}");
        assert!(curve.len() > 20 && curve.last().unwrap().0 > 1.7, "{curve:?}");
    }
}

/// What was read before anything went in is the state that checks go by, too, and as sure as a reading.
#[test]
fn checks_and_sheets_begin_at_what_was_read() {
    let out = formula("", "citric-acid-50 q.s. to pH titrated 50 g: 0 g to pH 4.5", HEAD);
    let told = diagnostics(&out).into_iter().find(|fault| fault.code == Code::PhWindowUnreachable).unwrap();
    assert!(told.level == Level::Error && told.message.contains("4.5, give or take 0.10"), "{told:#?}");
    let (before, leads_away) = checked(&out, |_, report| {
        let found = report.formulas.iter().find(|of| of.formula.name == "f").unwrap();
        let outlook = found.outlook(&report.resolver).unwrap();
        (outlook.told_before().unwrap(), outlook.adjusters[0].leads_away)
    });
    assert!(before.0 == 4.5 && (before.1 - 0.1).abs() < 1e-9 && leads_away, "{before:?}");
    let inside = formula("", "citric-acid-50 q.s. to pH titrated 50 g: 0 g to pH 5.3", HEAD);
    assert!(!codes(&inside).contains(&"ph-window-unreachable".to_string()));
    let ph = ph_of(&inside);
    assert_eq!((ph.adjusters[0].grams_near, ph.adjusters[0].grams_mid), (Some(0.0), Some(0.0)), "{ph:#?}");
}

/// Where the start is too unsure for a figure, nobody can say that an adjuster leads away from it.
#[test]
fn where_the_start_is_open_a_beaker_test_is_offered_and_nothing_is_drawn() {
    let text = formula("", "sodium-hydroxide-10 q.s. to pH", HEAD);
    let ph = ph_of(&text);
    assert!(ph.before.is_none() && !ph.adjusters[0].leads_away, "{ph:#?}");
    assert!(!ph.beaker_test.is_empty() && curve_of(&text).is_empty());
}

/// The beaker test can be followed on any scale: the batch that it names is made out, and weighs every line.
#[test]
fn the_beaker_of_a_coarse_scale_can_be_weighed() {
    for (scale, percent, sample) in [("1 g", "3 %", "50"), ("0.1 g", "3 %", "50"), ("0.01 g", "0.01 %", "100")] {
        let text = formula("", "citric-acid-50 q.s. to pH", HEAD)
            .replace("scale 0.01 g", &format!("scale {scale}"))
            .replace("sodium-lactate-60 1 %", &format!("sodium-lactate-60 {percent}"));
        let steps = ph_of(&text).beaker_test;
        assert!(steps[1].contains(&format!("the sheet of a batch of {sample} g")), "{steps:#?}");
        assert!(steps[1].contains("Weigh what it holds back in with the rest."), "{steps:#?}");
        assert_eq!(steps[1].contains("`scale 0.01 g`"), scale != "0.01 g", "{steps:#?}");
        assert!(steps[4].contains("less than 0.1 g"), "{steps:#?}");
        let beaker = text
            .replace("makes 200 g", &format!("makes {sample} g"))
            .replace(&format!("scale {scale}"), "scale 0.01 g");
        assert!(!codes(&beaker).contains(&"batch-too-small".to_string()), "{:?}", codes(&beaker));
    }
}
fn digest(text: &str, name: &str) -> String {
    sheet_of(text, name, &BatchOrder::default()).digest
}

/// It counts in the digest; a variant that makes another batch goes without, and one that only has another title keeps it.
#[test]
fn a_variant_of_another_batch_does_not_inherit_it() {
    let plain = formula("", "citric-acid-50 q.s. to pH", HEAD);
    let titrated = formula("", "citric-acid-50 q.s. to pH titrated 50 g: 0.41 g to pH 5.3", HEAD);
    assert_ne!(digest(&plain, "f"), digest(&titrated, "f"));
    let variant = |line: &str| format!("{titrated}\nvariant v of f {{\n  version \"2\"\n  {line}\n}}\n");
    let ph = |line: &str| sheet_of(&variant(line), "v", &BatchOrder::default()).ph.unwrap();
    assert_eq!(ph("title \"V\"").titrated.len(), 1);
    assert!(ph("set glycerin 5 %").titrated.is_empty());
    let own = ph("set glycerin 5 %\n  set citric-acid-50 q.s. to pH titrated 50 g: 0.50 g to pH 5.3");
    assert_eq!(own.adjusters[0].grams_mid, Some(2.0));
}

proptest! {
    /// Any readings give doses that grow towards the far edge, within the readings that they lie between; nothing panics.
    #[test]
    fn doses_grow_and_lie_between_the_readings(
        grams in prop::collection::vec(1u32..400, 1..5), start in 580u32..800, falls in prop::collection::vec(1u32..120, 4),
    ) {
        let (mut all, mut ph, mut readings) = (0, start, Vec::new());
        for (grams, fall) in grams.iter().zip(&falls) {
            all += grams;
            readings.push((f64::from(all) / 100.0, f64::from(ph) / 100.0));
            ph -= (*fall).min(ph - 100);
        }
        let written: Vec<String> = readings.iter().map(|(grams, ph)| format!("{grams:.2} g to pH {ph:.2}")).collect();
        let adjuster = format!("citric-acid-50 q.s. to pH titrated 50 g: {}", written.join(", "));
        let doses = exact_doses(&formula("", &adjuster, HEAD));
        let told: Vec<f64> = doses.into_iter().flatten().collect();
        prop_assert!(told.windows(2).all(|pair| pair[0] <= pair[1] + 1e-9), "{written:?} {doses:?}");
        for (dose, ph) in doses.into_iter().zip([5.6, 5.3, 5.0]) {
            let Some(dose) = dose else { continue };
            let below = readings.iter().filter(|(_, read)| *read >= ph).map(|(grams, _)| grams * 2.0).fold(0.0, f64::max);
            let above = readings.iter().filter(|(_, read)| *read <= ph).map(|(grams, _)| grams * 2.0).fold(f64::MAX, f64::min);
            prop_assert!(below - 1e-9 <= dose && dose <= above + 1e-9, "{written:?}: {dose} at {ph}");
        }
    }
}

/// `why` names the pH that was asked for, and tells no charges of a mixture that was not read.
#[test]
fn why_follows_the_readings() {
    let text = formula("", "citric-acid-50 q.s. to pH titrated 50 g: 0.20 g to pH 6.1, 0.41 g to pH 5.0", HEAD);
    let told = checked(&text, |_, report| {
        let found = report.formulas.iter().find(|of| of.formula.name == "f").unwrap();
        stillroom::why::why(&report.resolver, found, &BatchOrder::default(), "pH")
    });
    let dose = told.iter().find(|of| of.of.starts_with("grams of")).unwrap();
    assert_eq!(dose.of, "grams of `citric-acid-50` to pH 5.30, the middle of the window");
    assert!(!dose.steps.iter().any(|step| step.says.contains("at pH")), "{:?}", dose.steps.len());
}
