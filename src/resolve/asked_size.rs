//! The size of a batch as it is asked for beside the files: `372g`, `12x30mL plus 4%`, and what a hand writes for these.

use super::figure::Evaluator;
use super::header::makes_size;
use crate::diagnostic::{Code, Diagnostic, FileId, Fix, Sureness};
use crate::model::MakesSize;
use crate::syntax::batch_argument;

/// So often what is surely meant is put in: once for a comma in the size and one in what is added, and once for a unit.
const ROUNDS: usize = 4;

/// Reads the size of a batch that a command or a page asks for. Nobody writes it into a file, so that it is taken as it is
/// surely meant: `30,5 G`, `12 × 30 ml + 4 %`. What may mean two things is asked about as anywhere.
///
/// # Errors
/// What is no size, with what is wrong with it.
pub fn asked_size(text: &str) -> Result<MakesSize, Vec<Diagnostic>> {
    let mut asked = plain(text);
    for _ in 0..ROUNDS {
        match read(&asked).map_err(|faults| (mended(&asked, &faults), faults)) {
            Ok(size) => return Ok(size),
            Err((Some(surely), _)) => asked = surely,
            Err((None, faults)) => return Err(faults.into_iter().map(helped).collect()),
        }
    }
    read(&asked)
}

fn read(text: &str) -> Result<MakesSize, Vec<Diagnostic>> {
    let makes = batch_argument(text)?;
    let evaluator = Evaluator { file: FileId(u32::MAX), text };
    let mut faults = Vec::new();
    makes_size(&evaluator, &makes, ("A batch", false), &mut |_, _| None, &mut faults).ok_or(faults)
}

/// The size with the one sign of the language for each that a keyboard has several of. Of units only those that a batch has
/// are meant in capitals: nobody asks for a batch of so many million litres.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    let mut rest = text.trim();
    while let Some(first) = rest.chars().next() {
        let end = rest.find(|letter: char| !letter.is_alphabetic()).unwrap_or(rest.len());
        if end > 0 {
            let (word, after) = rest.split_at(end);
            out.push_str(match word.to_lowercase().as_str() {
                "g" => "g",
                "kg" => "kg",
                "ml" => "mL",
                "l" => "L",
                "x" => "x",
                "plus" => "plus",
                _ => word,
            });
            rest = after;
            continue;
        }
        match first {
            '×' | '✕' | '⨯' | '*' => out.push('x'),
            '+' if !out.trim_end().is_empty() => out.push_str(" plus "),
            blank if blank.is_whitespace() => out.push(' '),
            other => out.push(other),
        }
        rest = rest.get(first.len_utf8()..).unwrap_or_default();
    }
    out
}

/// The text with every sure edit in it; none where there is none.
fn mended(text: &str, faults: &[Diagnostic]) -> Option<String> {
    let mut edits: Vec<&Fix> =
        faults.iter().filter_map(|fault| fault.fix.as_ref()).filter(|fix| fix.sureness == Sureness::Safe).collect();
    // From the end, so that those before it stay where they are.
    edits.sort_by_key(|fix| std::cmp::Reverse(fix.place.span));
    let mut out = (!edits.is_empty()).then(|| text.to_string())?;
    let mut before = out.len();
    for fix in edits {
        let range = fix.place.span.range();
        if range.end <= before && out.get(range.clone()).is_some() {
            before = range.start;
            out.replace_range(range, &fix.replacement);
        }
    }
    Some(out)
}

/// Of what cannot be read at all it is said what can.
fn helped(fault: Diagnostic) -> Diagnostic {
    if fault.code != Code::Syntax || fault.help.is_some() {
        return fault;
    }
    let help = "Write a weight, as `372 g`, or jars and what goes into each, as `12 x 30 mL plus 4 %`.";
    Diagnostic { message: "That is no size of a batch.".to_string(), ..fault }.help(help)
}

#[cfg(test)]
mod tests {
    use super::asked_size;
    use crate::quantity::Exact;

    /// What it comes to: containers, grams, millilitres, and what is added in percent.
    type Size = (Option<Exact>, Option<Exact>, Option<Exact>, Option<Exact>);

    fn size(text: &str) -> Size {
        let size = asked_size(text).unwrap_or_else(|faults| panic!("{text}: {faults:#?}"));
        (size.count, size.grams, size.millilitres, size.plus)
    }

    #[test]
    fn a_size_is_understood_as_a_hand_writes_it() {
        let grams = |grams: Exact| (None, Some(grams), None, None);
        for text in ["30.5g", "30,5g", "30.5 g", "30,5 g", " 30,5\u{a0}G ", "30.5 grams"] {
            assert_eq!(size(text), grams(Exact::ratio(61, 2)), "{text}");
        }
        for text in ["1kg", "1 kg", "1 KG", "1Kg", "1,0 kg", "1000 g"] {
            assert_eq!(size(text), grams(Exact::whole(1000)), "{text}");
        }
        let jars = |plus: Option<i64>| (Some(Exact::whole(12)), None, Some(Exact::whole(30)), plus.map(Exact::whole));
        for text in ["12x30mL", "12×30mL", "12 x 30 ml", "12X30ML", "12 * 30 mL", "12 × 30,0 Ml"] {
            assert_eq!(size(text), jars(None), "{text}");
        }
        for text in ["12x30mL plus 4%", "12 x 30 ml plus 4 %", "12×30 ml PLUS 4,0 %", "12x30mL + 4%", "12x30mL+4 %"] {
            assert_eq!(size(text), jars(Some(4)), "{text}");
        }
        assert_eq!(size("0,5 L"), (None, None, Some(Exact::whole(500)), None));
    }

    #[test]
    fn what_is_no_size_is_told_with_what_would_be_one() {
        for (text, help) in [
            ("a lot", "12 x 30 mL plus 4 %"),
            ("372", "372 g"),
            ("1,5", "1.5 g"),
            ("12x", "12 x 30 mL"),
            ("g", "372 g"),
            ("+", "372 g"),
            ("plus 4 %", "372 g"),
            ("2,000 g", "2000 g"),
        ] {
            let faults = asked_size(text).unwrap_err();
            let told = faults[0].help.as_deref().unwrap_or_default();
            assert!(told.contains(help), "{text}: {faults:#?}");
        }
        for text in ["", "0 g", "-5 g", "5 %", "3.5 x 30 mL", "12 x 30 mL plus 400 g", "5 Mg", "\u{202e}"] {
            assert!(asked_size(text).is_err(), "{text}");
        }
    }
}
