//! Every request at every offset of texts that are broken: each is answered, and what it names lies in the text.

use crate::known::{file, names, report, texts};
use stillroom::diagnostic::{FileId, Place, Span};
use stillroom::editor::complete::{complete, documentation};
use stillroom::editor::hints::hints;
use stillroom::editor::hover::{Asked, hover};
use stillroom::editor::navigate::{definition, highlights, links, references};
use stillroom::editor::occurrences::Names;
use stillroom::editor::outline::{folds, selections, symbols, workspace_symbols};
use stillroom::editor::rename::{prepare, rename};
use stillroom::editor::signature::signature;
use stillroom::editor::surveys::Surveys;
use stillroom::editor::{hierarchy, tokens};
use stillroom::sheet::BatchOrder;
use stillroom::syntax::survey::Expectations;

const BROKEN: &[&str] = &[
    "",
    "\u{feff}",
    "use \"\nformula f { phase A { water q.s.\n} }",
    "formula { phase { } } } material x like x { use \"",
    "use shelf/humectants\nlet α = 2 %\nformula crème {\n title \"Κρέμα 🧴\"\n phase A { water q.s. hold back 8 %\n glycerin 3 %\n citric-acid 1 % # σχόλιο 🧪\n }\n steps { \"Stir {glycerin} {water first} {{ {\" \"{\" }\n}\nvariant v of f { swap glycerin for x\n phase A { add } }",
    "batch b {\n formula f version \"1\"\n plan {\n phase A\n water 90 % q.s.\n contains x y 3 %\n }\n struck weighed water 3 g because \"🧴\"\n weighed }\nstock { bought jar 5 }\nplanned f 3",
    "variant a of b { }\nvariant b of a { let x = x }\nmaterial m like n { }\nmaterial n like m { }\nlet p = q\nlet q = p\nformula f { phase A { f 3 % } }",
    "# only\r\n# comments\r\n\r\nrule r { limit x to ( ( 3 %\n",
];

fn at(names: &Names<'_>, asked: &Asked<'_>, expectations: &Expectations, file: FileId, offset: u32) {
    let text = names.sources.text(file);
    let lies_within = |place: Place| {
        let text = names.sources.text(place.file);
        assert!(text.get(place.span.range()).is_some(), "{place:?} at {offset} of {text:?}");
    };
    for target in definition(names, file, offset) {
        lies_within(target.name);
        lies_within(target.whole);
    }
    references(names, file, offset, true).into_iter().for_each(lies_within);
    for (span, _) in highlights(names, file, offset) {
        lies_within(Place { file, span });
    }
    if let Ok((span, _)) = prepare(names, file, offset) {
        lies_within(Place { file, span });
    }
    for edit in rename(names, file, offset, "renamed").unwrap_or_default() {
        lies_within(edit.place);
    }
    if let Some(found) = hover(asked, file, offset) {
        lies_within(Place { file, span: found.span });
        assert!(!found.markdown.is_empty());
    }
    let around = selections(names, file, offset);
    for pair in around.windows(2) {
        assert!(pair[1].holds(pair[0]) && pair[1] != pair[0], "{around:?}");
    }
    around.into_iter().for_each(|span| lies_within(Place { file, span }));
    if let Some(found) = signature(names, file, offset) {
        for field in &found.fields {
            assert!(found.label.get(field.from..field.to).is_some_and(|word| !word.is_empty()));
        }
        assert!(found.active.is_none_or(|active| active < found.fields.len()));
    }
    if let Some(maker) = hierarchy::prepare(names, file, offset) {
        lies_within(maker.at);
        let _ = hierarchy::uses(names, maker.id);
        let _ = hierarchy::used_by(names, maker.id);
    }
    let found = complete(names, expectations, file, offset);
    for proposal in &found {
        let span = proposal.replaces;
        assert!(
            text.get(span.range()).is_some() && span.start <= offset && offset <= span.end,
            "{proposal:?} at {offset}"
        );
    }
    if let Some(first) = found.first() {
        let _ = documentation(asked, first);
    }
}

#[test]
fn every_offset_of_broken_texts_is_answered() {
    let expectations = Expectations::default();
    let order = BatchOrder::default();
    for text in BROKEN {
        let session = texts(&[("a.still", text), ("materials.still", "material own-water like water { }\n")]);
        let (report, surveys) = (report(&session), Surveys::default());
        let names = names(&session, &report, &surveys);
        let asked = Asked { names: &names, report: &report, order: &order };
        let a = file(session.sources(), "a.still");
        let text = session.sources().text(a);
        let end = u32::try_from(text.len()).unwrap();
        for offset in (0..=end).filter(|offset| text.is_char_boundary(*offset as usize)).chain([end + 1, u32::MAX]) {
            if offset <= end {
                at(&names, &asked, &expectations, a, offset);
            } else {
                let _ = (definition(&names, a, offset), hover(&asked, a, offset), selections(&names, a, offset));
                let _ = (complete(&names, &expectations, a, offset), signature(&names, a, offset));
            }
        }
        let whole = Span { start: 0, end };
        let mut last = 0;
        for token in tokens::tokens(&names, a, whole) {
            assert!(token.span.start >= last && token.span.end > token.span.start, "{token:?}");
            assert!(!token.span.of(text).contains('\n'), "{token:?}");
            last = token.span.end;
        }
        let lines = text.lines().count();
        assert!(folds(&names, a).iter().all(|fold| fold.first < fold.last && fold.last < lines.max(1)));
        let mut waiting = symbols(&names, a);
        while let Some(symbol) = waiting.pop() {
            assert!(symbol.whole.holds(symbol.span) && text.get(symbol.span.range()).is_some(), "{symbol:?}");
            assert!(symbol.parts.iter().all(|part| symbol.whole.holds(part.whole)), "{symbol:?}");
            assert!(!symbol.name.is_empty());
            waiting.extend(symbol.parts);
        }
        assert!(!workspace_symbols(&names, "ow").is_empty());
        let _ = links(&names, a);
        let _ = hints(&names, &report, &order, a, whole);
    }
}
