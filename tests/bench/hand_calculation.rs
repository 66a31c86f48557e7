//! The 20 g gel of the examples, end to end, by hand: reserve, two additions, top-up, total. The arithmetic is common
//! practice, no source.

use std::path::Path;
use stillroom::quantity::Exact;
use stillroom::render::{Sheet, SheetLine, sheet};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::tree::{BatchEntry, Item};
use stillroom::workspace::{Disk, load};

fn example(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)
}

fn acid_gel() -> Sheet {
    let loaded = load(&Disk, &[example("acid-gel.still")], None);
    let report = check(&loaded.sources, &BatchOrder::default(), true);
    let formula = report.formulas.iter().find(|report| report.formula.name == "acid-gel").unwrap();
    sheet(&loaded.sources, &report, formula, &BatchOrder::default()).unwrap()
}

fn line<'s>(sheet: &'s Sheet, material: &str) -> &'s SheetLine {
    sheet.phases.iter().flat_map(|phase| &phase.lines).find(|line| line.material == material).unwrap()
}

fn exact(text: &str) -> Exact {
    Exact::parse(text).unwrap()
}

#[test]
fn the_sheet_of_the_20_g_gel_is_what_a_hand_works_out() {
    let sheet = acid_gel();
    assert_eq!(sheet.batch_g, "20.00");
    // 20 g: 4 % is 0.80 g, 2 % is 0.40 g, 0.85 % is 0.17 g.
    assert_eq!(line(&sheet, "propanediol").grams.as_deref(), Some("0.80"));
    assert_eq!(line(&sheet, "mandelic-acid").grams.as_deref(), Some("0.40"));
    assert_eq!(line(&sheet, "betaine").grams.as_deref(), Some("0.40"));
    assert_eq!(line(&sheet, "preservative-blend").grams.as_deref(), Some("0.17"));
    // 0.5 % of gum out of a stock that is 2.5 % gum: 0.5 ÷ 2.5 = 20 % of stock, 4.00 g.
    assert_eq!(line(&sheet, "gum-stock").percent_exact.as_deref(), Some("20"));
    assert_eq!(line(&sheet, "gum-stock").grams.as_deref(), Some("4.00"));
    // Water: 100 − 4 − 2 − 2 − 20 − 0.85 = 71.15 %, 14.23 g; 27 % of 20 g waits, 5.40 g; 14.23 − 5.40 = 8.83 g go in first.
    let water = line(&sheet, "water");
    assert_eq!(water.percent.as_deref(), Some("71.15"));
    assert_eq!(water.grams.as_deref(), Some("14.23"));
    assert_eq!(water.held_back_g.as_deref(), Some("5.40"));
    assert_eq!(water.first_weighing_g.as_deref(), Some("8.83"));
    // The base is weighed at the bench, out of the water that waits.
    let base = line(&sheet, "soda-2");
    assert!(base.at_bench);
    assert_eq!((base.grams.as_deref(), base.from.as_deref()), (None, Some("water")));
}

#[test]
fn the_record_of_the_20_g_gel_comes_out_at_exactly_100_percent() {
    let loaded = load(&Disk, &[example("acid-gel-batches.still")], None);
    let record = loaded.sources.files.iter().flat_map(|file| &file.tree.items).find_map(|item| match item {
        Item::Batch(batch) => Some(batch),
        _ => None,
    });
    let (mut weighed, mut added, mut topped_up) = (Exact::ZERO, Vec::new(), Exact::ZERO);
    for statement in &record.unwrap().entries {
        match &statement.entry {
            BatchEntry::Weighed(_, weight) => weighed = &weighed + weight.value.as_ref().unwrap(),
            BatchEntry::Added(_, weight, None) => added.push(weight.value.clone().unwrap()),
            BatchEntry::ToppedUp { weight, to: false, .. } => topped_up = weight.value.clone().unwrap(),
            _ => {}
        }
    }
    // Two additions, 3.20 g and 0.78 g, are 3.98 g; of the 5.40 g that waited 5.40 − 3.98 = 1.42 g are left to top up.
    assert_eq!(added, [exact("3.20"), exact("0.78")]);
    assert_eq!(topped_up, exact("1.42"));
    // 0.80 + 0.40 + 8.83 + 0.40 + 4.00 + 0.17 = 14.60 g weighed; with 3.98 g of base and 1.42 g of water, 20.00 g.
    assert_eq!(weighed, exact("14.60"));
    let used: Exact = added.iter().sum();
    assert_eq!(&(&weighed + &used) + &topped_up, exact(&acid_gel().batch_g));
}
