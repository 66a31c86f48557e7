//! The figures beside the lines are those that the sheet prints.

use crate::known::{all_examples, names, report};
use stillroom::diagnostic::Span;
use stillroom::editor::hints::{dose, hints};
use stillroom::editor::surveys::Surveys;
use stillroom::render::sheet;
use stillroom::sheet::BatchOrder;

#[test]
fn every_line_of_every_example_has_the_grams_of_its_sheet() {
    let session = all_examples();
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let order = BatchOrder::default();
    let mut seen = 0;
    for formula in &report.formulas {
        let Some(own) = formula.formula.own_span else { continue };
        let found = hints(&names, &report, &order, own.file, own.span);
        let Some(sheet) = sheet(session.sources(), &report, formula, &order) else {
            assert!(found.is_empty());
            continue;
        };
        let text = session.sources().text(own.file);
        for line in sheet.phases.iter().flat_map(|phase| &phase.lines) {
            let written = formula.formula.lines.iter().filter(|written| written.name == line.material);
            for written in
                written.filter(|written| written.whole.file == own.file && own.span.holds(written.whole.span))
            {
                let hint = found
                    .iter()
                    .find(|hint| written.whole.span.start <= hint.offset && hint.offset <= written.whole.span.end);
                let expected = match &line.grams {
                    Some(grams) => Some(format!("{grams} g")),
                    None => sheet
                        .ph
                        .iter()
                        .flat_map(|ph| &ph.adjusters)
                        .find(|of| of.material == line.material)
                        .and_then(dose),
                };
                let Some(expected) = expected else { continue };
                let hint = hint.unwrap_or_else(|| panic!("{}: no hint at {}", sheet.formula, line.material));
                let twice = formula.formula.lines.iter().filter(|other| other.name == line.material).count() > 1;
                assert!(twice || hint.label.contains(&expected), "{}: {} / {expected}", sheet.formula, hint.label);
                if let Some(first) = &line.first_weighing_g {
                    assert!(hint.label.contains(&format!("first {first} g")), "{}", hint.label);
                }
                if line.amount.contains("active") || line.amount.contains(" of ") || line.amount == "q.s." {
                    let percent = line.percent.as_ref().unwrap();
                    assert!(hint.label.starts_with(&format!("= {percent} %, ")), "{}", hint.label);
                }
                assert!(text.is_char_boundary(hint.offset as usize));
                seen += 1;
            }
        }
    }
    assert!(seen > 100, "{seen}");
    let nowhere = Span { start: 0, end: 0 };
    assert!(hints(&names, &report, &order, report.formulas[0].formula.id.file, nowhere).is_empty());
}
