//! A formula of a few lines, declared: for tests of one rule each.

use crate::declaration::{assert_adds_to_100, declared_in};
use stillroom::label::{Declaration, NoteCode};
use stillroom::syntax::vocabulary::Market;

/// The day that rules are read on.
pub const DAY: &str = "2026-11-25";

/// Materials with one name each, declared here, so that no change of the shelf moves a label.
const HOME: &str = r#"
substance water { inci "Aqua"  us "Water"  cas "7732-18-5"  molar-mass 18.015 g/mol }
substance glycerin { inci "Glycerin"  cas "56-81-5"  neutral }
substance betaine { inci "Betaine"  cas "107-43-7"  neutral }
substance sunflower-oil { inci "Helianthus Annuus Seed Oil"  us "Helianthus Annuus (Sunflower) Seed Oil"  cas "8001-21-6" }
substance beeswax { inci "Cera Alba"  us "Beeswax"  cas "8012-89-3" }
substance allantoin { inci "Allantoin"  cas "97-59-6"  neutral }
substance xanthan-gum { inci "Xanthan Gum"  cas "11138-66-2"  neutral }
substance benzyl-alcohol { inci "Benzyl Alcohol"  cas "100-51-6"  allergen  fragrance  neutral }
substance linalool { inci "Linalool"  cas "78-70-6"  allergen  fragrance }
substance linalyl-acetate { inci "Linalyl Acetate"  cas "115-95-7"  allergen  fragrance }
substance geranial { inci "Geranial"  cas "141-27-5"  allergen  fragrance }
substance neral { inci "Neral"  cas "106-26-3"  allergen  fragrance }
substance scent-base { inci "Parfum"  us "Fragrance"  fragrance }
substance lavender { inci "Lavandula Angustifolia Oil"  us "Lavandula Angustifolia (Lavender) Oil"  cas "8000-28-0" }
substance titania { inci "Titanium Dioxide"  us "Titanium Dioxide"  ci "77891"  cas "13463-67-7"  colourant }
substance iron-red { inci "CI 77491"  us "Iron Oxides"  ci "77491"  cas "1309-37-1"  colourant }
substance iron-yellow { inci "CI 77492"  us "Iron Oxides"  ci "77492"  cas "51274-00-1"  colourant }
substance rose-water { inci "Rosa Damascena Flower Water"  cas "90106-38-0"  water 99 % }
substance lactic-acid { inci "Lactic Acid"  cas "50-21-5"  molar-mass 90.08 g/mol  acid pKa 3.86 }
substance sodium-hydroxide { inci "Sodium Hydroxide"  cas "1310-73-2"  molar-mass 39.997 g/mol  strong base }
substance sodium { cas "17341-25-2"  molar-mass 22.99 g/mol  ion +1 }
substance nameless-ferment { }

material water { role solvent }
material glycerin { role humectant }
material betaine { role humectant }
material sunflower-oil { role emollient }
material beeswax { role emollient }
material allantoin { role active }
material xanthan-gum { role thickener }
material benzyl-alcohol { role preservative }
material rose-water { role solvent }
material iron-red { role colourant }
material iron-yellow { role colourant }
material white { contains titania 100 %  role colourant }
material filter { contains titania 100 %  role uv-filter }
material nameless-ferment { role active }
material lactic-80 { contains lactic-acid 80 % active, water remainder  role exfoliant  caution "Gloves." }
material soda-10 { contains sodium-hydroxide 10 % active, water remainder  role ph-adjuster  caution "Gloves." }
"#;

/// Declarations written on one line each, with two blanks between their statements.
fn laid_out(text: &str) -> String {
    text.replace("  ", "\n").replace("{ ", "{\n").replace(" }", "\n}")
}

/// A formula of so many lines, with what else it needs.
pub fn formula(more: &str, header: &str, lines: &str) -> String {
    let product = if header.contains("product") { "" } else { "product leave-on body\n" };
    let (home, more) = (laid_out(HOME), laid_out(more));
    format!(
        "{home}\n{more}\nformula f {{\ntitle \"A case\"\nversion \"1\"\n{product}{header}\nmakes 1000 g\nscale 0.001 g\n\
         phase A {{\n{lines}\n}}\nallow ph-window-none because \"a case\"\nallow no-preservative because \"a case\"\n\
         allow ph-window-unreachable because \"a case\"\n}}\n"
    )
}

/// The declaration of a formula of so many lines, which adds to 100 %.
pub fn label(more: &str, header: &str, lines: &str, market: Market) -> Declaration {
    let text = formula(more, header, lines);
    let found = declared_in(&text, market, DAY);
    assert_adds_to_100(&found, &text);
    found
}

/// The names in the order of print.
pub fn names(found: &Declaration) -> Vec<&str> {
    found.entries.iter().map(|entry| entry.name.as_str()).collect()
}

/// The part of the line that an entry stands in.
pub fn part(found: &Declaration, name: &str) -> &'static str {
    found.entries.iter().find(|entry| entry.name == name).unwrap_or_else(|| panic!("{name}: {found:#?}")).part.word()
}

/// How much there is of an entry.
pub fn share(found: &Declaration, name: &str) -> (String, String) {
    let entry = found.entries.iter().find(|entry| entry.name == name).unwrap_or_else(|| panic!("{name}: {found:#?}"));
    (entry.share.low.to_fraction(), entry.share.high.to_fraction())
}

/// What else is said.
pub fn notes(found: &Declaration) -> Vec<(NoteCode, &str)> {
    found.notes.iter().map(|note| (note.code, note.what.as_str())).collect()
}

/// A share that is known.
pub fn point(of: &str) -> (String, String) {
    (of.to_string(), of.to_string())
}
